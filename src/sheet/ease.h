/* sheet/ease.h: turns as wide as the blade's. Internal to this folder.
 *
 * A turn that is tighter than the blade can go is drawn anew where a line of the blade's radius
 * fits within the reach that the outline has; all others stay as they are. Thin wood and narrow
 * openings hardly move.
 */
#ifndef TB_SHEET_EASE_H
#define TB_SHEET_EASE_H

#include "sheet/prove.h"

/* outline is proven, and stays so: a stretch that fails the proof is drawn as it was. */
TB_NODISCARD tb_status tb__ease(tb_outline *outline, tb_proof *proof,
        const tb_outline_options *options, const tb_job *job, tb_error *err);

/* What replaces the curves first … end - 1 of a path. */
typedef struct {
    size_t first, end;
    tb_curve *curves;
    size_t n, room;
    bool off; /* it failed, or was not wanted */
} tb_stretch;

typedef struct {
    tb_stretch *items; /* along the path, each behind the other */
    size_t n, room;
} tb_stretches;

/* Finds them. */
TB_NODISCARD tb_status tb__turns_ease(tb_stretches *stretches, const tb_path *path,
        const tb_mask *mask, const tb_outline_options *options, tb_error *err);
void tb__stretches_clear(tb_stretches *stretches);

/* The box of all points. */
void tb__path_measure_box(tb_path *path);

#endif
