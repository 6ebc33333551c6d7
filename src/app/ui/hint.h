/* app/ui/hint.h: one line over the foot of the bench that says what the pointer does there. */
#ifndef TB_APP_HINT_H
#define TB_APP_HINT_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

GtkWidget *tb_hint_new(TbDesk *desk);

#endif
