/* pattern/inspect.c: see inspect.h.
 *
 * Labels of both tones and a distance map of each are made once; the parts of the family
 * (survey.h) read them and add their findings.
 */
#include "pattern/inspect.h"

#include "base/alloc.h"
#include "base/array.h"
#include "pattern/survey.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static tb_status number_openings(tb__survey *s)
{
    size_t n = (size_t)s->openings->n_pieces;
    s->opening_of = tb_malloc(n, sizeof *s->opening_of);
    s->result->openings = tb_calloc(n, sizeof *s->result->openings);
    if (!s->opening_of || !s->result->openings)
        return tb_fail_memory(s->err);
    for (size_t i = 0; i < n; i++)
        s->opening_of[i] = s->openings->pieces[i].at_edge ? -1 : (int32_t)s->result->n_openings++;
    return TB_OK;
}

static tb_status lay_wood(tb__survey *s)
{
    if (s->changed)
        return tb__ground_patch_wood(s->ground, s->mask, s->changed, s->job, s->err);
    return tb__ground_lay_wood(s->ground, s->mask, s->limits, s->job, s->err);
}

static tb_status lay_openings(tb__survey *s)
{
    if (s->changed)
        return tb__ground_patch_openings(s->ground, s->mask, s->limits, s->changed, s->job, s->err);
    return tb__ground_lay_openings(s->ground, s->mask, s->limits, s->keep, s->job, s->err);
}

static tb_status label_wood(tb__survey *s)
{
    return tb_label_wood(&s->wood, s->mask, s->job, s->err);
}

static tb_status label_openings(tb__survey *s)
{
    tb_status status = tb_label_openings(&s->openings, s->mask, s->job, s->err);
    return status ? status : number_openings(s);
}

/* The survey goes in two lanes, the wood's and the openings', each with its own findings. What one
 * lane has found, the other sees in the next stage. */
typedef struct {
    tb__survey lane[2];
    tb_job job; /* of each lane's own loops: all threads, for one lane is often done first */
    tb_error err[2];
    tb_status status[2];
} survey;

enum { WOOD, OPENINGS, STEPS_MAX = 3 };

typedef tb_status step(tb__survey *lane);

typedef struct {
    survey *both;
    step *steps[2][STEPS_MAX];
} stage;

static void lane_cb(void *payload, size_t first, size_t end)
{
    const stage *at = payload;
    for (size_t k = first; k < end; k++)
        for (int i = 0; i < STEPS_MAX && at->steps[k][i] && !at->both->status[k]; i++)
            at->both->status[k] = at->steps[k][i](&at->both->lane[k]);
}

static bool run_stage(survey *both, const stage *at, const tb_job *job)
{
    tb_job_rows(job, 2, 1, lane_cb, (void *)(uintptr_t)at);
    tb__survey *wood = &both->lane[WOOD], *openings = &both->lane[OPENINGS];
    openings->wood = wood->wood;
    wood->openings = openings->openings;
    wood->opening_of = openings->opening_of;
    return !both->status[WOOD] && !both->status[OPENINGS];
}

static void find_held(survey *both)
{
    tb__survey *s = &both->lane[WOOD];
    s->mainland = both->lane[OPENINGS].mainland = tb_labels_mainland(s->wood);
    if (s->mainland < 0)
        return;
    const tb_piece *p = &s->wood->pieces[s->mainland];
    int width = p->right_px - p->left_px, height = p->bottom_px - p->top_px;
    s->result->narrowest_wood_mm = (width < height ? width : height) / s->px_per_mm;
    both->lane[OPENINGS].result->narrowest_wood_mm = s->result->narrowest_wood_mm;
}

/* The limbs' tips are corners and ends of outlines. */
static void lend_tips(survey *both, bool lend)
{
    both->lane[WOOD].ends = lend ? both->lane[OPENINGS].ends : NULL;
    both->lane[WOOD].n_ends = lend ? both->lane[OPENINGS].n_ends : 0;
    tb_inspection *wood = both->lane[WOOD].result, *openings = both->lane[OPENINGS].result;
    wood->corners = lend ? openings->corners : NULL;
    wood->n_corners = lend ? openings->n_corners : 0;
}

static void run_at_once(survey *both, const tb_job *job)
{
    stage maps = {both, {{label_wood, lay_wood}, {label_openings, lay_openings}}};
    stage lines = {both, {{tb__inspect_pieces, tb__inspect_necks}, {tb__inspect_outlines}}};
    stage rest = {both, {{tb__inspect_limbs}, {tb__inspect_slots, tb__inspect_openings}}};
    if (!run_stage(both, &maps, job))
        return;
    find_held(both);
    if (!run_stage(both, &lines, job))
        return;
    lend_tips(both, true);
    run_stage(both, &rest, job);
    lend_tips(both, false);
}

/* For pictures so large that the maps of both tones at once would be too much. */
static void run_in_turn(survey *both)
{
    stage labels = {both, {{label_wood}, {label_openings}}};
    stage lines = {both, {{lay_wood, tb__inspect_pieces, tb__inspect_necks}, {0}}};
    stage outlines = {both, {{0}, {tb__inspect_outlines}}};
    stage limbs = {both, {{tb__inspect_limbs}, {0}}};
    stage rest = {both, {{0}, {lay_openings, tb__inspect_slots, tb__inspect_openings}}};
    if (!run_stage(both, &labels, NULL))
        return;
    find_held(both);
    if (!run_stage(both, &outlines, NULL) || !run_stage(both, &lines, NULL))
        return;
    lend_tips(both, true);
    bool good = run_stage(both, &limbs, NULL);
    lend_tips(both, false);
    tb__ground_clear_wood(both->lane[WOOD].ground);
    if (good)
        run_stage(both, &rest, NULL);
}

/* How far beyond its limit a finding lies; above 1. */
static double excess(const tb_finding *f)
{
    if (f->kind == TB_FINDING_ISLAND)
        return 1e6 + f->measured;
    if (f->kind == TB_FINDING_WEAK_PENINSULA && !tb_finding_is_strand(f))
        return f->measured / f->limit;
    return f->measured > 0 ? f->limit / f->measured : 1e6;
}

static int worst_first(const void *left, const void *right)
{
    const tb_finding *a = left, *b = right;
    if (a->severity != b->severity)
        return a->severity > b->severity ? -1 : 1;
    if (a->kind != b->kind)
        return a->kind < b->kind ? -1 : 1;
    double by = excess(b) - excess(a);
    if (by != 0)
        return by > 0 ? 1 : -1;
    if (a->y_mm != b->y_mm)
        return a->y_mm < b->y_mm ? -1 : 1;
    return (a->x_mm > b->x_mm) - (a->x_mm < b->x_mm);
}

static void sum_up(tb_inspection *result)
{
    if (result->n_findings)
        qsort(result->findings, result->n_findings, sizeof *result->findings, worst_first);
    for (size_t i = 0; i < result->n_findings; i++)
        *(result->findings[i].severity == TB_MUST ? &result->n_must : &result->n_should) += 1;
}

/* Adds the wood's findings to the openings', whose inspection is the whole's. */
static tb_status merge(survey *both, tb_error *err)
{
    tb_inspection *to = both->lane[OPENINGS].result, *from = both->lane[WOOD].result;
    if (!tb_array_reserve(&to->findings, &both->lane[OPENINGS].room_findings, to->n_findings,
                from->n_findings))
        return tb_fail_memory(err);
    if (from->n_findings)
        memcpy(to->findings + to->n_findings, from->findings,
                from->n_findings * sizeof *to->findings);
    to->n_findings += from->n_findings;
    from->n_findings = 0; /* their extents have a new owner */
    to->limbs = from->limbs;
    to->n_limbs = from->n_limbs;
    from->limbs = NULL;
    to->n_must += from->n_must;
    to->n_should += from->n_should;
    to->n_pieces = both->lane[WOOD].wood->n_pieces;
    to->narrowest_wood_mm = fmin(to->narrowest_wood_mm, from->narrowest_wood_mm);
    sum_up(to);
    return TB_OK;
}

enum { AT_ONCE_MAX_PX = 64000000 };

static tb_status inspect(tb_inspection **out, tb__ground *ground, bool keep, const tb_mask *mask,
        const tb_limits *limits, const tb_squares *changed, const tb_job *job, tb_error *err)
{
    survey both = {.job = {.n_threads = job ? job->n_threads : 1, .stop = job ? job->stop : NULL}};
    bool at_once = keep || tb_mask_area_px(mask) <= AT_ONCE_MAX_PX;
    for (int k = 0; k < 2; k++)
        both.lane[k] = (tb__survey){.mask = mask,
                .limits = limits,
                .job = &both.job,
                .px_per_mm = mask->px_per_mm,
                .ground = ground,
                .changed = changed,
                .keep = keep,
                .result = tb_calloc(1, sizeof(tb_inspection)),
                .err = &both.err[k]};
    tb_status status = TB_OK;
    if (!both.lane[0].result || !both.lane[1].result)
        status = tb_fail_memory(err);
    else if (at_once)
        run_at_once(&both, job);
    else
        run_in_turn(&both);
    for (int k = 0; k < 2 && !status; k++)
        if (both.status[k])
            status = tb_fail(err, both.status[k], "%s", both.err[k].text);
    if (!status)
        status = merge(&both, err);
    if (!status) {
        *out = both.lane[OPENINGS].result;
        both.lane[OPENINGS].result = NULL;
    }
    tb_labels_free(both.lane[WOOD].wood);
    tb_labels_free(both.lane[OPENINGS].openings);
    tb_free(both.lane[OPENINGS].opening_of);
    tb_free(both.lane[OPENINGS].ends);
    tb_free(both.lane[WOOD].bridges);
    tb_inspection_free(both.lane[WOOD].result);
    tb_inspection_free(both.lane[OPENINGS].result);
    return status;
}

tb_status tb_inspect(tb_inspection **out, const tb_mask *mask, const tb_limits *limits,
        const tb_job *job, tb_error *err)
{
    *out = NULL;
    tb_status status = tb_limits_check(limits, err);
    if (status)
        return status;
    tb__ground ground = {0};
    status = inspect(out, &ground, false, mask, limits, NULL, job, err);
    tb__ground_clear(&ground);
    return status;
}

struct tb_inspector {
    tb_mask *seen; /* what the ground was laid for, with these limits; NULL: nothing yet */
    tb_limits limits;
    tb__ground ground;
};

const tb__ground *tb__inspector_ground(const tb_inspector *inspector)
{
    return inspector->seen ? &inspector->ground : NULL;
}

tb_inspector *tb_inspector_new(void)
{
    return tb_calloc(1, sizeof(tb_inspector));
}

void tb_inspector_free(tb_inspector *inspector)
{
    if (!inspector)
        return;
    tb__ground_clear(&inspector->ground);
    tb_mask_free(inspector->seen);
    tb_free(inspector);
}

static bool still_laid(const tb_inspector *i, const tb_mask *mask, const tb_limits *limits)
{
    return i->seen && i->seen->width_px == mask->width_px &&
           i->seen->height_px == mask->height_px && i->seen->px_per_mm == mask->px_per_mm &&
           memcmp(&i->limits, limits, sizeof *limits) == 0;
}

static void forget(tb_inspector *inspector)
{
    tb__ground_clear(&inspector->ground);
    tb_mask_free(inspector->seen);
    inspector->seen = NULL;
}

static tb_status remember(
        tb_inspector *i, const tb_mask *mask, const tb_limits *limits, tb_error *err)
{
    i->limits = *limits;
    if (!i->seen)
        return tb_mask_copy(&i->seen, mask, err);
    memcpy(i->seen->px, mask->px, tb_mask_area_px(mask));
    return TB_OK;
}

tb_status tb_reinspect(tb_inspection **out, tb_inspector *inspector, const tb_mask *mask,
        const tb_limits *limits, const tb_job *job, tb_error *err)
{
    tb_squares *changed = NULL;
    *out = NULL;
    tb_status status = tb_limits_check(limits, err);
    if (status)
        return status;
    if (!still_laid(inspector, mask, limits))
        forget(inspector);
    else
        status = tb_squares_differing(&changed, inspector->seen, mask, err);
    if (!status)
        status = inspect(out, &inspector->ground, true, mask, limits, changed, job, err);
    if (!status)
        status = remember(inspector, mask, limits, err);
    if (status) {
        forget(inspector);
        tb_inspection_free(*out);
        *out = NULL;
    }
    tb_squares_free(changed);
    return status;
}

void tb_inspection_free(tb_inspection *inspection)
{
    if (!inspection)
        return;
    for (size_t i = 0; i < inspection->n_findings; i++)
        tb_free(inspection->findings[i].extent);
    tb_free(inspection->findings);
    tb_free(inspection->openings);
    tb_free(inspection->holes);
    tb_free(inspection->corners);
    tb_free(inspection->limbs);
    tb_free(inspection);
}
