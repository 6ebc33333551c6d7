/* pattern/tie_tip.c: ends of openings too narrow for the blade to turn in.
 *
 * A blunt end is made a point: two cuts meet there, as in every corner. The point may lie ahead of
 * the end, where the wood is broad enough, so that the opening need not become smaller by it. Or
 * the end is filled, up to where the blade can turn. What costs the likeness least is done.
 */
#include "pattern/tie_edit.h"

#include "base/alloc.h"
#include "image/width.h"

#include <string.h>

/* What pointing one end may cost, in mm² of picture. A judgement. */
static const double MOST_MM2 = 0.5;

/* Half the point's angle, 27°: so it turns the line enough to be a corner, by a little. */
static const double SLOPE = 0.5;

enum { REACH = 40, SIDE = 2 * REACH + 1, BASE_PX = 4 };

/* What is open about a turn and hangs together with it there, in a window of the wood. */
typedef struct {
    tb__tie *t;
    int left, top;
    uint8_t open[SIDE][SIDE];
    double x, y, ux, uy; /* the end, and the way in from there; in the window */
    double most_in;      /* what is open farther in is left out */
    double radius;       /* as found */
} tip;

static bool is_open(const tb_mask *mask, int x, int y)
{
    return x >= 0 && y >= 0 && x < mask->width_px && y < mask->height_px &&
           !mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x];
}

static double way_in(const tip *p, int x, int y)
{
    return (x - p->x) * p->ux + (y - p->y) * p->uy;
}

/* Of what is open, but for what is open in `wide` too. */
static void flood(tip *p, const tb_mask *wide)
{
    int16_t stack[SIDE * SIDE];
    int n = 0;
    memset(p->open, 0, sizeof p->open);
    p->open[REACH][REACH] = 1;
    stack[n++] = REACH * SIDE + REACH;
    while (n > 0) {
        int at = stack[--n];
        for (int k = 0; k < 9; k++) {
            int x = at % SIDE + k % 3 - 1, y = at / SIDE + k / 3 - 1;
            if (x < 0 || y < 0 || x >= SIDE || y >= SIDE || p->open[y][x] ||
                    way_in(p, x, y) > p->most_in || !is_open(p->t->wood, p->left + x, p->top + y) ||
                    (wide && is_open(wide, p->left + x, p->top + y)))
                continue;
            p->open[y][x] = 1;
            stack[n++] = (int16_t)(y * SIDE + x);
        }
    }
}

/* Lays the window about the open pixel nearest to a place; false where none is near. */
static bool find_opening(tip *p, double x, double y)
{
    double best = INFINITY;
    for (int k = 0; k < 25; k++) {
        int at_x = (int)x + k % 5 - 2, at_y = (int)y + k / 5 - 2;
        double away = hypot(at_x + 0.5 - x, at_y + 0.5 - y);
        if (is_open(p->t->wood, at_x, at_y) && away < best) {
            best = away;
            p->left = at_x - REACH;
            p->top = at_y - REACH;
        }
    }
    return best < INFINITY;
}

/* The middle of what is open within `near` of the end. */
static bool find_middle(double *x, double *y, const tip *p, double near)
{
    double sum_x = 0, sum_y = 0, n = 0;
    for (int i = 0; i < SIDE * SIDE; i++)
        if (p->open[i / SIDE][i % SIDE] && hypot(i % SIDE - p->x, i / SIDE - p->y) <= near) {
            sum_x += i % SIDE;
            sum_y += i / SIDE;
            n++;
        }
    if (n == 0)
        return false;
    *x = sum_x / n;
    *y = sum_y / n;
    return true;
}

/* The way in leads to the middle; back along it lies the end. Twice, for the turn was found on the
 * line, which need not be where the opening ends. */
static bool find_end(tip *p)
{
    double near = fmax(BASE_PX, 2 * p->radius), x, y;
    p->x = p->y = REACH;
    for (int round = 0; round < 2; round++) {
        if (!find_middle(&x, &y, p, near))
            return false;
        double far = hypot(x - p->x, y - p->y), back = 0;
        if (far < 0.2 * near)
            return false;
        p->ux = (x - p->x) / far;
        p->uy = (y - p->y) / far;
        for (double step = 0; step < 2 * near; step += 0.5) {
            long at_x = lround(x - p->ux * step), at_y = lround(y - p->uy * step);
            if (at_x < 0 || at_y < 0 || at_x >= SIDE || at_y >= SIDE || !p->open[at_y][at_x])
                break;
            back = step;
        }
        p->x = x - p->ux * back;
        p->y = y - p->uy * back;
    }
    return true;
}

/* Leaves of what is open what lies about the end. False where that leads round behind it. */
static bool narrow_down(tip *p)
{
    p->most_in = fmin(REACH - 2, 1 + 2.5 * p->radius / SLOPE);
    flood(p, NULL);
    for (int i = 0; i < SIDE * SIDE; i++)
        if (p->open[i / SIDE][i % SIDE] && way_in(p, i % SIDE, i / SIDE) < -2 * p->radius - 2)
            return false;
    return true;
}

static bool is_by_hand(const tb_mask *painted, int32_t px)
{
    return painted && painted->px[px];
}

static bool may_carve(const tb__tie *t, int x, int y)
{
    double frame = t->options->limits.frame_mm * t->wood->px_per_mm;
    int width = t->wood->width_px, height = t->wood->height_px;
    return x >= frame && y >= frame && x + 1 <= width - frame && y + 1 <= height - frame &&
           !is_by_hand(t->options->painted_wood, y * width + x);
}

/* Whether the wood about a point is as broad as advised, but for where the opening comes from. */
static bool is_broad(const tip *p, double ahead)
{
    const tb_mask *wood = p->t->wood;
    const tb_limits *limits = &p->t->options->limits;
    double broad = limits->bridge_should_mm * wood->px_per_mm + 1;
    int x = p->left + (int)lround(p->x - p->ux * ahead);
    int y = p->top + (int)lround(p->y - p->uy * ahead), reach = (int)broad;
    if (!may_carve(p->t, x, y))
        return false;
    for (int dy = -reach; dy <= reach; dy++)
        for (int dx = -reach; dx <= reach; dx++) {
            double along = dx * p->ux + dy * p->uy, aside = dx * p->uy - dy * p->ux;
            if (dx * dx + dy * dy <= broad * broad && along < 0.5 * fabs(aside) &&
                    is_open(wood, x + dx, y + dy))
                return false;
        }
    return true;
}

/* Where on either side the walls have come in to the point's sides; false where they don't. */
static bool find_shoulders(int shoulder[2], const tip *p, double ahead)
{
    double widest[2][REACH] = {0};
    for (int i = 0; i < SIDE * SIDE; i++) {
        double dx = i % SIDE - p->x + p->ux * ahead, dy = i / SIDE - p->y + p->uy * ahead;
        double along = dx * p->ux + dy * p->uy, aside = dx * p->uy - dy * p->ux;
        if (!p->open[i / SIDE][i % SIDE] || along < 0 || along >= REACH)
            continue;
        double *most = &widest[aside < 0][(int)along];
        *most = fmax(*most, fabs(aside));
    }
    for (int side = 0; side < 2; side++) {
        int at = (int)ahead + 2;
        while (at < REACH && widest[side][at] > at * SLOPE + 0.5)
            at++;
        if (at == REACH)
            return false;
        shoulder[side] = at;
    }
    return true;
}

/* Makes a point that lies ahead of the end. *can: it comes out between the walls. */
static bool point(tb__edits *edits, const tip *p, double ahead, bool *can)
{
    tb_mask *wood = p->t->wood;
    int shoulder[2];
    *can = (ahead == 0 || is_broad(p, ahead)) && find_shoulders(shoulder, p, ahead);
    if (!*can)
        return true;
    for (int i = 0; i < SIDE * SIDE; i++) {
        int x = i % SIDE, y = i / SIDE, at_x = p->left + x, at_y = p->top + y;
        double dx = x - p->x + p->ux * ahead, dy = y - p->y + p->uy * ahead;
        double along = dx * p->ux + dy * p->uy, aside = dx * p->uy - dy * p->ux;
        bool within = along >= 0 && fabs(aside) <= along * SLOPE;
        if (at_x < 0 || at_y < 0 || at_x >= wood->width_px || at_y >= wood->height_px)
            continue;
        int32_t px = at_y * wood->width_px + at_x;
        bool fill = p->open[y][x] && !within && along < shoulder[aside < 0] &&
                    !is_by_hand(p->t->options->painted_opening, px);
        bool carve = wood->px[px] && within && along < 3 * ahead && may_carve(p->t, at_x, at_y);
        if ((fill || carve) && !tb__edits_set(edits, wood, px))
            return false;
    }
    return true;
}

/* Fills what was flooded. *can: it ends within the window, and nothing was painted by hand. */
static bool fill(tb__edits *edits, const tip *p, bool *can)
{
    const tb_mask *painted = p->t->options->painted_opening;
    *can = true;
    for (int i = 0; i < SIDE * SIDE && *can; i++) {
        int x = i % SIDE, y = i / SIDE;
        int32_t px = (p->top + y) * p->t->wood->width_px + p->left + x;
        if (!p->open[y][x])
            continue;
        *can = x > 0 && y > 0 && x < SIDE - 1 && y < SIDE - 1 && !is_by_hand(painted, px);
        if (*can && !tb__edits_set(edits, p->t->wood, px))
            return false;
    }
    return true;
}

/* What may be done: fill, or make a point so many radii ahead. */
static const double FILL = -1, WAYS[] = {-1, 0, 0.5, 1, 1.5};
enum { N_WAYS = sizeof WAYS / sizeof *WAYS };

static bool try_way(tb__edits *edits, tip *p, const tb_mask *closed, double way, bool *can)
{
    if (!tb__edits_begin(edits))
        return false;
    if (way == FILL) {
        *can = !is_open(closed, p->left + REACH, p->top + REACH);
        if (!*can)
            return true;
        p->ux = p->uy = p->most_in = 0;
        flood(p, closed);
        return fill(edits, p, can);
    }
    p->ux = p->uy = 0;
    p->most_in = REACH;
    flood(p, NULL);
    *can = find_end(p) && narrow_down(p);
    return !*can || point(edits, p, way * p->radius, can);
}

static tb_status ease_tip(tb__edits *edits, tip *p, const tb_mask *closed, tb_error *err)
{
    double least = MOST_MM2, cost;
    int best = -1;
    bool can;
    for (int k = 0; k < N_WAYS; k++) {
        if (!try_way(edits, p, closed, WAYS[k], &can))
            return tb_fail_memory(err);
        tb_status status = tb__edits_weigh(&cost, edits, p->t, err);
        if (status)
            return status;
        if (can && cost < least) {
            least = cost;
            best = k;
        }
    }
    if (best < 0)
        return TB_OK;
    if (!try_way(edits, p, closed, WAYS[best], &can))
        return tb_fail_memory(err);
    return tb__edits_keep(edits, p->t, err);
}

tb_status tb__ease_tips(tb__edits *edits, tb__tie *t, const tb_inspection *in, tb_error *err)
{
    tb_mask *closed = NULL;
    double scale = t->wood->px_per_mm, turn_mm = t->options->limits.turn_radius_mm;
    tb_status status = tb_close_wood(&closed, t->wood, 2 * turn_mm + 1 / scale, t->job, err);
    for (size_t i = 0; i < in->n_findings && !status; i++) {
        const tb_finding *f = &in->findings[i];
        tip p = {.t = t, .radius = f->measured * scale};
        if (f->kind == TB_FINDING_TIGHT_TURN && find_opening(&p, f->x_mm * scale, f->y_mm * scale))
            status = ease_tip(edits, &p, closed, err);
        if (!status && tb_job_stopped(t->job))
            status = tb_fail_cancelled(err);
    }
    tb_mask_free(closed);
    return status;
}
