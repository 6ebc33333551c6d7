/* pattern/mend.c: see mend.h. */
#include "pattern/mend.h"

#include <math.h>

static const double ROOM = 1.12; /* a little more than the limit asks, for the pixels' corners */

static const struct {
    int n;
    tb_mend mends[TB_MENDS_MOST];
} MENDS[TB_N_FINDING_KINDS] = {
        [TB_FINDING_ISLAND] = {2, {TB_MEND_TIE, TB_MEND_TRIM}},
        [TB_FINDING_THIN_BRIDGE] = {1, {TB_MEND_THICKEN}},
        [TB_FINDING_WEAK_PENINSULA] = {2, {TB_MEND_TIE, TB_MEND_THICKEN}},
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

/* How wide the stroke is. Where the measure is no width, what the limits ask there. */
static double width_mm(const tb_finding *finding, tb_mend mend, const tb_limits *limits)
{
    double hole_mm = limits->drill_mm + fmax(limits->drill_room_mm, 2 * limits->hole_clear_mm);
    switch (finding->kind) {
    case TB_FINDING_THIN_BRIDGE:
        return fmax(finding->limit, limits->bridge_must_mm) * ROOM;
    case TB_FINDING_WEAK_PENINSULA:
        return mend == TB_MEND_THICKEN ? 2 * limits->bridge_should_mm : limits->bridge_should_mm;
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

tb_status tb_mend_stroke(tb_stroke *out, const tb_finding *finding, tb_mend mend,
        const tb_limits *limits, tb_error *err)
{
    bool known = false;
    *out = (tb_stroke)TB_STROKE_INIT(KINDS[mend]);
    for (int i = 0; i < MENDS[finding->kind].n; i++)
        known = known || MENDS[finding->kind].mends[i] == mend;
    if (!known)
        return tb_fail(err, TB_EINVAL, "that does not mend a finding of this kind");
    return tb_stroke_add(out, finding->x_mm, finding->y_mm, width_mm(finding, mend, limits), err);
}
