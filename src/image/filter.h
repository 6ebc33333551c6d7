/* image/filter.h: the linear filters under the tone.
 *
 * Edge    beyond the picture its outermost pixels repeat
 * Errors  TB_EINVAL for a size out of range, TB_ENOMEM, TB_ECANCELLED; *out is NULL then
 * Threads same bytes at any number
 */
#ifndef TB_IMAGE_FILTER_H
#define TB_IMAGE_FILTER_H

#include "base/job.h"
#include "image/plane.h"

/* Means over blocks of factor × factor pixels; blocks at the right and bottom edge may be smaller.
 * Cost: one reading of the plane. */
TB_NODISCARD tb_status tb_shrink(
        tb_plane **out, const tb_plane *plane, int factor, const tb_job *job, tb_error *err);

/* Gaussian of sigma_mm in place. Truncated at 3 sigma; above 4 px it is done on a shrunk plane, so
 * its cost does not grow with sigma; sigma_mm of 0 changes nothing. */
TB_NODISCARD tb_status tb_blur(tb_plane *plane, double sigma_mm, const tb_job *job, tb_error *err);

/* One row of the plane `coarse` = tb_shrink(fine, factor) at the pixels of row y of fine, bilinear
 * between the blocks' centres; out holds width_px floats. */
void tb_enlarge_row(float *out, int width_px, int y_px, const tb_plane *coarse, int factor);

/* What is left to blur, in blocks, when a sigma of so many blocks is wanted and the plane goes
 * through tb_shrink() and tb_enlarge_row() anyway. */
double tb_blur_left(double sigma_blocks);

#endif
