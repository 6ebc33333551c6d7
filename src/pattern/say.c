/* pattern/say.c: see say.h. */
#include "pattern/say.h"

#include <math.h>
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

tb_said tb_say_proposal(
        const tb_finding *finding, tb_mend mend, const tb_proposal *proposal, tb_unit unit)
{
    static const char *const NAMES[TB_N_MENDS] = {
            [TB_MEND_THICKEN] = "thicken",
            [TB_MEND_TIE] = "tie",
            [TB_MEND_TRIM] = "take out",
            [TB_MEND_WIDEN] = "widen",
            [TB_MEND_CLOSE] = "close",
            [TB_MEND_EASE] = "ease",
    };
    char metric[160], more[60] = "";
    if (proposal->hindrance != TB_MEND_WORKS) {
        snprintf(metric, sizeof metric, "%s: not offered. %s", NAMES[mend],
                tb_hindrance_text(proposal->hindrance));
        return said(metric, unit);
    }
    tb_finding then = *finding;
    then.measured = proposal->then;
    if (proposal->n_new > 0)
        snprintf(more, sizeof more, "; %d other place%s could be better then", proposal->n_new,
                proposal->n_new == 1 ? "" : "s");
    snprintf(metric, sizeof metric, "%s: %.60s then%s%s", NAMES[mend],
            !isnan(proposal->then) ? tb_say_measured(&then, TB_UNIT_MM).text
            : proposal->advised    ? "safe"
                                   : "good",
            proposal->advised ? "; still less than advised" : "", more);
    return said(metric, unit);
}
