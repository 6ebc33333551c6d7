/* app/ui/window.h: the one window: steps above, bench in the middle, a pane beside it, the verdict
 * below. It composes and knows nothing of what they do.
 */
#ifndef TB_APP_WINDOW_H
#define TB_APP_WINDOW_H

#include "app/model/desk.h"

#include <adwaita.h>

#define TB_TYPE_WINDOW (tb_window_get_type())
G_DECLARE_FINAL_TYPE(TbWindow, tb_window, TB, WINDOW, AdwApplicationWindow)

GtkWidget *tb_window_new(AdwApplication *application);

TbDesk *tb_window_desk(TbWindow *self);

/* A photograph becomes a new project; a project is opened. Trouble is said in the window. */
void tb_window_open_file(TbWindow *self, GFile *file);

#endif
