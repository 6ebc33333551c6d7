/* app/ui/pane-photo.c: size, stock and blade. */
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include <glib/gi18n.h>

GtkWidget *tb_photo_pane_new(TbDesk *desk)
{
    (void)desk;
    return tb_pane_column(_("Photo"), _("How large it will hang, and what it is sawn from."));
}
