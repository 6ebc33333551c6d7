/* pattern/mend_thicken.c: strokes along the middle of what is too narrow.
 *
 * A window round the place is opened by the limit's disc; what vanished there, in one piece with
 * the place, is too thin. The stroke goes depth first over the ridge of its distance map, a pixel
 * or two at a time and back the way it came, so it never leaps over an opening.
 */
#include "pattern/mend_private.h"

#include "base/alloc.h"
#include "image/distance.h"
#include "image/width.h"
#include "pattern/outline.h"

#include <math.h>
#include <string.h>

static const double STEP_PX = 3;    /* the ridge has gaps of a pixel where it turns */
static const double POINT_MM = 0.2; /* between points of the stroke */
enum { MOST_POINTS = 400 };

typedef struct {
    double x, y; /* pixels of the window */
} spot;

typedef struct {
    spot items[MOST_POINTS];
    size_t n;
} ridge;

tb_status tb__window_cut(tb__window *out, const tb_mask *mask, const tb_finding *finding,
        double reach_mm, tb_error *err)
{
    double s = mask->px_per_mm;
    int left = (int)fmax(floor((finding->x_mm - reach_mm) * s), 0);
    int top = (int)fmax(floor((finding->y_mm - reach_mm) * s), 0);
    int right = (int)fmin(ceil((finding->x_mm + reach_mm) * s), mask->width_px);
    int bottom = (int)fmin(ceil((finding->y_mm + reach_mm) * s), mask->height_px);
    *out = (tb__window){.left_px = left, .top_px = top, .left_mm = left / s, .top_mm = top / s};
    if (right <= left || bottom <= top)
        return tb_fail(err, TB_EINVAL, "the place lies beyond the board");
    tb_status status = tb_mask_new(&out->mask, right - left, bottom - top, s, err);
    for (int y = top; !status && y < bottom; y++)
        memcpy(out->mask->px + (size_t)(y - top) * (size_t)(right - left),
                mask->px + (size_t)y * (size_t)mask->width_px + left, (size_t)(right - left));
    return status;
}

/* Whether d tops the values on both sides of it, a plateau's end included. */
static bool tops(uint16_t d, uint16_t before, uint16_t after)
{
    return d >= before && d >= after && (d > before || d > after);
}

/* Leaves of the thin wood only what hangs together with the thin pixel nearest to (x, y). */
static tb_status keep_piece(tb_mask *thin, double x, double y, tb_error *err)
{
    int w = thin->width_px, h = thin->height_px, nearest = -1;
    size_t n = tb_mask_area_px(thin), n_stack = 0;
    double best = INFINITY;
    for (int i = 0; i < (int)n; i++) {
        double away = hypot(i % w + 0.5 - x, i / w + 0.5 - y);
        if (thin->px[i] && away < best) {
            best = away;
            nearest = i;
        }
    }
    int *stack = tb_malloc(n, sizeof *stack);
    if (!stack)
        return tb_fail_memory(err);
    enum { MINE = 2 };
    if (nearest >= 0) {
        thin->px[nearest] = MINE;
        stack[n_stack++] = nearest;
    }
    while (n_stack > 0) {
        int at = stack[--n_stack];
        for (int k = 0; k < 9; k++) {
            int nx = at % w + k % 3 - 1, ny = at / w + k / 3 - 1, to = ny * w + nx;
            if (nx >= 0 && ny >= 0 && nx < w && ny < h && thin->px[to] == 1) {
                thin->px[to] = MINE;
                stack[n_stack++] = to;
            }
        }
    }
    for (size_t i = 0; i < n; i++)
        thin->px[i] = thin->px[i] == MINE;
    tb_free(stack);
    return TB_OK;
}

/* Pixels of thin wood that are highest across the strip, whichever way it runs. */
static void find_ridge(ridge *found, const tb_mask *thin, const uint16_t *distance2)
{
    size_t w = (size_t)thin->width_px;
    for (int y = 1; y + 1 < thin->height_px; y++)
        for (int x = 1; x + 1 < thin->width_px && found->n < MOST_POINTS; x++) {
            size_t i = (size_t)y * w + (size_t)x;
            uint16_t d = distance2[i];
            if (thin->px[i] && (tops(d, distance2[i - 1], distance2[i + 1]) ||
                                       tops(d, distance2[i - w], distance2[i + w])))
                found->items[found->n++] = (spot){x + 0.5, y + 0.5};
        }
}

/* Takes the spot nearest to (x, y) out of the ridge; false when none lies within most. */
static bool take_nearest(spot *out, ridge *left, double x, double y, double most)
{
    size_t best = left->n;
    for (size_t i = 0; i < left->n; i++) {
        double away = hypot(left->items[i].x - x, left->items[i].y - y);
        if (away <= most) {
            most = away;
            best = i;
        }
    }
    if (best == left->n)
        return false;
    *out = left->items[best];
    left->items[best] = left->items[--left->n];
    return true;
}

/* Down the ridge from `from`, and back up wherever it ends: ends are points in any case. */
static tb_status follow(tb_stroke *out, ridge *left, spot from, double left_mm, double top_mm,
        double px_per_mm, double width_mm, tb_error *err)
{
    spot way[MOST_POINTS + 1] = {from}, last = {-1, -1};
    size_t depth = 1;
    tb_status status = TB_OK;
    while (!status && depth > 0) {
        spot next, at = way[depth - 1];
        bool goes_on = take_nearest(&next, left, at.x, at.y, STEP_PX);
        double since = hypot(at.x - last.x, at.y - last.y);
        if (since >= POINT_MM * px_per_mm || (!goes_on && since > 0)) {
            last = at;
            status = tb_stroke_add(
                    out, left_mm + at.x / px_per_mm, top_mm + at.y / px_per_mm, width_mm, err);
        }
        if (goes_on)
            way[depth++] = next;
        else
            depth--;
    }
    return status;
}

tb_status tb__mend_along(tb_stroke *out, const tb_finding *finding, const tb_mask *mask,
        bool in_opening, double reach_mm, double width_mm, tb_error *err)
{
    tb__window window = {0};
    tb_mask *thin = NULL;
    uint16_t *distance2 = NULL;
    double s = mask->px_per_mm;
    int cap_px = (int)fmin(ceil(width_mm * s) + 2, 255);
    tb_status status = tb__window_cut(&window, mask, finding, reach_mm, err);
    if (!status && in_opening)
        tb_mask_invert(window.mask);
    if (!status)
        status = tb_open_wood(&thin, window.mask, width_mm, false, NULL, err);
    if (!status)
        status = tb_distance_capped(&distance2, window.mask, cap_px, false, NULL, err);
    spot at = {finding->x_mm * s - window.left_px, finding->y_mm * s - window.top_px};
    if (!status) {
        for (size_t i = 0; i < tb_mask_area_px(thin); i++)
            thin->px[i] = window.mask->px[i] && !thin->px[i];
        status = keep_piece(thin, at.x, at.y, err);
    }
    if (!status) {
        ridge left = {.n = 0};
        spot from;
        find_ridge(&left, thin, distance2);
        status = tb_stroke_add(out, finding->x_mm, finding->y_mm, width_mm, err);
        if (!status && take_nearest(&from, &left, at.x, at.y, width_mm * s))
            status = follow(out, &left, from, window.left_mm, window.top_mm, s, width_mm, err);
    }
    tb_free(distance2);
    tb_mask_free(thin);
    tb_mask_free(window.mask);
    return status;
}

tb_status tb__mend_fill(
        tb_stroke *out, const tb__window *window, tb_mask *region, int first_px, tb_error *err)
{
    int w = region->width_px, h = region->height_px;
    double s = region->px_per_mm;
    size_t n = 0, depth = 0;
    for (size_t i = 0; i < tb_mask_area_px(region); i++)
        n += region->px[i];
    int *way = tb_malloc(n + 1, sizeof *way);
    if (!way)
        return tb_fail_memory(err);
    way[depth++] = first_px;
    region->px[first_px] = 0;
    tb_status status = TB_OK;
    while (!status && depth > 0) {
        int at = way[depth - 1], to = -1;
        status = tb_stroke_add(out, window->left_mm + (at % w + 0.5) / s,
                window->top_mm + (at / w + 0.5) / s, 0, err);
        for (int k = 0; k < 4 && to < 0; k++) {
            int x = at % w + TB_STEP_X[k], y = at / w + TB_STEP_Y[k];
            if (x >= 0 && y >= 0 && x < w && y < h && region->px[y * w + x])
                to = y * w + x;
        }
        if (to >= 0) {
            region->px[to] = 0;
            way[depth++] = to;
        } else {
            depth--;
        }
    }
    tb_free(way);
    return status;
}
