/* sheet/flat.h: paths as polygons, in pixels of the mask. Internal to this folder. */
#ifndef TB_SHEET_FLAT_H
#define TB_SHEET_FLAT_H

#include "sheet/outline.h"

typedef struct {
    tb_point *at;  /* x_mm and y_mm hold pixels here */
    size_t *first; /* [n_paths + 1]: path i is at[first[i]] … at[first[i + 1] - 1], closed */
    size_t n_paths, room;
} tb_flat;

/* No point of a curve lies farther than 0.02 px from its polygon. */
TB_NODISCARD tb_status tb__flatten(
        tb_flat *flat, const tb_outline *outline, double px_per_mm, tb_error *err);
void tb__flat_clear(tb_flat *flat);

#endif
