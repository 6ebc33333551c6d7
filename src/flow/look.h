/* flow/look.h: looks a pattern over, and the next one only where it differs.
 *
 * The first pattern is looked over plainly: most flows make only one. From the second on the
 * inspector remembers what it saw.
 *
 * Internal to flow.
 */
#ifndef TB_FLOW_LOOK_H
#define TB_FLOW_LOOK_H

#include "flow/flow.h"

typedef struct {
    tb_inspector *inspector;
    bool has_looked;
} tb__look;

/* Fills result->inspection. */
TB_NODISCARD tb_status tb__look_over(
        tb__look *look, tb_result *result, const tb_job *job, tb_error *err);
void tb__look_clear(tb__look *look);

#endif
