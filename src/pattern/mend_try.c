/* pattern/mend_try.c: the strokes that a mend may be, those that change least first. */
#include "pattern/mend_private.h"

#include "base/alloc.h"
#include "image/distance.h"
#include "image/label.h"

#include <math.h>
#include <string.h>

static const double ROOM = 1.12;   /* a little more than the limit asks, for the pixels' corners */
static const double ROOM_PX = 1.5; /* the same for what runs evenly along a strand */
static const double WAY_MM = 10;   /* a strand is followed so far at first */
static const double LIMB_MM = 10;  /* and a limb's hold so far beyond its root */
static const double WAY_MOST_MM = 60, LIMB_MOST_MM = 150;
static const double SAME_ROOT_MM = 0.3; /* a finding stands at its limb's root */

/* All that the strokes of one mend have in common. */
typedef struct {
    tb__trial *trial;
    tb_mender *mender;
    const tb_finding *finding;
    const tb_limb *limb; /* of a weak peninsula; NULL: there is none, or it is something else */
    tb_stroke_kind kind;
    double wide_mm;
} trying;

/* How wide a stroke is where the measure is no width along a strand. */
static double dab_mm(const tb_finding *finding, const tb_limits *limits)
{
    double hole_mm = limits->drill_mm + fmax(limits->drill_room_mm, 2 * limits->hole_clear_mm);
    switch (finding->kind) {
    case TB_FINDING_TIGHT_OPENING:
    case TB_FINDING_CROWDED_HOLE:
        return hole_mm * ROOM;
    case TB_FINDING_TIGHT_TURN:
        return 2 * limits->turn_radius_mm * ROOM;
    default:
        return limits->bridge_should_mm;
    }
}

/* ---- the shortest way from an island to other wood ------------------------------------------- */

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

/* only: of that piece; -1: of any. */
static spot nearest_other(
        const tb_labels *labels, int32_t piece, int32_t only, const int32_t *distance2)
{
    spot best = {-1, -1};
    int32_t least = INT32_MAX;
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        const int32_t *row = distance2 + (size_t)run->y_px * (size_t)labels->width_px;
        bool meant = only < 0 ? run->piece != piece : run->piece == only;
        for (int32_t x = run->x_px; meant && x < run->end_px; x++)
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

/* From bank to bank; nothing where there is no such wood. */
static tb_status add_way(tb_stroke *out, const trying *t, const tb_labels *labels, int32_t piece,
        int32_t only, const int32_t *distance2, tb_error *err)
{
    double s = labels->px_per_mm;
    spot other = nearest_other(labels, piece, only, distance2);
    if (other.x_px < 0)
        return TB_OK;
    spot own = nearest_own(labels, piece, other);
    tb_status status =
            tb_stroke_add(out, (own.x_px + 0.5) / s, (own.y_px + 0.5) / s, t->wide_mm, err);
    return status ? status
                  : tb_stroke_add(
                            out, (other.x_px + 0.5) / s, (other.y_px + 0.5) / s, t->wide_mm, err);
}

/* To what is nearest; where that is an island too, to the mainland. */
static tb_status tie_piece(const trying *t, const tb_labels *labels, int32_t piece, tb_error *err)
{
    const int32_t to[] = {-1, tb_labels_mainland(labels)};
    tb_mask *board = NULL;
    int32_t *distance2 = NULL;
    tb_status status = all_but_piece(&board, labels, piece, err);
    if (!status)
        status = tb_distance_full(&distance2, board, false, NULL, err);
    for (int i = 0; i < 2 && !status; i++) {
        tb_stroke stroke = TB_STROKE_INIT(t->kind);
        status = add_way(&stroke, t, labels, piece, to[i], distance2, err);
        if (!status)
            status = tb__trial_take(t->trial, &stroke, err);
        tb_stroke_clear(&stroke);
        if (tb__trial_done(t->trial) || !tb__trial_stays(t->trial))
            break;
    }
    tb_free(distance2);
    tb_mask_free(board);
    return status;
}

static tb_status try_ties(const trying *t, tb_error *err)
{
    const tb_mask *mask = t->mender->pattern;
    double s = mask->px_per_mm;
    tb_labels *labels;
    tb_status status = tb_label_wood(&labels, mask, NULL, err);
    if (status)
        return status;
    int32_t piece = tb_labels_at(labels, (int)(t->finding->x_mm * s), (int)(t->finding->y_mm * s));
    if (piece >= 0)
        status = tie_piece(t, labels, piece, err);
    tb_labels_free(labels);
    return status;
}

/* One point tells the piece. */
static tb_status try_piece(const trying *t, tb_error *err)
{
    tb_stroke stroke = TB_STROKE_INIT(t->kind);
    tb_status status = tb_stroke_add(&stroke, t->finding->x_mm, t->finding->y_mm, t->wide_mm, err);
    if (!status)
        status = tb__trial_take(t->trial, &stroke, err);
    tb_stroke_clear(&stroke);
    return status;
}

/* ---- along a strand -------------------------------------------------------------------------- */

static tb_status try_profile(
        const trying *t, const tb__way *way, const tb__profile *profile, tb_error *err)
{
    tb_stroke stroke = TB_STROKE_INIT(t->kind);
    tb_status status = tb__way_stroke(&stroke, way, profile, err);
    if (!status)
        status = tb__trial_take(t->trial, &stroke, err);
    tb_stroke_clear(&stroke);
    return status;
}

/* Whether the strand is too thin somewhere where the stroke is no wider. */
static bool leaves_thin(const tb__way *way, const tb__profile *profile, double limit_mm)
{
    for (size_t i = 0; i < way->n; i++)
        if (fmax(tb__way_width(way, i, profile), 2 * way->points[i].half_mm) < limit_mm)
            return true;
    return false;
}

/* A short piece of the way or all of it, in the middle or at one bank, until one is clean. Wider
 * ones are for where it stays; and what must be mended and can't be as wide as is advised may be
 * made as wide as it must be. */
static tb_status try_ways(
        const trying *t, const tb__way *way, double wide_mm, bool whole, tb_error *err)
{
    enum { ADVISED, WIDER, LEAST };
    static const struct {
        int wide, side;
        bool is_short;
    } TRIED[] = {{ADVISED, 0, 1}, {ADVISED, 0, 0}, {WIDER, 0, 0}, {ADVISED, 1, 1}, {ADVISED, -1, 1},
            {ADVISED, 1, 0}, {ADVISED, -1, 0}, {LEAST, 0, 0}, {LEAST, 1, 0}, {LEAST, -1, 0}};
    double limit_mm = t->finding->limit, room_mm = ROOM_PX / t->mender->pattern->px_per_mm;
    const double wides_mm[] = {wide_mm, ROOM * wide_mm, limit_mm + room_mm};
    tb_status status = TB_OK;
    for (size_t k = 0; k < sizeof TRIED / sizeof *TRIED && !status; k++) {
        double wide = wides_mm[TRIED[k].wide];
        tb__profile profile = {.wide_mm = wide,
                .core_mm = TRIED[k].is_short ? wide / 2 : INFINITY,
                .side = TRIED[k].side};
        bool needless = (TRIED[k].wide == WIDER && !tb__trial_stays(t->trial)) ||
                        (TRIED[k].wide == LEAST && wide >= wide_mm);
        if (needless || (TRIED[k].is_short && (whole || leaves_thin(way, &profile, limit_mm))))
            continue;
        if (tb__trial_done(t->trial))
            break;
        status = try_profile(t, way, &profile, err);
    }
    return status;
}

static tb_status try_along(const trying *t, tb_error *err)
{
    const tb_limits *limits = &t->mender->limits;
    const tb_finding *f = t->finding;
    bool slot = f->kind == TB_FINDING_NARROW_SLOT, strand = tb_finding_is_strand(f);
    const tb_limb *limb = t->limb;
    double advised_mm = slot ? limits->slot_should_kerfs * limits->kerf_mm
                             : fmax(limits->bridge_should_mm, f->limit);
    double room_mm = ROOM_PX / t->mender->pattern->px_per_mm;
    double wide_mm = fmax(advised_mm, f->limit) + room_mm;
    tb__way way;
    tb__way_ask ask = {.x_mm = f->x_mm,
            .y_mm = f->y_mm,
            .towards_rad = limb ? limb->towards_rad : NAN,
            .wide_mm = wide_mm,
            .reach_mm = fmin(fmax(WAY_MM, limb ? limb->reach_mm + LIMB_MM : 0), LIMB_MOST_MM),
            .to_tip = limb != NULL,
            .in_opening = slot};
    tb_status status = tb__way_find(&way, &ask, t->mender->pattern, err);
    while (!status && way.goes_on && ask.reach_mm < WAY_MOST_MM) {
        tb__way_clear(&way);
        ask.reach_mm *= 2.5;
        status = tb__way_find(&way, &ask, t->mender->pattern, err);
    }
    if (!status)
        status = try_ways(t, &way, wide_mm, strand, err);
    tb__way_clear(&way);
    return status;
}

/* A root as wide as its load asks for, and more. */
static tb_status try_root(const trying *t, tb_error *err)
{
    static const double OVER[] = {1.06, 1.2, 1.4, 1.7};
    const tb_limb *limb = t->limb;
    tb__way way;
    if (!limb)
        return TB_OK;
    double asked_mm = limb->root_mm * fmax(t->finding->measured, 1);
    tb__way_ask ask = {.x_mm = limb->x_mm,
            .y_mm = limb->y_mm,
            .towards_rad = limb->towards_rad,
            .wide_mm = asked_mm * OVER[1],
            .reach_mm = fmin(limb->reach_mm + LIMB_MM, LIMB_MOST_MM),
            .to_tip = true};
    tb_status status = tb__way_find(&way, &ask, t->mender->pattern, err);
    for (int k = 0; k < 4 && !status && !tb__trial_done(t->trial); k++) {
        tb__profile profile = {.wide_mm = asked_mm * OVER[k], .moment_mm = limb->reach_mm};
        status = try_profile(t, &way, &profile, err);
        if (!tb__trial_stays(t->trial))
            break; /* more would bring more */
    }
    tb__way_clear(&way);
    return status;
}

/* ---- dabs ------------------------------------------------------------------------------------ */

/* A dab at the place and round about it. */
static tb_status try_dabs(const trying *t, tb_error *err)
{
    static const double WIDER[] = {1, 1.2, 1.5}, AWAY[] = {0, 0.25, 0.5};
    tb_status status = TB_OK;
    for (int k = 0; k < 51 && !status && !tb__trial_done(t->trial); k++) {
        int ring = k % 17 ? 1 + (k % 17 - 1) / 8 : 0;
        double wide_mm = t->wide_mm * WIDER[k / 17], angle = (k % 17 - 1) % 8 * atan(1);
        tb_stroke stroke = TB_STROKE_INIT(t->kind);
        status = tb_stroke_add(&stroke, t->finding->x_mm + AWAY[ring] * wide_mm * cos(angle),
                t->finding->y_mm + AWAY[ring] * wide_mm * sin(angle), wide_mm, err);
        if (!status)
            status = tb__trial_take(t->trial, &stroke, err);
        tb_stroke_clear(&stroke);
    }
    return status;
}

/* The corner filled, or sawn off, to what the blade can turn; a speck of a stroke at the place is
 * what is eased. */
static tb_status try_turn(const trying *t, tb_error *err)
{
    static const tb_stroke_kind KINDS_OF_TURN[] = {TB_STROKE_WOOD, TB_STROKE_SAW};
    static const double DABS[] = {0.1, 0.4, 0.8};
    tb_status status = TB_OK;
    for (int k = 0; k < 6 && !status && !tb__trial_done(t->trial); k++) {
        tb_stroke stroke = TB_STROKE_INIT(KINDS_OF_TURN[k % 2]);
        status = tb_stroke_add(
                &stroke, t->finding->x_mm, t->finding->y_mm, DABS[k / 2] * t->wide_mm, err);
        if (!status)
            status = tb__trial_take(t->trial, &stroke, err);
        tb_stroke_clear(&stroke);
    }
    return status || tb__trial_done(t->trial) ? status : try_dabs(t, err);
}

/* ---- the frame ------------------------------------------------------------------------------- */

/* What is cut through, along its side of the board; what is sawn away may broaden behind it. */
static void cut_through(double *from_mm, double *to_mm, const tb_finding *finding, bool upright)
{
    *from_mm = INFINITY;
    *to_mm = -INFINITY;
    for (size_t i = 0; i < finding->n_extent; i++) {
        double at = upright ? finding->extent[i].y_mm : finding->extent[i].x_mm;
        *from_mm = fmin(*from_mm, at - finding->limit / 2);
        *to_mm = fmax(*to_mm, at + finding->limit / 2);
    }
}

/* Along the board's nearest side, as far as the opening there comes into the frame, or as the frame
 * is cut through. */
static tb_status try_frame(const trying *t, tb_error *err)
{
    const tb_mask *mask = t->mender->pattern;
    const tb_inspection *in = t->mender->before;
    double s = mask->px_per_mm, x = t->finding->x_mm, y = t->finding->y_mm;
    double board_w = mask->width_px / s, board_h = mask->height_px / s;
    double frame_mm = t->mender->limits.frame_mm;
    double away[4] = {x, y, board_w - x, board_h - y};
    int side = 0;
    for (int k = 1; k < 4; k++)
        side = away[k] < away[side] ? k : side;
    bool upright = side % 2 == 0;
    const tb_opening *opening = NULL;
    bool open = t->finding->measured <= 0;
    for (size_t i = 0; i < in->n_openings && !open; i++) {
        const tb_opening *o = &in->openings[i];
        double margin[4] = {o->left_mm, o->top_mm, board_w - o->right_mm, board_h - o->bottom_mm};
        double along = upright ? y : x, from = upright ? o->top_mm : o->left_mm;
        double to = upright ? o->bottom_mm : o->right_mm;
        if (margin[side] < frame_mm && along >= from - 0.1 && along <= to + 0.1)
            opening = o;
    }
    if (!opening && !open)
        return TB_OK;
    double from, to;
    if (open) {
        cut_through(&from, &to, t->finding, upright);
    } else {
        from = upright ? opening->top_mm : opening->left_mm;
        to = upright ? opening->bottom_mm : opening->right_mm;
    }
    from = fmax(from, frame_mm / 2);
    to = fmin(to, (upright ? board_h : board_w) - frame_mm / 2);
    double middle = side < 2 ? frame_mm / 2 : (side == 2 ? board_w : board_h) - frame_mm / 2;
    tb_stroke stroke = TB_STROKE_INIT(TB_STROKE_WOOD);
    tb_status status = TB_OK;
    for (int k = 0; k < 2 && !status; k++) {
        double at = k ? to : from;
        status = tb_stroke_add(
                &stroke, upright ? middle : at, upright ? at : middle, frame_mm + 0.5 / s, err);
    }
    if (!status)
        status = tb__trial_take(t->trial, &stroke, err);
    tb_stroke_clear(&stroke);
    return status;
}

/* ---------------------------------------------------------------------------------------------- */

static tb_status try_kind(const trying *t, tb_error *err)
{
    switch (t->finding->kind) {
    case TB_FINDING_THIN_BRIDGE:
    case TB_FINDING_NARROW_SLOT:
        return try_along(t, err);
    case TB_FINDING_WEAK_PENINSULA:
        return tb_finding_is_strand(t->finding) ? try_along(t, err) : try_root(t, err);
    case TB_FINDING_TIGHT_TURN:
        return try_turn(t, err);
    case TB_FINDING_THIN_FRAME:
        return try_frame(t, err);
    default:
        return t->kind == TB_STROKE_SAW      ? try_dabs(t, err)
               : t->kind == TB_STROKE_BRIDGE ? try_ties(t, err)
                                             : try_piece(t, err);
    }
}

tb_status tb__mend_try_all(tb_proposal *out, tb_mender *mender, const tb_finding *finding,
        tb_mend mend, tb_stroke_kind kind, const tb_job *job, tb_error *err)
{
    const tb_limb *limb = finding->kind == TB_FINDING_WEAK_PENINSULA
                                  ? tb__mend_limb(mender->before, finding, SAME_ROOT_MM)
                                  : NULL;
    trying t = {.mender = mender,
            .finding = finding,
            .limb = limb,
            .kind = kind,
            .wide_mm = dab_mm(finding, &mender->limits)};
    /* What ran out through the frame is an opening once that is whole. */
    bool open_frame = finding->kind == TB_FINDING_THIN_FRAME && finding->measured <= 0;
    bool keeps_openings = (mend == TB_MEND_THICKEN && !open_frame) || mend == TB_MEND_WIDEN ||
                          mend == TB_MEND_EASE;
    double reach_mm = limb ? fmin(limb->reach_mm + LIMB_MM, LIMB_MOST_MM) : 0;
    tb_status status = tb__trial_new(&t.trial, mender, finding, reach_mm, keeps_openings, job, err);
    if (!status)
        status = try_kind(&t, err);
    if (!status)
        status = tb__trial_end(out, t.trial, err);
    tb__trial_free(t.trial);
    return status;
}
