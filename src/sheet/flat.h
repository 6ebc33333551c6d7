/* sheet/flat.h: paths as polygons, in pixels of the mask. Internal to this folder. */
#ifndef TB_SHEET_FLAT_H
#define TB_SHEET_FLAT_H

#include "sheet/outline.h"

typedef struct {
    double x, y;   /* px */
    int32_t curve; /* on which the side that ends here lies; all curves of all paths, counted on */
    bool smooth;   /* it is drawn smoothly */
} tb_flat_corner;

typedef struct {
    tb_flat_corner *at;
    size_t *first; /* [n_paths + 1]: path i is at[first[i]] … at[first[i + 1] - 1], closed */
    size_t n_paths, n_curves, room;
} tb_flat;

/* No point of a curve lies farther than 0.02 px from its polygon. */
TB_NODISCARD tb_status tb__flatten(
        tb_flat *flat, const tb_outline *outline, double px_per_mm, tb_error *err);
void tb__flat_clear(tb_flat *flat);

#endif
