/* pattern/mend.c: see mend.h. */
#include "pattern/mend_private.h"

#include "base/alloc.h"
#include "image/distance.h"
#include "image/label.h"

#include <math.h>
#include <string.h>

static const double ROOM = 1.12; /* a little more than the limit asks, for the pixels' corners */

static const double ROOT_MOST_MM = 15; /* a wider dab would be no mend but a new picture */

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

/* How wide the stroke is. Where the measure is no width, what the limits ask there. */
static double width_mm(const tb_finding *finding, const tb_limits *limits)
{
    double hole_mm = limits->drill_mm + fmax(limits->drill_room_mm, 2 * limits->hole_clear_mm);
    switch (finding->kind) {
    case TB_FINDING_THIN_BRIDGE:
        return fmax(finding->limit, limits->bridge_must_mm) * ROOM;
    case TB_FINDING_WEAK_PENINSULA: /* stress falls as the root widens */
        if (tb_finding_is_strand(finding))
            return fmax(finding->limit, limits->bridge_must_mm) * ROOM;
        return fmin(limits->bridge_must_mm * fmax(finding->measured / finding->limit, 1) * ROOM,
                ROOT_MOST_MM);
    case TB_FINDING_TIGHT_OPENING:
    case TB_FINDING_CROWDED_HOLE:
        return hole_mm * ROOM;
    case TB_FINDING_NARROW_SLOT:
        return limits->slot_should_kerfs * limits->kerf_mm * ROOM;
    case TB_FINDING_TIGHT_TURN:
        return 2 * limits->turn_radius_mm * ROOM;
    case TB_FINDING_THIN_FRAME:
        return limits->frame_mm;
    default:
        return limits->bridge_should_mm;
    }
}

/* ---- the shortest way from an island to other wood ---------------------------------------------
 */

typedef struct {
    int x_px, y_px;
} spot;

/* The place's own piece as the one opening in a board of wood: what distance measures from. */
static tb_status all_but_piece(tb_mask **out, const tb_labels *labels, int32_t piece, tb_error *err)
{
    tb_status status =
            tb_mask_new(out, labels->width_px, labels->height_px, labels->px_per_mm, err);
    if (status)
        return status;
    memset((*out)->px, 1, tb_mask_area_px(*out));
    for (size_t i = 0; i < labels->n_runs; i++)
        if (labels->runs[i].piece == piece)
            memset((*out)->px + (size_t)labels->runs[i].y_px * (size_t)labels->width_px +
                            labels->runs[i].x_px,
                    0, (size_t)(labels->runs[i].end_px - labels->runs[i].x_px));
    return TB_OK;
}

static spot nearest_other(const tb_labels *labels, int32_t piece, const int32_t *distance2)
{
    spot best = {-1, -1};
    int32_t least = INT32_MAX;
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        const int32_t *row = distance2 + (size_t)run->y_px * (size_t)labels->width_px;
        for (int32_t x = run->x_px; run->piece != piece && x < run->end_px; x++)
            if (row[x] < least) {
                least = row[x];
                best = (spot){x, run->y_px};
            }
    }
    return best;
}

static spot nearest_own(const tb_labels *labels, int32_t piece, spot to)
{
    spot best = to;
    double least = INFINITY;
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        if (run->piece != piece)
            continue;
        int x = to.x_px < run->x_px ? run->x_px : to.x_px < run->end_px ? to.x_px : run->end_px - 1;
        double away = hypot(x - to.x_px, run->y_px - to.y_px);
        if (away < least) {
            least = away;
            best = (spot){x, run->y_px};
        }
    }
    return best;
}

static tb_status add_way(tb_stroke *out, const tb_finding *finding, const tb_mask *mask,
        double way_mm, tb_error *err)
{
    double s = mask->px_per_mm;
    tb_labels *labels;
    tb_mask *board = NULL;
    int32_t *distance2 = NULL;
    tb_status status = tb_label_wood(&labels, mask, NULL, err);
    if (status)
        return status;
    int32_t piece = tb_labels_at(labels, (int)(finding->x_mm * s), (int)(finding->y_mm * s));
    if (piece < 0)
        status = tb_fail(err, TB_EINVAL, "there is no wood to tie at this place");
    if (!status)
        status = all_but_piece(&board, labels, piece, err);
    if (!status)
        status = tb_distance_full(&distance2, board, false, NULL, err);
    if (!status) {
        spot other = nearest_other(labels, piece, distance2);
        spot own = nearest_own(labels, piece, other);
        if (other.x_px < 0)
            status = tb_fail(err, TB_EINVAL, "there is no other wood to tie it to");
        if (!status)
            status = tb_stroke_add(out, (own.x_px + 0.5) / s, (own.y_px + 0.5) / s, way_mm, err);
        if (!status)
            status =
                    tb_stroke_add(out, (other.x_px + 0.5) / s, (other.y_px + 0.5) / s, way_mm, err);
    }
    tb_free(distance2);
    tb_mask_free(board);
    tb_labels_free(labels);
    return status;
}

/* ---- what is tried -------------------------------------------------------------------------- */

static const double APART = 0.15; /* points of a way, in widths */

/* The way made wider, and moved aside by side times what it is wider than the place, so that one
 * bank stays as it is. Only what lies within near_mm of the place is kept. */
static tb_status varied(tb_stroke *out, const tb_stroke *way, const tb_finding *finding,
        double width_mm, double side, double near_mm, tb_error *err)
{
    double xx = 0, xy = 0, yy = 0;
    *out = (tb_stroke)TB_STROKE_INIT(way->kind);
    for (size_t i = 0; i < way->n_points; i++) {
        double dx = way->points[i].x_um / 1e3 - finding->x_mm;
        double dy = way->points[i].y_um / 1e3 - finding->y_mm;
        if (hypot(dx, dy) > 1.5 * width_mm)
            continue;
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    }
    double across = atan2(2 * xy, xx - yy) / 2 + acos(0);
    double apart = APART * width_mm, last_x = INFINITY, last_y = INFINITY;
    double aside = side * fmax(width_mm - finding->measured, 0) / 2;
    tb_status status = TB_OK;
    for (size_t i = 0; !status && i < way->n_points; i++) {
        double x = way->points[i].x_um / 1e3, y = way->points[i].y_um / 1e3;
        if (hypot(x - finding->x_mm, y - finding->y_mm) > near_mm ||
                hypot(x - last_x, y - last_y) < apart)
            continue;
        last_x = x;
        last_y = y;
        status =
                tb_stroke_add(out, x + aside * cos(across), y + aside * sin(across), width_mm, err);
    }
    return status;
}

/* All of the way or a short piece of it, in the middle or to one side, as wide as it must be or
 * more, until one is clean. */
static tb_status try_ways(tb__trial *trial, const tb_stroke *way, const tb_finding *finding,
        double width_mm, double more_mm, tb_error *err)
{
    static const struct {
        int more, side;
        bool is_short;
    } TRIED[] = {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {1, 1, 0}, {1, -1, 0},
            {1, 0, 1}, {2, 0, 0}, {2, 1, 0}, {2, -1, 0}};
    const double widths_mm[] = {width_mm, more_mm, 1.3 * more_mm};
    tb_status status = TB_OK;
    for (size_t k = 0; k < sizeof TRIED / sizeof *TRIED && !status && !tb__trial_done(trial); k++) {
        double wide_mm = widths_mm[TRIED[k].more];
        double near_mm = TRIED[k].is_short ? wide_mm / 2 : INFINITY;
        tb_stroke stroke;
        status = varied(&stroke, way, finding, wide_mm, TRIED[k].side, near_mm, err);
        if (!status)
            status = tb__trial_take(trial, &stroke, err);
        tb_stroke_clear(&stroke);
    }
    return status;
}

static tb_status try_along(tb__trial *trial, const tb_finding *finding, tb_mend mend,
        const tb_mask *mask, const tb_limits *limits, double width_mm, tb_error *err)
{
    bool slot = finding->kind == TB_FINDING_NARROW_SLOT;
    double more_mm = fmax(slot ? 0 : limits->bridge_should_mm * ROOM, 1.25 * width_mm);
    tb_stroke way = TB_STROKE_INIT(mend == TB_MEND_WIDEN ? TB_STROKE_SAW : TB_STROKE_WOOD);
    const tb_limb *limb = tb_finding_is_strand(finding) ? tb__trial_limb(trial) : NULL;
    double reach_mm = fmax(TB__MEND_REACH * width_mm, limb ? limb->reach_mm + width_mm : 0);
    tb_status status = tb__mend_along(&way, finding, mask, slot, reach_mm, width_mm, err);
    if (!status)
        status = try_ways(trial, &way, finding, width_mm, more_mm, err);
    tb_stroke_clear(&way);
    return status;
}

static tb_status try_root(tb__trial *trial, const tb_finding *finding, tb_error *err)
{
    static const double OVER[] = {1.06, 1.2, 1.4, 1.7};
    const tb_limb *limb = tb__trial_limb(trial);
    tb_status status = TB_OK;
    for (int k = 0; limb && k < 4 && !status && !tb__trial_done(trial); k++) {
        tb_stroke stroke = TB_STROKE_INIT(TB_STROKE_WOOD);
        double over = fmax(finding->measured, 1) * OVER[k];
        status = tb__mend_root(&stroke, limb, tb__trial_window(trial), over, err);
        if (!status)
            status = tb__trial_take(trial, &stroke, err);
        tb_stroke_clear(&stroke);
    }
    return status;
}

/* A dab of the stroke's kind at the place and round about it. */
static tb_status try_dabs(tb__trial *trial, const tb_finding *finding, tb_stroke_kind kind,
        double width_mm, tb_error *err)
{
    static const double WIDER[] = {1, 1.2, 1.5}, AWAY[] = {0, 0.25, 0.5};
    tb_status status = TB_OK;
    for (int k = 0; k < 51 && !status && !tb__trial_done(trial); k++) {
        int ring = k % 17 ? 1 + (k % 17 - 1) / 8 : 0;
        double wide_mm = width_mm * WIDER[k / 17], angle = (k % 17 - 1) % 8 * atan(1);
        tb_stroke stroke = TB_STROKE_INIT(kind);
        status = tb_stroke_add(&stroke, finding->x_mm + AWAY[ring] * wide_mm * cos(angle),
                finding->y_mm + AWAY[ring] * wide_mm * sin(angle), wide_mm, err);
        if (!status)
            status = tb__trial_take(trial, &stroke, err);
        tb_stroke_clear(&stroke);
    }
    return status;
}

/* The corner filled, or sawn off, to what the blade can turn; a speck of a stroke at the place is
 * what is eased. */
static tb_status try_turn(
        tb__trial *trial, const tb_finding *finding, double width_mm, tb_error *err)
{
    static const tb_stroke_kind KINDS_OF_TURN[] = {TB_STROKE_WOOD, TB_STROKE_SAW};
    static const double DABS[] = {0.1, 0.4, 0.8};
    tb_status status = TB_OK;
    for (int k = 0; k < 6 && !status && !tb__trial_done(trial); k++) {
        tb_stroke stroke = TB_STROKE_INIT(KINDS_OF_TURN[k % 2]);
        status = tb_stroke_add(&stroke, finding->x_mm, finding->y_mm, DABS[k / 2] * width_mm, err);
        if (!status)
            status = tb__trial_take(trial, &stroke, err);
        tb_stroke_clear(&stroke);
    }
    if (!status && !tb__trial_done(trial))
        status = try_dabs(trial, finding, TB_STROKE_SAW, width_mm, err);
    return status;
}

/* A trial about the place, wide enough to see the finding as it was found, and so what a stroke
 * there would do: a limb to its end, a bridge with what it joins. */
static tb_status new_trial(tb__trial **trial, const tb_finding *finding, double stroke_mm,
        const tb_mask *mask, const tb_limits *limits, tb_error *err)
{
    const double least_mm = tb_finding_is_strand(finding) ? 40 : 10, most_mm = 160;
    double reach_mm = fmax(least_mm, 4 * stroke_mm);
    tb_status status = tb__trial_new(trial, finding, mask, limits, reach_mm, err);
    while (!status && !tb__trial_sees(*trial) && reach_mm < most_mm) {
        tb__trial_free(*trial);
        reach_mm *= 2;
        status = tb__trial_new(trial, finding, mask, limits, reach_mm, err);
    }
    return status;
}

static tb_status try_all(tb_stroke *out, const tb_finding *finding, tb_mend mend,
        const tb_mask *mask, const tb_limits *limits, tb_error *err)
{
    tb__trial *trial;
    double stroke_mm = width_mm(finding, limits);
    tb_status status = new_trial(&trial, finding, stroke_mm, mask, limits, err);
    if (status)
        goto out;
    if (finding->kind == TB_FINDING_THIN_BRIDGE || finding->kind == TB_FINDING_NARROW_SLOT ||
            tb_finding_is_strand(finding))
        status = try_along(trial, finding, mend, mask, limits, stroke_mm, err);
    else if (finding->kind == TB_FINDING_WEAK_PENINSULA)
        status = try_root(trial, finding, err);
    else if (finding->kind == TB_FINDING_TIGHT_TURN)
        status = try_turn(trial, finding, stroke_mm, err);
    if (!status && !tb__trial_done(trial) && finding->kind != TB_FINDING_TIGHT_TURN)
        status = try_dabs(trial, finding, out->kind, stroke_mm, err);
    if (!status)
        status = tb__trial_best(out, trial, err);
out:
    tb__trial_free(trial);
    return status;
}

tb_status tb_mend_stroke(tb_stroke *out, const tb_finding *finding, tb_mend mend,
        const tb_mask *mask, const tb_limits *limits, tb_error *err)
{
    bool known = false;
    *out = (tb_stroke)TB_STROKE_INIT(KINDS[mend]);
    for (int i = 0; i < MENDS[finding->kind].n; i++)
        known = known || MENDS[finding->kind].mends[i] == mend;
    if (!known)
        return tb_fail(err, TB_EINVAL, "that does not mend a finding of this kind");
    if (mend == TB_MEND_TIE)
        return add_way(out, finding, mask, width_mm(finding, limits), err);
    if (finding->kind == TB_FINDING_NARROW_SLOT && mend == TB_MEND_CLOSE)
        out->kind = TB_STROKE_WOOD; /* closing would take the whole opening */
    if (out->kind == TB_STROKE_WOOD || out->kind == TB_STROKE_SAW)
        return try_all(out, finding, mend, mask, limits, err);
    return tb_stroke_add(out, finding->x_mm, finding->y_mm, width_mm(finding, limits), err);
}
