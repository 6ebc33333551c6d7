/* pattern/breadth.c: see breadth.h. */
#include "pattern/breadth.h"

#include <math.h>

enum { WINDOW_PX = 7, SHORT_WINDOW_PX = 3 };

/* Root mean square that a fitted line leaves of itself is 0.29 where the line is smooth. */
#define CORNER_PX 0.45

typedef struct {
    const tb_mask *mask;
    int phase;
    int outside; /* what lies beyond the mask: 1 wood, 0 opening */
} ground;

static int is_phase(const ground *g, int x, int y)
{
    const tb_mask *mask = g->mask;
    bool inside = x >= 0 && x < mask->width_px && y >= 0 && y < mask->height_px;
    int px = inside ? mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] : g->outside;
    return px == g->phase;
}

typedef struct {
    int x, y; /* the nearest pixel beyond the line, relative to the place */
    double r;
} bank;

/* The nearest bank, and the nearest one that lies across from it. */
static bool find_banks(bank banks[2], const ground *g, int x, int y, double half_px)
{
    int reach = (int)ceil(half_px * 1.5) + 3;
    banks[0].r = banks[1].r = INFINITY;
    for (int pass = 0; pass < 2; pass++)
        for (int dy = -reach; dy <= reach; dy++)
            for (int dx = -reach; dx <= reach; dx++) {
                double r2 = (double)dx * dx + (double)dy * dy;
                if (r2 >= banks[pass].r * banks[pass].r || is_phase(g, x + dx, y + dy))
                    continue;
                double r = sqrt(r2);
                double across = dx * (double)banks[0].x + dy * (double)banks[0].y;
                if (pass == 0 || across < -0.5 * r * banks[0].r)
                    banks[pass] = (bank){dx, dy, r};
            }
    return isfinite(banks[0].r) && isfinite(banks[1].r);
}

typedef struct {
    double c[3];  /* height of the line over the chord's frame: c0 + c1 v + c2 v² */
    double worst; /* root of the mean square of what is left */
    double least; /* the lowest point on the line: the nearest to the other bank */
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

enum { SIDES_MAX = 128 };

/* A pixel side: how far into the opening it lies, and how far along the bank. */
typedef struct {
    double u, v;
} side;

static const int SIDE_X[4] = {1, 0, -1, 0}, SIDE_Y[4] = {0, 1, 0, -1};

/* Pixel sides of the opening's pixel (x, y) that face the other bank near the frame's origin. */
static int add_sides(side *sides, int n, const ground *g, const frame *at, int x, int y, int window)
{
    for (int k = 0; k < 4 && n < SIDES_MAX; k++) {
        bool faces = SIDE_X[k] * at->nx + SIDE_Y[k] * at->ny < -1e-3;
        if (!faces || !is_phase(g, x + SIDE_X[k], y + SIDE_Y[k]))
            continue;
        double px = x + 0.5 + 0.5 * SIDE_X[k] - at->x, py = y + 0.5 + 0.5 * SIDE_Y[k] - at->y;
        side s = {px * at->nx + py * at->ny, py * at->nx - px * at->ny};
        if (fabs(s.v) <= window && s.u > -2 && s.u < 2 + fabs(s.v))
            sides[n++] = s;
    }
    return n;
}

static void fit_bank(fit *f, const ground *g, const frame *at, int window)
{
    side sides[SIDES_MAX];
    double m[5] = {0}, b[3] = {0}, squares = 0;
    int n = 0;
    for (int dy = -window - 1; dy <= window + 1; dy++)
        for (int dx = -window - 1; dx <= window + 1; dx++) {
            int x = (int)floor(at->x) + dx, y = (int)floor(at->y) + dy;
            if (!is_phase(g, x, y))
                n = add_sides(sides, n, g, at, x, y, window);
        }
    f->least = INFINITY;
    for (int i = 0; i < n; i++) {
        double u = sides[i].u, v = sides[i].v, v2 = v * v;
        m[0] += 1, m[1] += v, m[2] += v2, m[3] += v2 * v, m[4] += v2 * v2;
        b[0] += u, b[1] += u * v, b[2] += u * v2;
        f->least = fmin(f->least, u);
    }
    solve(f, m, b, n);
    for (int i = 0; i < n; i++) {
        double left = sides[i].u - height(f, sides[i].v);
        squares += left * left;
    }
    f->worst = n ? sqrt(squares / n) : 0;
}

/* A bank with a corner in it is no parabola: look closer, and at last take the corner itself. */
static void fit_closely(fit *f, const ground *g, const frame *at, int *window)
{
    fit_bank(f, g, at, WINDOW_PX);
    if (f->worst <= CORNER_PX)
        return;
    *window = SHORT_WINDOW_PX;
    fit_bank(f, g, at, SHORT_WINDOW_PX);
    if (f->worst <= CORNER_PX)
        return;
    f->c[0] = f->least;
    f->c[1] = f->c[2] = 0;
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
        double sign = k ? -1 : 1;
        frames[k] = (frame){x_px + banks[k].x + 0.5, y_px + banks[k].y + 0.5, sign * nx, sign * ny};
        fit_closely(&fits[k], &g, &frames[k], &window);
    }
    /* Along the second bank v runs the other way. */
    double slope = fits[0].c[1] - fits[1].c[1], bend = fits[0].c[2] + fits[1].c[2];
    double v = bend > 1e-4 ? -slope / (2 * bend) : 0;
    v = fmin(fmax(v, -window / 2.0), window / 2.0);
    double u[2] = {height(&fits[0], v), height(&fits[1], -v)};
    out->width_px = fmax(apart + u[0] + u[1], 0);
    for (int k = 0; k < 2; k++) {
        const frame *f = &frames[k];
        double along = k ? -v : v;
        out->bank_x[k] = f->x + u[k] * f->nx - along * f->ny;
        out->bank_y[k] = f->y + u[k] * f->ny + along * f->nx;
        out->opening_x[k] = x_px + banks[k].x;
        out->opening_y[k] = y_px + banks[k].y;
    }
    return true;
}
