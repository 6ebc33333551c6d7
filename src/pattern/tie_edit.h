/* pattern/tie_edit.h: small changes of the wood that can be taken back. Private to tie.
 *
 * After tb__edits_begin() pixels are turned; then the edit is weighed, and is as if it had never
 * been, or kept. False, and TB_ENOMEM, where memory ran out.
 */
#ifndef TB_PATTERN_TIE_EDIT_H
#define TB_PATTERN_TIE_EDIT_H

#include "pattern/tie_private.h"

bool tb__edits_begin(tb__edits *edits);

/* Turns a pixel: wood into opening, opening into wood. Once for each edit. */
bool tb__edits_set(tb__edits *edits, tb_mask *wood, int32_t px);

/* Turns what is open under a disc about a pixel's centre into wood, but nothing painted by hand. */
bool tb__edits_disc(tb__edits *edits, const tb__tie *t, int32_t px, double radius_px);

/* What it costs; it is taken back. INFINITY where an opening would lose the drill's room. */
TB_NODISCARD tb_status tb__edits_weigh(double *cost_mm2, tb__edits *edits, const tb__tie *t,
        const tb_inspection *in, tb_error *err);

/* It stays, and the field takes it up. */
TB_NODISCARD tb_status tb__edits_keep(tb__edits *edits, const tb__tie *t, tb_error *err);

/* Whether the i-th, not undone, has turned a pixel of the rectangle. */
bool tb__edits_touch(const tb__edits *edits, size_t i, tb_rect rect, int width_px);

/* Puts its pixels back to what they were. */
void tb__edits_undo(tb__edits *edits, tb_mask *wood, size_t i);

/* Widens necks to the advised width by the maps of the last inspection. See tie_widen.c. */
TB_NODISCARD tb_status tb__widen_necks(
        tb__edits *edits, tb__tie *t, const tb_inspection *in, tb_error *err);

/* Points or fills the ends of openings where the inspection found tight turns. See tie_tip.c. */
TB_NODISCARD tb_status tb__ease_tips(
        tb__edits *edits, tb__tie *t, const tb_inspection *in, tb_error *err);

#endif
