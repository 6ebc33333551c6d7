/* pattern/hand.h: the strokes of the hand, laid over the mask.
 *
 * A hand holds the pattern as painted so far and what was painted, as the hard constraints that
 * tb_tie() keeps. Strokes are laid one after the other; laying them one at a time, a piece of a
 * stroke at a time, or taking some back and laying them again gives the same pixels.
 *
 * A pixel lies under a stroke when its centre does; the stroke is the union of discs that run
 * along its points, never thinner than the diagonal of a pixel.
 *
 * Errors  TB_EINVAL for a stroke out of limits, TB_ENOMEM; the hand then is as it was before
 * Cost    a dab touches its own rectangle only; take_out and close touch the piece they change
 */
#ifndef TB_PATTERN_HAND_H
#define TB_PATTERN_HAND_H

#include "base/job.h"
#include "image/mask.h"
#include "image/rect.h"
#include "pattern/stroke.h"

typedef struct tb_hand_patch tb_hand_patch;

typedef struct {
    tb_mask *mask;    /* the pattern */
    tb_mask *wood;    /* 1 where wood was painted, and stayed */
    tb_mask *opening; /* 1 where an opening was painted, and stayed */
    /* How to take strokes back; the oldest are forgotten beyond patch_room bytes. */
    tb_hand_patch *patches;
    size_t n_patches, patches_room;
    size_t patch_bytes, patch_room;
} tb_hand;

/* Starts from a copy of mask, nothing painted. keep_bytes: memory for tb_hand_undo(), 0: none. */
TB_NODISCARD tb_status tb_hand_new(
        tb_hand **out, const tb_mask *mask, size_t keep_bytes, tb_error *err);
void tb_hand_free(tb_hand *hand);

/* Lays a stroke; strokes on the tone change nothing here. *dirty holds every pixel that may have
 * changed in any of the three masks.
 *
 * first_point > 0 says that the points before it have been laid already and the stroke (of wood or
 * saw) has grown since: only what is new is laid, and tb_hand_undo() takes all of it back at once.
 */
TB_NODISCARD tb_status tb_hand_draw(
        tb_hand *hand, tb_rect *dirty, const tb_stroke *stroke, size_t first_point, tb_error *err);

/* Takes the last stroke back. False: it has been forgotten; begin again with tb_hand_new(). */
bool tb_hand_undo(tb_hand *hand, tb_rect *dirty);

/* All strokes at once. */
TB_NODISCARD tb_status tb_hand_apply(tb_hand **out, const tb_mask *mask, const tb_stroke *strokes,
        size_t n_strokes, const tb_job *job, tb_error *err);

/* Gives a stroke that takes out or closes the rectangle of what it would change now, a little
 * grown, so that it can't run away when an earlier stage changes. False: it would change nothing.
 * Others are left as they are. */
TB_NODISCARD tb_status tb_hand_bound(
        bool *found, const tb_hand *hand, tb_stroke *stroke, tb_error *err);

/* Every pixel under the stroke becomes value (0 or 1) in mask; others stay. */
TB_NODISCARD tb_status tb_stroke_cover(
        tb_mask *mask, uint8_t value, const tb_stroke *stroke, tb_error *err);

#endif
