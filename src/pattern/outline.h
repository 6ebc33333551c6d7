/* pattern/outline.h: the lines between wood and opening, step by step.
 *
 * An outline is a closed way along pixel sides with its wood to the right: round a piece of wood
 * with the clock, round an opening against it. Where two pixels of wood touch at a corner only,
 * they are two outlines, as wood hangs together by its sides.
 *
 * Frame  vertices are pixel corners, (0, 0) … (width_px, height_px)
 * Order  by the topmost, then leftmost, side that has wood below it
 * Errors TB_ENOMEM, TB_ECANCELLED
 * Cost   4 ns for each step, 1 bit for each pixel
 */
#ifndef TB_PATTERN_OUTLINE_H
#define TB_PATTERN_OUTLINE_H

#include "base/job.h"
#include "image/mask.h"

#include <stdbool.h>

typedef struct {
    int x_px, y_px;      /* the first vertex; the first step goes right, along the top of (x, y) */
    const uint8_t *step; /* 0 right, 1 down, 2 left, 3 up; borrowed until the callback returns */
    size_t n_steps;
} tb_outline;

/* May return a status other than TB_OK to end the walk. */
typedef tb_status tb_outline_cb(void *payload, const tb_outline *outline);

TB_NODISCARD tb_status tb_outlines_walk(const tb_mask *mask, tb_outline_cb *outline_cb,
        void *payload, const tb_job *job, tb_error *err);

/* How far each step goes. */
static const int TB_STEP_X[4] = {1, 0, -1, 0}, TB_STEP_Y[4] = {0, 1, 0, -1};

/* The pixel ahead on the right of a vertex, where the wood lies, from the vertex. */
static const int TB_RIGHT_X[4] = {0, -1, -1, 0}, TB_RIGHT_Y[4] = {0, 0, -1, -1};

/* One outline from a place of one's own: at a vertex, about to go `direction`. */
typedef struct {
    int x, y, direction;
    int first_x, first_y, first_direction;
} tb_outline_walk;

/* Begins at the side of the opening's pixel (x, y) behind which wood lies towards (to_x, to_y).
 * False where there is none. */
bool tb_outline_begin(
        tb_outline_walk *walk, const tb_mask *mask, int x, int y, double to_x, double to_y);

/* Takes the next step; false when that would begin the outline again. */
bool tb_outline_step(tb_outline_walk *walk, const tb_mask *mask);

/* The opening's pixel to the left of the next step; may lie outside the mask. */
void tb_outline_left_px(const tb_outline_walk *walk, int *x, int *y);

/* Length of the smooth line that the steps stand for: of the polygon through middles of steps that
 * stays within half a pixel of all of them. */
double tb_outline_length_px(const tb_outline *outline);

#endif
