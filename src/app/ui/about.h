/* app/ui/about.h: what this is, and the cautions that belong to the work at the saw. */
#ifndef TB_APP_ABOUT_H
#define TB_APP_ABOUT_H

#include <gtk/gtk.h>

void tb_about_show(GtkWindow *parent);

#endif
