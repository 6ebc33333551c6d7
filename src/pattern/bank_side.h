/* pattern/bank_side.h: the outline about a bank's pixel, and lines that part its pixels. Private to
 * bank_corner.c and bank_tip.c.
 *
 * The middles of the outline's steps make a chain, the phase to its right. A line along it is known
 * by the pixels beside it: those of the phase lie on its right, the others on its left.
 */
#ifndef TB_PATTERN_BANK_SIDE_H
#define TB_PATTERN_BANK_SIDE_H

#include "pattern/bank.h"

/* By how much a pixel may lie on the wrong side of a line, and how far off them it is laid where
 * there is room. */
#define TB__MOST_WRONG_PX 0.08
#define TB__ROOM_PX 0.3

/* Lists reach steps on either side of the one by which the bank's pixel faces the phase, which
 * becomes chain[reach]. False where it faces none; *closed tells whether the outline came round. */
bool tb__chain_list(
        tb__spot *chain, int reach, bool *closed, const tb__bank *bank, const tb__tone *tone);

/* The straight line with the least squares of distances, its direction along the chain. */
tb__straight tb__straight_fit(const tb__spot *p, int n);

/* Whether n steps lie along their chord, or about one that bends evenly, as those of one line do. A
 * quick look: where it says no, no such line parts the pixels beside them. */
bool tb__is_even(const tb__spot *p, int n, bool bent);

/* A pixel's centre beside a line: along it, off it to the left, and on which side it belongs. */
typedef struct {
    double along, off, side;
} tb__dot;

static inline tb__dot tb__dot_at(const tb__straight *line, int x, int y, bool phase)
{
    double dx = x + 0.5 - line->x, dy = y + 0.5 - line->y;
    return (tb__dot){dx * line->dx + dy * line->dy, dx * line->dy - dy * line->dx, phase ? -1 : 1};
}

/* How far a dot lies off the line that is moved and bent by c0 + c1 along + c2 along². */
static inline double tb__dot_off(const double c[3], const tb__dot *dot)
{
    return dot->off - c[0] - (c[1] + c[2] * dot->along) * dot->along;
}

/* The pixels beside n steps, as dots about a line; returns how many, which is 2 n. */
int tb__list_dots(tb__dot *dots, const tb__straight *line, const tb__tone *tone,
        const tb__spot *steps, int n);

/* Moves a line by c0 + c1 along to the left, or bends it by c2 along² too, so that it keeps off the
 * dots of either side by as much as there is room for: the squares of what is short of room_px
 * are the least. Returns by how much the worst lies on the wrong side. */
double tb__separate(double c[3], bool bent, double room_px, int rounds, const tb__dot *dots, int n);

/* Where two straight lines meet, which must not be parallel. */
tb__spot tb__meeting(const tb__straight *a, const tb__straight *b);

/* Where the chain turns a corner: at a step, between a line in and a line out. */
typedef struct {
    tb__spot end; /* the middle of the step, and how far from the bank's own */
    int step;
    tb__straight in, out;
} tb__turning;

/* By how much a chain turns, to the left above 0. */
double tb__chain_turn(const tb__straight *in, const tb__straight *out);

/* The turning of a chain of TB__CHAIN steps to either side of the bank's. */
enum { TB__CHAIN = 32 };
tb__turning tb__turning_find(const tb__spot chain[2 * TB__CHAIN + 1], const tb__bank *bank);

/* A tip lies beyond the last step in which it shows by no more than this: where the corner is a
 * pixel wide, and half of one. */
double tb__most_beyond_px(double turn_rad);

/* The tip of an opening with a sharp turning at the bank. */
bool tb__tip_find(
        tb__corner *out, const tb__bank *bank, const tb__tone *tone, const tb__turning *at);

/* The tip of an opening of which the bank's is a loose pixel. */
bool tb__broken_tip_find(tb__corner *out, const tb__bank *bank, const tb__tone *tone);

#endif
