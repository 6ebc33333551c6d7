/* flow/flow.h: from a photograph to a pattern, stage by stage, each kept until what it rests on
 * changes:
 *
 *   photograph → lightness → tone → split → tidy → hand → tie → inspect
 *
 * A tb_flow belongs to one thread at a time. Stages are pure: the pattern is the same bytes whether
 * reached change by change or at once.
 *
 * Errors  TB_EREAD, TB_EINVAL (settings), TB_EUNSAWABLE (no light and dark to part, nothing left
 *         to saw), TB_ENOMEM, TB_ECANCELLED; stages done before stay
 */
#ifndef TB_FLOW_FLOW_H
#define TB_FLOW_FLOW_H

#include "base/job.h"
#include "image/mask.h"
#include "image/plane.h"
#include "pattern/inspect.h"
#include "pattern/limits.h"
#include "pattern/tie.h"
#include "photo/photo.h"
#include "project/project.h"

typedef enum {
    TB_STAGE_PHOTO, /* decoded, cropped, turned, to lightness */
    TB_STAGE_TONE,
    TB_STAGE_SPLIT,
    TB_STAGE_TIDY,
    TB_STAGE_HAND,
    TB_STAGE_TIE,
    TB_STAGE_INSPECT,
    TB_N_STAGES
} tb_stage;

/* "photo", "tone" …; static. */
const char *tb_stage_name(tb_stage stage);

/* What came of it. Everything is borrowed from the flow and holds until its next update; what has
 * not been reached is NULL. */
typedef struct {
    tb_photo_info photo;
    double width_mm, height_mm, px_per_mm; /* as used */
    double evening;                        /* as used */
    double cut_line;                       /* L* of the tone */
    tb_limits limits;
    const tb_plane *lightness, *tone;
    const tb_mask *split;   /* tidied, before hand work and tie */
    const tb_mask *pattern; /* one mask of wood */
    const tb_tie_account *tie;
    const tb_inspection *inspection;
    double ms[TB_N_STAGES]; /* time each stage took when last run */
} tb_outcome;

/* The finished pattern, to keep: it never changes, may be read by any thread, and goes when its
 * last holder lets go. */
typedef struct {
    tb_mask *pattern;
    tb_mask *untied;     /* before the tie: what islands there are, for strokes that take one out */
    tb_tie_account *tie; /* NULL when ties are off */
    tb_inspection *inspection;
    tb_limits limits;
    double width_mm, height_mm;
    double evening; /* as used: the setting may leave it to the picture */
    atomic_int n_holders;
} tb_result;

/* One holder more, and one less; both take NULL. Returns the result. */
tb_result *tb_result_hold(tb_result *result);
void tb_result_release(tb_result *result);

typedef struct tb_flow tb_flow;

/* photo is borrowed until tb_flow_free(). */
TB_NODISCARD tb_status tb_flow_new(
        tb_flow **out, const uint8_t *photo, size_t n_photo, tb_error *err);
void tb_flow_free(tb_flow *flow);

/* Takes note; nothing is computed. TB_EINVAL names the setting that is out of range. */
TB_NODISCARD tb_status tb_flow_set(tb_flow *flow, const tb_settings *settings, tb_error *err);

/* The hand's strokes, all of them in their order; copied. What is new or gone since the last call
 * is told by id: adding to the end, or taking from it, touches only what lies under those strokes.
 */
TB_NODISCARD tb_status tb_flow_set_strokes(
        tb_flow *flow, const tb_drawn *strokes, size_t n_strokes, tb_error *err);

/* Runs what is stale. */
TB_NODISCARD tb_status tb_flow_update(tb_flow *flow, const tb_job *job, tb_error *err);

/* A first answer, while a slider moves: runs what is stale up to the hand. The result's pattern is
 * not tied and its inspection empty. */
TB_NODISCARD tb_status tb_flow_sketch(
        tb_result **out, tb_flow *flow, const tb_job *job, tb_error *err);

/* The part of the photograph that the board shows by these settings, and the board's pixels.
 * TB_EINVAL. */
TB_NODISCARD tb_status tb_flow_view(tb_photo_view *view, const tb_settings *settings,
        const tb_photo_info *photo, tb_error *err);

const tb_outcome *tb_flow_outcome(const tb_flow *flow);

/* A hold on the finished pattern; NULL before it is reached. */
tb_result *tb_flow_result(tb_flow *flow);

#endif
