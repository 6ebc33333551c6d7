/* app/ui/board.h: the sheets laid out beside each other as they will print; one can be taken up and
 * looked at near to.
 *
 * It shows the desk's pages, and has them painted one after the other.
 *
 * Actions  board.all, board.before, board.next, board.up, board.down; of each page: page.open
 */
#ifndef TB_APP_BOARD_H
#define TB_APP_BOARD_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

#define TB_TYPE_BOARD (tb_board_get_type())
G_DECLARE_FINAL_TYPE(TbBoard, tb_board, TB, BOARD, GtkBox)

GtkWidget *tb_board_new(TbDesk *desk);

/* All pages, and one of them nearer or farther; farther than it fits shows all. */
void tb_board_show_all(TbBoard *self);
void tb_board_zoom(TbBoard *self, double factor);
/* px_per_mm in the widget's pixels. */
void tb_board_show_size(TbBoard *self, double px_per_mm);

#endif
