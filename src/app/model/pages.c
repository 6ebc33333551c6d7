/* app/model/pages.c: see pages.h. */
#include "app/model/pages.h"

#include <glib/gi18n.h>

struct _TbPages {
    GObject parent_instance;

    tb_leaves *leaves;
    tb_sheet_account account;
};

G_DEFINE_FINAL_TYPE(TbPages, tb_pages, G_TYPE_OBJECT)

TbPages *tb_pages_new_take(tb_leaves *leaves, const tb_sheet_account *account)
{
    TbPages *self = g_object_new(TB_TYPE_PAGES, NULL);
    self->leaves = leaves;
    self->account = *account;
    return self;
}

int tb_pages_count(TbPages *self)
{
    return tb_leaves_count(self->leaves);
}

const tb_sheet_account *tb_pages_account(TbPages *self)
{
    return &self->account;
}

void tb_pages_size(TbPages *self, int page, double *width_mm, double *height_mm)
{
    const tb_leaf *leaf = tb_leaves_at(self->leaves, page);
    *width_mm = leaf->width_mm;
    *height_mm = leaf->height_mm;
}

char *tb_pages_name(TbPages *self, int page)
{
    const tb_leaf *leaf = tb_leaves_at(self->leaves, page);
    switch (leaf->kind) {
    case TB_LEAF_FRONT:
        return g_strdup(_("First page"));
    case TB_LEAF_PATTERN:
        return g_strdup_printf(_("Page %s"), leaf->name);
    case TB_LEAF_CUT_LIST:
        return g_strdup(_("Cut list"));
    case TB_LEAF_REVIEW:
        return g_strdup(_("Findings"));
    case TB_LEAF_PEN:
        break;
    }
    return g_strdup(_("For the red pen"));
}

/* ---- painting ---------------------------------------------------------------------------------
 */

typedef struct {
    int page, width_px, height_px;
} painting;

static void paint(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    const painting *p = payload;
    TbPages *self = source;
    cairo_surface_t *picture =
            cairo_image_surface_create(CAIRO_FORMAT_RGB24, p->width_px, p->height_px);
    unsigned char *px = cairo_image_surface_get_data(picture);
    (void)cancellable;
    /* Rows of 32-bit pixels lie end to end. */
    if (!px || tb_leaves_paint(self->leaves, p->page, (uint32_t *)(void *)px, p->width_px,
                       p->height_px, NULL))
        g_clear_pointer(&picture, cairo_surface_destroy);
    else
        cairo_surface_mark_dirty(picture);
    g_task_return_pointer(task, picture, (GDestroyNotify)cairo_surface_destroy);
}

void tb_pages_paint_async(TbPages *self, int page, int width_px, int height_px,
        GAsyncReadyCallback done_cb, gpointer payload)
{
    GTask *task = g_task_new(self, NULL, done_cb, payload);
    painting *p = g_new(painting, 1);
    *p = (painting){page, width_px, height_px};
    g_task_set_task_data(task, p, g_free);
    g_task_run_in_thread(task, paint);
    g_object_unref(task);
}

cairo_surface_t *tb_pages_paint_finish(TbPages *self, GAsyncResult *result)
{
    (void)self;
    return g_task_propagate_pointer(G_TASK(result), NULL);
}

/* ---- GObject ----------------------------------------------------------------------------------
 */

static void tb_pages_finalize(GObject *object)
{
    tb_leaves_free(TB_PAGES(object)->leaves);
    G_OBJECT_CLASS(tb_pages_parent_class)->finalize(object);
}

static void tb_pages_class_init(TbPagesClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = tb_pages_finalize;
}

static void tb_pages_init(TbPages *self)
{
    (void)self;
}
