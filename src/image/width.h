/* image/width.h: what is wide enough, and what is not.
 *
 * Opening a mask by a disc keeps every wood pixel that some disc of that diameter, wholly in the
 * wood, covers. Closing is the same done to the openings. A disc holds the pixels whose centres lie
 * within diameter / 2 of its own, which is a pixel's centre or corner, whichever makes it as many
 * pixels across as a strip must have: n / px_per_mm for n, and anything above takes n + 1.
 *
 * Errors TB_EINVAL for a diameter that is not finite and >= 0 or beyond 255 px, TB_ENOMEM,
 *        TB_ECANCELLED; *out is NULL then
 * Cost   two bits a pixel and what is given back; time grows with the diameter, 16 px: 0.3 ms/MP
 */
#ifndef TB_IMAGE_WIDTH_H
#define TB_IMAGE_WIDTH_H

#include "base/job.h"
#include "image/mask.h"

#include <stdbool.h>

/* Wood no narrower than diameter_mm. edge_is_opening as in distance.h. */
TB_NODISCARD tb_status tb_open_wood(tb_mask **out, const tb_mask *mask, double diameter_mm,
        bool edge_is_opening, const tb_job *job, tb_error *err);

/* Fills what of the openings is narrower than diameter_mm. The board's edge is wood here. */
TB_NODISCARD tb_status tb_close_wood(
        tb_mask **out, const tb_mask *mask, double diameter_mm, const tb_job *job, tb_error *err);

/* Wood and everything within radius_mm of it. */
TB_NODISCARD tb_status tb_grow_wood(
        tb_mask **out, const tb_mask *mask, double radius_mm, const tb_job *job, tb_error *err);

#endif
