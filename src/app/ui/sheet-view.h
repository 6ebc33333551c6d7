/* app/ui/sheet-view.h: one sheet of paper with what is painted on it. */
#ifndef TB_APP_SHEET_VIEW_H
#define TB_APP_SHEET_VIEW_H

#include <gtk/gtk.h>
#include <stdbool.h>

#define TB_TYPE_SHEET_VIEW (tb_sheet_view_get_type())
G_DECLARE_FINAL_TYPE(TbSheetView, tb_sheet_view, TB, SHEET_VIEW, GtkWidget)

GtkWidget *tb_sheet_view_new(void);

/* In the widget's pixels. Another size makes the picture stale; it is shown stretched meanwhile. */
void tb_sheet_view_resize(TbSheetView *self, int width, int height);
/* In the screen's. */
void tb_sheet_view_size_px(TbSheetView *self, int *width_px, int *height_px);

/* Whether it waits for a picture; whoever begins to paint one says that it doesn't. */
bool tb_sheet_view_is_stale(TbSheetView *self);
void tb_sheet_view_set_stale(TbSheetView *self, bool stale);
/* Kept by reference; NULL: blank. */
void tb_sheet_view_show(TbSheetView *self, cairo_surface_t *picture);

#endif
