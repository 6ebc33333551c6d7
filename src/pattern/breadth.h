/* pattern/breadth.h: the width of the wood at a place, finer than a pixel.
 *
 * The line of either bank is told from the pixels (bank.h), and the breadth is the shortest way
 * from the one to the other. Straight lines at a slant come out to about a tenth of a pixel, the
 * tip of a corner to about half of one; a line exactly along the pixel grid can't be known better
 * either.
 *
 * An opening that comes to a point is taken to go on to where its sides meet, though its last
 * pixels stand alone or are missing (bank_tip.c): wood between them is the drawing's, and no
 * bridge. Tips of half an angle of 0.2 and more come out to about a pixel, sharper ones mostly to
 * one, at worst to four: the pixels leave that much room.
 *
 * Units  pixels; pixel (x, y) has its centre at (x + 0.5, y + 0.5)
 * Cost   the pixels of a square of four times the width
 */
#ifndef TB_PATTERN_BREADTH_H
#define TB_PATTERN_BREADTH_H

#include "image/mask.h"

#include <stdbool.h>

typedef struct {
    double width_px;
    double bank_x[2], bank_y[2]; /* its two ends, on the lines */
    double most_px;              /* it can't be wider: the way between pixels beyond either line */
    bool sure;                   /* both banks are smooth there; else it may be a pixel off */
    int opening_x[2], opening_y[2]; /* the nearest pixels beyond; may lie outside the mask;
                                       of a tip that shows in loose pixels, the nearest of those
                                       that hang together */
    int seen_px; /* what lies farther than this from the place has no say in it */
} tb_breadth;

/* The breadth of the phase (1: wood, 0: opening) about pixel (x_px, y_px), where the line is about
 * half_px away. Outside the mask is opening when outside_is_opening. False where there are no two
 * opposite banks; its seen_px is set all the same. */
bool tb_breadth_measure(tb_breadth *out, const tb_mask *mask, int phase, bool outside_is_opening,
        int x_px, int y_px, double half_px);

/* The same by the nearest pixels beyond the lines alone, to about a pixel: hundreds of times as
 * fast, and never sure. */
bool tb_breadth_about(tb_breadth *out, const tb_mask *mask, int phase, bool outside_is_opening,
        int x_px, int y_px, double half_px);

/* Makes the first bank the second. */
void tb_breadth_swap(tb_breadth *breadth);

/* The largest disc of the phase near one about (*x, *y), which is moved by up to a pixel; returns
 * its radius to the lines. radius_px as known from the pixels, to about a pixel. */
double tb_breadth_disc(const tb_mask *mask, int phase, bool outside_is_opening, double *x,
        double *y, double radius_px);

#endif
