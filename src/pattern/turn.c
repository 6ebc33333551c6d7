/* pattern/turn.c: see turn.h. */
#include "pattern/turn.h"

#include "base/alloc.h"
#include "base/array.h"

#include <math.h>

#define PI 3.14159265358979323846
#define LEAST_TURN_RAD (PI / 4)
enum { LEAST_STEPS = 24, BASE_PX = 3 };

/* The middles of an outline's steps, twice their coordinates. */
typedef struct {
    int32_t x, y;
} middle;

typedef struct {
    const middle *at;
    size_t n;
    size_t half;
} ring;

static middle at(const ring *r, size_t i, long offset)
{
    long n = (long)r->n;
    return r->at[(size_t)((((long)i + offset) % n + n) % n)];
}

/* Angle from the way that led to the point to the way that leads on, anticlockwise as the wood lies
 * to the right: above 0 where the opening has the corner. */
static double turn_between(middle a, middle b, middle c, middle d)
{
    double ux = b.x - a.x, uy = b.y - a.y, vx = d.x - c.x, vy = d.y - c.y;
    return -atan2(ux * vy - uy * vx, ux * vx + uy * vy);
}

/* 0 where it is certainly less than LEAST_TURN_RAD. */
static double turn_at(const ring *r, size_t i)
{
    size_t before = i >= r->half ? i - r->half : i + r->n - r->half;
    size_t behind = i + r->half < r->n ? i + r->half : i + r->half - r->n;
    middle here = r->at[i], a = r->at[before], b = r->at[behind];
    int64_t ux = here.x - a.x, uy = here.y - a.y, vx = b.x - here.x, vy = b.y - here.y;
    int64_t along = ux * vx + uy * vy, across = ux * vy - uy * vx;
    if (along > (across < 0 ? -across : across))
        return 0;
    return turn_between(a, here, here, b);
}

static double direction_change(const ring *r, size_t i, long from, long to)
{
    long base = BASE_PX;
    return turn_between(
            at(r, i, from - base), at(r, i, from + base), at(r, i, to - base), at(r, i, to + base));
}

/* Length of the line between two offsets from i, in pixels, by strides that even out the steps. */
static double way_along(const ring *r, size_t i, long from, long to)
{
    double way = 0;
    for (long k = from; k < to; k += 2 * BASE_PX) {
        long next = k + 2 * BASE_PX < to ? k + 2 * BASE_PX : to;
        middle a = at(r, i, k), b = at(r, i, next);
        way += hypot(b.x - a.x, b.y - a.y) / 2;
    }
    return way;
}

/* The shortest stretch about i in which seven tenths of the turn happen: grown evenly, then cut
 * back from either end as far as that is left. */
static double radius_at(const ring *r, size_t i, double turn)
{
    long from = 0, to = 0, most = (long)r->half + BASE_PX;
    double wanted = 0.7 * fabs(turn), sign = turn < 0 ? -1 : 1;
    while (to < most && sign * direction_change(r, i, from, to) < wanted) {
        from--;
        to++;
    }
    while (from < to) {
        double less_back = sign * direction_change(r, i, from + 1, to);
        double less_ahead = sign * direction_change(r, i, from, to - 1);
        if (fmax(less_back, less_ahead) < wanted)
            break;
        if (less_back > less_ahead)
            from++;
        else
            to--;
    }
    double arc = way_along(r, i, from, to);
    /* Directions are taken over 2 × BASE_PX steps, which spreads a sharp corner over as many. */
    return arc > 1.25 * 0.7 * 2 * BASE_PX ? arc / wanted : 0;
}

static middle *middles_of(const tb_outline *outline)
{
    middle *list = tb_malloc(outline->n_steps, sizeof *list);
    int x = 2 * outline->x_px, y = 2 * outline->y_px;
    for (size_t i = 0; list && i < outline->n_steps; i++) {
        int step = outline->step[i];
        list[i] = (middle){x + TB_STEP_X[step], y + TB_STEP_Y[step]};
        x += 2 * TB_STEP_X[step];
        y += 2 * TB_STEP_Y[step];
    }
    return list;
}

static bool sharpest_nearby(const float *turn, size_t n, size_t i, size_t half)
{
    float here = fabsf(turn[i]);
    for (size_t k = 1; k <= half; k++) {
        float ahead = fabsf(turn[(i + k) % n]), behind = fabsf(turn[(i + n - k) % n]);
        if (ahead > here || behind >= here)
            return false;
    }
    return true;
}

tb_status tb_turns_find(tb_turn **turns, size_t *n, size_t *room, const tb_outline *outline,
        double half_px, tb_error *err)
{
    if (outline->n_steps < LEAST_STEPS)
        return TB_OK;
    size_t half = (size_t)fmax(half_px, 4);
    if (half > outline->n_steps / 6)
        half = outline->n_steps / 6;
    middle *list = middles_of(outline);
    float *turn = tb_malloc(outline->n_steps, sizeof *turn);
    tb_status status = list && turn ? TB_OK : tb_fail_memory(err);
    ring r = {list, outline->n_steps, half};
    for (size_t i = 0; !status && i < r.n; i++)
        turn[i] = (float)turn_at(&r, i);
    for (size_t i = 0; !status && i < r.n; i++) {
        if (fabsf(turn[i]) < LEAST_TURN_RAD || !sharpest_nearby(turn, r.n, i, half))
            continue;
        if (!tb_array_reserve(turns, room, *n, 1)) {
            status = tb_fail_memory(err);
            break;
        }
        double whole = direction_change(&r, i, -(long)half, (long)half);
        if (whole * turn[i] <= 0) /* a turn of half a circle and more */
            whole = turn[i] < 0 ? -PI : PI;
        if (fabs(whole) < fabsf(turn[i]))
            whole = turn[i];
        (*turns)[(*n)++] =
                (tb_turn){list[i].x / 2.0, list[i].y / 2.0, whole, radius_at(&r, i, whole)};
    }
    tb_free(list);
    tb_free(turn);
    return status;
}
