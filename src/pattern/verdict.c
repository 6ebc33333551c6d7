/* pattern/verdict.c: the names of findings, and the sum of them in one line. */
#include "base/num.h"
#include "pattern/say.h"

#include <stdio.h>

static const struct {
    const char *name, *one, *many;
} KINDS[TB_N_FINDING_KINDS] = {
        [TB_FINDING_ISLAND] = {"island", "island", "islands"},
        [TB_FINDING_THIN_BRIDGE] = {"thin_bridge", "thin bridge", "thin bridges"},
        [TB_FINDING_WEAK_PENINSULA] = {"weak_peninsula", "weak peninsula", "weak peninsulas"},
        [TB_FINDING_TIGHT_OPENING] = {"tight_opening", "tight opening", "tight openings"},
        [TB_FINDING_NARROW_SLOT] = {"narrow_slot", "narrow slot", "narrow slots"},
        [TB_FINDING_TIGHT_TURN] = {"tight_turn", "tight turn", "tight turns"},
        [TB_FINDING_CROWDED_HOLE] = {"crowded_hole", "crowded entry hole", "crowded entry holes"},
        [TB_FINDING_THIN_FRAME] = {"thin_frame", "thin place of the frame",
                "thin places of the frame"},
        [TB_FINDING_SPECK] = {"speck", "speck", "specks"},
};

const char *tb_finding_kind_name(tb_finding_kind kind)
{
    return KINDS[kind].name;
}

const char *tb_say_kind(tb_finding_kind kind)
{
    return KINDS[kind].one;
}

tb_verdict tb_finding_count(
        const tb_inspection *inspection, tb_finding_kind kind, tb_severity severity)
{
    tb_verdict count = {""};
    int n = 0;
    for (size_t i = 0; i < inspection->n_findings; i++)
        n += inspection->findings[i].severity == severity && inspection->findings[i].kind == kind;
    if (n > 0)
        snprintf(count.text, sizeof count.text, "%d %s", n,
                n == 1 ? KINDS[kind].one : KINDS[kind].many);
    return count;
}

static void append(tb_verdict *verdict, size_t *n, const char *text)
{
    int more = snprintf(verdict->text + *n, sizeof verdict->text - *n, "%s", text);
    *n += (size_t)more;
    if (*n >= sizeof verdict->text)
        *n = sizeof verdict->text - 1;
}

/* "2 islands, 3 thin bridges", of one severity. */
static void append_counts(
        tb_verdict *verdict, size_t *n, const tb_inspection *inspection, tb_severity severity)
{
    const char *between = "";
    for (int kind = 0; kind < TB_N_FINDING_KINDS; kind++) {
        tb_verdict count = tb_finding_count(inspection, (tb_finding_kind)kind, severity);
        if (!*count.text)
            continue;
        append(verdict, n, between);
        append(verdict, n, count.text);
        between = ", ";
    }
}

tb_verdict tb_verdict_of(const tb_inspection *inspection)
{
    tb_verdict verdict = {""};
    size_t n = 0;
    if (inspection->n_pieces == 0) {
        append(&verdict, &n, "no wood at all");
        return verdict;
    }
    if (inspection->n_must) {
        append(&verdict, &n, "can't be sawn yet: ");
        append_counts(&verdict, &n, inspection, TB_MUST);
        return verdict;
    }
    append(&verdict, &n, "one piece, no wood narrower than ");
    append(&verdict, &n, tb_num_of(inspection->narrowest_wood_mm, 1).text);
    append(&verdict, &n, " mm");
    if (inspection->n_should) {
        append(&verdict, &n, "; better mend ");
        append_counts(&verdict, &n, inspection, TB_SHOULD);
    }
    return verdict;
}
