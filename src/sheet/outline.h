/* sheet/outline.h: the line that is sawn, as smooth curves.
 *
 * Every border between wood and opening, and the board's edge, as closed paths of straight lines
 * and cubic Bézier curves. Filled by the even-odd rule the paths give the wood. Corners stay
 * corners; the steps of the pixels are smoothed away. A turn tighter than the blade's becomes as
 * wide as that where the line may move so far; where it may not, it stays as it was drawn.
 *
 * In     mask: the pattern, 1 = wood
 * Out    outline in millimetres, origin at the board's top left, x right, y down
 * Proof  rastered again at 1200 dpi the paths hold the same pieces and openings as the mask; no
 *        point of a path lies farther than gap_mm from the mask's edge; no neck of wood is
 *        narrowed by more than narrowed_mm. A stretch that fails is drawn again tighter, at
 *        last along the pixels' sides, which is the mask itself
 * Errors TB_EINVAL, TB_ENOMEM, TB_ECANCELLED; *out is NULL then
 * Cost   about 20 ms a metre of line and 3 ms a megapixel
 * Source Selinger 2003 (libpotrace)
 */
#ifndef TB_SHEET_OUTLINE_H
#define TB_SHEET_OUTLINE_H

#include "base/job.h"
#include "image/mask.h"
#include "pattern/inspect.h"

#include <stdbool.h>

/* How a stretch of line had to be drawn to be true: smoothly; through the middles of the pixels'
 * sides, with corners eased; along the sides. */
typedef enum { TB_DRAWN_SMOOTH, TB_DRAWN_CLOSE, TB_DRAWN_EXACT } tb_path_drawn;

typedef struct {
    tb_point a, b, to; /* control points and end; a curve begins where the one before ended */
    bool straight;     /* a line: a and b lie on its ends */
    tb_path_drawn drawn;
    int eased; /* 0, or which of the path's stretches that were eased for the blade, from 1 */
} tb_curve;

typedef struct {
    tb_point start;
    tb_curve *curves; /* the last one ends at start */
    size_t n_curves;
    int depth;       /* 0 the board, 1 an opening in it, 2 an island in that …: even is wood */
    double area_mm2; /* enclosed, by the pixels */
    double left_mm, top_mm, right_mm, bottom_mm; /* box of all points */
} tb_path;

typedef struct {
    double width_mm, height_mm; /* of the board */
    tb_path *paths;             /* every wood path stands before the openings in it */
    size_t n_paths;
} tb_outline;

typedef struct {
    double gap_mm;      /* 0.15 */
    double narrowed_mm; /* 0.05 */
    double turn_mm;     /* the blade's turning radius, 1.1; 0: not minded */
} tb_outline_options;

#define TB_OUTLINE_OPTIONS_INIT                                                                    \
    {                                                                                              \
        0.15, 0.05, 1.1                                                                            \
    }

TB_NODISCARD tb_status tb_outline_trace(tb_outline **out, const tb_mask *mask,
        const tb_outline_options *options, const tb_job *job, tb_error *err);
void tb_outline_free(tb_outline *outline);

/* Length of a path along its curves, to 0.1 %. */
double tb_path_length_mm(const tb_path *path);

#endif
