/* pattern/inspect.c: see inspect.h.
 *
 * Labels of both tones and a distance map of each are made once; the parts of the family
 * (survey.h) read them and add their findings.
 */
#include "pattern/inspect.h"

#include "base/alloc.h"
#include "pattern/survey.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int32_t find_mainland(const tb_labels *wood)
{
    int32_t best = -1;
    for (int32_t i = 0; i < wood->n_pieces; i++) {
        const tb_piece *piece = &wood->pieces[i], *so_far = &wood->pieces[best < 0 ? i : best];
        bool better = piece->at_edge == so_far->at_edge ? piece->area_px > so_far->area_px
                                                        : piece->at_edge;
        if (best < 0 || better)
            best = i;
    }
    return best;
}

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

static tb_status survey_wood(tb__survey *s)
{
    tb_status status =
            s->changed ? tb__ground_patch_wood(s->ground, s->mask, *s->changed, s->job, s->err)
                       : tb__ground_lay_wood(s->ground, s->mask, s->limits, s->job, s->err);
    if (!status)
        status = tb__inspect_pieces(s);
    if (!status)
        status = tb__inspect_necks(s);
    if (!status)
        status = tb__inspect_outlines(s);
    if (!status)
        status = tb__inspect_limbs(s);
    return status;
}

static tb_status survey_openings(tb__survey *s)
{
    tb_status status =
            s->changed ? tb__ground_patch_openings(
                                 s->ground, s->mask, s->limits, *s->changed, s->job, s->err)
                       : tb__ground_lay_openings(s->ground, s->mask, s->limits, s->job, s->err);
    if (!status)
        status = tb__inspect_slots(s);
    if (!status)
        status = tb__inspect_openings(s);
    return status;
}

static tb_status survey_all(tb__survey *s, bool keep)
{
    tb_status status = tb_label_wood(&s->wood, s->mask, s->job, s->err);
    if (!status)
        status = tb_label_openings(&s->openings, s->mask, s->job, s->err);
    if (!status)
        status = number_openings(s);
    if (status)
        return status;
    s->mainland = find_mainland(s->wood);
    s->result->n_pieces = s->wood->n_pieces;
    if (s->mainland >= 0) {
        const tb_piece *p = &s->wood->pieces[s->mainland];
        int width = p->right_px - p->left_px, height = p->bottom_px - p->top_px;
        s->result->narrowest_wood_mm = (width < height ? width : height) / s->px_per_mm;
    }
    status = survey_wood(s);
    if (!keep)
        tb__ground_clear_wood(s->ground);
    return status ? status : survey_openings(s);
}

/* How far beyond its limit a finding lies; above 1. */
static double excess(const tb_finding *f)
{
    if (f->kind == TB_FINDING_ISLAND)
        return 1e6 + f->measured;
    if (f->kind == TB_FINDING_WEAK_PENINSULA)
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

static tb_status inspect(tb_inspection **out, tb__ground *ground, bool keep, const tb_mask *mask,
        const tb_limits *limits, const tb_rect *changed, const tb_job *job, tb_error *err)
{
    tb_inspection *result = tb_calloc(1, sizeof *result);
    if (!result)
        return tb_fail_memory(err);
    tb__survey s = {.mask = mask,
            .limits = limits,
            .job = job,
            .px_per_mm = mask->px_per_mm,
            .ground = ground,
            .changed = changed,
            .result = result,
            .err = err};
    tb_status status = survey_all(&s, keep);
    tb_labels_free(s.wood);
    tb_labels_free(s.openings);
    tb_free(s.opening_of);
    if (status) {
        tb_inspection_free(result);
        return status;
    }
    sum_up(result);
    *out = result;
    return TB_OK;
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
    bool laid; /* the ground is that of a pattern of this size, for these limits */
    int width_px, height_px;
    double px_per_mm;
    tb_limits limits;
    tb__ground ground;
};

tb_inspector *tb_inspector_new(void)
{
    return tb_calloc(1, sizeof(tb_inspector));
}

void tb_inspector_free(tb_inspector *inspector)
{
    if (inspector)
        tb__ground_clear(&inspector->ground);
    tb_free(inspector);
}

static bool still_laid(const tb_inspector *i, const tb_mask *mask, const tb_limits *limits)
{
    return i->laid && i->width_px == mask->width_px && i->height_px == mask->height_px &&
           i->px_per_mm == mask->px_per_mm && memcmp(&i->limits, limits, sizeof *limits) == 0;
}

tb_status tb_reinspect(tb_inspection **out, tb_inspector *inspector, const tb_mask *mask,
        const tb_limits *limits, const tb_rect *changed, const tb_job *job, tb_error *err)
{
    *out = NULL;
    tb_status status = tb_limits_check(limits, err);
    if (status)
        return status;
    tb_rect whole = {0, 0, mask->width_px, mask->height_px};
    tb_rect within = changed ? tb_rect_meet(*changed, whole) : whole;
    if (!still_laid(inspector, mask, limits) || !changed) {
        tb__ground_clear(&inspector->ground);
        changed = NULL;
    } else {
        if (tb_rect_empty(within))
            within = (tb_rect){0, 0, 1, 1};
        changed = &within;
    }
    inspector->laid = false;
    status = inspect(out, &inspector->ground, true, mask, limits, changed, job, err);
    if (status)
        return status;
    inspector->laid = true;
    inspector->width_px = mask->width_px;
    inspector->height_px = mask->height_px;
    inspector->px_per_mm = mask->px_per_mm;
    inspector->limits = *limits;
    return TB_OK;
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
