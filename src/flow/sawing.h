/* flow/sawing.h: the plan of sawing of a pattern, by its settings; and what to say of the blade.
 */
#ifndef TB_FLOW_SAWING_H
#define TB_FLOW_SAWING_H

#include "base/num.h"
#include "pattern/plan.h"
#include "project/settings.h"

/* Options from stock, blade and practice. TB_EINVAL names a stock or a blade that is not known. */
TB_NODISCARD tb_status tb_sawing_options(
        tb_plan_options *options, const tb_settings *settings, tb_error *err);

/* tb_plan_make() with these. */
TB_NODISCARD tb_status tb_sawing_plan(tb_plan **out, const tb_inspection *inspection,
        const tb_mask *mask, const tb_settings *settings, const tb_job *job, tb_error *err);

/* Why the blade does not suit the board, and which ones would: "" where it does. */
typedef struct {
    char text[240];
} tb_remark;
tb_remark tb_sawing_remark(tb_blade_fit fit, const tb_settings *settings, tb_unit unit);

#endif
