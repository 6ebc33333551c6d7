/* app/ui/finding-row.h: one finding: what, how much, what to do about it, and its mends. */
#ifndef TB_APP_FINDING_ROW_H
#define TB_APP_FINDING_ROW_H

#include "app/model/desk.h"
#include "app/model/mends.h"

#include <gtk/gtk.h>

#define TB_TYPE_FINDING_ROW (tb_finding_row_get_type())
G_DECLARE_FINAL_TYPE(TbFindingRow, tb_finding_row, TB, FINDING_ROW, GtkListBoxRow)

/* Of the index-th finding of the desk's work's present inspection, which there must be. Its mends
 * are tried: one that is good can be pressed, of another the row tells why it is not offered.
 * Action finding.show takes the bench there.
 */
GtkWidget *tb_finding_row_new(TbDesk *desk, TbMends *mends, int index);
int tb_finding_row_index(TbFindingRow *self);

/* What people call a kind: "Thin bridge". */
const char *tb_finding_title(tb_finding_kind kind);

/* "0.9 mm; the limit is 1.6 mm", in the user's unit where it is a length. To be freed by g_free().
 */
char *tb_finding_measure(TbDesk *desk, const tb_finding *finding);

#endif
