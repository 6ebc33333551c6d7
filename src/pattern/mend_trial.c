/* pattern/mend_trial.c: what a stroke would do, found out by inspecting its neighbourhood.
 *
 * The window is inspected before and after. What its cut edges bring about is the same both times,
 * and falls out of the difference.
 */
#include "pattern/mend_private.h"

#include "base/alloc.h"
#include "image/width.h"
#include "pattern/hand.h"

#include <math.h>
#include <string.h>

static const double SAME_MM = 0.3; /* two findings so near are one */
static const double EASE_ROOM = 1.1;
/* A press of a button is answered at once, so large windows are looked at less often. */
enum { LEAST_LOOKS = 4, MOST_LOOKS = 16, MOST_LOOKED_PX = 2000000 };
enum { MOST_EASED_POINTS = 1500 }; /* more would be no easing but a new picture */

typedef struct {
    int n[TB_N_FINDING_KINDS];
    int n_must;
} counts;

struct tb__trial {
    const tb_limits *limits;
    tb_finding finding; /* in the window's millimetres */
    tb__window window;
    tb_inspector *inspector;
    tb_inspection *before;
    counts was;
    tb_mask *drawn; /* the window with the stroke */
    tb_stroke best;
    double best_cost;
    bool clean;
    int n_looks;
};

static counts count(const tb_inspection *in)
{
    counts c = {.n_must = in->n_must};
    for (size_t i = 0; i < in->n_findings; i++)
        c.n[in->findings[i].kind]++;
    return c;
}

/* The finding itself, or another where it was. */
static bool is_there(const tb_inspection *in, const tb_finding *finding)
{
    for (size_t i = 0; i < in->n_findings; i++)
        if (in->findings[i].kind == finding->kind &&
                hypot(in->findings[i].x_mm - finding->x_mm, in->findings[i].y_mm - finding->y_mm) <
                        SAME_MM)
            return true;
    return false;
}

tb_status tb__trial_new(tb__trial **out, const tb_finding *finding, const tb_mask *mask,
        const tb_limits *limits, double reach_mm, tb_error *err)
{
    tb__trial *t = tb_calloc(1, sizeof *t);
    *out = t;
    if (!t)
        return tb_fail_memory(err);
    t->limits = limits;
    t->finding = *finding;
    t->best_cost = INFINITY;
    tb_status status = tb__window_cut(&t->window, mask, finding, reach_mm, err);
    if (status)
        return status;
    t->finding.x_mm -= t->window.left_mm;
    t->finding.y_mm -= t->window.top_mm;
    t->inspector = tb_inspector_new();
    if (!t->inspector)
        return tb_fail_memory(err);
    status = tb_mask_copy(&t->drawn, t->window.mask, err);
    if (!status)
        status = tb_reinspect(&t->before, t->inspector, t->window.mask, limits, NULL, err);
    if (!status)
        t->was = count(t->before);
    return status;
}

void tb__trial_free(tb__trial *t)
{
    if (!t)
        return;
    tb_stroke_clear(&t->best);
    tb_inspection_free(t->before);
    tb_inspector_free(t->inspector);
    tb_mask_free(t->drawn);
    tb_mask_free(t->window.mask);
    tb_free(t);
}

bool tb__trial_done(const tb__trial *t)
{
    double looked_px = (double)t->n_looks * (double)tb_mask_area_px(t->drawn);
    return t->clean || t->n_looks >= MOST_LOOKS ||
           (t->n_looks >= LEAST_LOOKS && looked_px >= MOST_LOOKED_PX);
}

const tb__window *tb__trial_window(const tb__trial *t)
{
    return &t->window;
}

const tb_limb *tb__trial_limb(const tb__trial *t)
{
    const tb_limb *best = NULL;
    double least = SAME_MM;
    for (size_t i = 0; i < t->before->n_limbs; i++) {
        const tb_limb *limb = &t->before->limbs[i];
        double away = hypot(limb->x_mm - t->finding.x_mm, limb->y_mm - t->finding.y_mm);
        if (away < least) {
            least = away;
            best = limb;
        }
    }
    return best;
}

bool tb__trial_sees(const tb__trial *t)
{
    for (size_t i = 0; i < t->before->n_findings; i++) {
        const tb_finding *f = &t->before->findings[i];
        double away = hypot(f->x_mm - t->finding.x_mm, f->y_mm - t->finding.y_mm);
        if (f->kind == t->finding.kind && away < SAME_MM &&
                fabs(f->measured - t->finding.measured) <= 0.02 * t->finding.measured + 0.01)
            return true;
    }
    return false;
}

tb_status tb__trial_best(tb_stroke *out, const tb__trial *t, tb_error *err)
{
    if (t->best.n_points == 0)
        return tb_fail(err, TB_EINVAL, "nothing here can be mended by a stroke");
    return tb_stroke_copy(out, &t->best, err);
}

/* Lays the stroke over the window. */
static tb_status lay(tb__trial *t, const tb_stroke *stroke, tb_error *err)
{
    tb_stroke moved = {0};
    tb_status status = tb_stroke_copy(&moved, stroke, err);
    int32_t left_um = (int32_t)lround(t->window.left_mm * 1000);
    int32_t top_um = (int32_t)lround(t->window.top_mm * 1000);
    for (size_t i = 0; !status && i < moved.n_points; i++) {
        moved.points[i].x_um -= left_um;
        moved.points[i].y_um -= top_um;
    }
    memcpy(t->drawn->px, t->window.mask->px, tb_mask_area_px(t->drawn));
    if (!status)
        status = tb_stroke_cover(t->drawn, stroke->kind == TB_STROKE_WOOD, &moved, err);
    tb_stroke_clear(&moved);
    return status;
}

static size_t changed_px(const tb__trial *t)
{
    size_t n = 0;
    for (size_t i = 0; i < tb_mask_area_px(t->drawn); i++)
        n += t->drawn->px[i] != t->window.mask->px[i];
    return n;
}

/* A new place that must be mended weighs more than the finding staying, and that more than a new
 * place that should be; the area settles what is left. */
static double cost_of(const tb__trial *t, const tb_inspection *after, bool *gone, bool *clean)
{
    counts is = count(after);
    int kind = (int)t->finding.kind, n_new = 0;
    bool seen = is_there(t->before, &t->finding);
    *gone = !is_there(after, &t->finding) && is.n[kind] <= t->was.n[kind] - (seen ? 1 : 0);
    for (int k = 0; k < TB_N_FINDING_KINDS; k++)
        n_new += is.n[k] > t->was.n[k] ? is.n[k] - t->was.n[k] : 0;
    int n_must = is.n_must > t->was.n_must ? is.n_must - t->was.n_must : 0;
    *clean = *gone && n_new == 0 && n_must == 0;
    double share = (double)changed_px(t) / (double)tb_mask_area_px(t->drawn);
    return 1e4 * n_must + (*gone ? 0 : 100) + 10 * n_new + share;
}

static tb_status judge(tb__trial *t, bool *gone, const tb_stroke *stroke, tb_error *err)
{
    tb_inspection *after = NULL;
    bool clean;
    t->n_looks++;
    tb_status status = lay(t, stroke, err);
    if (!status)
        status = tb_reinspect(&after, t->inspector, t->drawn, t->limits, NULL, err);
    if (status)
        return status;
    double cost = cost_of(t, after, gone, &clean);
    tb_inspection_free(after);
    if (cost >= t->best_cost)
        return TB_OK;
    t->best_cost = cost;
    t->clean = clean;
    tb_stroke_clear(&t->best);
    return tb_stroke_copy(&t->best, stroke, err);
}

/* ---- eased into the banks ------------------------------------------------------------------- */

/* What the blade couldn't turn in beside the stroke: corners of the openings where wood was put,
 * of the wood where it was sawn. */
static tb_status find_corners(tb_mask **out, const tb__trial *t, bool wood, tb_error *err)
{
    double turn_mm = 2 * t->limits->turn_radius_mm * EASE_ROOM;
    tb_status status = wood ? tb_close_wood(out, t->drawn, turn_mm, NULL, err)
                            : tb_open_wood(out, t->drawn, turn_mm, false, NULL, err);
    for (size_t i = 0; !status && i < tb_mask_area_px(*out); i++)
        (*out)->px[i] = (*out)->px[i] != t->drawn->px[i];
    return status;
}

/* The point of the stroke whose disc reaches nearest to a pixel, and how near, in mm. */
static size_t nearest_point(double *away_mm, const tb__trial *t, const tb_stroke *stroke, int px)
{
    int w = t->drawn->width_px;
    double s = t->drawn->px_per_mm;
    double x = t->window.left_mm + (px % w + 0.5) / s, y = t->window.top_mm + (px / w + 0.5) / s;
    size_t best = 0;
    *away_mm = INFINITY;
    for (size_t i = 0; i < stroke->n_points; i++) {
        const tb_stroke_point *p = &stroke->points[i];
        double away = hypot(p->x_um / 1e3 - x, p->y_um / 1e3 - y) - p->width_um / 2e3;
        if (away < *away_mm) {
            *away_mm = away;
            best = i;
        }
    }
    return best;
}

static tb_status add_point(tb_stroke *out, const tb_stroke_point *p, tb_error *err)
{
    return tb_stroke_add(out, p->x_um / 1e3, p->y_um / 1e3, p->width_um / 1e3, err);
}

/* A pixel of a corner, and the point of the stroke that it is filled from. */
typedef struct {
    int px;
    size_t from;
} touch;

enum { MOST_TOUCHES = 256 };

/* Corner pixels that touch the stroke. */
static int find_touches(
        touch found[MOST_TOUCHES], const tb__trial *t, const tb_stroke *stroke, const tb_mask *set)
{
    double pixel_mm = 1.5 / t->drawn->px_per_mm, away_mm;
    int n = 0;
    for (size_t i = 0; i < tb_mask_area_px(set) && n < MOST_TOUCHES; i++) {
        if (!set->px[i])
            continue;
        size_t from = nearest_point(&away_mm, t, stroke, (int)i);
        if (away_mm <= pixel_mm)
            found[n++] = (touch){(int)i, from};
    }
    return n;
}

/* Where corners touch the stroke they are filled from its nearest point, and the stroke goes on
 * from there. *any: whether there were some. */
static tb_status ease(
        tb_stroke *out, bool *any, const tb__trial *t, const tb_stroke *stroke, tb_error *err)
{
    tb_mask *corners = NULL;
    touch touches[MOST_TOUCHES];
    *out = (tb_stroke)TB_STROKE_INIT(stroke->kind);
    tb_status status = find_corners(&corners, t, stroke->kind == TB_STROKE_WOOD, err);
    int n = status ? 0 : find_touches(touches, t, stroke, corners);
    *any = n > 0;
    for (size_t k = 0; !status && n > 0 && k < stroke->n_points; k++) {
        status = add_point(out, &stroke->points[k], err);
        for (int i = 0; !status && i < n; i++) {
            if (touches[i].from != k || !corners->px[touches[i].px])
                continue;
            status = tb__mend_fill(out, &t->window, corners, touches[i].px, err);
            if (!status)
                status = add_point(out, &stroke->points[k], err);
        }
    }
    *any = *any && out->n_points <= MOST_EASED_POINTS;
    tb_mask_free(corners);
    return status;
}

/* Easing takes away what a stroke brings, and turns; nothing else that it left. */
tb_status tb__trial_take(tb__trial *t, const tb_stroke *stroke, tb_error *err)
{
    tb_stroke eased = {0};
    bool any = false, gone = false;
    tb_status status = stroke->n_points ? judge(t, &gone, stroke, err) : TB_OK;
    bool helps = gone || t->finding.kind == TB_FINDING_TIGHT_TURN;
    if (status || tb__trial_done(t) || stroke->n_points == 0 || !helps)
        return status;
    status = lay(t, stroke, err);
    if (!status)
        status = ease(&eased, &any, t, stroke, err);
    if (!status && any)
        status = judge(t, &gone, &eased, err);
    tb_stroke_clear(&eased);
    return status;
}
