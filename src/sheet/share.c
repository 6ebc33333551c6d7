/* sheet/share.c: the pattern as a picture, and the copies that are given away.
 *
 * Pictures are drawn from the outline, so they are smooth at any size and carry nothing of the
 * photograph or the project but the pattern itself and the credit line.
 */
#include "sheet/picture.h"

#include "base/alloc.h"
#include "sheet/encode.h"
#include "sheet/paint.h"
#include "sheet/words.h"

#include <math.h>
#include <string.h>

static void spread_row(uint8_t *to, const uint8_t *from, size_t n)
{
    for (size_t i = 0; i < n; i++)
        to[i] = (uint8_t)-from[i];
}

tb_status tb_picture_png(tb_bytes *out, const tb_mask *mask, tb_error *err)
{
    size_t n = tb_mask_area_px(mask);
    uint8_t *px = tb_malloc(n, 1);
    *out = (tb_bytes){0};
    if (!px)
        return tb_fail_memory(err);
    spread_row(px, mask->px, n);
    tb_pixels pixels = {px, mask->width_px, mask->height_px, 1, mask->px_per_mm};
    tb_status status = tb__encode_png(out, &pixels, err);
    tb_free(px);
    return status;
}

/* A picture of the pattern with its credit line below, grey, one byte a pixel. */
typedef struct {
    uint8_t *px;
    int width_px, height_px;
    double px_per_mm;
} picture;

/* Height of the strip for the credit line, in shares of the longer side of the board. */
static const double CREDIT_SHARE = 0.034;

static bool draw(
        picture *to, cairo_surface_t *surface, const tb_outline *outline, const char *credit)
{
    double scale = to->px_per_mm, strip = to->height_px / scale - outline->height_mm;
    tb_brush brush;
    tb__brush_init(&brush, surface, scale);
    cairo_set_source_rgb(brush.cr, 0, 0, 0);
    cairo_rectangle(brush.cr, 0, 0, outline->width_mm, outline->height_mm);
    cairo_fill(brush.cr);
    cairo_set_source_rgb(brush.cr, 1, 1, 1);
    tb__paint_outline(brush.cr, outline);
    cairo_fill(brush.cr);
    tb__paint_box(brush.cr, 0, outline->height_mm, outline->width_mm, strip + 1, 1);
    if (*credit) {
        tb_type type = {.size_mm = strip * 0.55,
                .width_mm = outline->width_mm * 0.96,
                .side = TB_MIDDLE,
                .one_line = true,
                .grey = 0.2};
        tb__paint_text(
                &brush, outline->width_mm * 0.02, outline->height_mm + strip * 0.16, &type, credit);
    }
    bool good = cairo_status(brush.cr) == CAIRO_STATUS_SUCCESS;
    tb__brush_clear(&brush);
    cairo_surface_flush(surface);
    return good;
}

/* The surface's blue channel as grey: all that is drawn on it is grey. */
static void take_grey(picture *to, cairo_surface_t *surface)
{
    const uint8_t *from = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface);
    for (int y = 0; y < to->height_px; y++)
        for (int x = 0; x < to->width_px; x++)
            to->px[(size_t)y * (size_t)to->width_px + (size_t)x] =
                    from[(size_t)y * (size_t)stride + 4 * (size_t)x];
}

static tb_status render(
        picture *to, const tb_outline *outline, const char *credit, int longest_px, tb_error *err)
{
    double longer = fmax(outline->width_mm, outline->height_mm);
    double height = outline->height_mm + (*credit ? CREDIT_SHARE * longer : 0);
    double scale = longest_px / fmax(outline->width_mm, height);
    *to = (picture){.width_px = (int)fmax(1, lround(outline->width_mm * scale)),
            .height_px = (int)fmax(1, lround(height * scale)),
            .px_per_mm = scale};
    cairo_surface_t *surface =
            cairo_image_surface_create(CAIRO_FORMAT_RGB24, to->width_px, to->height_px);
    to->px = tb_malloc((size_t)to->width_px * (size_t)to->height_px, 1);
    bool good = to->px && cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS &&
                draw(to, surface, outline, credit);
    if (good)
        take_grey(to, surface);
    cairo_surface_destroy(surface);
    if (good)
        return TB_OK;
    tb_free(to->px);
    return tb_fail_memory(err);
}

tb_status tb_share(tb_bytes *out, tb_share_account *account, const tb_sheet_content *content,
        const tb_share_options *options, const tb_job *job, tb_error *err)
{
    *out = (tb_bytes){0};
    picture made;
    char *credit = tb__words_clean(options->credit, 300);
    (void)job;
    tb_status status = render(
            &made, content->outline, credit, options->longest_px ? options->longest_px : 1600, err);
    g_free(credit);
    if (status)
        return status;
    tb_pixels pixels = {made.px, made.width_px, made.height_px, 1, made.px_per_mm};
    status = tb__encode_jpeg(out, &pixels, options->quality, err);
    if (account)
        *account = (tb_share_account){options->quality, made.width_px, made.height_px};
    tb_free(made.px);
    return status;
}
