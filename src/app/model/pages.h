/* app/model/pages.h: the sheets as they will print, to be looked at.
 *
 * What was drawn never changes; it is painted by a worker, one page at a time.
 *
 * Thread  main thread only
 */
#ifndef TB_APP_PAGES_H
#define TB_APP_PAGES_H

#include "sheet/leaves.h"

#include <cairo.h>
#include <gio/gio.h>

#define TB_TYPE_PAGES (tb_pages_get_type())
G_DECLARE_FINAL_TYPE(TbPages, tb_pages, TB, PAGES, GObject)

/* Takes over the leaves. */
TbPages *tb_pages_new_take(tb_leaves *leaves, const tb_sheet_account *account);

int tb_pages_count(TbPages *self);
const tb_sheet_account *tb_pages_account(TbPages *self);
/* In millimetres. */
void tb_pages_size(TbPages *self, int page, double *width_mm, double *height_mm);
/* "Page B2", "Cut list" for people; to be freed by g_free(). */
char *tb_pages_name(TbPages *self, int page);

/* Only one page of the same pages may be under way at a time. The picture is to be freed by
 * cairo_surface_destroy(); NULL when memory ran out. */
void tb_pages_paint_async(TbPages *self, int page, int width_px, int height_px,
        GAsyncReadyCallback done_cb, gpointer payload);
cairo_surface_t *tb_pages_paint_finish(TbPages *self, GAsyncResult *result);

#endif
