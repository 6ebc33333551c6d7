/* flow/sawing.c: see sawing.h. */
#include "flow/sawing.h"

#include "facts/practice.h"
#include "flow/stage_limits.h"

#include <stdio.h>
#include <string.h>

static double usual(const char *key)
{
    return tb_practice_find(key)->value;
}

static tb_plan_options options_of(const tb_blade *blade, double thickness_mm)
{
    return (tb_plan_options){.thickness_mm = thickness_mm,
            .opening_min = usual("opening_min"),
            .rate_mm_s = tb_practice_rate_mm_s(thickness_mm),
            .stack_thin = (int)usual("stack_thin"),
            .stack_thick = (int)usual("stack_thick"),
            .teeth_per_in = blade->teeth_least,
            .blade_least_mm = blade->stock_least_mm,
            .blade_most_mm = blade->stock_most_mm};
}

tb_status tb_sawing_options(tb_plan_options *options, const tb_settings *settings, tb_error *err)
{
    tb_stock stock;
    const tb_blade *blade;
    tb_status status = tb__tools_of(&stock, &blade, settings, err);
    if (!status)
        *options = options_of(blade, stock.thickness_mm);
    options->order = (tb_saw_order)settings->saw_order;
    return status;
}

tb_status tb_sawing_plan(tb_plan **out, const tb_inspection *inspection, const tb_mask *mask,
        const tb_settings *settings, const tb_job *job, tb_error *err)
{
    tb_plan_options options;
    *out = NULL;
    tb_status status = tb_sawing_options(&options, settings, err);
    return status ? status : tb_plan_make(out, inspection, mask, &options, job, err);
}

/* "1, 2, 3": the flat blades that suit the board; "" where none does. */
static void name_fitting(char *to, size_t room, double thickness_mm)
{
    const char *names[32];
    int n = 0;
    for (int i = 0; tb_blade_at(i); i++) {
        const tb_blade *blade = tb_blade_at(i);
        tb_plan_options options = options_of(blade, thickness_mm);
        if (!blade->spiral && tb_plan_fit(&options) == TB_BLADE_FITS && n < 32)
            names[n++] = blade->name;
    }
    to[0] = '\0';
    for (int i = 0; i < n; i++) {
        size_t length = strlen(to);
        snprintf(to + length, room - length, "%s%s", i == 0 ? "" : ", ", names[i]);
    }
}

tb_remark tb_sawing_remark(tb_blade_fit fit, const tb_settings *settings, tb_unit unit)
{
    tb_remark remark = {""};
    tb_stock stock;
    const tb_blade *blade;
    char others[56];
    if (fit == TB_BLADE_FITS || tb__tools_of(&stock, &blade, settings, NULL))
        return remark;
    int decimals = unit == TB_UNIT_IN ? 2 : 1;
    tb_num board = tb_num_length(stock.thickness_mm, decimals, unit);
    name_fitting(others, sizeof others, stock.thickness_mm);
    if (fit == TB_BLADE_FEW_TEETH)
        snprintf(remark.text, sizeof remark.text,
                "Fewer than two of its teeth stand in %s: it snags. Better %s (a rule of thumb, "
                "unverified).",
                board.text, others);
    else if (fit == TB_BLADE_FINE)
        snprintf(remark.text, sizeof remark.text,
                "Usual up to %s; for %s rather %s (a rule of thumb, unverified).",
                tb_num_length(blade->stock_most_mm, decimals, unit).text, board.text, others);
    else
        snprintf(remark.text, sizeof remark.text,
                "Usual from %s on; for %s rather %s (a rule of thumb, unverified).",
                tb_num_length(blade->stock_least_mm, decimals, unit).text, board.text, others);
    return remark;
}
