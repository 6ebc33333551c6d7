/* cli/sawing.c: see sawing.h. */
#include "cli/sawing.h"

#include <stdio.h>

void tb_cli_print_plan(
        const tb_plan *plan, double cut_length_mm, const tb_settings *settings, tb_unit unit)
{
    bool inches = unit == TB_UNIT_IN;
    tb_num cut = tb_num_of(cut_length_mm / (inches ? 304.8 : 1000), 1);
    tb_remark remark = tb_sawing_remark(plan->fit, settings, unit);
    printf("%s %s to cut, %s at the saw", cut.text, inches ? "ft" : "m",
            tb_plan_about(plan->minutes).text);
    if (plan->stack_most > 1)
        printf("; up to %d boards stacked", plan->stack_most);
    putchar('\n');
    if (*remark.text)
        printf("blade %s: %s\n", settings->blade, remark.text);
}
