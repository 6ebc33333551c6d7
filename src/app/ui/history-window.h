/* app/ui/history-window.h: what was done to the project, by name, and the states that were named.
 *
 * A state can be named here and put back; putting back is an action like any other.
 */
#ifndef TB_APP_HISTORY_WINDOW_H
#define TB_APP_HISTORY_WINDOW_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

/* The desk has a work. */
void tb_history_window_show(GtkWindow *parent, TbDesk *desk);

#endif
