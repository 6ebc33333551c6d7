/* pattern/geodesic.c: see geodesic.h.
 *
 * All sizes are in mm, so that the same picture parts in the same places at any resolution: cells
 * of about half a millimetre, lightness blurred over as much, and an edge's price by its slope in
 * L* a millimetre, squared: texture adds up to little, an outline to a wall.
 *
 * The border. Over a window the class (0 or 1) is fitted as gain × lightness + shift, both are
 * blurred and enlarged, and the pixel's own lightness decides.
 */
#include "pattern/geodesic.h"

#include "base/alloc.h"
#include "graph/grid_path.h"
#include "image/filter.h"
#include "pattern/hand.h"

#include <math.h>
#include <string.h>

static const double CELL_MM = 0.5;      /* a compromise of ours between hair and speed */
static const double BLUR_MM = 0.4;      /* of the lightness that edges are looked for in */
static const double ROUND_MM = 1.5;     /* sigma that rounds the border where nothing draws it */
static const double BORDER_MM = 1.0;    /* sigma of the window that draws the border */
static const double BORDER_L2 = 9;      /* squared L* that count as flat there */
static const double FLAT_PRICE = 3;     /* of a cell without any slope */
static const double PRICE_OF_SLOPE = 4; /* for each squared L* a millimetre: 8 L* are an outline */
static const double REACH_MM = 80;      /* over even ground; less over texture */
enum { NOBODY = -1, KEPT = 0, LEFT = 1 };

/* Planes of the coarse grid: i lightness, p class, and what becomes of their products. */
typedef struct {
    tb_plane *i, *p, *ip, *ii;
} fit;

static void fit_clear(fit *f)
{
    tb_plane_free(f->i);
    tb_plane_free(f->p);
    tb_plane_free(f->ip);
    tb_plane_free(f->ii);
}

static tb_status seed(int32_t *source, tb_mask *under, const tb_stroke *stroke, tb_error *err)
{
    memset(under->px, 0, tb_mask_area_px(under));
    tb_status status = tb_stroke_cover(under, 1, stroke, err);
    for (size_t k = 0; k < tb_mask_area_px(under) && !status; k++)
        if (under->px[k])
            source[k] = stroke->kind == TB_STROKE_LEAVE_OUT ? LEFT : KEPT;
    return status;
}

/* Where the subject of a portrait stands if nobody said: upright in the middle. */
static tb_status seed_middle(int32_t *source, tb_mask *under, tb_error *err)
{
    double w = under->width_px / under->px_per_mm, h = under->height_px / under->px_per_mm;
    tb_stroke middle = {.kind = TB_STROKE_KEEP_IN};
    tb_status status = tb_stroke_add(&middle, w / 2, h * 0.42, w * 0.1, err);
    if (!status)
        status = tb_stroke_add(&middle, w / 2, h * 0.8, w * 0.1, err);
    memset(under->px, 0, tb_mask_area_px(under));
    if (!status)
        status = tb_stroke_cover(under, 1, &middle, err);
    for (size_t k = 0; k < tb_mask_area_px(under) && !status; k++)
        if (under->px[k] && source[k] == NOBODY)
            source[k] = KEPT;
    tb_stroke_clear(&middle);
    return status;
}

static tb_status seed_all(int32_t *source, const tb_plane *cells, const tb_stroke *strokes,
        size_t n_strokes, tb_error *err)
{
    tb_mask *under;
    tb_status status =
            tb_mask_new(&under, cells->width_px, cells->height_px, cells->px_per_mm, err);
    if (status)
        return status;
    for (size_t k = 0; k < tb_mask_area_px(under); k++)
        source[k] = NOBODY;
    for (size_t i = 0; i < n_strokes && !status; i++) {
        bool keeps = strokes[i].kind == TB_STROKE_KEEP_IN;
        if (keeps || strokes[i].kind == TB_STROKE_LEAVE_OUT)
            status = seed(source, under, &strokes[i], err);
    }
    if (!status)
        status = seed_middle(source, under, err);
    tb_mask_free(under);
    return status;
}

/* The price of each cell: how steep the lightness is there. */
static void price_cells(uint16_t *price, const tb_plane *cells)
{
    const int w = cells->width_px, h = cells->height_px;
    for (int y = 0; y < h; y++) {
        const float *row = cells->px + (size_t)y * (size_t)w;
        const float *up = y > 0 ? row - w : row, *down = y < h - 1 ? row + w : row;
        for (int x = 0; x < w; x++) {
            double gx = row[x < w - 1 ? x + 1 : x] - row[x > 0 ? x - 1 : x];
            double gy = down[x] - up[x];
            double slope2 = (gx * gx + gy * gy) / 4 * cells->px_per_mm * cells->px_per_mm;
            price[(size_t)y * (size_t)w + (size_t)x] =
                    (uint16_t)lrint(fmin(FLAT_PRICE + PRICE_OF_SLOPE * slope2, TB_GRID_PRICE_MAX));
        }
    }
}

/* The class of every cell: 1 left out, 0 kept. What is far off or behind outlines stays, whoever
 * would be nearer to it: a stroke does what one sees it do. */
static tb_status part(tb_plane *class, const tb_plane *cells, const tb_stroke *strokes,
        size_t n_strokes, const tb_job *job, tb_error *err)
{
    const size_t n = tb_plane_area_px(cells);
    tb_grid_paths *paths = NULL;
    int32_t *source = tb_malloc(n, sizeof *source);
    uint16_t *price = tb_malloc(n, sizeof *price);
    tb_status status = source && price ? TB_OK : tb_fail_memory(err);
    if (!status)
        status = seed_all(source, cells, strokes, n_strokes, err);
    if (!status) {
        price_cells(price, cells);
        tb_grid grid = {cells->width_px, cells->height_px, price, source};
        status = tb_grid_paths_find(&paths, &grid, job, err);
    }
    uint32_t reach = (uint32_t)lrint(10 * FLAT_PRICE * REACH_MM * cells->px_per_mm);
    for (size_t k = 0; k < n && !status; k++)
        class->px[k] = paths->source[k] == LEFT && paths->cost[k] <= reach;
    if (!status)
        status = tb_blur(class, ROUND_MM, job, err);
    for (size_t k = 0; k < n && !status; k++)
        class->px[k] = class->px[k] > 0.5f;
    tb_grid_paths_free(paths);
    tb_free(source);
    tb_free(price);
    return status;
}

/* Turns i and p into gain and shift, as blurred products of theirs (He, Sun & Tang 2010). */
static tb_status fit_border(fit *f, const tb_job *job, tb_error *err)
{
    tb_plane *planes[] = {f->i, f->p, f->ip, f->ii};
    const size_t n = tb_plane_area_px(f->i);
    tb_status status = TB_OK;
    for (size_t k = 0; k < n; k++) {
        f->ip->px[k] = f->i->px[k] * f->p->px[k];
        f->ii->px[k] = f->i->px[k] * f->i->px[k];
    }
    for (int q = 0; q < 4 && !status; q++)
        status = tb_blur(planes[q], BORDER_MM, job, err);
    for (size_t k = 0; k < n && !status; k++) {
        double i = f->i->px[k], p = f->p->px[k];
        double gain = (f->ip->px[k] - i * p) / (f->ii->px[k] - i * i + BORDER_L2);
        f->ip->px[k] = (float)gain;
        f->ii->px[k] = (float)(p - gain * i);
    }
    if (!status)
        status = tb_blur(f->ip, BORDER_MM / 2, job, err);
    if (!status)
        status = tb_blur(f->ii, BORDER_MM / 2, job, err);
    return status;
}

static tb_status draw_border(tb_mask *out, const tb_plane *lightness, const fit *f, int factor,
        const tb_job *job, tb_error *err)
{
    const size_t w = (size_t)lightness->width_px;
    float *gain = tb_malloc(2 * w, sizeof *gain), *shift = gain + w;
    if (!gain)
        return tb_fail_memory(err);
    tb_status status = TB_OK;
    for (int y = 0; y < lightness->height_px && !status; y++) {
        tb_enlarge_row(gain, (int)w, y, f->ip, factor);
        tb_enlarge_row(shift, (int)w, y, f->ii, factor);
        const float *i = lightness->px + (size_t)y * w;
        uint8_t *to = out->px + (size_t)y * w;
        for (size_t x = 0; x < w; x++)
            to[x] = gain[x] * i[x] + shift[x] > 0.5f;
        if (tb_job_stopped(job))
            status = tb_fail_cancelled(err);
    }
    tb_free(gain);
    return status;
}

/* Under the strokes themselves there is nothing to guess. */
static tb_status obey(tb_mask *out, const tb_stroke *strokes, size_t n_strokes, tb_error *err)
{
    tb_status status = TB_OK;
    for (size_t i = 0; i < n_strokes && !status; i++)
        if (strokes[i].kind == TB_STROKE_LEAVE_OUT || strokes[i].kind == TB_STROKE_KEEP_IN)
            status = tb_stroke_cover(out, strokes[i].kind == TB_STROKE_LEAVE_OUT, &strokes[i], err);
    return status;
}

static bool any_left(const tb_stroke *strokes, size_t n_strokes)
{
    for (size_t i = 0; i < n_strokes; i++)
        if (strokes[i].kind == TB_STROKE_LEAVE_OUT)
            return true;
    return false;
}

tb_status tb_leave_out(tb_mask **out, const tb_plane *lightness, const tb_stroke *strokes,
        size_t n_strokes, const tb_job *job, tb_error *err)
{
    *out = NULL;
    if (!any_left(strokes, n_strokes))
        return TB_OK;
    fit f = {NULL, NULL, NULL, NULL};
    int factor = (int)fmax(1, lround(CELL_MM * lightness->px_per_mm));
    tb_plane *cells = NULL;
    tb_status status = tb_shrink(&f.i, lightness, factor, job, err);
    if (!status)
        status = tb_plane_copy(&cells, f.i, err);
    if (!status)
        status = tb_plane_copy(&f.p, f.i, err);
    if (!status)
        status = tb_plane_copy(&f.ip, f.i, err);
    if (!status)
        status = tb_plane_copy(&f.ii, f.i, err);
    if (!status)
        status = tb_blur(cells, BLUR_MM, job, err);
    if (!status)
        status = part(f.p, cells, strokes, n_strokes, job, err);
    if (!status)
        status = fit_border(&f, job, err);
    if (!status)
        status = tb_mask_new(
                out, lightness->width_px, lightness->height_px, lightness->px_per_mm, err);
    if (!status)
        status = draw_border(*out, lightness, &f, factor, job, err);
    if (!status)
        status = obey(*out, strokes, n_strokes, err);
    if (status) {
        tb_mask_free(*out);
        *out = NULL;
    }
    tb_plane_free(cells);
    fit_clear(&f);
    return status;
}
