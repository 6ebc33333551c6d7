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
        [TB_FINDING_NARROW_SLOT] = {2, {TB_MEND_WIDEN, TB_MEND_THICKEN}},
        [TB_FINDING_TIGHT_TURN] = {1, {TB_MEND_WIDEN}},
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
};

int tb_mends_of(tb_mend mends[TB_MENDS_MOST], tb_finding_kind kind)
{
    for (int i = 0; i < MENDS[kind].n; i++)
        mends[i] = MENDS[kind].mends[i];
    return MENDS[kind].n;
}

/* A peninsula too thin all along, where others are too weak at the root. */
static bool is_strand(const tb_finding *finding)
{
    return finding->kind == TB_FINDING_WEAK_PENINSULA && *finding->unit;
}

/* How wide the stroke is. Where the measure is no width, what the limits ask there. */
static double width_mm(const tb_finding *finding, tb_mend mend, const tb_limits *limits)
{
    double hole_mm = limits->drill_mm + fmax(limits->drill_room_mm, 2 * limits->hole_clear_mm);
    switch (finding->kind) {
    case TB_FINDING_THIN_BRIDGE:
        return fmax(finding->limit, limits->bridge_must_mm) * ROOM;
    case TB_FINDING_WEAK_PENINSULA: /* stress falls as the root widens */
        if (is_strand(finding))
            return fmax(finding->limit, limits->bridge_must_mm) * ROOM;
        return fmin(limits->bridge_must_mm * fmax(finding->measured / finding->limit, 1) * ROOM,
                ROOT_MOST_MM);
    case TB_FINDING_TIGHT_OPENING:
    case TB_FINDING_CROWDED_HOLE:
        return hole_mm * ROOM;
    case TB_FINDING_NARROW_SLOT:
        return mend == TB_MEND_THICKEN ? limits->bridge_must_mm * ROOM
                                       : limits->slot_should_kerfs * limits->kerf_mm * ROOM;
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

tb_status tb_mend_stroke(tb_stroke *out, const tb_finding *finding, tb_mend mend,
        const tb_mask *mask, const tb_limits *limits, tb_error *err)
{
    bool known = false;
    double stroke_mm = width_mm(finding, mend, limits);
    *out = (tb_stroke)TB_STROKE_INIT(KINDS[mend]);
    for (int i = 0; i < MENDS[finding->kind].n; i++)
        known = known || MENDS[finding->kind].mends[i] == mend;
    if (!known)
        return tb_fail(err, TB_EINVAL, "that does not mend a finding of this kind");
    if (mend == TB_MEND_TIE)
        return add_way(out, finding, mask, stroke_mm, err);
    if (finding->kind == TB_FINDING_THIN_BRIDGE || is_strand(finding))
        return tb__mend_thicken(out, finding, mask, stroke_mm, err);
    return tb_stroke_add(out, finding->x_mm, finding->y_mm, stroke_mm, err);
}
