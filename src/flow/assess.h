/* flow/assess.h: whether a pattern picture by anybody can be sawn.
 *
 * In     bytes of a two-tone picture; settings for stock, blade, grain, bridge and frame, and for
 *        the size where the file has no density or it is wrong (width_mm or height_mm above 0)
 * Out    the pattern as read and what there is to find
 * Errors TB_EREAD: no picture, or not two-tone; TB_EINVAL: settings, or a size that nobody knows;
 *        TB_ENOMEM; TB_ECANCELLED
 */
#ifndef TB_FLOW_ASSESS_H
#define TB_FLOW_ASSESS_H

#include "base/job.h"
#include "flow/report.h"
#include "project/settings.h"

#include <stdint.h>

enum { TB_ASSESS_TIMINGS = 2 };

typedef struct {
    tb_mask *pattern;
    tb_limits limits;
    tb_inspection *inspection;
    double width_mm, height_mm, px_per_mm;
    tb_timing timings[TB_ASSESS_TIMINGS];
} tb_assessment;

TB_NODISCARD tb_status tb_assess(tb_assessment **out, const uint8_t *bytes, size_t n_bytes,
        const tb_settings *settings, const tb_job *job, tb_error *err);
void tb_assessment_free(tb_assessment *assessment);

/* The limits that follow from stock, blade, grain, bridge and frame. TB_EINVAL. */
TB_NODISCARD tb_status tb_limits_for(tb_limits *limits, const tb_settings *settings, tb_error *err);

#endif
