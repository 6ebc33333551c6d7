/* app/ui/gallery.h: the user's newest pictures, large enough to tell one from another. */
#ifndef TB_APP_GALLERY_H
#define TB_APP_GALLERY_H

#include <gtk/gtk.h>

/* Not visible until there is a picture. Each is a button for "win.open-path". */
GtkWidget *tb_gallery_new(void);

#endif
