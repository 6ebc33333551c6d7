/* pattern/tie_tip.c: ends of openings too narrow for the blade to turn in.
 *
 * A blunt end is made a point: two cuts meet there, as in every corner. The point may lie ahead of
 * the end, where the wood is broad enough, so that the opening need not become smaller by it. Or
 * the end is filled, up to where the blade can turn. What costs the likeness least is done.
 */
#include "pattern/tie_edit.h"

#include "base/alloc.h"
#include "image/width.h"

/* What pointing one end may cost, in mm² of picture. A judgement. */
static const double MOST_MM2 = 0.5;

/* Half the point's angle, 27°: so it turns the line enough to be a corner, by a little. */
static const double SLOPE = 0.5;

/* An opening is pointed if it is at least so many times as long as the radius of its end. */
static const double LEAST_RADII = 5;

/* A window reaches so far to each side of the turn. */
static const double REACH_MM = 4;

/* What is open about a turn and hangs together with it there, in a window of the wood. */
typedef struct {
    tb__tie *t;
    const tb_inspection *in;
    int left, top, reach, side;
    uint8_t *open; /* [side][side] */
    int32_t *list; /* of the open ones: y * side + x */
    int n;
    double x, y, ux, uy; /* the end, and the way in from there; in the window */
    double most_in;      /* what is open farther in is left out */
    double radius;       /* as found */
} tip;

static bool is_open(const tb_mask *mask, int x, int y)
{
    return x >= 0 && y >= 0 && x < mask->width_px && y < mask->height_px &&
           !mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x];
}

static double way_in(const tip *p, double x, double y)
{
    return (x - p->x) * p->ux + (y - p->y) * p->uy;
}

static double aside_of(const tip *p, double x, double y)
{
    return (x - p->x) * p->uy - (y - p->y) * p->ux;
}

static void take(tip *p, int x, int y)
{
    p->open[y * p->side + x] = 1;
    p->list[p->n++] = y * p->side + x;
}

/* Of what is open, but for what is open in `wide` too. */
static void flood(tip *p, const tb_mask *wide)
{
    while (p->n > 0)
        p->open[p->list[--p->n]] = 0;
    take(p, p->reach, p->reach);
    for (int i = 0; i < p->n; i++)
        for (int k = 0; k < 9; k++) {
            int x = p->list[i] % p->side + k % 3 - 1, y = p->list[i] / p->side + k / 3 - 1;
            if (x >= 0 && y >= 0 && x < p->side && y < p->side && !p->open[y * p->side + x] &&
                    is_open(p->t->wood, p->left + x, p->top + y) && way_in(p, x, y) <= p->most_in &&
                    !(wide && is_open(wide, p->left + x, p->top + y)))
                take(p, x, y);
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
            p->left = at_x - p->reach;
            p->top = at_y - p->reach;
        }
    }
    return best < INFINITY;
}

/* The middle of what is open within `near` of the end. */
static bool find_middle(double *x, double *y, const tip *p, double near)
{
    double sum_x = 0, sum_y = 0, n = 0;
    for (int i = 0; i < p->n; i++) {
        double dx = p->list[i] % p->side - p->x, dy = p->list[i] / p->side - p->y;
        if (dx * dx + dy * dy > near * near)
            continue;
        sum_x += p->x + dx;
        sum_y += p->y + dy;
        n++;
    }
    *x = sum_x / n;
    *y = sum_y / n;
    return n > 0;
}

/* The way in leads to the middle; back along it lies the end. Twice, for the turn was found on the
 * line, which need not be where the opening ends. */
static bool find_end(tip *p)
{
    double near = fmax(0.4 * p->t->wood->px_per_mm, 2 * p->radius), x, y;
    p->x = p->y = p->reach;
    for (int round = 0; round < 2; round++) {
        if (!find_middle(&x, &y, p, near))
            return false;
        double far = hypot(x - p->x, y - p->y), back = 0;
        if (far < 0.2 * near)
            return false;
        p->ux = (x - p->x) / far;
        p->uy = (y - p->y) / far;
        for (double step = 0; step < 2 * near; step += 0.5) {
            int at_x = (int)lround(x - p->ux * step), at_y = (int)lround(y - p->uy * step);
            if (at_x < 0 || at_y < 0 || at_x >= p->side || at_y >= p->side ||
                    !p->open[at_y * p->side + at_x])
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
    p->most_in = fmin(p->reach - 2, 1 + 2.5 * p->radius / SLOPE);
    flood(p, NULL);
    for (int i = 0; i < p->n; i++)
        if (way_in(p, p->list[i] % p->side, p->list[i] / p->side) < -2 * p->radius - 2)
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
    double broad = p->t->options->limits.bridge_should_mm * wood->px_per_mm + 1;
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

/* Where on either side the walls have come in to the point's sides, from the point on; false where
 * they don't. */
static bool find_shoulders(double shoulder[2], const tip *p, double ahead)
{
    enum { MOST = 256 };
    double widest[2][MOST] = {0};
    int most = p->reach < MOST ? p->reach : MOST;
    for (int i = 0; i < p->n; i++) {
        int x = p->list[i] % p->side, y = p->list[i] / p->side;
        double along = way_in(p, x, y) + ahead, aside = aside_of(p, x, y);
        if (along < 0 || along >= most)
            continue;
        double *wide = &widest[aside < 0][(int)along];
        *wide = fmax(*wide, fabs(aside));
    }
    for (int side = 0; side < 2; side++) {
        int at = (int)ahead + 2;
        while (at < most && widest[side][at] > at * SLOPE + 0.5)
            at++;
        if (at >= most)
            return false;
        shoulder[side] = at;
    }
    return true;
}

static bool fill_beside(tb__edits *edits, const tip *p, double ahead, const double shoulder[2])
{
    tb_mask *wood = p->t->wood;
    for (int i = 0; i < p->n; i++) {
        int x = p->list[i] % p->side, y = p->list[i] / p->side;
        double along = way_in(p, x, y) + ahead, aside = aside_of(p, x, y);
        int32_t px = (p->top + y) * wood->width_px + p->left + x;
        if (along < shoulder[aside < 0] && fabs(aside) > along * SLOPE &&
                !is_by_hand(p->t->options->painted_opening, px) && !tb__edits_set(edits, wood, px))
            return false;
    }
    return true;
}

static bool carve_ahead(tb__edits *edits, const tip *p, double ahead)
{
    tb_mask *wood = p->t->wood;
    int reach = (int)ceil(2.5 * ahead);
    for (int y = (int)p->y - reach; y <= (int)p->y + reach; y++)
        for (int x = (int)p->x - reach; x <= (int)p->x + reach; x++) {
            double along = way_in(p, x, y) + ahead;
            if (along < 0 || along >= 3 * ahead || fabs(aside_of(p, x, y)) > along * SLOPE)
                continue;
            int at_x = p->left + x, at_y = p->top + y;
            int32_t px = at_y * wood->width_px + at_x;
            if (may_carve(p->t, at_x, at_y) && wood->px[px] && !tb__edits_set(edits, wood, px))
                return false;
        }
    return true;
}

/* Makes a point that lies ahead of the end. *can: it comes out between the walls. */
static bool point(tb__edits *edits, const tip *p, double ahead, bool *can)
{
    double shoulder[2];
    *can = (ahead == 0 || is_broad(p, ahead)) && find_shoulders(shoulder, p, ahead);
    if (!*can)
        return true;
    /* First the wood: what is filled is wood then. */
    return carve_ahead(edits, p, ahead) && fill_beside(edits, p, ahead, shoulder);
}

/* Fills what was flooded. *can: it ends within the window, and nothing was painted by hand. */
static bool fill(tb__edits *edits, const tip *p, bool *can)
{
    *can = true;
    for (int i = 0; i < p->n && *can; i++) {
        int x = p->list[i] % p->side, y = p->list[i] / p->side;
        int32_t px = (p->top + y) * p->t->wood->width_px + p->left + x;
        *can = x > 0 && y > 0 && x < p->side - 1 && y < p->side - 1 &&
               !is_by_hand(p->t->options->painted_opening, px);
        if (*can && !tb__edits_set(edits, p->t->wood, px))
            return false;
    }
    return true;
}

/* The way that costs least of those tried so far: fill, or make a point so far ahead. */
typedef struct {
    double cost_mm2, ahead;
    bool fill, found;
} best_way;

static const double NO_POINT = -1;

static tb_status try_way(
        best_way *best, tb__edits *edits, const tip *p, double ahead, tb_error *err)
{
    bool can, by_filling = ahead == NO_POINT;
    double cost;
    if (!tb__edits_begin(edits) ||
            !(by_filling ? fill(edits, p, &can) : point(edits, p, ahead, &can)))
        return tb_fail_memory(err);
    tb_status status = tb__edits_weigh(&cost, edits, p->t, p->in, err);
    if (!status && can && cost < best->cost_mm2)
        *best = (best_way){cost, ahead, by_filling, true};
    return status;
}

static void flood_narrow(tip *p, const tb_mask *closed)
{
    p->ux = p->uy = p->most_in = 0;
    flood(p, closed);
}

/* A point on something no longer than wide would be an arrowhead. */
static bool is_long(const tip *p)
{
    double longest = 0;
    for (int i = 0; i < p->n; i++)
        longest = fmax(longest, way_in(p, p->list[i] % p->side, p->list[i] / p->side));
    return longest >= LEAST_RADII * p->radius;
}

static bool look_at_end(tip *p)
{
    p->ux = p->uy = p->most_in = 0;
    flood(p, NULL);
    return find_end(p) && is_long(p) && narrow_down(p);
}

/* Of a corner of the pattern as it came no slot is filled; nor of this one. */
static void leave_sharp(const tip *p, double ahead)
{
    tb_mask *corners = p->t->corners;
    int reach = (int)ceil(2 * p->radius + ahead), width = corners->width_px;
    int x = p->left + (int)lround(p->x), y = p->top + (int)lround(p->y);
    for (int at_y = y - reach; at_y <= y + reach; at_y++)
        for (int at_x = x - reach; at_x <= x + reach; at_x++)
            if (at_x >= 0 && at_y >= 0 && at_x < width && at_y < corners->height_px)
                corners->px[(size_t)at_y * (size_t)width + (size_t)at_x] = 1;
}

static tb_status ease_tip(tb__edits *edits, tip *p, const tb_mask *closed, tb_error *err)
{
    static const double RADII_AHEAD[] = {0, 0.5, 1};
    best_way best = {.cost_mm2 = MOST_MM2};
    tb_status status = TB_OK;
    bool narrow = !is_open(closed, p->left + p->reach, p->top + p->reach);
    if (narrow) {
        flood_narrow(p, closed);
        status = try_way(&best, edits, p, NO_POINT, err);
    }
    bool has_end = look_at_end(p);
    for (int k = 0; k < 3 && has_end && !status; k++)
        status = try_way(&best, edits, p, RADII_AHEAD[k] * p->radius, err);
    if (status || !best.found)
        return status;
    bool can;
    if (best.fill)
        flood_narrow(p, closed);
    if (!tb__edits_begin(edits) ||
            !(best.fill ? fill(edits, p, &can) : point(edits, p, best.ahead, &can)))
        return tb_fail_memory(err);
    leave_sharp(p, best.ahead);
    return tb__edits_keep(edits, p->t, err);
}

static tb_status ease_all(tb__edits *edits, tip *p, const tb_mask *closed, tb_error *err)
{
    double scale = p->t->wood->px_per_mm;
    tb_status status = TB_OK;
    for (size_t i = 0; i < p->in->n_findings && !status; i++) {
        const tb_finding *f = &p->in->findings[i];
        p->radius = f->measured * scale;
        if (f->kind == TB_FINDING_TIGHT_TURN && find_opening(p, f->x_mm * scale, f->y_mm * scale))
            status = ease_tip(edits, p, closed, err);
        if (!status && tb_job_stopped(p->t->job))
            status = tb_fail_cancelled(err);
    }
    return status;
}

tb_status tb__ease_tips(tb__edits *edits, tb__tie *t, const tb_inspection *in, tb_error *err)
{
    tb_mask *closed = NULL;
    double scale = t->wood->px_per_mm, turn_mm = t->options->limits.turn_radius_mm;
    tip p = {.t = t, .in = in, .reach = (int)ceil(REACH_MM * scale)};
    p.side = 2 * p.reach + 1;
    size_t n = (size_t)p.side * (size_t)p.side;
    p.open = tb_calloc(n, sizeof *p.open);
    p.list = tb_malloc(n, sizeof *p.list);
    tb_status status = p.open && p.list ? TB_OK : tb_fail_memory(err);
    if (!status)
        status = tb_close_wood(&closed, t->wood, 2 * turn_mm + 1 / scale, t->job, err);
    if (!status)
        status = ease_all(edits, &p, closed, err);
    tb_mask_free(closed);
    tb_free(p.open);
    tb_free(p.list);
    return status;
}
