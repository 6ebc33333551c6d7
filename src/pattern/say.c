/* pattern/say.c: see say.h. */
#include "pattern/say.h"

#include <stdio.h>

static tb_said said(const char *metric, tb_unit unit)
{
    tb_said out;
    tb_num_text(out.text, sizeof out.text, metric, unit);
    return out;
}

/* A number without a unit is a share, and is given in hundredths. */
static tb_said with_unit(const char *before, double value, const char *name, tb_unit unit)
{
    char metric[120];
    if (name && *name)
        snprintf(metric, sizeof metric, "%s%s %s", before, tb_num_fixed(value, 2).text, name);
    else
        snprintf(metric, sizeof metric, "%s%s %%", before, tb_num_of(value * 100, 0).text);
    return said(metric, unit);
}

tb_said tb_say_measured(const tb_finding *f, tb_unit unit)
{
    char metric[120];
    if (f->kind != TB_FINDING_ISLAND)
        return with_unit("", f->measured, f->unit, unit);
    snprintf(metric, sizeof metric, "%s %s loose", tb_num_of(f->measured, 1).text, f->unit);
    return said(metric, unit);
}

tb_said tb_say_wanted(const tb_finding *f, tb_unit unit)
{
    if (f->kind == TB_FINDING_ISLAND)
        return (tb_said){""};
    return with_unit(f->measured > f->limit ? "at most " : "wanted ", f->limit, f->unit, unit);
}

tb_said tb_say_measure(const tb_finding *f, tb_unit unit)
{
    tb_said measured = tb_say_measured(f, unit), wanted = tb_say_wanted(f, unit), both;
    snprintf(both.text, sizeof both.text, "%.90s%s%.90s", measured.text, *wanted.text ? ", " : "",
            wanted.text);
    return both;
}

tb_said tb_say_advice(const tb_finding *f, tb_unit unit)
{
    return said(f->advice, unit);
}

tb_said tb_say_verdict(const tb_inspection *inspection, tb_unit unit)
{
    return said(tb_verdict_of(inspection).text, unit);
}
