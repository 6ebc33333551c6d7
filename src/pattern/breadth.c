/* pattern/breadth.c: see breadth.h. */
#include "pattern/breadth.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#define PI 3.14159265358979323846

enum { LONG_WINDOW_PX = 14, WINDOW_PX = 7, SHORT_WINDOW_PX = 3 };

/* How far the tip of a point may reach beyond the last pixel in which it shows. */
#define POINT_PX 1.5
#define TIP_PX 1.2

typedef struct {
    const tb_mask *mask;
    int phase;
    int outside; /* what lies beyond the mask: 1 wood, 0 opening */
} ground;

static inline bool is_phase(const ground *g, int x, int y)
{
    const tb_mask *mask = g->mask;
    bool inside = (unsigned)x < (unsigned)mask->width_px && (unsigned)y < (unsigned)mask->height_px;
    int px = inside ? mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] : g->outside;
    return px == g->phase;
}

typedef struct {
    int x, y; /* the nearest pixel beyond the line, relative to the place */
    double r;
} bank;

/* Takes a pixel for the nearest bank, or for the nearest one across from the first. */
static void weigh(bank *b, const bank *first, const ground *g, int x, int y, int dx, int dy)
{
    double r2 = (double)dx * dx + (double)dy * dy;
    if (r2 >= b->r * b->r || is_phase(g, x + dx, y + dy))
        return;
    double r = sqrt(r2), across = first ? dx * (double)first->x + dy * (double)first->y : 0;
    if (!first || across < -0.5 * r * first->r)
        *b = (bank){dx, dy, r};
}

/* Over the pixels between two circles. */
static void weigh_ring(
        bank *b, const bank *first, const ground *g, int x, int y, double inner_px, double outer_px)
{
    for (int dy = -(int)outer_px; dy <= (int)outer_px; dy++) {
        int outer = (int)sqrt(outer_px * outer_px - (double)dy * dy);
        double gap = inner_px * inner_px - (double)dy * dy;
        for (int dx = gap > 0 ? (int)sqrt(gap) : 0; dx <= outer; dx++) {
            weigh(b, first, g, x, y, dx, dy);
            if (dx > 0)
                weigh(b, first, g, x, y, -dx, dy);
        }
    }
}

/* The nearest bank, and the nearest one that lies across from it. The first is half_px away, the
 * second hardly more where the place is well chosen. */
static bool find_banks(bank banks[2], const ground *g, int x, int y, double half_px)
{
    double inner = fmax(half_px - 1, 0), reach = half_px * 1.5 + 3;
    banks[0].r = banks[1].r = INFINITY;
    weigh_ring(&banks[0], NULL, g, x, y, inner, half_px + 0.5);
    if (!isfinite(banks[0].r))
        weigh_ring(&banks[0], NULL, g, x, y, 0, reach);
    if (!isfinite(banks[0].r))
        return false;
    weigh_ring(&banks[1], &banks[0], g, x, y, inner, fmin(half_px + 2, reach));
    if (!isfinite(banks[1].r))
        weigh_ring(&banks[1], &banks[0], g, x, y, inner, reach);
    return isfinite(banks[1].r);
}

typedef struct {
    double c[3];     /* height of the line over the chord's frame: c0 + c1 v + c2 v² */
    double worst;    /* root of the mean square of what is left */
    double point_v;  /* where along the bank a point lies, at height c0 */
    bool point;      /* the bank comes to a point */
    bool smooth;     /* there is a good stretch of line without a corner, to both sides */
    double from, to; /* along the bank, where there is line at all */
} fit;

/* Solves the normal equations of a parabola, or of the mean where the points are too few. */
static void solve(fit *f, const double m[5], const double b[3], int n)
{
    double a00 = m[0], a01 = m[1], a02 = m[2], a11 = m[2], a12 = m[3], a22 = m[4];
    double det = a00 * (a11 * a22 - a12 * a12) - a01 * (a01 * a22 - a12 * a02) +
                 a02 * (a01 * a12 - a11 * a02);
    if (n < 5 || fabs(det) < 1e-6) {
        f->c[0] = n ? b[0] / m[0] : 0;
        f->c[1] = f->c[2] = 0;
        return;
    }
    f->c[0] = (b[0] * (a11 * a22 - a12 * a12) - a01 * (b[1] * a22 - a12 * b[2]) +
                      a02 * (b[1] * a12 - a11 * b[2])) /
              det;
    f->c[1] = (a00 * (b[1] * a22 - b[2] * a12) - b[0] * (a01 * a22 - a12 * a02) +
                      a02 * (a01 * b[2] - b[1] * a02)) /
              det;
    f->c[2] = (a00 * (a11 * b[2] - a12 * b[1]) - a01 * (a01 * b[2] - b[1] * a02) +
                      b[0] * (a01 * a12 - a11 * a02)) /
              det;
}

typedef struct {
    double x, y;   /* origin: the bank's pixel side */
    double nx, ny; /* into the opening, away from the other bank */
} frame;

static double height(const fit *f, double v)
{
    return f->c[0] + (f->c[1] + f->c[2] * v) * v;
}

/* The pixels about a place: bit i of row k tells whether the one at (i, k) from the top left is of
 * the phase. */
enum { PATCH_PX = LONG_WINDOW_PX + 2, PATCH_ROWS = 2 * PATCH_PX + 1 };

typedef struct {
    uint64_t rows[PATCH_ROWS];
} patch;

/* Eight pixels, 0 or 1 each, as eight bits. */
static inline uint64_t pack_eight(const uint8_t *px)
{
    uint64_t eight;
    memcpy(&eight, px, sizeof eight);
    return eight * UINT64_C(0x0102040810204080) >> 56;
}

static uint64_t row_of_patch(const ground *g, int left, int y)
{
    enum { EIGHTS = (PATCH_ROWS + 7) / 8 };
    const tb_mask *mask = g->mask;
    uint64_t bits = 0;
    if (y >= 0 && y < mask->height_px && left >= 0 && left + 8 * EIGHTS <= mask->width_px) {
        const uint8_t *px = mask->px + (size_t)y * (size_t)mask->width_px + left;
        for (int i = 0; i < EIGHTS; i++)
            bits |= pack_eight(px + 8 * i) << 8 * i;
        return g->phase ? bits : ~bits;
    }
    for (int i = 0; i < PATCH_ROWS; i++)
        bits |= (uint64_t)is_phase(g, left + i, y) << i;
    return bits;
}

static void lay_patch(patch *p, const ground *g, const frame *at)
{
    int left = (int)floor(at->x) - PATCH_PX, top = (int)floor(at->y) - PATCH_PX;
    for (int k = 0; k < PATCH_ROWS; k++)
        p->rows[k] = row_of_patch(g, left, top + k);
}

enum { SIDES_MAX = 128 };

/* A pixel side: how far into the opening it lies, and how far along the bank. */
typedef struct {
    double u, v;
} side;

/* Bits of row k whose pixel is none of the phase, though the neighbour in direction d is. */
static uint64_t facing(const patch *p, int k, int d)
{
    uint64_t row = p->rows[k];
    switch (d) {
    case 0:
        return ~row & row >> 1;
    case 1:
        return ~row & p->rows[k + 1];
    case 2:
        return ~row & row << 1;
    default:
        return ~row & p->rows[k - 1];
    }
}

/* A band of pixels on either side of the line, by rows or by columns as it runs: those of row or
 * column k from the origin that lie from[k] … to[k] along it. */
enum { BAND_PX = LONG_WINDOW_PX + 1 };

typedef struct {
    bool by_rows;
    int from[2 * BAND_PX + 1], to[2 * BAND_PX + 1];
} band;

static void lay_band(band *b, const frame *at, int reach, double steep)
{
    b->by_rows = fabs(at->nx) > fabs(at->ny);
    double main = b->by_rows ? at->nx : at->ny, other = b->by_rows ? at->ny : at->nx;
    for (int k = -reach; k <= reach; k++) {
        double across = k * other, far = 3 + steep * (fabs(k / main) + 1);
        double p = (-3 - across) / main, q = (far - across) / main;
        b->from[BAND_PX + k] = (int)floor(fmax(fmin(p, q), -reach));
        b->to[BAND_PX + k] = (int)ceil(fmin(fmax(p, q), reach));
    }
}

static inline bool in_band(const band *b, int x, int y)
{
    int k = BAND_PX + (b->by_rows ? y : x), along = b->by_rows ? x : y;
    return along >= b->from[k] && along <= b->to[k];
}

/* Pixel sides near the frame's origin that face the other bank, within window along the bank and
 * across it, farther across where the line may be steep. */
static int list_sides(
        side sides[SIDES_MAX], const patch *p, const frame *at, int window, double steep)
{
    static const int SIDE_X[4] = {1, 0, -1, 0}, SIDE_Y[4] = {0, 1, 0, -1};
    const int reach = window + 1;
    const uint64_t within = ((UINT64_C(2) << 2 * reach) - 1) << (PATCH_PX - reach);
    const double x0 = floor(at->x) + 0.5 - at->x, y0 = floor(at->y) + 0.5 - at->y;
    band near;
    lay_band(&near, at, reach, steep);
    int n = 0;
    for (int d = 0; d < 4; d++) {
        if (SIDE_X[d] * at->nx + SIDE_Y[d] * at->ny >= -1e-3)
            continue;
        for (int y = -reach; y <= reach; y++)
            for (uint64_t bits = facing(p, PATCH_PX + y, d) & within; bits && n < SIDES_MAX;
                    bits &= bits - 1) {
                int x = __builtin_ctzll(bits) - PATCH_PX;
                double px = x0 + x + 0.5 * SIDE_X[d], py = y0 + y + 0.5 * SIDE_Y[d];
                side s = {px * at->nx + py * at->ny, py * at->nx - px * at->ny};
                if (in_band(&near, x, y) && fabs(s.v) <= window && s.u > -2 &&
                        s.u < 2 + steep * fabs(s.v))
                    sides[n++] = s;
            }
    }
    return n;
}

static void fit_parabola(fit *f, const side *sides, int n)
{
    double m[5] = {0}, b[3] = {0}, squares = 0;
    for (int i = 0; i < n; i++) {
        double u = sides[i].u, v = sides[i].v, v2 = v * v;
        m[0] += 1, m[1] += v, m[2] += v2, m[3] += v2 * v, m[4] += v2 * v2;
        b[0] += u, b[1] += u * v, b[2] += u * v2;
    }
    solve(f, m, b, n);
    for (int i = 0; i < n; i++) {
        double left = sides[i].u - height(f, sides[i].v);
        squares += left * left;
    }
    f->worst = n ? sqrt(squares / n) : 0;
    f->from = f->to = 0;
    for (int i = 0; i < n; i++) {
        f->from = fmin(f->from, sides[i].v);
        f->to = fmax(f->to, sides[i].v);
    }
}

/* The straight line u = c + k v that lies nearest to the sides to one side of v0; false where they
 * are too few. Distances are taken square to the line, for it may be steep. */
static bool fit_line(double *c, double *k, const side *sides, int n, double v0, double sign)
{
    double m = 0, mu = 0, mv = 0, uu = 0, uv = 0, vv = 0;
    for (int i = 0; i < n; i++)
        if (sign * (sides[i].v - v0) > 0.25)
            m += 1, mu += sides[i].u, mv += sides[i].v;
    if (m < 4)
        return false;
    mu /= m, mv /= m;
    for (int i = 0; i < n; i++)
        if (sign * (sides[i].v - v0) > 0.25) {
            double u = sides[i].u - mu, v = sides[i].v - mv;
            uu += u * u, uv += u * v, vv += v * v;
        }
    double turn = 0.5 * atan2(2 * uv, vv - uu);
    if (fabs(cos(turn)) < 0.1)
        return false;
    *k = tan(turn);
    *c = mu - *k * mv;
    return true;
}

/* Where the bank comes to a point, it is where the straight lines on either side would meet, as far
 * as the pixels leave room for that. */
static void fit_point(fit *f, const side *sides, int n)
{
    int nearest = -1;
    for (int i = 0; i < n; i++)
        if (fabs(sides[i].v) <= 2 && (nearest < 0 || sides[i].u < sides[nearest].u))
            nearest = i;
    if (nearest < 0)
        return;
    double u = sides[nearest].u, v = sides[nearest].v, c[2], k[2];
    if (!fit_line(&c[0], &k[0], sides, n, v, -1) || !fit_line(&c[1], &k[1], sides, n, v, 1) ||
            k[0] > 0.1 || k[1] < -0.1 || k[1] - k[0] < 0.5)
        return;
    double at_v = (c[0] - c[1]) / (k[1] - k[0]);
    f->point = true;
    f->point_v = fmin(fmax(at_v, v - 1), v + 1);
    f->c[0] = fmin(fmax(c[0] + k[0] * at_v, u - POINT_PX), u + 0.5);
}

/* The longer the stretch of line, the finer its place is known, as long as it is no more than a
 * bend: the pixels of a smooth line leave a root mean square of 0.29 of themselves. One with a
 * corner in it is taken for a point, or if it is none, looked at more closely. */
static void fit_closely(fit *f, const ground *g, const frame *at, int *window)
{
    static const int WINDOWS[] = {LONG_WINDOW_PX, WINDOW_PX, SHORT_WINDOW_PX};
    static const double MOST_LEFT_PX[] = {0.34, 0.38, 0.45};
    side sides[SIDES_MAX];
    patch p;
    int n = 0;
    lay_patch(&p, g, at);
    *f = (fit){0};
    for (int i = 0; i < 3; i++) {
        *window = WINDOWS[i];
        n = list_sides(sides, &p, at, *window, 1);
        fit_parabola(f, sides, n);
        bool enough = i == 2 || 2 * n >= 3 * *window;
        if (f->worst <= MOST_LEFT_PX[i] && enough) {
            f->smooth = i < 2 && f->to > *window / 2 && f->from < -*window / 2;
            return;
        }
        if (i == 1) {
            side steep[SIDES_MAX];
            fit_point(f, steep, list_sides(steep, &p, at, WINDOW_PX, 3));
            if (f->point)
                return;
        }
    }
    double least = INFINITY;
    for (int i = 0; i < n; i++)
        least = fmin(least, sides[i].u);
    *f = (fit){.c = {least, 0, 0}};
}

/* Where along the banks the way across is shortest; along the second bank v runs the other way. */
static double narrowest_v(const fit fits[2], int window)
{
    for (int k = 0; k < 2; k++)
        if (fits[k].point)
            return k ? -fits[k].point_v : fits[k].point_v;
    double slope = fits[0].c[1] - fits[1].c[1], bend = fits[0].c[2] + fits[1].c[2];
    double v = bend > 1e-4 ? -slope / (2 * bend) : 0;
    double from = fmax(fmax(fits[0].from, -fits[1].to), -window / 2.0);
    double to = fmin(fmin(fits[0].to, -fits[1].from), window / 2.0);
    return fmin(fmax(v, from), to);
}

bool tb_breadth_measure(tb_breadth *out, const tb_mask *mask, int phase, bool outside_is_opening,
        int x_px, int y_px, double half_px)
{
    ground g = {mask, phase, !outside_is_opening};
    bank banks[2];
    if (!is_phase(&g, x_px, y_px) || !find_banks(banks, &g, x_px, y_px, half_px))
        return false;
    double nx = banks[0].x - banks[1].x, ny = banks[0].y - banks[1].y, apart = hypot(nx, ny);
    nx /= apart, ny /= apart;
    fit fits[2];
    frame frames[2];
    int window = WINDOW_PX;
    for (int k = 0; k < 2; k++) {
        int looked;
        double sign = k ? -1 : 1;
        frames[k] = (frame){x_px + banks[k].x + 0.5, y_px + banks[k].y + 0.5, sign * nx, sign * ny};
        fit_closely(&fits[k], &g, &frames[k], &looked);
        window = looked < window ? looked : window;
    }
    double v = narrowest_v(fits, window);
    for (int k = 0; k < 2; k++) {
        const frame *f = &frames[k];
        double along = fits[k].point ? fits[k].point_v : k ? -v : v, u = height(&fits[k], along);
        out->bank_x[k] = f->x + u * f->nx - along * f->ny;
        out->bank_y[k] = f->y + u * f->ny + along * f->nx;
        out->opening_x[k] = x_px + banks[k].x;
        out->opening_y[k] = y_px + banks[k].y;
    }
    out->sure = fits[0].smooth && fits[1].smooth;
    out->most_px = apart;
    double across = (out->bank_x[0] - out->bank_x[1]) * nx + (out->bank_y[0] - out->bank_y[1]) * ny;
    double width = hypot(out->bank_x[0] - out->bank_x[1], out->bank_y[0] - out->bank_y[1]);
    /* Lines lie less than a pixel and a half within the nearest pixels, but for their tips. */
    double least = apart - 1.5 - TIP_PX * (fits[0].point + fits[1].point);
    if (across <= 0 || !out->sure)
        width = fmax(across > 0 ? width : 0, least);
    out->width_px = fmax(width, 0);
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

static void look_at(bank nearest[SECTORS], const ground *g, int x, int y, int dx, int dy)
{
    if (is_phase(g, x + dx, y + dy))
        return;
    double r2 = (double)dx * dx + (double)dy * dy;
    int i = (int)((atan2(dy, dx) / PI + 1) * SECTORS / 2) % SECTORS;
    if (r2 < nearest[i].r * nearest[i].r)
        nearest[i] = (bank){dx, dy, sqrt(r2)};
}

/* The nearest pixel beyond the line in each sector about (x, y), within reach; nothing is nearer
 * than clear_px. */
static void find_bounds(
        bank nearest[SECTORS], const ground *g, int x, int y, double clear_px, double reach_px)
{
    for (int i = 0; i < SECTORS; i++)
        nearest[i].r = INFINITY;
    for (int dy = -(int)reach_px; dy <= (int)reach_px; dy++) {
        int outer = (int)sqrt(reach_px * reach_px - (double)dy * dy);
        double gap = clear_px * clear_px - (double)dy * dy;
        int inner = gap > 0 ? (int)sqrt(gap) : 0;
        for (int dx = inner; dx <= outer; dx++) {
            look_at(nearest, g, x, y, dx, dy);
            if (dx > 0)
                look_at(nearest, g, x, y, -dx, dy);
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
    ground g = {mask, phase, !outside_is_opening};
    int px = (int)floor(*x), py = (int)floor(*y), n = 0, which = 0, window;
    bank nearest[SECTORS];
    bound bounds[SECTORS];
    find_bounds(nearest, &g, px, py, fmax(radius_px - 1, 0), radius_px + 2.5);
    for (int i = 0; i < SECTORS; i++) {
        bank b = nearest[i];
        if (!isfinite(b.r) || b.r == 0)
            continue;
        frame at = {px + b.x + 0.5, py + b.y + 0.5, b.x / b.r, b.y / b.r};
        fit f;
        fit_closely(&f, &g, &at, &window);
        bounds[n++] = (bound){at.nx, at.ny, b.r + f.c[0]};
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
