/* pattern/mend.c: see mend.h. */
#include "pattern/mend_private.h"

#include "base/alloc.h"
#include "image/distance.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static const struct {
    int n;
    tb_mend mends[TB_MENDS_MOST];
} MENDS[TB_N_FINDING_KINDS] = {
        [TB_FINDING_ISLAND] = {2, {TB_MEND_TIE, TB_MEND_TRIM}},
        [TB_FINDING_THIN_BRIDGE] = {1, {TB_MEND_THICKEN}},
        [TB_FINDING_WEAK_PENINSULA] = {1, {TB_MEND_THICKEN}},
        [TB_FINDING_TIGHT_OPENING] = {2, {TB_MEND_WIDEN, TB_MEND_CLOSE}},
        [TB_FINDING_NARROW_SLOT] = {2, {TB_MEND_WIDEN, TB_MEND_CLOSE}},
        [TB_FINDING_TIGHT_TURN] = {1, {TB_MEND_EASE}},
        [TB_FINDING_CROWDED_HOLE] = {1, {TB_MEND_WIDEN}},
        [TB_FINDING_THIN_FRAME] = {1, {TB_MEND_THICKEN}},
        [TB_FINDING_SPECK] = {2, {TB_MEND_CLOSE, TB_MEND_TRIM}},
};

static const tb_stroke_kind KINDS[TB_N_MENDS] = {
        [TB_MEND_THICKEN] = TB_STROKE_WOOD,
        [TB_MEND_TIE] = TB_STROKE_BRIDGE,
        [TB_MEND_TRIM] = TB_STROKE_TAKE_OUT,
        [TB_MEND_WIDEN] = TB_STROKE_SAW,
        [TB_MEND_CLOSE] = TB_STROKE_CLOSE,
        [TB_MEND_EASE] = TB_STROKE_SAW,
};

int tb_mends_of(tb_mend mends[TB_MENDS_MOST], tb_finding_kind kind)
{
    for (int i = 0; i < MENDS[kind].n; i++)
        mends[i] = MENDS[kind].mends[i];
    return MENDS[kind].n;
}

const char *tb_hindrance_text(tb_hindrance hindrance)
{
    static const char *const TEXTS[TB_N_HINDRANCES] = {
            [TB_MEND_WORKS] = "",
            [TB_MEND_NO_WAY] = "There is no way to draw it here.",
            [TB_MEND_TOO_MUCH] = "It would change too much of the picture.",
            [TB_MEND_STAYS] = "It would not help here.",
            [TB_MEND_NO_GAIN] = "It would only move the trouble.",
            [TB_MEND_BRINGS] = "It would make another place too weak or too tight.",
    };
    return TEXTS[hindrance];
}

void tb_proposal_clear(tb_proposal *proposal)
{
    tb_stroke_clear(&proposal->stroke);
}

/* ---- the mender ------------------------------------------------------------------------------ */

tb_mender *tb_mender_new(void)
{
    tb_mender *m = tb_calloc(1, sizeof *m);
    if (m)
        m->inspector = tb_inspector_new();
    if (m && !m->inspector) {
        tb_free(m);
        return NULL;
    }
    return m;
}

static void forget(tb_mender *m)
{
    tb_inspection_free(m->before);
    tb_hand_free(m->hand);
    m->before = NULL;
    m->hand = NULL;
}

void tb_mender_free(tb_mender *m)
{
    if (!m)
        return;
    forget(m);
    tb_inspector_free(m->inspector);
    tb_free(m);
}

tb_status tb_mender_see(tb_mender *m, const tb_mask *pattern, const tb_limits *limits,
        const tb_job *job, tb_error *err)
{
    forget(m);
    m->pattern = pattern;
    m->limits = *limits;
    tb_status status = tb_reinspect(&m->before, m->inspector, pattern, limits, job, err);
    if (!status)
        status = tb_hand_new(&m->hand, pattern, TB__MENDER_KEEPS, err);
    if (status)
        forget(m);
    return status;
}

const tb_limb *tb__mend_limb(const tb_inspection *in, const tb_finding *finding, double most_mm)
{
    const tb_limb *best = NULL;
    for (size_t i = 0; i < in->n_limbs; i++) {
        const tb_limb *limb = &in->limbs[i];
        double away = hypot(limb->x_mm - finding->x_mm, limb->y_mm - finding->y_mm);
        if (away < most_mm) {
            most_mm = away;
            best = limb;
        }
    }
    return best;
}

/* ---- what is measured then ------------------------------------------------------------------- */

static const double NEAR_MM = 1.5; /* a mended place moves aside by about so much */
static const double ROUND_MM = 6;

/* The width of the wood, or opening, about the place. */
static tb_status width_about(
        double *out, const tb_mask *mask, const tb_finding *finding, double wide_mm, tb_error *err)
{
    tb__window window;
    uint16_t *distance2 = NULL;
    double s = mask->px_per_mm, near_px = fmax((wide_mm - finding->measured) / 2 * s, 0) + 1;
    int cap_px = (int)fmin(ceil(2 * wide_mm * s), 255), most = 0;
    tb_status status = tb__window_cut(&window, mask, finding, ROUND_MM, err);
    if (!status && finding->kind == TB_FINDING_NARROW_SLOT)
        tb_mask_invert(window.mask);
    if (!status)
        status = tb_distance_capped(&distance2, window.mask, cap_px, false, NULL, err);
    for (int i = 0; !status && i < (int)tb_mask_area_px(window.mask); i++) {
        double dx = i % window.mask->width_px + 0.5 + window.left_px - finding->x_mm * s;
        double dy = i / window.mask->width_px + 0.5 + window.top_px - finding->y_mm * s;
        if (hypot(dx, dy) <= near_px && distance2[i] > most)
            most = distance2[i];
    }
    *out = most > 0 ? (2 * sqrt(most) - 1) / s : NAN;
    tb_free(distance2);
    tb_mask_free(window.mask);
    return status;
}

/* What an inspection that asks for more room measures there; NAN where it finds nothing. (A turn's
 * measure depends on its limit: it is not told.) */
static tb_status measured_about(double *out, const tb_mask *mask, const tb_finding *finding,
        const tb_limits *limits, tb_error *err)
{
    tb__window window;
    tb_inspection *in = NULL;
    tb_limits raised = *limits;
    double near_mm = NEAR_MM;
    raised.drill_room_mm = fmin(4 * limits->drill_room_mm + 1, 20);
    raised.hole_clear_mm = fmin(4 * limits->hole_clear_mm + 1, 20);
    *out = NAN;
    tb_status status = tb__window_cut(&window, mask, finding, ROUND_MM, err);
    if (!status)
        status = tb_inspect(&in, window.mask, &raised, NULL, err);
    for (size_t i = 0; !status && i < in->n_findings; i++) {
        const tb_finding *f = &in->findings[i];
        double away = hypot(
                f->x_mm + window.left_mm - finding->x_mm, f->y_mm + window.top_mm - finding->y_mm);
        if (f->kind != finding->kind || away > near_mm)
            continue;
        near_mm = away;
        *out = f->measured;
    }
    tb_inspection_free(in);
    tb_mask_free(window.mask);
    return status;
}

static tb_status measure_then(
        tb_proposal *p, tb_mender *m, const tb_finding *finding, tb_error *err)
{
    tb_rect dirty;
    double wide_mm = fmax(finding->limit, m->limits.bridge_should_mm);
    if (finding->kind == TB_FINDING_WEAK_PENINSULA && !tb_finding_is_strand(finding))
        return TB_OK; /* the trial has told */
    p->then = NAN;
    if (p->stroke.kind != TB_STROKE_WOOD && p->stroke.kind != TB_STROKE_SAW)
        return TB_OK;
    tb_status status = tb_hand_draw(m->hand, &dirty, &p->stroke, 0, err);
    if (status)
        return status;
    bool filled = finding->kind == TB_FINDING_NARROW_SLOT && p->stroke.kind == TB_STROKE_WOOD;
    bool is_width = finding->kind == TB_FINDING_THIN_BRIDGE || tb_finding_is_strand(finding) ||
                    finding->kind == TB_FINDING_NARROW_SLOT;
    if (is_width && !filled)
        status = width_about(&p->then, m->hand->mask, finding, wide_mm, err);
    else if (finding->kind == TB_FINDING_THIN_FRAME)
        p->then = m->limits.frame_mm;
    else if (finding->kind != TB_FINDING_TIGHT_TURN && !filled)
        status = measured_about(&p->then, m->hand->mask, finding, &m->limits, err);
    tb_status undone = tb__mender_undo(m, err);
    return status ? status : undone;
}

tb_status tb_mender_try(tb_proposal *out, tb_mender *mender, const tb_finding *finding,
        tb_mend mend, const tb_job *job, tb_error *err)
{
    bool known = false;
    *out = (tb_proposal)TB_PROPOSAL_INIT;
    out->then = NAN;
    for (int i = 0; i < MENDS[finding->kind].n; i++)
        known = known || MENDS[finding->kind].mends[i] == mend;
    if (!known)
        return tb_fail(err, TB_EINVAL, "that does not mend a finding of this kind");
    assert(mender->before);
    tb_stroke_kind kind = KINDS[mend];
    if (finding->kind == TB_FINDING_NARROW_SLOT && mend == TB_MEND_CLOSE)
        kind = TB_STROKE_WOOD; /* closing would take the whole opening */
    tb_status status = tb__mend_try_all(out, mender, finding, mend, kind, job, err);
    if (!status && out->hindrance == TB_MEND_WORKS)
        status = measure_then(out, mender, finding, err);
    if (status)
        tb_proposal_clear(out);
    return status;
}
