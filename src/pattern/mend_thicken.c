/* pattern/mend_thicken.c: a stroke along the middle of a thin bridge.
 *
 * A window round the place is opened by the limit's disc; what vanished there, in one piece with
 * the place, is too thin. The stroke runs through the ridge of its distance map, from the nearest
 * point to the place on to its nearest neighbour each time, so it never leaps over an opening.
 */
#include "pattern/mend_private.h"

#include "base/alloc.h"
#include "image/distance.h"
#include "image/width.h"

#include <math.h>
#include <string.h>

static const double REACH_LIMITS = 5; /* half the window's side, in limits */
enum { MOST_POINTS = 400 };

typedef struct {
    double x, y; /* pixels of the window */
} spot;

typedef struct {
    spot items[MOST_POINTS];
    size_t n;
} ridge;

static tb_status cut_window(tb_mask **out, int *left_px, int *top_px, const tb_mask *mask,
        const tb_finding *finding, double reach_mm, tb_error *err)
{
    double s = mask->px_per_mm;
    int left = (int)fmax(floor((finding->x_mm - reach_mm) * s), 0);
    int top = (int)fmax(floor((finding->y_mm - reach_mm) * s), 0);
    int right = (int)fmin(ceil((finding->x_mm + reach_mm) * s), mask->width_px);
    int bottom = (int)fmin(ceil((finding->y_mm + reach_mm) * s), mask->height_px);
    *left_px = left;
    *top_px = top;
    if (right <= left || bottom <= top)
        return tb_fail(err, TB_EINVAL, "the place lies beyond the board");
    tb_status status = tb_mask_new(out, right - left, bottom - top, s, err);
    for (int y = top; !status && y < bottom; y++)
        memcpy((*out)->px + (size_t)(y - top) * (size_t)(right - left),
                mask->px + (size_t)y * (size_t)mask->width_px + left, (size_t)(right - left));
    return status;
}

/* Whether d tops the values on both sides of it, a plateau's end included. */
static bool tops(uint16_t d, uint16_t before, uint16_t after)
{
    return d >= before && d >= after && (d > before || d > after);
}

/* Pixels of thin wood that are highest across the strip, whichever way it runs. */
static void find_ridge(
        ridge *found, const tb_mask *window, const tb_mask *opened, const uint16_t *distance2)
{
    size_t w = (size_t)window->width_px;
    for (int y = 1; y + 1 < window->height_px; y++)
        for (int x = 1; x + 1 < window->width_px && found->n < MOST_POINTS; x++) {
            size_t i = (size_t)y * w + (size_t)x;
            uint16_t d = distance2[i];
            if (window->px[i] && !opened->px[i] &&
                    (tops(d, distance2[i - 1], distance2[i + 1]) ||
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

tb_status tb__mend_thicken(tb_stroke *out, const tb_finding *finding, const tb_mask *mask,
        double width_mm, tb_error *err)
{
    tb_mask *window = NULL, *opened = NULL;
    uint16_t *distance2 = NULL;
    int left_px, top_px;
    double s = mask->px_per_mm;
    int cap_px = (int)fmin(ceil(width_mm * s) + 2, 255);
    tb_status status =
            cut_window(&window, &left_px, &top_px, mask, finding, REACH_LIMITS * width_mm, err);
    if (!status)
        status = tb_open_wood(&opened, window, width_mm, false, NULL, err);
    if (!status)
        status = tb_distance_capped(&distance2, window, cap_px, false, NULL, err);
    if (!status) {
        ridge left = {.n = 0};
        spot at = {finding->x_mm * s - left_px, finding->y_mm * s - top_px};
        find_ridge(&left, window, opened, distance2);
        status = tb_stroke_add(out, finding->x_mm, finding->y_mm, width_mm, err);
        while (!status && take_nearest(&at, &left, at.x, at.y, width_mm * s))
            status = tb_stroke_add(out, (at.x + left_px) / s, (at.y + top_px) / s, width_mm, err);
    }
    tb_free(distance2);
    tb_mask_free(opened);
    tb_mask_free(window);
    return status;
}
