/* pattern/geodesic.h: what belongs to the portrait and what does not, from a few strokes.
 *
 * Strokes of keep-in and leave-out are seeds. From each, cost spreads over the picture: little
 * where it is even, much across an edge. A place goes with the seed that reaches it at the least
 * cost, so the two meet along edges. The border is then drawn by the lightness itself, to the
 * pixel; under the strokes themselves what they say holds, the later stroke's word first.
 * The middle of the picture, from the face down, is a seed of keep-in by itself: portraits are
 * framed so (an assumption of ours). Leave-out reaches 80 mm over even ground, less over texture,
 * and stops at outlines; a stroke of keep-in never adds to what is left out.
 *
 * In     lightness: L*, as photographed; strokes of other kinds are passed over
 * Out    a mask, 1 where it is left out; NULL if there is no leave-out stroke
 * Errors TB_EINVAL, TB_ENOMEM, TB_ECANCELLED
 * Cost   a shortest-path search over half-millimetre cells and two readings of the lightness
 * Source Bai & Sapiro 2007 (seeds and geodesic distance); Dial 1969 by graph/grid_path.h;
 *        He, Sun & Tang 2010 (the border: a guided filter of the two classes by the lightness)
 */
#ifndef TB_PATTERN_GEODESIC_H
#define TB_PATTERN_GEODESIC_H

#include "base/job.h"
#include "image/mask.h"
#include "image/plane.h"
#include "pattern/stroke.h"

TB_NODISCARD tb_status tb_leave_out(tb_mask **out, const tb_plane *lightness,
        const tb_stroke *strokes, size_t n_strokes, const tb_job *job, tb_error *err);

#endif
