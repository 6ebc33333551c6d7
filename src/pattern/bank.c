/* pattern/bank.c: see bank.h. */
#include "pattern/bank.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { SIDES_MAX = 128, SHORTEST = 2, N_WINDOWS = 3 };

/* The pixels about a place: bit i of row k tells whether the one at (i, k) from the top left is of
 * the phase. */
enum { PATCH_PX = TB__BANK_PX + 2, PATCH_ROWS = 2 * PATCH_PX + 1 };

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

static uint64_t row_of_patch(const tb__tone *tone, int left, int y)
{
    enum { EIGHTS = (PATCH_ROWS + 7) / 8 };
    const tb_mask *mask = tone->mask;
    uint64_t bits = 0;
    if (y >= 0 && y < mask->height_px && left >= 0 && left + 8 * EIGHTS <= mask->width_px) {
        const uint8_t *px = mask->px + (size_t)y * (size_t)mask->width_px + left;
        for (int i = 0; i < EIGHTS; i++)
            bits |= pack_eight(px + 8 * i) << 8 * i;
        return tone->phase ? bits : ~bits;
    }
    for (int i = 0; i < PATCH_ROWS; i++)
        bits |= (uint64_t)tb__is_phase(tone, left + i, y) << i;
    return bits;
}

static void lay_patch(patch *p, const tb__tone *tone, const tb__bank *at)
{
    int left = (int)floor(at->x) - PATCH_PX, top = (int)floor(at->y) - PATCH_PX;
    for (int k = 0; k < PATCH_ROWS; k++)
        p->rows[k] = row_of_patch(tone, left, top + k);
}

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

/* Pixel sides near the frame's origin that face the other bank, within its window along the bank
 * and across it: of a pixel far off the line, only where the line itself may have bent as far. */
static int list_sides(side sides[SIDES_MAX], const patch *p, const tb__bank *at)
{
    const int window = at->window_px;
    static const int SIDE_X[4] = {1, 0, -1, 0}, SIDE_Y[4] = {0, 1, 0, -1};
    const int reach = window + 1;
    const uint64_t within = ((UINT64_C(2) << 2 * reach) - 1) << (PATCH_PX - reach);
    const bool by_rows = fabs(at->nx) > fabs(at->ny);
    const double main = fabs(by_rows ? at->nx : at->ny), rise = 1 / main;
    int n = 0;
    for (int d = 0; d < 4; d++) {
        double from_middle = SIDE_X[d] * at->nx + SIDE_Y[d] * at->ny;
        if (from_middle >= -1e-3)
            continue;
        for (int y = -reach; y <= reach; y++)
            for (uint64_t bits = facing(p, PATCH_PX + y, d) & within; bits && n < SIDES_MAX;
                    bits &= bits - 1) {
                int x = __builtin_ctzll(bits) - PATCH_PX;
                double px = x + 0.5 * SIDE_X[d], py = y + 0.5 * SIDE_Y[d];
                side s = {px * at->nx + py * at->ny, py * at->nx - px * at->ny};
                double most = 4 + main + rise * (by_rows ? abs(y) : abs(x));
                if (fabs(s.v) <= window && s.u > -2 && s.u < 2 + fabs(s.v) &&
                        s.u - 0.5 * from_middle < most)
                    sides[n++] = s;
            }
    }
    return n;
}

/* Solves the normal equations of a parabola, or of the mean where the points are too few. */
void tb__parabola_solve(double c[3], const double m[5], const double b[3], int n)
{
    double a00 = m[0], a01 = m[1], a02 = m[2], a11 = m[2], a12 = m[3], a22 = m[4];
    double det = a00 * (a11 * a22 - a12 * a12) - a01 * (a01 * a22 - a12 * a02) +
                 a02 * (a01 * a12 - a11 * a02);
    if (n < 5 || fabs(det) < 1e-6) {
        c[0] = n ? b[0] / m[0] : 0;
        c[1] = c[2] = 0;
        return;
    }
    c[0] = (b[0] * (a11 * a22 - a12 * a12) - a01 * (b[1] * a22 - a12 * b[2]) +
                   a02 * (b[1] * a12 - a11 * b[2])) /
           det;
    c[1] = (a00 * (b[1] * a22 - b[2] * a12) - b[0] * (a01 * a22 - a12 * a02) +
                   a02 * (a01 * b[2] - b[1] * a02)) /
           det;
    c[2] = (a00 * (a11 * b[2] - a12 * b[1]) - a01 * (a01 * b[2] - b[1] * a02) +
                   b[0] * (a01 * a12 - a11 * a02)) /
           det;
}

static double height(const tb__bank *b, double v)
{
    return b->c[0] + (b->c[1] + b->c[2] * v) * v;
}

static void fit_parabola(tb__bank *bank, const side *sides, int n)
{
    double m[5] = {0}, b[3] = {0}, squares = 0;
    for (int i = 0; i < n; i++) {
        double u = sides[i].u, v = sides[i].v, v2 = v * v;
        m[0] += 1, m[1] += v, m[2] += v2, m[3] += v2 * v, m[4] += v2 * v2;
        b[0] += u, b[1] += u * v, b[2] += u * v2;
    }
    tb__parabola_solve(bank->c, m, b, n);
    bank->from = bank->to = 0;
    for (int i = 0; i < n; i++) {
        double left = sides[i].u - height(bank, sides[i].v);
        squares += left * left;
        bank->from = fmin(bank->from, sides[i].v);
        bank->to = fmax(bank->to, sides[i].v);
    }
    bank->left = n ? sqrt(squares / n) : 0;
}

/* A corner takes the parabola's place. */
static bool use_corner(tb__bank *bank, const tb__corner *corner, bool certain)
{
    bank->seen_px = corner->seen_px;
    if (!corner->found || (certain && !corner->sure))
        return false;
    bank->corner = true;
    bank->smooth = corner->sure;
    bank->tip = corner->tip;
    memcpy(bank->side, corner->side, sizeof bank->side);
    bank->opening_x = corner->opening_x;
    bank->opening_y = corner->opening_y;
    return true;
}

/* The longer the stretch of line, the finer its place is known, as long as it is no more than a
 * bend: the pixels of a smooth line leave a root mean square of 0.29 of themselves. One with a
 * corner in it is told by that corner; if there is none, it is looked at more closely. */
void tb__bank_fit(tb__bank *out, const tb__tone *tone, int x_px, int y_px, double nx, double ny)
{
    static const int WINDOWS[N_WINDOWS] = {TB__BANK_PX, 7, 3};
    static const double MOST_LEFT_PX[N_WINDOWS] = {0.34, 0.38, 0.45};
    side sides[SIDES_MAX];
    patch p;
    tb__corner corner;
    int n = 0;
    *out = (tb__bank){.x = x_px + 0.5,
            .y = y_px + 0.5,
            .nx = nx,
            .ny = ny,
            .opening_x = x_px,
            .opening_y = y_px};
    lay_patch(&p, tone, out);
    for (int i = 0; i < N_WINDOWS; i++) {
        out->window_px = WINDOWS[i];
        n = list_sides(sides, &p, out);
        fit_parabola(out, sides, n);
        bool enough = i == SHORTEST || 2 * n >= 3 * out->window_px;
        if (out->left <= MOST_LEFT_PX[i] && enough) {
            int half = out->window_px / 2;
            bool to_both = out->to > half && out->from < -half;
            out->smooth = i < SHORTEST && to_both;
            /* A stretch that ends within the window may be the one side of a corner. */
            if (i == 0 && !to_both) {
                tb__corner_find(&corner, out, tone);
                use_corner(out, &corner, true);
            }
            return;
        }
        if (i == 0)
            tb__corner_find(&corner, out, tone);
        if (i < SHORTEST && use_corner(out, &corner, i == 0))
            return;
    }
    double least = INFINITY;
    for (int i = 0; i < n; i++)
        least = fmin(least, sides[i].u);
    out->c[0] = n ? least : 0;
    out->c[1] = out->c[2] = out->from = out->to = 0;
}

tb__spot tb__bank_spot(const tb__bank *b, double v)
{
    double u = height(b, v);
    return b->corner ? b->tip
                     : (tb__spot){b->x + u * b->nx - v * b->ny, b->y + u * b->ny + v * b->nx};
}

tb__spot tb__corner_side_nearest(const tb__bank *b, int which, tb__spot p)
{
    const tb__ray *s = &b->side[which];
    double way = (p.x - s->x) * s->dx + (p.y - s->y) * s->dy;
    way = fmin(fmax(way, 0), s->reach_px);
    return (tb__spot){s->x + way * s->dx, s->y + way * s->dy};
}

/* The nearer of a corner's two sides. */
static tb__spot nearest_of_corner(const tb__bank *b, tb__spot p)
{
    tb__spot one = tb__corner_side_nearest(b, 0, p), two = tb__corner_side_nearest(b, 1, p);
    return hypot(one.x - p.x, one.y - p.y) < hypot(two.x - p.x, two.y - p.y) ? one : two;
}

/* Newton's steps. Where the line bends towards p, so that a step might lead away, shorter ones. */
tb__spot tb__bank_nearest(const tb__bank *b, tb__spot p, tb__spot from)
{
    if (b->corner)
        return nearest_of_corner(b, p);
    double p_u = (p.x - b->x) * b->nx + (p.y - b->y) * b->ny;
    double p_v = (p.y - b->y) * b->nx - (p.x - b->x) * b->ny;
    double v = (from.y - b->y) * b->nx - (from.x - b->x) * b->ny;
    for (int i = 0; i < 3; i++) {
        double slope = b->c[1] + 2 * b->c[2] * v, u = p_u - height(b, v);
        double square = 1 + slope * slope, bend = square - 2 * b->c[2] * u;
        v = fmin(fmax(v + (p_v - v + slope * u) / fmax(bend, square), b->from), b->to);
    }
    return tb__bank_spot(b, v);
}
