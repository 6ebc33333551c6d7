/* pattern/likeness.h: how much a pattern looks like the picture it was made from.
 *
 * Picture and pattern are brought to one scale: 0 dark, 0.5 at the cut line, 1 light; wood is 1,
 * openings are 0. Both are blurred as the eye blurs them at arm's length and a half, and likeness
 * is 1 less the root of the weighted mean square of what they differ by.
 *
 * Filter  a Gaussian of standard deviation TB_EYE_BLUR_MM: one minute of arc, the resolution of
 *         normal sight (visual acuity 1.0, ISO 8596; from memory), is 0.58 mm at 2 m
 * In      tone (L*), mask and weight (NULL: all the same) of one size
 * Errors  TB_EINVAL for sizes that differ, TB_ENOMEM, TB_ECANCELLED
 * Cost    about 5 ns a pixel
 */
#ifndef TB_PATTERN_LIKENESS_H
#define TB_PATTERN_LIKENESS_H

#include "base/job.h"
#include "image/mask.h"
#include "image/plane.h"

#define TB_EYE_BLUR_MM 0.58

/* How much a tone wants to be wood, 0 … 1. */
static inline float tb_likeness_want(float tone, float cut_line)
{
    float over = tone - cut_line;
    float want = 0.5f + over * (over < 0 ? 0.5f / cut_line : 0.5f / (100 - cut_line));
    return want < 0 ? 0 : want > 1 ? 1 : want;
}

TB_NODISCARD tb_status tb_likeness(double *likeness, const tb_mask *mask, const tb_plane *tone,
        double cut_line, const tb_plane *weight, const tb_job *job, tb_error *err);

#endif
