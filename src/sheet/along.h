/* sheet/along.h: lines along the pixels' sides. Internal to this folder. */
#ifndef TB_SHEET_ALONG_H
#define TB_SHEET_ALONG_H

#include "sheet/outline.h"

/* The sides of pixels that a path is a drawing of: their middles, in px, walked the way the path
 * goes. To be freed by tb_free(at). */
typedef struct {
    tb_point *at;
    size_t n, room;
    double area_px; /* twice, with its sign */
} tb_loop;

/* TB_EINVAL where the mask has no edge near path that encloses the same area. */
TB_NODISCARD tb_status tb__loop_of(
        tb_loop *loop, const tb_path *path, const tb_mask *mask, tb_error *err);

typedef struct {
    tb_curve *items;
    size_t n, room;
} tb_curves;

/* Appends the line from `from` to `to` (px) along the loop: TB_DRAWN_CLOSE through the middles with
 * corners eased, TB_DRAWN_EXACT along the sides. expected_px is about its length: where the
 * loop has no such stretch, nothing is appended and *found is false. */
TB_NODISCARD tb_status tb__append_along(tb_curves *curves, bool *found, const tb_loop *loop,
        tb_point from, tb_point to, double expected_px, tb_path_drawn drawn, double px_per_mm,
        tb_error *err);

/* The whole loop, from its first middle on. */
TB_NODISCARD tb_status tb__append_loop(tb_curves *curves, const tb_loop *loop, tb_path_drawn drawn,
        double px_per_mm, tb_error *err);

#endif
