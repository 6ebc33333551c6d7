/* app/ui/welcome.h: the first page: choose a photograph, go on with a pattern, try the example. */
#ifndef TB_APP_WELCOME_H
#define TB_APP_WELCOME_H

#include <gtk/gtk.h>

GtkWidget *tb_welcome_new(void);

#endif
