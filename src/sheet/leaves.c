/* sheet/leaves.c: see leaves.h. */
#include "sheet/leaves.h"

#include "base/alloc.h"
#include "sheet/pages.h"

struct tb_leaves {
    tb_leaf *leaves;
    cairo_surface_t **drawn; /* in points; NULL where the cairo gave none */
    int n, room;
};

static bool make_room(tb_leaves *leaves)
{
    int room = leaves->room ? 2 * leaves->room : 8;
    if (leaves->n < leaves->room)
        return true;
    tb_leaf *more = tb_realloc(leaves->leaves, (size_t)room, sizeof *more);
    leaves->leaves = more ? more : leaves->leaves;
    cairo_surface_t **drawn = tb_realloc(leaves->drawn, (size_t)room, sizeof(cairo_surface_t *));
    leaves->drawn = drawn ? drawn : leaves->drawn;
    leaves->room = more && drawn ? room : leaves->room;
    return more && drawn;
}

cairo_surface_t *tb__leaves_add(tb_leaves *leaves, const tb_leaf *leaf)
{
    const cairo_rectangle_t all = {
            0, 0, leaf->width_mm * TB_POINTS_PER_MM, leaf->height_mm * TB_POINTS_PER_MM};
    if (!make_room(leaves))
        return NULL;
    leaves->leaves[leaves->n] = *leaf;
    leaves->drawn[leaves->n] = cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, &all);
    return leaves->drawn[leaves->n++];
}

tb_status tb_leaves_draw(tb_leaves **out, tb_sheet_account *account,
        const tb_sheet_content *content, const tb_sheet_options *options, const tb_job *job,
        tb_error *err)
{
    tb_leaves *leaves = tb_calloc(1, sizeof *leaves);
    *out = NULL;
    if (!leaves)
        return tb_fail_memory(err);
    tb_status status = tb__sheets_draw(NULL, leaves, account, content, options, job, err);
    if (status)
        tb_leaves_free(leaves);
    else
        *out = leaves;
    return status;
}

void tb_leaves_free(tb_leaves *leaves)
{
    if (!leaves)
        return;
    for (int i = 0; i < leaves->n; i++)
        cairo_surface_destroy(leaves->drawn[i]);
    tb_free(leaves->drawn);
    tb_free(leaves->leaves);
    tb_free(leaves);
}

int tb_leaves_count(const tb_leaves *leaves)
{
    return leaves->n;
}

const tb_leaf *tb_leaves_at(const tb_leaves *leaves, int i)
{
    return &leaves->leaves[i];
}

tb_status tb_leaves_paint(
        tb_leaves *leaves, int i, uint32_t *px, int width_px, int height_px, tb_error *err)
{
    const tb_leaf *leaf = &leaves->leaves[i];
    cairo_surface_t *paper = cairo_image_surface_create_for_data(
            (unsigned char *)px, CAIRO_FORMAT_RGB24, width_px, height_px, 4 * width_px);
    cairo_t *cr = cairo_create(paper);
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_paint(cr);
    cairo_scale(cr, width_px / (leaf->width_mm * TB_POINTS_PER_MM),
            height_px / (leaf->height_mm * TB_POINTS_PER_MM));
    cairo_set_source_surface(cr, leaves->drawn[i], 0, 0);
    cairo_paint(cr);
    bool good = cairo_status(cr) == CAIRO_STATUS_SUCCESS;
    cairo_destroy(cr);
    cairo_surface_flush(paper);
    cairo_surface_destroy(paper);
    return good ? TB_OK : tb_fail_memory(err);
}
