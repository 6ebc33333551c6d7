/* app/ui/pane.h: the five side panes, one for each step. Each follows its desk. */
#ifndef TB_APP_PANE_H
#define TB_APP_PANE_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

GtkWidget *tb_photo_pane_new(TbDesk *desk);
GtkWidget *tb_tone_pane_new(TbDesk *desk);
GtkWidget *tb_pattern_pane_new(TbDesk *desk);
GtkWidget *tb_check_pane_new(TbDesk *desk);
GtkWidget *tb_sheets_pane_new(TbDesk *desk);

#endif
