/* cli/mends.c: see mends.h. */
#include "cli/mends.h"

#include "base/alloc.h"
#include "flow/report.h"
#include "pattern/say.h"

#include <math.h>
#include <stdio.h>

static const char *const NAMES[TB_N_MENDS] = {
        [TB_MEND_THICKEN] = "thicken",
        [TB_MEND_TIE] = "tie",
        [TB_MEND_TRIM] = "take_out",
        [TB_MEND_WIDEN] = "widen",
        [TB_MEND_CLOSE] = "close",
        [TB_MEND_EASE] = "ease",
};

static tb_status try_finding(
        tb_cli_mends *out, tb_mender *mender, size_t i, const tb_job *job, tb_error *err)
{
    tb_mend mends[TB_MENDS_MOST];
    int n = tb_mends_of(mends, out->inspection->findings[i].kind);
    tb_status status = TB_OK;
    for (int k = 0; k < n && !status; k++)
        status = tb_mender_try(&out->proposals[i * TB_MENDS_MOST + (size_t)k], mender,
                &out->inspection->findings[i], mends[k], job, err);
    return status;
}

tb_status tb_cli_mends_try(tb_cli_mends *out, const tb_mask *pattern,
        const tb_inspection *inspection, const tb_limits *limits, const tb_job *job, tb_error *err)
{
    size_t n = inspection->n_findings;
    tb_job quiet = {.n_threads = job->n_threads, .stop = job->stop};
    tb_mender *mender = tb_mender_new();
    *out = (tb_cli_mends){inspection, tb_calloc(n * TB_MENDS_MOST, sizeof *out->proposals)};
    tb_status status = mender && out->proposals ? TB_OK : tb_fail_memory(err);
    if (!status)
        status = tb_mender_see(mender, pattern, limits, &quiet, err);
    for (size_t i = 0; i < n && !status; i++) {
        tb_job_progress(job, "mends", (double)i / (double)n);
        status = try_finding(out, mender, i, &quiet, err);
    }
    tb_mender_free(mender);
    if (status)
        tb_cli_mends_clear(out);
    return status;
}

void tb_cli_mends_clear(tb_cli_mends *mends)
{
    size_t n = mends->proposals ? mends->inspection->n_findings * TB_MENDS_MOST : 0;
    for (size_t i = 0; i < n; i++)
        tb_proposal_clear(&mends->proposals[i]);
    tb_free(mends->proposals);
    *mends = (tb_cli_mends){0};
}

void tb_cli_mends_print(const tb_cli_mends *mends, size_t finding, tb_unit unit)
{
    tb_mend of[TB_MENDS_MOST];
    if (!mends->proposals)
        return;
    const tb_finding *f = &mends->inspection->findings[finding];
    int n = tb_mends_of(of, f->kind);
    for (int k = 0; k < n; k++)
        printf("          %s\n",
                tb_say_proposal(
                        f, of[k], &mends->proposals[finding * TB_MENDS_MOST + (size_t)k], unit)
                        .text);
}

static json_t *proposal_json(tb_mend mend, const tb_proposal *p)
{
    bool offered = p->hindrance == TB_MEND_WORKS;
    json_t *out = json_pack("{s:s, s:b}", "mend", NAMES[mend], "offered", offered);
    bool good = out != NULL;
    if (!offered)
        good = good &&
               !json_object_set_new(out, "reason", json_string(tb_hindrance_text(p->hindrance)));
    else
        good = good && !json_object_set_new(out, "changed_mm2", tb_json_number(p->changed_mm2, 2));
    if (offered && !isnan(p->then))
        good = good && !json_object_set_new(out, "then", tb_json_number(p->then, 3));
    if (good)
        return out;
    json_decref(out);
    return NULL;
}

tb_status tb_cli_mends_json(json_t *report, const tb_cli_mends *mends, tb_error *err)
{
    json_t *findings = json_object_get(report, "findings");
    size_t n = mends->proposals ? mends->inspection->n_findings : 0;
    for (size_t i = 0; i < n; i++) {
        tb_mend of[TB_MENDS_MOST];
        int n_of = tb_mends_of(of, mends->inspection->findings[i].kind);
        json_t *list = json_array();
        int failed = json_object_set_new(json_array_get(findings, i), "mends", list);
        for (int k = 0; k < n_of && !failed; k++)
            failed = json_array_append_new(
                    list, proposal_json(of[k], &mends->proposals[i * TB_MENDS_MOST + (size_t)k]));
        if (failed)
            return tb_fail_memory(err);
    }
    return TB_OK;
}
