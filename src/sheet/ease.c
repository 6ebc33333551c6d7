/* sheet/ease.c: see ease.h.
 *
 * Stretches are found path by path and laid into a copy of the outline, which is proven as a whole;
 * those that fail are left out, and it is proven again. With none left it is the outline as it was,
 * which is known to be true.
 */
#include "sheet/ease.h"

#include "base/alloc.h"

#include <string.h>

typedef struct {
    const tb_outline *outline;
    const tb_mask *mask;
    const tb_outline_options *options;
    const tb_job *job;
    tb_stretches *stretches; /* [n_paths] */
    atomic_bool failed;
} search;

static void find_in_path(void *payload, size_t i)
{
    search *s = payload;
    if (!tb_job_stopped(s->job) && tb__turns_ease(&s->stretches[i], &s->outline->paths[i], s->mask,
                                           s->options, NULL) != TB_OK)
        atomic_store(&s->failed, true);
}

/* What a path has with its stretches in place of what they replace. */
static bool lay(tb_path *to, const tb_path *from, const tb_stretches *stretches)
{
    size_t n = from->n_curves;
    for (size_t k = 0; k < stretches->n; k++)
        n += stretches->items[k].off ? 0 : stretches->items[k].n;
    *to = *from;
    to->n_curves = 0;
    to->curves = tb_malloc(n, sizeof *to->curves);
    if (!to->curves)
        return false;
    size_t done = 0;
    for (size_t k = 0; k <= stretches->n; k++) {
        const tb_stretch *s = k < stretches->n ? &stretches->items[k] : NULL;
        if (s && s->off)
            continue;
        size_t kept = (s ? s->first : from->n_curves) - done;
        memcpy(to->curves + to->n_curves, from->curves + done, kept * sizeof *to->curves);
        to->n_curves += kept;
        for (size_t i = 0; s && i < s->n; i++) {
            to->curves[to->n_curves] = s->curves[i];
            to->curves[to->n_curves++].eased = (int)k + 1;
        }
        done = s ? s->end : done;
    }
    tb__path_measure_box(to);
    return true;
}

static void drop(tb_path *paths, size_t n)
{
    for (size_t i = 0; paths && i < n; i++)
        tb_free(paths[i].curves);
    tb_free(paths);
}

static bool lay_all(tb_path **paths, const search *s)
{
    *paths = tb_calloc(s->outline->n_paths, sizeof **paths);
    bool good = *paths;
    for (size_t i = 0; i < s->outline->n_paths && good; i++)
        good = lay(&(*paths)[i], &s->outline->paths[i], &s->stretches[i]);
    return good;
}

/* Leaves out a path's stretches that fail. Where only what lies beside them does, all of them. */
static bool blame(tb_stretches *stretches, const tb_path *path, const bool *fails)
{
    bool any = false, beside = false;
    for (size_t i = 0; i < path->n_curves; i++) {
        int k = path->curves[i].eased;
        beside |= fails[i] && k == 0;
        any |= fails[i] && k > 0;
        if (fails[i] && k > 0)
            stretches->items[k - 1].off = true;
    }
    for (size_t k = 0; k < stretches->n && beside && !any; k++) {
        any |= !stretches->items[k].off;
        stretches->items[k].off = true;
    }
    return any;
}

/* Lays what is left of the stretches and proves it; *again: something failed and was left out. What
 * is left then has been seen not to stray, and what came back was known not to. */
static tb_status try_out(tb_path **paths, bool *again, search *s, tb_proof *proof, tb_error *err)
{
    bool *fails = NULL, first_time = !*paths;
    tb_outline trial = *s->outline;
    *again = false;
    drop(*paths, s->outline->n_paths);
    if (!lay_all(paths, s))
        return tb_fail_memory(err);
    trial.paths = *paths;
    tb_status status = tb__prove(&fails, proof, &trial, !first_time, s->options, s->job, err);
    size_t first = 0;
    for (size_t i = 0; i < trial.n_paths && !status; i++) {
        *again |= blame(&s->stretches[i], &trial.paths[i], fails + first);
        first += trial.paths[i].n_curves;
    }
    tb_free(fails);
    return status;
}

tb_status tb__ease(tb_outline *outline, tb_proof *proof, const tb_outline_options *options,
        const tb_job *job, tb_error *err)
{
    search s = {.outline = outline, .mask = proof->mask, .options = options, .job = job};
    tb_path *paths = NULL;
    bool again = true;
    tb_status status = TB_OK;
    s.stretches = tb_calloc(outline->n_paths, sizeof *s.stretches);
    if (!s.stretches)
        return tb_fail_memory(err);
    tb_job_each(job, outline->n_paths, find_in_path, &s);
    if (tb_job_stopped(job))
        status = tb_fail_cancelled(err);
    else if (atomic_load(&s.failed))
        status = tb_fail_memory(err);
    while (!status && again)
        status = try_out(&paths, &again, &s, proof, err);
    if (!status) {
        tb_path *old = outline->paths;
        outline->paths = paths;
        paths = old;
    }
    drop(paths, outline->n_paths);
    for (size_t i = 0; i < outline->n_paths; i++)
        tb__stretches_clear(&s.stretches[i]);
    tb_free(s.stretches);
    return status;
}
