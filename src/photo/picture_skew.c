/* photo/picture_skew.c: how far a pattern stands askew, and setting it straight.
 *
 * Where the line is crossed on the way down some columns, and along some rows, points are noted,
 * to parts of a pixel. A straight side is many points in one narrow strip, all crossed the same
 * way, from light to dark or back; so the two sides of a drawn line are not taken for one. The
 * strip's slope is searched in small steps, then fitted to the points in it by least squares. What
 * stands askew by more than a scan does is searched for with fewer points.
 */
#include "photo/picture_private.h"

#include "base/alloc.h"
#include "base/array.h"

#include <math.h>
#include <string.h>

enum { N_PROBES = 400, MAX_POINTS = 400000, STRIP_PX = 2 };
static const double SLOPE_MAX = 0.0524; /* tan 3 degrees */
static const double SLOPE_WIDE = 0.23;  /* tan 13 degrees */
enum { THIN = 4 };                      /* one probe in so many is looked at then */
static const double LEAST_SHARE = 0.33; /* of the probes that must cross a side */
static const double AGREE = 0.004;      /* radians between level and upright sides */

typedef struct {
    float along, across;
    bool to_dark;
} point;

typedef struct {
    point *items;
    size_t n, room;
} points;

/* A strip: its points are those crossed one way, near across + slope * along. */
typedef struct {
    double slope, across;
    bool to_dark;
    uint32_t n;
} strip;

typedef struct {
    double slope, share; /* share: of the probes that cross it */
} side;

static double between(int level, uint8_t a, uint8_t b)
{
    return (level - 0.5 - a) / (b - a);
}

static bool add(points *list, double along, double across, bool to_dark)
{
    if (!tb_array_reserve(&list->items, &list->room, list->n, 1))
        return false;
    list->items[list->n++] = (point){(float)along, (float)across, to_dark};
    return true;
}

/* Crossings down N_PROBES columns, read row by row. */
static bool probe_columns(points *list, const tb__grey *grey, int level)
{
    for (int y = 1; y < grey->height_px && list->n < MAX_POINTS; y++) {
        const uint8_t *row = grey->px + (size_t)y * (size_t)grey->width_px;
        const uint8_t *above = row - grey->width_px;
        for (int i = 0; i < N_PROBES; i++) {
            int x = (int)((int64_t)grey->width_px * (2 * i + 1) / (2 * N_PROBES));
            if ((above[x] < level) != (row[x] < level) &&
                    !add(list, x, y - 1 + between(level, above[x], row[x]), row[x] < level))
                return false;
        }
    }
    return true;
}

static bool probe_rows(points *list, const tb__grey *grey, int level)
{
    for (int i = 0; i < N_PROBES && list->n < MAX_POINTS; i++) {
        int y = (int)((int64_t)grey->height_px * (2 * i + 1) / (2 * N_PROBES));
        const uint8_t *row = grey->px + (size_t)y * (size_t)grey->width_px;
        for (int x = 1; x < grey->width_px; x++)
            if ((row[x - 1] < level) != (row[x] < level) &&
                    !add(list, y, x - 1 + between(level, row[x - 1], row[x]), row[x] < level))
                return false;
    }
    return true;
}

/* The fullest strip at a slope, if it is fuller than *best. bins: two for each place. */
static void fullest(
        strip *best, const points *list, double slope, uint32_t *bins, size_t n_bins, double first)
{
    memset(bins, 0, n_bins * sizeof *bins);
    for (size_t i = 0; i < list->n; i++) {
        const point *p = &list->items[i];
        size_t place = (size_t)(((double)p->across - slope * (double)p->along - first) / STRIP_PX);
        uint32_t n = ++bins[2 * place + p->to_dark];
        if (n > best->n)
            *best = (strip){slope, first + ((double)place + 0.5) * STRIP_PX, p->to_dark, n};
    }
}

/* Least squares through the strip's points no farther than `reach` from its middle. */
static size_t fit(strip *s, const points *list, double reach)
{
    double n = 0, sum_x = 0, sum_y = 0, sum_xx = 0, sum_xy = 0;
    for (size_t i = 0; i < list->n; i++) {
        double x = (double)list->items[i].along, y = (double)list->items[i].across;
        if (list->items[i].to_dark != s->to_dark || fabs(y - s->slope * x - s->across) > reach)
            continue;
        n++;
        sum_x += x;
        sum_y += y;
        sum_xx += x * x;
        sum_xy += x * y;
    }
    double spread = n * sum_xx - sum_x * sum_x;
    if (n < 2 || !(spread > 0))
        return 0;
    s->slope = (n * sum_xy - sum_x * sum_y) / spread;
    s->across = (sum_y - s->slope * sum_x) / n;
    return (size_t)n;
}

/* The straightest side among the points, with a slope of at most `most`; along, across: the
 * picture's size in those directions. fewer: the points to search by. */
static tb_status find_side(side *out, const points *list, int along, int across, double most,
        const points *fewer, tb_error *err)
{
    double first = -most * along - 2;
    size_t n_bins = 2 * ((size_t)((across - 2 * first) / STRIP_PX) + 2);
    uint32_t *bins = tb_malloc(n_bins, sizeof *bins);
    strip best = {0};
    *out = (side){0, 0};
    if (!bins)
        return tb_fail_memory(err);
    fullest(&best, fewer, 0, bins, n_bins, first);
    /* A strip that is full as it stands needs no search, only the fit. */
    if (best.n < N_PROBES * 3 / 4) {
        double step = 0.75 * STRIP_PX / along;
        for (double slope = -most; slope <= most; slope += step)
            fullest(&best, fewer, slope, bins, n_bins, first);
    }
    tb_free(bins);
    fit(&best, list, 2 * STRIP_PX);
    size_t n = fit(&best, list, STRIP_PX);
    *out = (side){best.slope, (double)n / N_PROBES};
    return TB_OK;
}

/* The points of one probe in THIN. */
static tb_status thin_out(points *out, const points *list, int along, tb_error *err)
{
    *out = (points){0};
    for (size_t i = 0; i < list->n; i++) {
        point p = list->items[i];
        if ((int)(p.along * N_PROBES / (float)along) % THIN == 0 &&
                !add(out, p.along, p.across, p.to_dark))
            return tb_fail_memory(err);
    }
    return TB_OK;
}

/* One straight line may be part of the picture; a frame has both kinds, and they agree. */
static bool is_frame(side level, side upright)
{
    return level.share >= LEAST_SHARE && upright.share >= LEAST_SHARE &&
           fabs(level.slope + upright.slope) < AGREE;
}

/* Both kinds of sides, level and upright ones. */
static tb_status find_sides(
        side found[2], const points lists[2], const tb__grey *grey, bool wide, tb_error *err)
{
    int along[2] = {grey->width_px, grey->height_px};
    tb_status status = TB_OK;
    for (int k = 0; k < 2 && !status; k++) {
        points fewer = {0};
        if (wide)
            status = thin_out(&fewer, &lists[k], along[k], err);
        if (!status)
            status = find_side(&found[k], &lists[k], along[k], along[!k],
                    wide ? SLOPE_WIDE : SLOPE_MAX, wide ? &fewer : &lists[k], err);
        tb_free(fewer.items);
    }
    return status;
}

tb_status tb__skew_find(
        double *turn_rad, const tb__grey *grey, const tb__tones *tones, tb_error *err)
{
    points lists[2] = {{0}, {0}};
    side found[2] = {{0}, {0}};
    tb_status status = TB_OK;
    *turn_rad = 0;
    if (!probe_columns(&lists[0], grey, tones->level) || !probe_rows(&lists[1], grey, tones->level))
        status = tb_fail_memory(err);
    if (!status)
        status = find_sides(found, lists, grey, false, err);
    if (!status && !is_frame(found[0], found[1]))
        status = find_sides(found, lists, grey, true, err);
    tb_free(lists[0].items);
    tb_free(lists[1].items);
    if (status || !is_frame(found[0], found[1]))
        return status;
    /* A clockwise turn makes level sides fall to the right and upright ones lean to the left. */
    double weight_a = found[0].share * grey->width_px, weight_b = found[1].share * grey->height_px;
    *turn_rad =
            atan((weight_a * found[0].slope - weight_b * found[1].slope) / (weight_a + weight_b));
    return TB_OK;
}

typedef struct {
    tb__grey *to;
    const tb__grey *from;
    const tb__view *view;
    const tb_job *job;
} sampling;

uint8_t tb__grey_at(const tb__grey *from, double x, double y, uint8_t beyond)
{
    enum { ONE = 256 };
    double most_x = from->width_px - 1, most_y = from->height_px - 1;
    if (x < -1 || y < -1 || x > most_x + 1 || y > most_y + 1)
        return beyond;
    x = x < 0 ? 0 : x > most_x ? most_x : x;
    y = y < 0 ? 0 : y > most_y ? most_y : y;
    int left = (int)x, top = (int)y;
    int right = left + 1 < from->width_px ? left + 1 : left;
    int fx = (int)((x - left) * ONE), fy = (int)((y - top) * ONE);
    const uint8_t *row = from->px + (size_t)top * (size_t)from->width_px;
    const uint8_t *next = top + 1 < from->height_px ? row + from->width_px : row;
    int above = row[left] * (ONE - fx) + row[right] * fx;
    int below = next[left] * (ONE - fx) + next[right] * fx;
    return (uint8_t)((above * (ONE - fy) + below * fy + ONE * ONE / 2) / (ONE * ONE));
}

static void sample_rows(void *payload, size_t first, size_t end)
{
    const sampling *s = payload;
    double c = cos(s->view->turn_rad) * s->view->step, d = sin(s->view->turn_rad) * s->view->step;
    for (size_t y = first; y < end && !tb_job_stopped(s->job); y++) {
        uint8_t *row = s->to->px + y * (size_t)s->to->width_px;
        double from_x = s->view->x - d * (double)y, from_y = s->view->y + c * (double)y;
        for (int x = 0; x < s->to->width_px; x++)
            row[x] = tb__grey_at(s->from, from_x + c * x, from_y + d * x, s->view->beyond);
    }
}

void tb__grey_sample(tb__grey *to, const tb__grey *from, const tb__view *view, const tb_job *job)
{
    sampling s = {to, from, view, job};
    tb_job_rows(job, (size_t)to->height_px, 64, sample_rows, &s);
}
