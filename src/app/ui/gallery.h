/* app/ui/gallery.h: cards of what the user may begin with or go on with, the newest first. */
#ifndef TB_APP_GALLERY_H
#define TB_APP_GALLERY_H

#include <gtk/gtk.h>

typedef enum {
    TB_GALLERY_PHOTOS,  /* of the user's picture folder */
    TB_GALLERY_PATTERNS /* projects begun before */
} tb_gallery_kind;

/* Not visible until there is a card. It looks anew whenever it comes into view. */
GtkWidget *tb_gallery_new(tb_gallery_kind kind);

#endif
