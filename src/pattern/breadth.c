/* pattern/breadth.c: see breadth.h. */
#include "pattern/breadth.h"

#include "pattern/bank.h"

#include <math.h>

#define PI 3.14159265358979323846

typedef struct {
    int x, y; /* the nearest pixel beyond the line, relative to the place */
    double r;
} beyond;

/* Takes a pixel for the nearest bank, or for the nearest one across from the first. */
static void weigh(
        beyond *b, const beyond *first, const tb__tone *tone, int x, int y, int dx, int dy)
{
    double r2 = (double)dx * dx + (double)dy * dy;
    if (r2 >= b->r * b->r || tb__is_phase(tone, x + dx, y + dy))
        return;
    double r = sqrt(r2), across = first ? dx * (double)first->x + dy * (double)first->y : 0;
    if (!first || across < -0.5 * r * first->r)
        *b = (beyond){dx, dy, r};
}

/* Over the pixels between two circles. */
static void weigh_ring(beyond *b, const beyond *first, const tb__tone *tone, int x, int y,
        double inner_px, double outer_px)
{
    for (int dy = -(int)outer_px; dy <= (int)outer_px; dy++) {
        int outer = (int)sqrt(outer_px * outer_px - (double)dy * dy);
        double gap = inner_px * inner_px - (double)dy * dy;
        for (int dx = gap > 0 ? (int)sqrt(gap) : 0; dx <= outer; dx++) {
            weigh(b, first, tone, x, y, dx, dy);
            if (dx > 0)
                weigh(b, first, tone, x, y, -dx, dy);
        }
    }
}

/* The nearest bank, and the nearest one that lies across from it. The first is half_px away, the
 * second hardly more where the place is well chosen. */
static bool find_banks(beyond banks[2], const tb__tone *tone, int x, int y, double half_px)
{
    double inner = fmax(half_px - 1, 0), reach = half_px * 1.5 + 3;
    banks[0].r = banks[1].r = INFINITY;
    weigh_ring(&banks[0], NULL, tone, x, y, inner, half_px + 0.5);
    if (!isfinite(banks[0].r))
        weigh_ring(&banks[0], NULL, tone, x, y, 0, reach);
    if (!isfinite(banks[0].r))
        return false;
    weigh_ring(&banks[1], &banks[0], tone, x, y, inner, fmin(half_px + 2, reach));
    if (!isfinite(banks[1].r))
        weigh_ring(&banks[1], &banks[0], tone, x, y, inner, reach);
    return isfinite(banks[1].r);
}

/* Where along the first bank the way across is shortest; along the second v runs the other way. */
static double narrowest_v(const tb__bank banks[2])
{
    const tb__bank *a = &banks[0], *b = &banks[1];
    double slope = a->c[1] - b->c[1], bend = a->c[2] + b->c[2];
    double v = bend > 1e-4 ? -slope / (2 * bend) : 0;
    double most = fmin(a->window_px, b->window_px) / 2;
    double from = fmax(fmax(a->from, -b->to), -most), to = fmin(fmin(a->to, -b->from), most);
    return fmin(fmax(v, from), to);
}

/* The places on both banks that are nearest to each other. */
static void nearest_spots(tb__spot spots[2], const tb__bank banks[2])
{
    double v = narrowest_v(banks);
    spots[0] = tb__bank_spot(&banks[0], v);
    spots[1] = tb__bank_spot(&banks[1], -v);
    for (int i = 0; i < 3; i++)
        for (int k = 1; k >= 0; k--)
            spots[k] = tb__bank_nearest(&banks[k], spots[!k], spots[k]);
}

/* Lines lie less than this within the nearest pixels, but for their tips. */
#define NEAR_PX 1.5

/* What was found from the place may be narrower by as much than the pixels that are nearest to it:
 * their lines come nearer to each other beside them. */
#define SLIDE_PX 1.0

/* So far within the lines there are pixels of the phase alone. */
#define WITHIN_PX 1.2

/* How far a tip lies beyond the bank's pixel; one that is not sure is not let go far. */
static double tip_beyond_px(const tb__bank *bank)
{
    if (!bank->corner)
        return 0;
    double way = hypot(bank->tip.x - bank->x, bank->tip.y - bank->y);
    return bank->smooth ? way : NEAR_PX;
}

/* Whether the way from spot to spot lies in the phase: near both ends, and in the middle. */
static bool lies_within(const tb__tone *tone, const tb__spot spots[2], double width_px)
{
    double end = fmin(WITHIN_PX / fmax(width_px, 2 * WITHIN_PX), 0.5);
    const double shares[3] = {end, 0.5, 1 - end};
    for (int i = 0; i < 3; i++) {
        double x = spots[0].x + shares[i] * (spots[1].x - spots[0].x);
        double y = spots[0].y + shares[i] * (spots[1].y - spots[0].y);
        if (!tb__is_phase(tone, (int)floor(x), (int)floor(y)))
            return false;
    }
    return true;
}

bool tb_breadth_measure(tb_breadth *out, const tb_mask *mask, int phase, bool outside_is_opening,
        int x_px, int y_px, double half_px)
{
    tb__tone tone = {mask, phase, !outside_is_opening};
    beyond at[2];
    out->seen_px = (int)(1.5 * half_px) + 48;
    if (!tb__is_phase(&tone, x_px, y_px) || !find_banks(at, &tone, x_px, y_px, half_px))
        return false;
    double nx = at[0].x - at[1].x, ny = at[0].y - at[1].y, apart = hypot(nx, ny);
    nx /= apart, ny /= apart;
    tb__bank banks[2];
    tb__spot spots[2];
    for (int k = 0; k < 2; k++) {
        double sign = k ? -1 : 1;
        tb__bank_fit(&banks[k], &tone, x_px + at[k].x, y_px + at[k].y, sign * nx, sign * ny);
    }
    nearest_spots(spots, banks);
    for (int k = 0; k < 2; k++) {
        out->bank_x[k] = spots[k].x;
        out->bank_y[k] = spots[k].y;
        out->opening_x[k] = banks[k].opening_x;
        out->opening_y[k] = banks[k].opening_y;
    }
    out->sure = banks[0].smooth && banks[1].smooth;
    out->most_px = apart;
    double dx = spots[0].x - spots[1].x, dy = spots[0].y - spots[1].y, width = hypot(dx, dy);
    double least = apart - NEAR_PX;
    for (int k = 0; k < 2; k++)
        least -= tip_beyond_px(&banks[k]);
    out->seen_px += banks[0].seen_px > banks[1].seen_px ? banks[0].seen_px : banks[1].seen_px;
    bool across = dx * nx + dy * ny > 0;
    out->sure &= across && width >= least - SLIDE_PX && lies_within(&tone, spots, width);
    if (!out->sure)
        width = fmax(across ? width : 0, least);
    /* The centres of the pixels lie beyond the lines: these are no farther apart. */
    out->width_px = fmin(fmax(width, 0), apart);
    return true;
}

bool tb_breadth_about(tb_breadth *out, const tb_mask *mask, int phase, bool outside_is_opening,
        int x_px, int y_px, double half_px)
{
    tb__tone tone = {mask, phase, !outside_is_opening};
    beyond at[2];
    *out = (tb_breadth){.seen_px = (int)(1.5 * half_px) + 4};
    if (!tb__is_phase(&tone, x_px, y_px) || !find_banks(at, &tone, x_px, y_px, half_px))
        return false;
    double nx = at[0].x - at[1].x, ny = at[0].y - at[1].y, apart = hypot(nx, ny);
    for (int k = 0; k < 2; k++) {
        double half = k ? 0.5 : -0.5;
        out->opening_x[k] = x_px + at[k].x;
        out->opening_y[k] = y_px + at[k].y;
        out->bank_x[k] = out->opening_x[k] + 0.5 + half * nx / apart;
        out->bank_y[k] = out->opening_y[k] + 0.5 + half * ny / apart;
    }
    out->most_px = apart;
    out->width_px = fmax(apart - 1, 0);
    return true;
}

void tb_breadth_swap(tb_breadth *breadth)
{
    tb_breadth b = *breadth;
    for (int k = 0; k < 2; k++) {
        breadth->bank_x[k] = b.bank_x[!k];
        breadth->bank_y[k] = b.bank_y[!k];
        breadth->opening_x[k] = b.opening_x[!k];
        breadth->opening_y[k] = b.opening_y[!k];
    }
}

enum { SECTORS = 16 };

/* A line that bounds a disc: how far it lies from the first centre, and in which direction. */
typedef struct {
    double nx, ny, r;
} bound;

/* A smooth line's height is known better than its slope; a corner has two sides. */
static int bounds_of(bound to[2], const tb__bank *bank, tb__spot centre, double r)
{
    to[0] = (bound){bank->nx, bank->ny, r + bank->c[0]};
    for (int k = 0; bank->corner && k < 2; k++) {
        tb__spot at = tb__corner_side_nearest(bank, k, centre);
        double dx = at.x - centre.x, dy = at.y - centre.y, way = fmax(hypot(dx, dy), 1e-6);
        to[k] = (bound){dx / way, dy / way, way};
    }
    return bank->corner ? 2 : 1;
}

static void look_at(beyond nearest[SECTORS], const tb__tone *tone, int x, int y, int dx, int dy)
{
    if (tb__is_phase(tone, x + dx, y + dy))
        return;
    double r2 = (double)dx * dx + (double)dy * dy;
    int i = (int)((atan2(dy, dx) / PI + 1) * SECTORS / 2) % SECTORS;
    if (r2 < nearest[i].r * nearest[i].r)
        nearest[i] = (beyond){dx, dy, sqrt(r2)};
}

/* The nearest pixel beyond the line in each sector about (x, y), within reach; nothing is nearer
 * than clear_px. */
static void find_bounds(beyond nearest[SECTORS], const tb__tone *tone, int x, int y,
        double clear_px, double reach_px)
{
    for (int i = 0; i < SECTORS; i++)
        nearest[i].r = INFINITY;
    for (int dy = -(int)reach_px; dy <= (int)reach_px; dy++) {
        int outer = (int)sqrt(reach_px * reach_px - (double)dy * dy);
        double gap = clear_px * clear_px - (double)dy * dy;
        int inner = gap > 0 ? (int)sqrt(gap) : 0;
        for (int dx = inner; dx <= outer; dx++) {
            look_at(nearest, tone, x, y, dx, dy);
            if (dx > 0)
                look_at(nearest, tone, x, y, -dx, dy);
        }
    }
}

static double least_bound(const bound *bounds, int n, double x, double y, int *which)
{
    double least = INFINITY;
    for (int i = 0; i < n; i++) {
        double r = bounds[i].r - bounds[i].nx * x - bounds[i].ny * y;
        if (r < least) {
            least = r;
            *which = i;
        }
    }
    return least;
}

double tb_breadth_disc(const tb_mask *mask, int phase, bool outside_is_opening, double *x,
        double *y, double radius_px)
{
    tb__tone tone = {mask, phase, !outside_is_opening};
    int px = (int)floor(*x), py = (int)floor(*y), n = 0, which = 0;
    beyond nearest[SECTORS];
    bound bounds[2 * SECTORS];
    find_bounds(nearest, &tone, px, py, fmax(radius_px - 1, 0), radius_px + 2.5);
    for (int i = 0; i < SECTORS; i++) {
        beyond b = nearest[i];
        if (!isfinite(b.r) || b.r == 0)
            continue;
        tb__bank bank;
        tb__spot centre = {px + 0.5, py + 0.5};
        tb__bank_fit(&bank, &tone, px + b.x, py + b.y, b.x / b.r, b.y / b.r);
        n += bounds_of(&bounds[n], &bank, centre, b.r);
    }
    if (n == 0)
        return radius_px;
    /* Away from the nearest line, by ever smaller steps; the lowest bound is a concave function. */
    double at_x = 0, at_y = 0, best = least_bound(bounds, n, 0, 0, &which), best_x = 0, best_y = 0;
    for (double step = 0.25; step > 0.005; step *= 0.93) {
        at_x = fmin(fmax(at_x - step * bounds[which].nx, -1), 1);
        at_y = fmin(fmax(at_y - step * bounds[which].ny, -1), 1);
        double r = least_bound(bounds, n, at_x, at_y, &which);
        if (r > best) {
            best = r;
            best_x = at_x;
            best_y = at_y;
        }
    }
    *x = px + 0.5 + best_x;
    *y = py + 0.5 + best_y;
    return best;
}
