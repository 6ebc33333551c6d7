/* pattern/touch.h: the strokes of the hand that work on the tone.
 *
 * A stroke works fully over the inner half of its width and fades to nothing at its sides, so that
 * no edge of its own shows. Where a stroke crosses itself it works once; each further stroke works
 * again.
 *
 * Errors  TB_EINVAL, TB_ENOMEM, TB_ECANCELLED
 * Cost    the strokes' rectangles only
 */
#ifndef TB_PATTERN_TOUCH_H
#define TB_PATTERN_TOUCH_H

#include "base/job.h"
#include "image/plane.h"
#include "image/rect.h"
#include "pattern/stroke.h"

/* Adds what lighten and darken do to the tone, in place. *dirty (may be NULL) holds what changed.
 */
TB_NODISCARD tb_status tb_touch_shade(tb_plane *tone, tb_rect *dirty, const tb_stroke *strokes,
        size_t n_strokes, const tb_job *job, tb_error *err);

/* How much each place lies under strokes of a kind, 0 … 1; *out is NULL if there are none. */
TB_NODISCARD tb_status tb_touch_weight(tb_plane **out, const tb_plane *like, tb_stroke_kind kind,
        const tb_stroke *strokes, size_t n_strokes, const tb_job *job, tb_error *err);

/* Where weight says so (0 … 1), puts back into the tone, in place, what is finer in the lightness
 * than fine_mm. */
TB_NODISCARD tb_status tb_touch_detail(tb_plane *tone, const tb_plane *lightness,
        const tb_plane *weight, double fine_mm, const tb_job *job, tb_error *err);

#endif
