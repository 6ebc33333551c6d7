/* app/ui/pane-check.c: the findings, worst first. */
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include <glib/gi18n.h>

GtkWidget *tb_check_pane_new(TbDesk *desk)
{
    (void)desk;
    return tb_pane_column(_("Check"), _("Every place that would fail at the saw, worst first."));
}
