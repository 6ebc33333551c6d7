/* app/ui/bridges.h: the bridges that the tie proposes, the dearest first, each with what it costs
 * and a way to refuse it; and whether islands are tied at all. Follows its desk. */
#ifndef TB_APP_BRIDGES_H
#define TB_APP_BRIDGES_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

GtkWidget *tb_bridges_new(TbDesk *desk);

#endif
