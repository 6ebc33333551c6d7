/* pattern/breadth.h: the width of the wood at a place, finer than a pixel.
 *
 * A drawn line lies somewhere between the last pixel on one side and the first on the other. Along
 * a few pixels of line the steps between them tell where: a parabola is fitted to the middles of
 * the pixel sides that part wood from opening, on either bank, and the breadth is the shortest way
 * from bank to bank. Straight lines at a slant come out to about a tenth of a pixel; a line
 * exactly along the pixel grid can't be known better than to half a pixel.
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
    double bank_x[2], bank_y[2];    /* its two ends, on the lines */
    int opening_x[2], opening_y[2]; /* the nearest pixels beyond; may lie outside the mask */
} tb_breadth;

/* The breadth of the phase (1: wood, 0: opening) about pixel (x_px, y_px), where the line is about
 * half_px away. Outside the mask is opening when outside_is_opening. False where there are no two
 * opposite banks. */
bool tb_breadth_measure(tb_breadth *out, const tb_mask *mask, int phase, bool outside_is_opening,
        int x_px, int y_px, double half_px);

#endif
