/* flow/strokes.h: the strokes that a flow knows, as they lie on the board now.
 *
 * A stroke was drawn on a board that showed the photograph in some way. When the photograph is
 * framed differently (size, crop, turn) the stroke follows what it was drawn on: its points go from
 * that board to the photograph and from there to the board as it is, and its width grows with the
 * picture, but for a bridge, whose width is a measure of wood.
 *
 * Internal to flow.
 */
#ifndef TB_FLOW_STROKES_H
#define TB_FLOW_STROKES_H

#include "photo/photo.h"
#include "project/project.h"

typedef struct {
    int64_t *ids;
    tb_stroke *drawn;      /* copies */
    tb_photo_view *framed; /* how the photograph lay then */
    size_t n, room;
    tb_stroke *placed; /* the first n_placed, on the board as it is */
    size_t n_placed;
    tb_photo_view now;
} tb__strokes;

/* How many of them, from the first on, are the same strokes. */
size_t tb__strokes_same(const tb__strokes *strokes, const tb_drawn *drawn, size_t n_drawn);
void tb__strokes_forget(tb__strokes *strokes, size_t n_left);
TB_NODISCARD tb_status tb__strokes_add(
        tb__strokes *strokes, const tb_drawn *drawn, const tb_photo_info *photo, tb_error *err);
/* Sees to it that all are placed for this view. */
TB_NODISCARD tb_status tb__strokes_place(
        tb__strokes *strokes, const tb_photo_view *now, tb_error *err);
void tb__strokes_clear(tb__strokes *strokes);

/* Where a point of one view's board lies on that of the other. */
tb_stroke_point tb__point_follow(tb_stroke_point point, const tb_photo_view *then,
        const tb_photo_view *now, bool keeps_width);

#endif
