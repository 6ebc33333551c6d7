/* pattern/turn.h: where an outline turns more sharply than the blade can.
 *
 * The outline is looked at from half_px behind to half_px ahead of each of its points. Where it
 * turns by 45° or more within that, the sharpest point is a turn, and its radius is that of the
 * arc over which the middle seven tenths of the turn happen.
 *
 * Errors TB_ENOMEM
 * Cost   about 15 ns for each step
 */
#ifndef TB_PATTERN_TURN_H
#define TB_PATTERN_TURN_H

#include "pattern/outline.h"

typedef struct {
    double x_px, y_px;
    double turn_rad;  /* above 0: the opening has a corner here; below 0: the wood has */
    double radius_px; /* 0 for a sharp corner */
} tb_turn;

/* Appends to *turns, which grows by base/array.h. */
TB_NODISCARD tb_status tb_turns_find(tb_turn **turns, size_t *n, size_t *room,
        const tb_outline *outline, double half_px, tb_error *err);

#endif
