/* flow/look.c: see look.h. */
#include "flow/look.h"

tb_status tb__look_over(tb__look *look, tb_result *result, const tb_job *job, tb_error *err)
{
    if (!look->has_looked) {
        tb_status status =
                tb_inspect(&result->inspection, result->pattern, &result->limits, job, err);
        look->has_looked = !status;
        return status;
    }
    if (!look->inspector && !(look->inspector = tb_inspector_new()))
        return tb_fail_memory(err);
    return tb_reinspect(
            &result->inspection, look->inspector, result->pattern, &result->limits, job, err);
}

void tb__look_clear(tb__look *look)
{
    tb_inspector_free(look->inspector);
    *look = (tb__look){0};
}
