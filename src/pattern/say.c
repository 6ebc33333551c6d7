/* pattern/say.c: see say.h. */
#include "pattern/say.h"

#include <stdio.h>

static tb_said said(const char *metric, tb_unit unit)
{
    tb_said out;
    tb_num_text(out.text, sizeof out.text, metric, unit);
    return out;
}

/* Of the load that a peninsula bears; as a strand it is measured by its width. */
static bool is_share(const tb_finding *f)
{
    return f->kind == TB_FINDING_WEAK_PENINSULA && !tb_finding_is_strand(f);
}

tb_said tb_say_measured(const tb_finding *f, tb_unit unit)
{
    char metric[120];
    if (f->kind == TB_FINDING_ISLAND)
        snprintf(metric, sizeof metric, "%s %s loose", tb_num_of(f->measured, 1).text, f->unit);
    else if (is_share(f))
        snprintf(metric, sizeof metric, "%s %% of what it should bear",
                tb_num_of(f->measured * 100, 0).text);
    else
        snprintf(metric, sizeof metric, "%s %s%s", tb_num_fixed(f->measured, 2).text, f->unit,
                f->kind == TB_FINDING_TIGHT_TURN     ? " radius"
                : f->kind == TB_FINDING_CROWDED_HOLE ? " to the line"
                                                     : "");
    return said(metric, unit);
}

tb_said tb_say_wanted(const tb_finding *f, tb_unit unit)
{
    char metric[120];
    if (f->kind == TB_FINDING_ISLAND || is_share(f))
        return (tb_said){""};
    const char *before = f->kind == TB_FINDING_SPECK ? "smaller than"
                         : f->severity == TB_MUST    ? "must be"
                                                     : "better";
    snprintf(metric, sizeof metric, "%s %s %s", before, tb_num_fixed(f->limit, 2).text, f->unit);
    return said(metric, unit);
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
