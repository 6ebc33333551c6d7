/* pattern/mend_private.h: what the files of mend share. */
#ifndef TB_PATTERN_MEND_PRIVATE_H
#define TB_PATTERN_MEND_PRIVATE_H

#include "pattern/mend.h"

/* A piece of the pattern about a finding, on which strokes are tried. */
typedef struct {
    tb_mask *mask;
    int left_px, top_px;
    double left_mm, top_mm;
} tb__window;

/* TB_EINVAL where the place lies beyond the board. */
TB_NODISCARD tb_status tb__window_cut(tb__window *out, const tb_mask *mask,
        const tb_finding *finding, double reach_mm, tb_error *err);

/* Adds to out the way along what is too narrow at the finding, so wide that it is so no more:
 * a thin bridge, or of the openings (in_opening) a slot. It is looked at as far as reach_mm,
 * which is so many widths where nothing tells more. */
enum { TB__MEND_REACH = 5 };
TB_NODISCARD tb_status tb__mend_along(tb_stroke *out, const tb_finding *finding,
        const tb_mask *mask, bool in_opening, double reach_mm, double width_mm, tb_error *err);

/* Adds to out the way from a limb's root to where it is wide enough by itself, as wide as the
 * bending moment asks there: over times the root at the root, less towards the end. */
TB_NODISCARD tb_status tb__mend_root(
        tb_stroke *out, const tb_limb *limb, const tb__window *window, double over, tb_error *err);

/* Adds the set pixels of region, which hang together, one by one; back where it began. */
TB_NODISCARD tb_status tb__mend_fill(
        tb_stroke *out, const tb__window *window, tb_mask *region, int first_px, tb_error *err);

/* Tries strokes on a window, and keeps the best: one that takes the finding away and brings none
 * of another, and of those the one that changes least. */
typedef struct tb__trial tb__trial;
TB_NODISCARD tb_status tb__trial_new(tb__trial **out, const tb_finding *finding,
        const tb_mask *mask, const tb_limits *limits, double reach_mm, tb_error *err);
void tb__trial_free(tb__trial *trial);
/* As it is, and, where that is not clean, eased into its banks. */
TB_NODISCARD tb_status tb__trial_take(tb__trial *trial, const tb_stroke *stroke, tb_error *err);
/* Whether the finding is found in the window as it is in the whole. */
bool tb__trial_sees(const tb__trial *trial);
/* A clean one is found, or enough were tried. */
bool tb__trial_done(const tb__trial *trial);
/* The best so far; TB_EINVAL where none was tried. */
TB_NODISCARD tb_status tb__trial_best(tb_stroke *out, const tb__trial *trial, tb_error *err);
const tb__window *tb__trial_window(const tb__trial *trial);
/* The limb whose root the finding is, in the window's millimetres; NULL where it is not seen. */
const tb_limb *tb__trial_limb(const tb__trial *trial);

#endif
