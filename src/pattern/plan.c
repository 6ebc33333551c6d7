/* pattern/plan.c: see plan.h. */
#include "pattern/plan.h"

#include "base/alloc.h"
#include "base/num.h"
#include "image/label.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { N_RINGS = 6 };

/* A peninsula that bears more than half of what it can is weak enough to be thought of. */
static const double WEAK_UTILISATION = 0.5;
/* Boards are a little thicker or thinner than they are called: 6.4 mm is 1/4 in. */
static const double NOMINAL = 1.05, EIGHTH_MM = 25.4 / 8, QUARTER_MM = 25.4 / 4;
static const double TEETH_IN_WOOD = 2;

const char *const TB_SAW_ORDERS[TB_N_ORDERS + 1] = {"centre", "weak-first", "weak-last", NULL};

/* ---- weak wood ------------------------------------------------------------------------------ */

/* Every opening with a pixel within radius_mm of the place. */
static void mark_around(
        bool *weak, const tb_labels *openings, double x_mm, double y_mm, double radius_mm)
{
    double scale = openings->px_per_mm, radius = radius_mm * scale + 1.5;
    double cx = x_mm * scale, cy = y_mm * scale;
    for (int y = (int)floor(cy - radius); y <= cy + radius; y++)
        for (int x = (int)floor(cx - radius); x <= cx + radius; x++) {
            int32_t piece =
                    hypot(x + 0.5 - cx, y + 0.5 - cy) <= radius ? tb_labels_at(openings, x, y) : -1;
            if (piece >= 0)
                weak[piece] = true;
        }
}

static void mark_weak(bool *weak, const tb_labels *openings, const tb_inspection *inspection)
{
    for (size_t i = 0; i < inspection->n_findings; i++) {
        const tb_finding *f = &inspection->findings[i];
        if (f->kind == TB_FINDING_THIN_BRIDGE || f->kind == TB_FINDING_THIN_FRAME)
            mark_around(weak, openings, f->x_mm, f->y_mm, f->measured / 2);
    }
    for (size_t i = 0; i < inspection->n_limbs; i++) {
        const tb_limb *limb = &inspection->limbs[i];
        if (limb->utilisation > WEAK_UTILISATION)
            mark_around(weak, openings, limb->x_mm, limb->y_mm, limb->root_mm / 2);
    }
}

static tb_status find_weak(tb_plan *plan, const tb_inspection *inspection, const tb_mask *mask,
        const tb_job *job, tb_error *err)
{
    tb_labels *openings = NULL;
    bool *weak = NULL;
    tb_status status = tb_label_openings(&openings, mask, job, err);
    if (status)
        return status;
    weak = tb_calloc((size_t)openings->n_pieces + 1, sizeof *weak);
    if (!weak) {
        status = tb_fail_memory(err);
        goto out;
    }
    mark_weak(weak, openings, inspection);
    for (size_t i = 0; i < plan->n_steps; i++) {
        const tb_entry_hole *hole = &inspection->holes[plan->steps[i].hole];
        int32_t piece = tb_labels_at(openings, (int)floor(hole->x_mm * mask->px_per_mm),
                (int)floor(hole->y_mm * mask->px_per_mm));
        plan->steps[i].weak = piece >= 0 && weak[piece];
    }
out:
    tb_free(weak);
    tb_labels_free(openings);
    return status;
}

/* ---- order ---------------------------------------------------------------------------------- */

typedef struct {
    tb_saw_step step;
    int turn, ring; /* weak wood's turn before or after the rest's */
    double area_mm2;
} ranked;

static int compare(const void *a, const void *b)
{
    const ranked *p = a, *q = b;
    if (p->turn != q->turn)
        return p->turn < q->turn ? -1 : 1;
    if (p->ring != q->ring)
        return p->ring < q->ring ? -1 : 1;
    if (p->area_mm2 != q->area_mm2)
        return p->area_mm2 < q->area_mm2 ? -1 : 1;
    return p->step.hole < q->step.hole ? -1 : p->step.hole > q->step.hole;
}

static tb_status sort_steps(
        tb_plan *plan, const tb_inspection *inspection, const tb_mask *mask, tb_error *err)
{
    double w = mask->width_px / mask->px_per_mm / 2, h = mask->height_px / mask->px_per_mm / 2;
    ranked *order = tb_malloc(plan->n_steps, sizeof *order);
    if (!order)
        return tb_fail_memory(err);
    for (size_t i = 0; i < plan->n_steps; i++) {
        tb_saw_step step = plan->steps[i];
        const tb_opening *opening = &inspection->openings[inspection->holes[step.hole].opening];
        double away = hypot((opening->x_mm - w) / w, (opening->y_mm - h) / h) / sqrt(2);
        order[i] = (ranked){.step = step,
                .turn = plan->order == TB_ORDER_WEAK_LAST ? step.weak : !step.weak,
                .ring = (int)fmin(away * N_RINGS, N_RINGS - 1),
                .area_mm2 = opening->area_mm2};
    }
    qsort(order, plan->n_steps, sizeof *order, compare);
    for (size_t i = 0; i < plan->n_steps; i++)
        plan->steps[i] = order[i].step;
    tb_free(order);
    return TB_OK;
}

/* ---- length and time ------------------------------------------------------------------------ */

static double sawing_min(double cut_mm, const tb_plan_options *options)
{
    return options->rate_mm_s > 0 ? cut_mm / options->rate_mm_s / 60 : 0;
}

static tb_status add_steps(tb_plan *plan, const tb_inspection *inspection,
        const tb_plan_options *options, tb_error *err)
{
    int *n_holes = tb_calloc(inspection->n_openings, sizeof *n_holes);
    plan->steps = tb_calloc(inspection->n_holes, sizeof *plan->steps);
    if (!n_holes || !plan->steps) {
        tb_free(n_holes);
        return tb_fail_memory(err);
    }
    plan->n_steps = inspection->n_holes;
    plan->outline_mm = inspection->cut_length_mm;
    for (size_t i = 0; i < inspection->n_holes; i++)
        n_holes[inspection->holes[i].opening]++;
    for (size_t i = 0; i < inspection->n_holes; i++) {
        int opening = inspection->holes[i].opening;
        double cut_mm = inspection->openings[opening].cut_length_mm / n_holes[opening];
        double minutes = fmax(options->opening_min, sawing_min(cut_mm, options));
        plan->steps[i] = (tb_saw_step){.hole = (int)i, .cut_mm = cut_mm, .minutes = minutes};
        plan->minutes += minutes;
        plan->outline_mm -= cut_mm;
    }
    plan->outline_mm = fmax(plan->outline_mm, 0);
    plan->minutes += sawing_min(plan->outline_mm, options);
    tb_free(n_holes);
    return TB_OK;
}

tb_about tb_plan_about(double minutes)
{
    tb_about about;
    if (minutes < 57.5) {
        snprintf(about.text, sizeof about.text, "about %s minutes",
                tb_num_of(fmax(5, 5 * round(minutes / 5)), 0).text);
        return about;
    }
    double step = minutes < 600 ? 0.5 : 1, hours = step * round(minutes / 60 / step);
    snprintf(about.text, sizeof about.text, "about %s %s", tb_num_of(hours, 1).text,
            hours == 1 ? "hour" : "hours");
    return about;
}

/* ---- board and blade ------------------------------------------------------------------------ */

tb_blade_fit tb_plan_fit(const tb_plan_options *o)
{
    if (o->teeth_per_in > 0 && o->teeth_per_in * o->thickness_mm / 25.4 < TEETH_IN_WOOD)
        return TB_BLADE_FEW_TEETH;
    if (o->blade_most_mm > 0 && o->thickness_mm > o->blade_most_mm * NOMINAL)
        return TB_BLADE_FINE;
    return o->thickness_mm * NOMINAL < o->blade_least_mm ? TB_BLADE_COARSE : TB_BLADE_FITS;
}

/* Thicker boards go together up to the height of the 1/4 in stack; and never more than the blade
 * is usual for. */
static int stack_of(const tb_plan_options *o)
{
    double most = o->stack_thin;
    if (o->thickness_mm > QUARTER_MM * NOMINAL)
        most = floor(o->stack_thick * QUARTER_MM * NOMINAL / o->thickness_mm);
    else if (o->thickness_mm > EIGHTH_MM * NOMINAL)
        most = o->stack_thick;
    if (o->blade_most_mm > 0)
        most = fmin(most, floor(o->blade_most_mm * NOMINAL / o->thickness_mm));
    return (int)fmax(1, most);
}

/* ---- all of it ------------------------------------------------------------------------------ */

tb_status tb_plan_make(tb_plan **out, const tb_inspection *inspection, const tb_mask *mask,
        const tb_plan_options *options, const tb_job *job, tb_error *err)
{
    tb_plan *plan = tb_calloc(1, sizeof *plan);
    *out = NULL;
    if (!plan)
        return tb_fail_memory(err);
    plan->order = options->order;
    plan->stack_most = stack_of(options);
    plan->fit = tb_plan_fit(options);
    tb_status status = add_steps(plan, inspection, options, err);
    if (!status && plan->order != TB_ORDER_CENTRE)
        status = find_weak(plan, inspection, mask, job, err);
    if (!status)
        status = sort_steps(plan, inspection, mask, err);
    if (status)
        tb_plan_free(plan);
    else
        *out = plan;
    return status;
}

void tb_plan_free(tb_plan *plan)
{
    if (!plan)
        return;
    tb_free(plan->steps);
    tb_free(plan);
}
