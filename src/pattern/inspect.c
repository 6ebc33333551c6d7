/* pattern/inspect.c: see inspect.h.
 *
 * Labels of both tones and a distance map of each are made once; the parts of the family
 * (survey.h) read them and add their findings.
 */
#include "pattern/inspect.h"

#include "base/alloc.h"
#include "image/distance.h"
#include "pattern/survey.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CAP_MAX_PX = 255 };

/* Wood wider than twice this holds itself. */
#define ROOM_RADIUS_MM 5.0

static int cap_px(const tb__survey *s, double radius_mm)
{
    double px = ceil(radius_mm * s->px_per_mm) + 2;
    return px > CAP_MAX_PX ? CAP_MAX_PX : (int)px;
}

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

static void invert_cb(void *payload, size_t first, size_t end)
{
    tb_mask **both = payload;
    size_t width = (size_t)both[0]->width_px;
    for (size_t i = first * width; i < end * width; i++)
        both[0]->px[i] = both[1]->px[i] ^ 1;
}

static tb_status measure_openings(tb__survey *s)
{
    const tb_limits *limits = s->limits;
    double disc_mm = limits->drill_mm + fmax(limits->drill_room_mm, 2 * limits->hole_clear_mm);
    s->opening_cap_px = cap_px(s, disc_mm / 2);
    tb_mask *inverse = NULL;
    tb_status status =
            tb_mask_new(&inverse, s->mask->width_px, s->mask->height_px, s->px_per_mm, s->err);
    if (status)
        return status;
    tb_mask *both[2] = {inverse, (tb_mask *)(uintptr_t)s->mask};
    tb_job_rows(s->job, (size_t)s->mask->height_px, 64, invert_cb, both);
    status = tb_distance_capped(&s->opening_d2, inverse, s->opening_cap_px, true, s->job, s->err);
    tb_mask_free(inverse);
    return status;
}

static tb_status measure_wood(tb__survey *s)
{
    const tb_limits *limits = s->limits;
    double below_mm = fmax(limits->bridge_should_mm, limits->bridge_across_mm);
    s->wood_cap_px = cap_px(s, fmax(ROOM_RADIUS_MM, 0.75 * (below_mm + limits->split_kerf_mm)));
    tb_status status =
            tb_distance_capped(&s->wood_d2, s->mask, s->wood_cap_px, true, s->job, s->err);
    if (!status)
        status = tb_ridge_find(&s->ridge, s->wood_d2, s->mask, s->wood_cap_px, s->job, s->err);
    return status;
}

static tb_status survey_all(tb__survey *s)
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
    status = measure_wood(s);
    if (!status)
        status = tb__inspect_pieces(s);
    if (!status)
        status = tb__inspect_necks(s);
    if (!status)
        status = tb__inspect_outlines(s);
    if (!status)
        status = tb__inspect_limbs(s);
    if (!status)
        status = measure_openings(s);
    if (!status)
        status = tb__inspect_slots(s);
    if (!status)
        status = tb__inspect_openings(s);
    return status;
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

static void survey_clear(tb__survey *s)
{
    tb_labels_free(s->wood);
    tb_labels_free(s->openings);
    tb_ridge_free(s->ridge);
    tb_free(s->opening_of);
    tb_free(s->wood_d2);
    tb_free(s->opening_d2);
}

tb_status tb_inspect(tb_inspection **out, const tb_mask *mask, const tb_limits *limits,
        const tb_job *job, tb_error *err)
{
    *out = NULL;
    tb_status status = tb_limits_check(limits, err);
    if (status)
        return status;
    tb_inspection *result = tb_calloc(1, sizeof *result);
    if (!result)
        return tb_fail_memory(err);
    tb__survey s = {.mask = mask,
            .limits = limits,
            .job = job,
            .px_per_mm = mask->px_per_mm,
            .result = result,
            .err = err};
    status = survey_all(&s);
    survey_clear(&s);
    if (status) {
        tb_inspection_free(result);
        return status;
    }
    sum_up(result);
    *out = result;
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
