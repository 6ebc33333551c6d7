/* app/ui/strip.h: the verdict, always in view. */
#ifndef TB_APP_STRIP_H
#define TB_APP_STRIP_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

GtkWidget *tb_strip_new(TbDesk *desk);

#endif
