/* pattern/cells.h: what pattern and picture differ by, on a coarse grid.
 *
 * In     mask, tone (L*): of one size, either may be NULL; cut_line as in likeness.h;
 *        cell_px 1 … 255
 * Out    means: [cells down][cells across], of 1 where the mask is wood, less what the tone wants
 *        to be wood; cells at the right and bottom edge may be smaller
 * Cost   one reading of both
 */
#ifndef TB_PATTERN_CELLS_H
#define TB_PATTERN_CELLS_H

#include "base/job.h"
#include "image/mask.h"
#include "image/plane.h"

void tb__cell_means(float *means, const tb_mask *mask, const tb_plane *tone, double cut_line,
        int cell_px, const tb_job *job);

/* How many cells hold so many pixels. */
static inline int tb__n_cells(int n_px, int cell_px)
{
    return (n_px + cell_px - 1) / cell_px;
}

#endif
