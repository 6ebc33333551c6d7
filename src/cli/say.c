/* cli/say.c: see say.h. */
#include "cli/say.h"

#include <stdio.h>

const char *const TB_CLI_UNITS[] = {"local", "mm", "in", NULL};

void tb_cli_speak(tb_cli *cli, int unit)
{
    if (unit > 0)
        cli->unit = unit == 1 ? TB_UNIT_MM : TB_UNIT_IN;
}

tb_said tb_cli_size(double width_mm, double height_mm, tb_unit unit)
{
    tb_said size;
    tb_num width = unit == TB_UNIT_IN ? tb_num_of(width_mm / 25.4, 2) : tb_num_of(width_mm, 1);
    snprintf(size.text, sizeof size.text, "%s × %s", width.text,
            tb_num_length(height_mm, 1, unit).text);
    return size;
}

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
