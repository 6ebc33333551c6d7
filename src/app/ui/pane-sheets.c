/* app/ui/pane-sheets.c: paper, ink, printing and sharing. */
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include <glib/gi18n.h>

GtkWidget *tb_sheets_pane_new(TbDesk *desk)
{
    (void)desk;
    return tb_pane_column(_("Sheets"), _("True to size on paper, light on ink."));
}
