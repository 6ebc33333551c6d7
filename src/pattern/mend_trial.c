/* pattern/mend_trial.c: what a stroke would do, found out by inspecting the pattern with it.
 *
 * A window about the finding is inspected with each stroke first: what its cut edges bring about is
 * the same before and after, and falls out of the difference. What is good there is drawn on the
 * whole pattern, and that is what counts: a strand may be thin again farther on, a peninsula hang
 * by what lies beyond the window. Where the window does not show the finding as it was found, only
 * the whole is looked at.
 */
#include "pattern/mend_private.h"

#include "base/alloc.h"
#include "image/width.h"

#include <math.h>
#include <string.h>

static const double SAME_MM = 0.3; /* two findings so near are one */
static const double EASE_ROOM = 1.1;
static const double NEIGHBOURHOOD_MM = 10;
static const double LIMB_NEAR_MM = 1.5; /* a mended root moves by about so much, or by its width */
enum { MOST_SCREENED = 16, MOST_LOOKS = 6 };
enum { MOST_EASED_POINTS = 1500 }; /* more would be no easing but a new picture */

typedef struct {
    int n[TB_N_FINDING_KINDS], n_must[TB_N_FINDING_KINDS];
    int all, all_must;
} counts;

/* What a stroke did to what was looked at. */
typedef struct {
    tb_hindrance hindrance;
    bool clean; /* nothing of any other kind came */
    bool advised;
    int n_new;
    double changed_mm2;
    double load; /* of a peninsula, as share of what is safe; NAN: none hangs there */
} effect;

struct tb__trial {
    tb_mender *mender;
    const tb_job *job;
    const tb_finding *whole; /* the finding, on the board */
    tb_finding finding;      /* and in the window's millimetres */
    tb__window window;
    tb_inspector *inspector;
    tb_inspection *before; /* of the window; NULL: it does not show the finding */
    tb_mask *drawn;        /* the window with the stroke */
    bool keeps_openings;   /* a stroke that parts, joins or fills some is no mend */
    int n_screened, n_looks;
    tb_hindrance last;   /* of the last stroke that was tried */
    effect of_screened;  /* the best of the window */
    tb_stroke next_best; /* gone in the window, but something else came there */
    double next_cost;
    tb_stroke best; /* looked at in the whole; what is best so far */
    effect of_best;
};

static counts count(const tb_inspection *in)
{
    counts c = {.all = in->n_must + in->n_should, .all_must = in->n_must};
    for (size_t i = 0; i < in->n_findings; i++) {
        c.n[in->findings[i].kind]++;
        c.n_must[in->findings[i].kind] += in->findings[i].severity == TB_MUST;
    }
    return c;
}

/* The finding itself, or another where it was; only such as must be mended, or any. */
static bool is_there(const tb_inspection *in, const tb_finding *finding, bool must)
{
    for (size_t i = 0; i < in->n_findings; i++) {
        const tb_finding *f = &in->findings[i];
        if (f->kind == finding->kind && (!must || f->severity == TB_MUST) &&
                hypot(f->x_mm - finding->x_mm, f->y_mm - finding->y_mm) < SAME_MM)
            return true;
    }
    return false;
}

static effect compare(
        const tb_inspection *before, const tb_inspection *after, const tb_finding *finding)
{
    counts was = count(before), is = count(after);
    bool must = finding->severity == TB_MUST, brings = is.all_must > was.all_must - must;
    effect e = {0};
    for (int k = 0; k < TB_N_FINDING_KINDS; k++) {
        brings = brings || is.n_must[k] > was.n_must[k] - (must && k == (int)finding->kind);
        if (k != (int)finding->kind && is.n[k] > was.n[k])
            e.n_new += is.n[k] - was.n[k];
    }
    bool gone = is.n[finding->kind] < was.n[finding->kind] && !is_there(after, finding, false);
    bool safe = must && is.n_must[finding->kind] < was.n_must[finding->kind] &&
                !is_there(after, finding, true);
    e.advised = safe && !gone;
    e.clean = gone && e.n_new == 0 && !brings;
    if (!gone && !safe)
        e.hindrance = TB_MEND_STAYS;
    else if (brings)
        e.hindrance = TB_MEND_BRINGS;
    else if (!must && is.all >= was.all)
        e.hindrance = TB_MEND_NO_GAIN;
    return e;
}

static bool better(const effect *a, const effect *b)
{
    if (a->hindrance != b->hindrance)
        return a->hindrance == TB_MEND_WORKS ||
               (b->hindrance != TB_MEND_WORKS && a->hindrance > b->hindrance);
    if (a->advised != b->advised)
        return b->advised;
    return a->n_new != b->n_new ? a->n_new < b->n_new : a->changed_mm2 < b->changed_mm2;
}

/* ---- the whole pattern ----------------------------------------------------------------------- */

static double changed_mm2(const tb_mender *m, tb_rect dirty)
{
    size_t n = 0;
    for (int y = dirty.top_px; y < dirty.bottom_px; y++) {
        size_t row = (size_t)y * (size_t)m->pattern->width_px;
        for (size_t i = row + (size_t)dirty.left_px; i < row + (size_t)dirty.right_px; i++)
            n += m->pattern->px[i] != m->hand->mask->px[i];
    }
    return (double)n / (m->pattern->px_per_mm * m->pattern->px_per_mm);
}

tb_status tb__mender_undo(tb_mender *m, tb_error *err)
{
    tb_rect dirty;
    if (tb_hand_undo(m->hand, &dirty))
        return TB_OK;
    tb_hand_free(m->hand);
    m->hand = NULL;
    return tb_hand_new(&m->hand, m->pattern, TB__MENDER_KEEPS, err);
}

/* Of the limbs that hang where one did, the load of the one that is strained most. */
static double load_about(const tb__trial *t, const tb_inspection *after)
{
    const tb_limb *was = tb__mend_limb(t->mender->before, t->whole, 2 * LIMB_NEAR_MM);
    double near_mm = was ? fmax(was->root_mm, LIMB_NEAR_MM) : LIMB_NEAR_MM, load = NAN;
    for (size_t i = 0; i < after->n_limbs; i++) {
        const tb_limb *limb = &after->limbs[i];
        if (hypot(limb->x_mm - t->whole->x_mm, limb->y_mm - t->whole->y_mm) < near_mm &&
                !(load >= limb->utilisation))
            load = limb->utilisation;
    }
    return load;
}

static tb_status look(effect *out, tb__trial *t, const tb_stroke *stroke, tb_error *err)
{
    tb_mender *m = t->mender;
    tb_inspection *after = NULL;
    tb_rect dirty;
    bool piece = stroke->kind == TB_STROKE_CLOSE || stroke->kind == TB_STROKE_TAKE_OUT;
    *out = (effect){.hindrance = TB_MEND_TOO_MUCH};
    t->n_looks++;
    tb_status status = tb_hand_draw(m->hand, &dirty, stroke, 0, err);
    if (status)
        return status;
    double changed = changed_mm2(m, dirty);
    if (changed <= 0)
        out->hindrance = TB_MEND_STAYS;
    else if (piece || changed <= TB_MEND_MOST_MM2)
        status = tb_reinspect(&after, m->inspector, m->hand->mask, &m->limits, t->job, err);
    if (after) {
        *out = compare(m->before, after, t->whole);
        if (out->hindrance == TB_MEND_WORKS && t->keeps_openings &&
                after->n_openings != m->before->n_openings)
            *out = (effect){.hindrance = TB_MEND_TOO_MUCH};
        out->load = load_about(t, after);
    }
    out->changed_mm2 = changed;
    tb_inspection_free(after);
    tb_status undone = tb__mender_undo(m, err);
    return status ? status : undone;
}

/* Looks at the whole with the stroke, and keeps the better one. */
static tb_status judge(effect *seen, tb__trial *t, const tb_stroke *stroke, tb_error *err)
{
    tb_status status = look(seen, t, stroke, err);
    if (status || (t->best.n_points > 0 && !better(seen, &t->of_best)))
        return status;
    t->of_best = *seen;
    tb_stroke_clear(&t->best);
    return tb_stroke_copy(&t->best, stroke, err);
}

/* ---- the window ------------------------------------------------------------------------------ */

/* As it was found in the whole. */
static bool shows(const tb__trial *t)
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

tb_status tb__trial_new(tb__trial **out, tb_mender *mender, const tb_finding *finding,
        double reach_mm, bool keeps_openings, const tb_job *job, tb_error *err)
{
    tb__trial *t = tb_calloc(1, sizeof *t);
    *out = t;
    if (!t)
        return tb_fail_memory(err);
    t->mender = mender;
    t->job = job;
    t->keeps_openings = keeps_openings;
    t->whole = finding;
    t->finding = *finding;
    t->next_cost = INFINITY;
    t->of_best.hindrance = TB_MEND_NO_WAY;
    tb_status status = tb__window_cut(
            &t->window, mender->pattern, finding, fmax(reach_mm, NEIGHBOURHOOD_MM), err);
    if (status)
        return status;
    t->finding.x_mm -= t->window.left_mm;
    t->finding.y_mm -= t->window.top_mm;
    status = tb_mask_copy(&t->drawn, t->window.mask, err);
    if (status || reach_mm > NEIGHBOURHOOD_MM)
        return status;
    t->inspector = tb_inspector_new();
    if (!t->inspector)
        return tb_fail_memory(err);
    status = tb_reinspect(&t->before, t->inspector, t->window.mask, &mender->limits, job, err);
    if (!status && !shows(t)) {
        tb_inspection_free(t->before);
        t->before = NULL;
    }
    return status;
}

void tb__trial_free(tb__trial *t)
{
    if (!t)
        return;
    tb_stroke_clear(&t->best);
    tb_stroke_clear(&t->next_best);
    tb_inspection_free(t->before);
    tb_inspector_free(t->inspector);
    tb_mask_free(t->drawn);
    tb_mask_free(t->window.mask);
    tb_free(t);
}

bool tb__trial_done(const tb__trial *t)
{
    bool found = t->best.n_points > 0 && t->of_best.hindrance == TB_MEND_WORKS && t->of_best.clean;
    return found || t->n_screened >= MOST_SCREENED || t->n_looks >= MOST_LOOKS;
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

/* What it does in the window. What works there, and is not clean, is kept for the end. */
static tb_status screen(effect *seen, tb__trial *t, const tb_stroke *stroke, tb_error *err)
{
    tb_inspection *after = NULL;
    t->n_screened++;
    tb_status status = lay(t, stroke, err);
    if (!status)
        status = tb_reinspect(&after, t->inspector, t->drawn, &t->mender->limits, t->job, err);
    if (status)
        return status;
    *seen = compare(t->before, after, &t->finding);
    seen->changed_mm2 = (double)changed_px(t);
    tb_inspection_free(after);
    if (t->n_screened == 1 || better(seen, &t->of_screened))
        t->of_screened = *seen;
    double cost = 1e6 * seen->n_new + seen->changed_mm2 + (seen->advised ? 1e5 : 0);
    if (seen->clean || seen->hindrance != TB_MEND_WORKS || cost >= t->next_cost)
        return TB_OK;
    t->next_cost = cost;
    tb_stroke_clear(&t->next_best);
    return tb_stroke_copy(&t->next_best, stroke, err);
}

/* ---- eased into the banks -------------------------------------------------------------------- */

/* What the blade couldn't turn in beside the stroke: corners of the openings where wood was put,
 * of the wood where it was sawn. */
static tb_status find_corners(tb_mask **out, const tb__trial *t, bool wood, tb_error *err)
{
    double turn_mm = 2 * t->mender->limits.turn_radius_mm * EASE_ROOM;
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
        tb_stroke *out, bool *any, tb__trial *t, const tb_stroke *stroke, tb_error *err)
{
    tb_mask *corners = NULL;
    touch touches[MOST_TOUCHES];
    *out = (tb_stroke)TB_STROKE_INIT(stroke->kind);
    tb_status status = lay(t, stroke, err);
    if (!status)
        status = find_corners(&corners, t, stroke->kind == TB_STROKE_WOOD, err);
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

/* ---- both ------------------------------------------------------------------------------------ */

static bool is_cover(const tb_stroke *stroke)
{
    return stroke->kind == TB_STROKE_WOOD || stroke->kind == TB_STROKE_SAW;
}

/* In the window, where that shows anything; there only what is clean is looked at in the whole. */
static tb_status weigh(effect *seen, tb__trial *t, const tb_stroke *stroke, tb_error *err)
{
    tb_status status = TB_OK;
    bool windowed = t->before && is_cover(stroke);
    *seen = (effect){.clean = true};
    if (windowed)
        status = screen(seen, t, stroke, err);
    if (!status && seen->clean)
        status = judge(seen, t, stroke, err);
    t->last = seen->hindrance;
    return status;
}

/* Easing takes away what a stroke brings, and turns; nothing else that it left. */
tb_status tb__trial_take(tb__trial *t, const tb_stroke *stroke, tb_error *err)
{
    tb_stroke eased = {0};
    bool any = false;
    effect seen;
    if (stroke->n_points == 0)
        return TB_OK;
    tb_status status = weigh(&seen, t, stroke, err);
    bool gone = seen.hindrance != TB_MEND_STAYS && seen.hindrance != TB_MEND_TOO_MUCH;
    bool helps = !seen.clean && (gone || t->finding.kind == TB_FINDING_TIGHT_TURN);
    if (status || tb__trial_done(t) || !helps || !is_cover(stroke))
        return status;
    status = ease(&eased, &any, t, stroke, err);
    if (!status && any)
        status = weigh(&seen, t, &eased, err);
    tb_stroke_clear(&eased);
    return status;
}

bool tb__trial_stays(const tb__trial *t)
{
    return t->last == TB_MEND_STAYS;
}

tb_status tb__trial_end(tb_proposal *out, tb__trial *t, tb_error *err)
{
    tb_status status = TB_OK;
    effect seen;
    bool works = t->best.n_points > 0 && t->of_best.hindrance == TB_MEND_WORKS;
    if (t->next_best.n_points > 0 && !works)
        status = judge(&seen, t, &t->next_best, err);
    if (status)
        return status;
    out->hindrance = t->best.n_points > 0 ? t->of_best.hindrance
                     : t->n_screened > 0  ? t->of_screened.hindrance
                                          : TB_MEND_NO_WAY;
    out->n_new = t->of_best.n_new;
    out->advised = t->of_best.advised;
    out->changed_mm2 = t->of_best.changed_mm2;
    out->then = t->of_best.load;
    bool takes_away = out->hindrance == TB_MEND_WORKS || out->hindrance == TB_MEND_BRINGS;
    if (takes_away && t->best.n_points > 0) {
        tb_stroke_clear(&out->stroke);
        status = tb_stroke_copy(&out->stroke, &t->best, err);
    }
    return status;
}
