/* pattern/tie_mend.c: widths mended where opening by discs alone doesn't see to them.
 *
 * Necks      Every pixel of opened wood lies under some disc, but two discs that touch make a neck
 *            of next to nothing. A neck is thickened by laying the disc along the ridge, up on
 *            either side until it fits by itself.
 * Openings   One that no drill fits into is widened at its deepest place, where there is wood
 * enough around it and the picture loses less by that, or is filled.
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "base/num.h"
#include "image/distance.h"

#include <string.h>

typedef struct {
    tb__tie *t;
    tb_labels *labels;
    uint16_t *depth_sq;   /* in the openings */
    double need_px;       /* what the deepest pixel of an opening must be away from the wood */
    double carve_px;      /* radius it is widened to: mending slots may cost it a pixel */
    int32_t *deepest;     /* [openings] pixel */
    uint16_t *deepest_sq; /* [openings] its depth */
    bool *by_hand;        /* [openings] holds some opening painted by hand */
} openings;

static uint16_t most_of(const uint16_t *d, size_t n)
{
    uint16_t most = 0;
    for (size_t i = 0; i < n; i++)
        most = d[i] > most ? d[i] : most;
    return most;
}

static bool is_roomy(const openings *o, int32_t piece)
{
    return o->labels->pieces[piece].at_edge || o->deepest_sq[piece] >= o->need_px * o->need_px;
}

/* Of each opening until it is known to be roomy enough, the deepest place. */
static tb_status look_at_openings(openings *o, tb_error *err)
{
    const tb__tie *t = o->t;
    const tb_mask *painted = t->options->painted_opening;
    size_t width = (size_t)t->wood->width_px, n = (size_t)o->labels->n_pieces;
    o->deepest = tb_malloc(n, sizeof *o->deepest);
    o->deepest_sq = tb_calloc(n, sizeof *o->deepest_sq);
    o->by_hand = tb_calloc(n, sizeof *o->by_hand);
    if (!o->deepest || !o->deepest_sq || !o->by_hand)
        return tb_fail_memory(err);
    for (size_t i = 0; i < o->labels->n_runs; i++) {
        const tb_run *run = &o->labels->runs[i];
        if (is_roomy(o, run->piece))
            continue;
        size_t at = (size_t)run->y_px * width + (size_t)run->x_px;
        size_t n_px = (size_t)(run->end_px - run->x_px);
        uint16_t most = most_of(o->depth_sq + at, n_px);
        if (most > o->deepest_sq[run->piece]) {
            size_t px = at;
            while (o->depth_sq[px] < most)
                px++;
            o->deepest[run->piece] = (int32_t)px;
            o->deepest_sq[run->piece] = most;
        }
        if (painted && memchr(painted->px + at, 1, n_px))
            o->by_hand[run->piece] = true;
    }
    return TB_OK;
}

/* The pixels within radius of a pixel's centre. */
typedef struct {
    int x, y, left, top, right, bottom;
    double radius_sq;
} circle;

static circle circle_about(const tb_mask *wood, int32_t px, double radius)
{
    circle c = {.x = px % wood->width_px, .y = px / wood->width_px, .radius_sq = radius * radius};
    int reach = (int)ceil(radius);
    c.left = c.x - reach < 0 ? 0 : c.x - reach;
    c.top = c.y - reach < 0 ? 0 : c.y - reach;
    c.right = c.x + reach < wood->width_px ? c.x + reach : wood->width_px - 1;
    c.bottom = c.y + reach < wood->height_px ? c.y + reach : wood->height_px - 1;
    return c;
}

static bool within(const circle *c, int x, int y)
{
    return (x - c->x) * (x - c->x) + (y - c->y) * (y - c->y) < c->radius_sq;
}

/* Whether a disc of carve_px about the opening's deepest pixel leaves a bridge of wood to every
 * other opening, the frame to the board's edge, and wood painted by hand alone. */
static bool may_widen(const openings *o, int32_t piece)
{
    const tb__tie *t = o->t;
    const tb_mask *wood = t->wood, *painted = t->options->painted_wood;
    circle far = circle_about(wood, o->deepest[piece], o->carve_px + t->bridge_px + 1);
    circle near = circle_about(wood, o->deepest[piece], o->carve_px);
    double frame_px = t->options->limits.frame_mm * wood->px_per_mm;
    if (near.left < frame_px || near.top < frame_px || near.right + 1 > wood->width_px - frame_px ||
            near.bottom + 1 > wood->height_px - frame_px)
        return false;
    for (int y = far.top; y <= far.bottom; y++)
        for (int x = far.left; x <= far.right; x++) {
            size_t px = (size_t)y * (size_t)wood->width_px + (size_t)x;
            if (!wood->px[px] && within(&far, x, y) && tb_labels_at(o->labels, x, y) != piece)
                return false;
            if (painted && painted->px[px] && within(&near, x, y))
                return false;
        }
    return true;
}

static double widening_cost(const openings *o, int32_t piece)
{
    const tb_mask *wood = o->t->wood;
    circle c = circle_about(wood, o->deepest[piece], o->carve_px);
    double cost = 0;
    for (int y = c.top; y <= c.bottom; y++)
        for (int x = c.left; x <= c.right; x++)
            if (within(&c, x, y) && wood->px[(size_t)y * (size_t)wood->width_px + (size_t)x])
                cost += tb__field_worth(o->t, x, y);
    return cost;
}

static void widen(const openings *o, int32_t piece)
{
    tb_mask *wood = o->t->wood;
    circle c = circle_about(wood, o->deepest[piece], o->carve_px);
    for (int y = c.top; y <= c.bottom; y++)
        for (int x = c.left; x <= c.right; x++)
            if (within(&c, x, y))
                wood->px[(size_t)y * (size_t)wood->width_px + (size_t)x] = 0;
}

static double filling_cost(const openings *o, int32_t piece)
{
    double cost = 0;
    const tb_piece *p = &o->labels->pieces[piece];
    for (size_t i = o->labels->row_runs[p->top_px]; i < o->labels->row_runs[p->bottom_px]; i++) {
        const tb_run *run = &o->labels->runs[i];
        for (int x = run->x_px; run->piece == piece && x < run->end_px; x++)
            cost += tb__field_cost(o->t, x, run->y_px);
    }
    return cost;
}

static tb_status mend_opening(openings *o, int32_t piece, bool may_carve, tb_error *err)
{
    const tb__tie *t = o->t;
    bool fits = may_carve && may_widen(o, piece);
    if (fits && (o->by_hand[piece] || widening_cost(o, piece) < filling_cost(o, piece))) {
        widen(o, piece);
        return TB_OK;
    }
    if (o->by_hand[piece])
        return tb_fail(err, TB_EUNSAWABLE,
                "the opening painted by hand about %s, %s mm is too small for the drill, and what "
                "lies around it leaves no room to widen it",
                tb_num_of(o->labels->pieces[piece].x_px / t->wood->px_per_mm, 0).text,
                tb_num_of(o->labels->pieces[piece].y_px / t->wood->px_per_mm, 0).text);
    tb__fill_piece(t->wood, o->labels, piece, 1);
    return TB_OK;
}

tb_status tb__mend_openings(tb__tie *t, bool may_carve, bool *changed, tb_error *err)
{
    const tb_limits *limits = &t->options->limits;
    openings o = {.t = t};
    double need_mm = limits->drill_mm / 2 + fmax(limits->drill_room_mm / 2, limits->hole_clear_mm);
    o.need_px = need_mm * t->wood->px_per_mm + 0.5;
    o.carve_px = o.need_px + 1;
    bool field_is_new = false;
    tb_status status = tb_label_openings(&o.labels, t->wood, t->job, err);
    if (!status)
        status = tb_distance_in_openings(
                &o.depth_sq, t->wood, (int)ceil(o.need_px) + 1, t->job, err);
    if (!status)
        status = look_at_openings(&o, err);
    for (int32_t i = 0; !status && i < o.labels->n_pieces; i++) {
        if (is_roomy(&o, i))
            continue;
        if (!field_is_new)
            status = tb__field_update(t, err);
        field_is_new = true;
        if (!status)
            status = mend_opening(&o, i, may_carve, err);
        *changed = true;
    }
    tb_labels_free(o.labels);
    tb_free(o.depth_sq);
    tb_free(o.deepest);
    tb_free(o.deepest_sq);
    tb_free(o.by_hand);
    return status;
}
