/* pattern/subject.h: what the picture is of, and how far its light wants evening.
 *
 * tb_subject_weight()   a guess at where the subject is: portraits are framed about their middle,
 *                       a little above it. 0.15 at the edges to 1.15; used until the designer marks
 *                       what matters. An assumption of ours (common practice in portraiture).
 * tb_choose_evening()   tries several strengths and takes the one at which least is lost: a place
 *                       full of contrast that comes out all wood or all opening has lost its
 *                       drawing; a flat place that comes out mixed has gained mottle.
 *
 * Errors  TB_EINVAL, TB_ENOMEM, TB_ECANCELLED
 * Cost    choosing: six tone maps on a 0.6 mm grid, about 20 ms for 200 × 250 mm
 */
#ifndef TB_PATTERN_SUBJECT_H
#define TB_PATTERN_SUBJECT_H

#include "base/job.h"
#include "image/plane.h"
#include "image/tone.h"

TB_NODISCARD tb_status tb_subject_weight(
        tb_plane **out, int width_px, int height_px, double px_per_mm, tb_error *err);

/* options->evening is not read. *evening is one of 0.2, 0.35, 0.5, 0.65, 0.8, 1. */
TB_NODISCARD tb_status tb_choose_evening(double *evening, const tb_plane *lightness,
        const tb_tone_options *options, const tb_job *job, tb_error *err);

#endif
