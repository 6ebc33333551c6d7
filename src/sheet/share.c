/* sheet/share.c: the pattern as a picture, and the copies that are given away.
 *
 * Pictures are drawn from the outline, so they are smooth at any size and carry nothing of the
 * photograph or the project but the pattern itself and the credit line.
 */
#include "sheet/picture.h"

#include "base/alloc.h"
#include "sheet/encode.h"
#include "sheet/paint.h"
#include "sheet/shared.h"
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
                .lines = 1,
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

static tb_status encode(tb_bytes *out, tb_share_account *account, const picture *made,
        tb_share_kind kind, int quality, tb_error *err)
{
    tb_pixels pixels = {made->px, made->width_px, made->height_px, 1, made->px_per_mm};
    tb_bytes_clear(out);
    *account = (tb_share_account){
            kind == TB_SHARE_JPEG ? quality : 0, made->width_px, made->height_px};
    return kind == TB_SHARE_JPEG ? tb__encode_jpeg(out, &pixels, quality, err)
                                 : tb__encode_png(out, &pixels, err);
}

enum { QUALITY_LEAST = 40, LONGEST_LEAST = 240 };

/* The best quality that fits, by halving what is between; or the least one, which may not fit. */
static tb_status fit_quality(tb_bytes *out, tb_share_account *account, const picture *made,
        const tb_share_options *options, tb_error *err)
{
    int low = options->quality < QUALITY_LEAST ? options->quality : QUALITY_LEAST;
    int high = options->quality - 1, fitting = low;
    tb_status status = TB_OK;
    while (low <= high && !status) {
        int middle = (low + high) / 2;
        status = encode(out, account, made, TB_SHARE_JPEG, middle, err);
        if (out->n <= options->max_bytes) {
            fitting = middle;
            low = middle + 1;
        } else {
            high = middle - 1;
        }
    }
    return status ? status : encode(out, account, made, TB_SHARE_JPEG, fitting, err);
}

static tb_status share_at(tb_bytes *out, tb_share_account *account, const tb_outline *outline,
        const char *credit, const tb_share_options *options, int longest_px, tb_error *err)
{
    picture made;
    tb_status status = render(&made, outline, credit, longest_px, err);
    if (status)
        return status;
    status = encode(out, account, &made, options->kind, options->quality, err);
    if (!status && options->max_bytes && out->n > options->max_bytes &&
            options->kind == TB_SHARE_JPEG)
        status = fit_quality(out, account, &made, options, err);
    tb_free(made.px);
    return status;
}

/* Smaller and smaller until it fits: first in quality, then in size. */
static tb_status share_picture(tb_bytes *out, tb_share_account *account, const tb_outline *outline,
        const char *credit, const tb_share_options *options, const tb_job *job, tb_error *err)
{
    int longest = options->longest_px ? options->longest_px : 1600;
    tb_status status = share_at(out, account, outline, credit, options, longest, err);
    while (!status && options->max_bytes && out->n > options->max_bytes) {
        if (tb_job_stopped(job))
            return tb_fail_cancelled(err);
        double less = sqrt((double)options->max_bytes / (double)out->n) * 0.97;
        if (longest <= LONGEST_LEAST)
            return tb_fail(err, TB_EINVAL, "the pattern does not fit into %zu kB even at %d pixels",
                    options->max_bytes / 1000, LONGEST_LEAST);
        longest = (int)fmax(LONGEST_LEAST, longest * fmin(less, 0.9));
        status = share_at(out, account, outline, credit, options, longest, err);
    }
    return status;
}

tb_status tb_share(tb_bytes *out, tb_share_account *account, const tb_sheet_content *content,
        const tb_share_options *options, const tb_job *job, tb_error *err)
{
    tb_share_account unasked;
    tb_status status;
    *out = (tb_bytes){0};
    if (!account)
        account = &unasked;
    *account = (tb_share_account){0};
    if (options->quality < 1 || options->quality > 100 || options->longest_px < 0 ||
            options->longest_px > TB_SIDE_MAX_PX)
        return tb_fail(err, TB_EINVAL,
                "a quality lies between 1 and 100, a longest side between "
                "1 and %d pixels",
                TB_SIDE_MAX_PX);
    char *credit = tb__words_clean(options->credit, 300);
    if (options->kind == TB_SHARE_SVG)
        status = tb__svg(out, content, credit, err);
    else if (options->kind == TB_SHARE_PDF)
        status = tb__share_pdf(out, content, credit, err);
    else
        status = share_picture(out, account, content->outline, credit, options, job, err);
    g_free(credit);
    if (!status && options->max_bytes && out->n > options->max_bytes)
        status = tb_fail(err, TB_EINVAL, "the pattern takes %zu kB so; share it as JPEG instead",
                (out->n + 999) / 1000);
    if (status)
        tb_bytes_clear(out);
    return status;
}

bool tb_share_kind_parse(tb_share_kind *kind, const char *name)
{
    static const struct {
        const char *name;
        tb_share_kind kind;
    } NAMES[] = {{"jpg", TB_SHARE_JPEG}, {"jpeg", TB_SHARE_JPEG}, {"png", TB_SHARE_PNG},
            {"svg", TB_SHARE_SVG}, {"pdf", TB_SHARE_PDF}};
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++)
        if (g_ascii_strcasecmp(NAMES[i].name, name) == 0) {
            *kind = NAMES[i].kind;
            return true;
        }
    return false;
}
