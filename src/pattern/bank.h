/* pattern/bank.h: a short stretch of the line between wood and opening. Private to breadth.c.
 *
 * A drawn line lies somewhere between the last pixel on one side and the first on the other. Along
 * a few pixels the steps between them tell where: a parabola is fitted to the middles of the pixel
 * sides, or where the line has a corner, a straight line to either side of it, which meet at its
 * tip.
 *
 * Units  pixels; pixel (x, y) has its centre at (x + 0.5, y + 0.5)
 */
#ifndef TB_PATTERN_BANK_H
#define TB_PATTERN_BANK_H

#include "image/mask.h"

#include <stdbool.h>

/* A tone that is measured, and all that is not of it, beyond the mask too. */
typedef struct {
    const tb_mask *mask;
    int phase;   /* 1: wood, 0: opening */
    int outside; /* what lies beyond the mask */
} tb__tone;

static inline bool tb__is_phase(const tb__tone *tone, int x, int y)
{
    const tb_mask *mask = tone->mask;
    bool inside = (unsigned)x < (unsigned)mask->width_px && (unsigned)y < (unsigned)mask->height_px;
    int px = inside ? mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] : tone->outside;
    return px == tone->phase;
}

typedef struct {
    double x, y;
} tb__spot;

/* A straight line, in a direction of length 1. */
typedef struct {
    double x, y, dx, dy;
    double left; /* root of the mean square of the distances to it */
} tb__straight;

/* As much of one as is known, from a corner's tip. */
typedef struct {
    double x, y, dx, dy, reach_px;
} tb__ray;

enum { TB__BANK_PX = 14 }; /* a bank reaches as far to either side */

typedef struct {
    double x, y;     /* a pixel's centre beside the line, and not of the phase */
    double nx, ny;   /* away from the phase, square to v */
    double c[3];     /* the line lies at c0 + c1 v + c2 v² along n */
    double from, to; /* along v, where there is line at all */
    double left;     /* root of the mean square of what is left */
    int window_px;   /* how far it was looked at */
    bool smooth;     /* what lies to both sides is known: a good stretch of line, or of both sides
                        of a corner */
    bool corner;     /* two straight lines that meet at the tip take the parabola's place */
    tb__spot tip;
    tb__ray side[2];          /* away from the tip */
    int opening_x, opening_y; /* a pixel beyond the line; that of a broken tip's is one where its
                                 opening hangs together */
    int seen_px;              /* how far from the bank's pixel a tip was looked for; 0: none was */
} tb__bank;

/* The line by a pixel that is not of the phase, which lies towards -n. */
void tb__bank_fit(tb__bank *out, const tb__tone *tone, int x_px, int y_px, double nx, double ny);

/* A place on the line: at v, or the tip. */
tb__spot tb__bank_spot(const tb__bank *bank, double v);

/* The place on the line nearest to p, looked for from a place on it on. */
tb__spot tb__bank_nearest(const tb__bank *bank, tb__spot p, tb__spot from);

/* The place on one side of a corner nearest to p, the tip where that lies behind it. */
tb__spot tb__corner_side_nearest(const tb__bank *bank, int which, tb__spot p);

/* Solves the normal equations of a parabola: m the sums of v⁰ … v⁴, b those of u v⁰ … u v². The
 * mean where the points are too few. */
void tb__parabola_solve(double c[3], const double m[5], const double b[3], int n);

/* The corner by a bank's pixel. See bank_corner.c. */
typedef struct {
    bool found, sure; /* whether the line turns one there, and whether that is certain */
    tb__spot tip;
    tb__ray side[2];
    int opening_x, opening_y, seen_px;
} tb__corner;

void tb__corner_find(tb__corner *out, const tb__bank *bank, const tb__tone *tone);

#endif
