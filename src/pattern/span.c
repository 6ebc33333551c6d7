/* pattern/span.c: see span.h.
 *
 * One stretch. The discs' centres are c(t) = c0 + t·d and their radii r(t) = r0 + t·e, 0 ≤ t ≤ 1.
 * A point lies in the hull when f(t) = |p − c(t)|² − r(t)² ≤ 0 for some t. f is a parabola that
 * opens upwards while |d| > |e|, so its least value on 0…1 is at its vertex, clamped; otherwise one
 * disc holds the other and the ends decide. A row is met by the discs of one range of t only, which
 * gives a window; within it the test above finds where the span begins and ends.
 *
 * The flood fills spans and looks at the rows above and below for their continuation.
 */
#include "pattern/span.h"

#include "base/alloc.h"
#include "base/array.h"

#include <math.h>

typedef struct {
    double x, y, r;    /* first disc, in pixels */
    double dx, dy, dr; /* from there to the last */
    double slope;      /* |d|² − e² */
} stretch;

void tb_spans_clear(tb_spans *spans)
{
    tb_free(spans->items);
    *spans = (tb_spans){0};
}

tb_rect tb_spans_bounds(const tb_spans *spans)
{
    tb_rect bounds = {0, 0, 0, 0};
    for (size_t i = 0; i < spans->n; i++) {
        const tb_span *s = &spans->items[i];
        bounds = tb_rect_join(bounds, (tb_rect){s->x_px, s->y_px, s->end_px, s->y_px + 1});
    }
    return bounds;
}

static tb_status add(tb_spans *spans, int y, int x, int end, tb_error *err)
{
    if (!tb_array_reserve(&spans->items, &spans->room, spans->n, 1))
        return tb_fail_memory(err);
    spans->items[spans->n++] = (tb_span){y, x, end};
    return TB_OK;
}

static stretch stretch_of(tb_stroke_point a, tb_stroke_point b, double px_per_mm)
{
    const double px = px_per_mm / 1000;
    /* A disc of this radius holds at least one pixel's centre wherever it lies. */
    const double least = 0.70710678118654757;
    double ra = a.width_um * px / 2, rb = b.width_um * px / 2;
    ra = ra > least ? ra : least;
    rb = rb > least ? rb : least;
    stretch s = {a.x_um * px, a.y_um * px, ra, (b.x_um - a.x_um) * px, (b.y_um - a.y_um) * px,
            rb - ra, 0};
    s.slope = s.dx * s.dx + s.dy * s.dy - s.dr * s.dr;
    return s;
}

static bool in_disc(const stretch *s, double t, double px, double py)
{
    double x = px - s->x - t * s->dx, y = py - s->y - t * s->dy, r = s->r + t * s->dr;
    return x * x + y * y <= r * r;
}

static bool in_stretch(const stretch *s, double px, double py)
{
    if (s->slope <= 0)
        return in_disc(s, 0, px, py) || in_disc(s, 1, px, py);
    double t = ((px - s->x) * s->dx + (py - s->y) * s->dy + s->r * s->dr) / s->slope;
    return in_disc(s, t < 0 ? 0 : t > 1 ? 1 : t, px, py);
}

/* Cuts *from … *to down to where t · factor ≥ least. */
static void clip(double *from, double *to, double factor, double least)
{
    if (factor > 0)
        *from = fmax(*from, least / factor);
    else if (factor < 0)
        *to = fmin(*to, least / factor);
    else if (least > 0)
        *to = *from - 1;
}

/* The pixels of a row that the stretch might hold; false if none. */
static bool window(const stretch *s, double py, int width_px, int *first, int *end)
{
    const double slack = 1e-6; /* Of t: rounding may not lose a row that the exact test keeps. */
    double from = 0, to = 1, v = py - s->y;
    clip(&from, &to, s->dr + s->dy, v - s->r);
    clip(&from, &to, s->dr - s->dy, -v - s->r);
    if (from > to + slack)
        return false;
    double xa = s->x + from * s->dx, xb = s->x + to * s->dx;
    double r = fmax(s->r + from * s->dr, s->r + to * s->dr) + 1;
    double left = floor(fmin(xa, xb) - r), right = ceil(fmax(xa, xb) + r);
    *first = left > 0 ? (int)fmin(left, width_px) : 0;
    *end = right < width_px ? (int)fmax(right, 0) : width_px;
    return *first < *end;
}

static tb_status add_stretch(tb_spans *spans, const tb_mask *mask, const stretch *s, tb_error *err)
{
    double top = fmin(s->y - s->r, s->y + s->dy - s->r - s->dr);
    double bottom = fmax(s->y + s->r, s->y + s->dy + s->r + s->dr);
    int y = top > 0 ? (int)fmin(top, mask->height_px) : 0;
    for (; y < mask->height_px && y < bottom; y++) {
        int first, end;
        if (!window(s, y + 0.5, mask->width_px, &first, &end))
            continue;
        while (first < end && !in_stretch(s, first + 0.5, y + 0.5))
            first++;
        while (first < end && !in_stretch(s, end - 0.5, y + 0.5))
            end--;
        if (first < end && add(spans, y, first, end, err))
            return TB_ENOMEM;
    }
    return TB_OK;
}

tb_status tb_spans_stroke(
        tb_spans *spans, const tb_mask *mask, const tb_stroke *stroke, size_t first, tb_error *err)
{
    tb_status status = TB_OK;
    const tb_stroke_point *p = stroke->points;
    if (stroke->n_points == 1) {
        stretch dot = stretch_of(p[0], p[0], mask->px_per_mm);
        return add_stretch(spans, mask, &dot, err);
    }
    for (size_t i = first > 0 ? first : 1; i < stroke->n_points && !status; i++) {
        stretch s = stretch_of(p[i - 1], p[i], mask->px_per_mm);
        status = add_stretch(spans, mask, &s, err);
    }
    return status;
}

/* Adds every beginning of a run of `from` in pixels x … end - 1 of row y to the seeds. */
static tb_status seek(tb_spans *seeds, const tb_mask *mask, int y, int x, int end, uint8_t from,
        tb_rect limit, tb_error *err)
{
    if (y < limit.top_px || y >= limit.bottom_px)
        return TB_OK;
    x = x > limit.left_px ? x : limit.left_px;
    end = end < limit.right_px ? end : limit.right_px;
    const uint8_t *row = mask->px + (size_t)y * (size_t)mask->width_px;
    for (bool inside = false; x < end; x++) {
        if (row[x] == from && !inside && add(seeds, y, x, x + 1, err))
            return TB_ENOMEM;
        inside = row[x] == from;
    }
    return TB_OK;
}

tb_status tb_spans_flood(tb_spans *spans, tb_mask *mask, int x_px, int y_px, uint8_t from,
        tb_rect limit, tb_error *err)
{
    const int corner = from ? 0 : 1;
    const size_t before = spans->n;
    tb_spans seeds = {0};
    limit = tb_rect_meet(limit, (tb_rect){0, 0, mask->width_px, mask->height_px});
    tb_status status = seek(&seeds, mask, y_px, x_px, x_px + 1, from, limit, err);
    while (!status && seeds.n > 0) {
        tb_span seed = seeds.items[--seeds.n];
        uint8_t *row = mask->px + (size_t)seed.y_px * (size_t)mask->width_px;
        int x = seed.x_px, end = x;
        if (row[x] != from)
            continue;
        while (x > limit.left_px && row[x - 1] == from)
            x--;
        while (end < limit.right_px && row[end] == from)
            end++;
        status = add(spans, seed.y_px, x, end, err);
        if (status)
            break;
        for (int i = x; i < end; i++)
            row[i] = !from;
        for (int dy = -1; dy <= 1 && !status; dy += 2)
            status = seek(&seeds, mask, seed.y_px + dy, x - corner, end + corner, from, limit, err);
    }
    for (size_t i = before; i < spans->n; i++)
        for (int x = spans->items[i].x_px; x < spans->items[i].end_px; x++)
            mask->px[(size_t)spans->items[i].y_px * (size_t)mask->width_px + (size_t)x] = from;
    tb_spans_clear(&seeds);
    return status;
}
