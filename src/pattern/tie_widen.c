/* pattern/tie_widen.c: necks of the wood widened to what is advised.
 *
 * From a neck the ridge is climbed on either side, to where the wood is as wide as advised or ends.
 * Discs of the advised width along that way make it wide enough; they may lie to one side of it,
 * whichever costs the likeness least.
 */
#include "pattern/tie_edit.h"

#include "base/alloc.h"
#include "base/array.h"
#include "pattern/survey.h"

#include <stdlib.h>

/* What widening one neck may cost, in mm² of picture. A judgement: at that the list of what should
 * be mended is half as long, and nobody sees the difference. */
static const double MOST_MM2 = 0.6;

/* ---- the way over the ridge ----------------------------------------------------------------- */

typedef struct {
    int32_t px, from; /* from: the node it was reached from, -1 at the neck */
    uint16_t depth_sq;
} node;

typedef struct {
    double x, y, depth; /* pixels */
} spot;

typedef struct {
    const tb__tie *t;
    const tb__ground *ground;
    const tb_inspection *in;
    uint8_t *seen; /* [pixels] */
    node *nodes;
    size_t n_nodes, nodes_room;
    int32_t *heap; /* of nodes, deepest first */
    size_t n_heap, heap_room;
    spot *way;
    size_t n_way, way_room;
} climb;

static bool comes_before(const climb *c, int32_t a, int32_t b)
{
    const node *p = &c->nodes[a], *q = &c->nodes[b];
    return p->depth_sq != q->depth_sq ? p->depth_sq > q->depth_sq : p->px < q->px;
}

static bool push(climb *c, int32_t px, int32_t from)
{
    if (c->seen[px])
        return true;
    if (!tb_array_reserve(&c->nodes, &c->nodes_room, c->n_nodes, 1) ||
            !tb_array_reserve(&c->heap, &c->heap_room, c->n_heap, 1))
        return false;
    c->seen[px] = 1;
    c->nodes[c->n_nodes] = (node){px, from, c->ground->wood_d2[px]};
    size_t at = c->n_heap++;
    int32_t item = (int32_t)c->n_nodes++;
    for (; at > 0 && comes_before(c, item, c->heap[(at - 1) / 2]); at = (at - 1) / 2)
        c->heap[at] = c->heap[(at - 1) / 2];
    c->heap[at] = item;
    return true;
}

static int32_t pop(climb *c)
{
    int32_t top = c->heap[0], item = c->heap[--c->n_heap];
    size_t at = 0;
    for (size_t child = 1; child < c->n_heap; child = 2 * at + 1) {
        if (child + 1 < c->n_heap && comes_before(c, c->heap[child + 1], c->heap[child]))
            child++;
        if (!comes_before(c, c->heap[child], item))
            break;
        c->heap[at] = c->heap[child];
        at = child;
    }
    c->heap[at] = item;
    return top;
}

static bool push_neighbours(climb *c, int32_t here, uint16_t floor_sq)
{
    int width = c->t->wood->width_px, height = c->t->wood->height_px;
    int32_t px = c->nodes[here].px, x = px % width, y = px / width;
    const int32_t to[4] = {x > 0 ? px - 1 : -1, x + 1 < width ? px + 1 : -1,
            y > 0 ? px - width : -1, y + 1 < height ? px + width : -1};
    for (int k = 0; k < 4; k++)
        if (to[k] >= 0 && c->ground->wood_d2[to[k]] >= floor_sq && !push(c, to[k], here))
            return false;
    return true;
}

/* Deepest first, so it stays on the ridge, from one side of a neck to where the wood is deep enough
 * or, where it nowhere is, to the deepest place of that side: a node, -1 where memory ran out. */
static int32_t climb_side(climb *c, const tb_neck *neck, int side, double enough_px)
{
    uint16_t floor_sq = c->ground->wood_d2[neck->px];
    int32_t best = 0;
    c->n_nodes = c->n_heap = 0;
    c->seen[neck->px] = 1;
    bool fine = push(c, neck->up[side], -1);
    while (fine && c->n_heap > 0) {
        int32_t here = pop(c);
        if (c->nodes[here].depth_sq > c->nodes[best].depth_sq)
            best = here;
        if (c->nodes[here].depth_sq >= enough_px * enough_px)
            break;
        fine = push_neighbours(c, here, floor_sq);
    }
    for (size_t i = 0; i < c->n_nodes; i++)
        c->seen[c->nodes[i].px] = 0;
    c->seen[neck->px] = 0;
    return fine ? best : -1;
}

static bool add_to_way(climb *c, int32_t px)
{
    int width = c->t->wood->width_px;
    if (!tb_array_reserve(&c->way, &c->way_room, c->n_way, 1))
        return false;
    c->way[c->n_way++] = (spot){px % width, px / width, sqrt(c->ground->wood_d2[px])};
    return true;
}

static void turn_round(spot *way, size_t n)
{
    for (size_t i = 0; i < n / 2; i++) {
        spot s = way[i];
        way[i] = way[n - 1 - i];
        way[n - 1 - i] = s;
    }
}

static void smooth(spot *way, size_t n)
{
    for (int round = 0; round < 8; round++) {
        spot before = way[0];
        for (size_t i = 1; i + 1 < n; i++) {
            spot here = way[i], behind = way[i + 1];
            way[i].x = (before.x + 2 * here.x + behind.x) / 4;
            way[i].y = (before.y + 2 * here.y + behind.y) / 4;
            before = here;
        }
    }
}

static bool find_way(climb *c, const tb_neck *neck, double enough_px)
{
    c->n_way = 0;
    for (int side = 0; side < 2; side++) {
        size_t first = c->n_way;
        int32_t end = climb_side(c, neck, side, enough_px);
        bool fine = end >= 0;
        for (int32_t i = end; i >= 0 && fine; i = c->nodes[i].from)
            fine = add_to_way(c, c->nodes[i].px);
        if (side == 0)
            fine = fine && add_to_way(c, neck->px);
        else
            turn_round(c->way + first, c->n_way - first);
        if (!fine)
            return false;
    }
    smooth(c->way, c->n_way);
    return true;
}

/* ---- discs along it ------------------------------------------------------------------------- */

/* Aside: which share of what the wood lacks they lie to one side. */
static bool lay_discs(tb__edits *edits, const climb *c, double wanted_px, double aside)
{
    enum { NEAR = 6 };
    const tb_mask *wood = c->t->wood;
    for (size_t i = 0; i < c->n_way; i += 2) { /* so far apart they sweep as one */
        const spot *s = &c->way[i], *before = &c->way[i > NEAR ? i - NEAR : 0],
                   *behind = &c->way[i + NEAR < c->n_way ? i + NEAR : c->n_way - 1];
        double dx = behind->x - before->x, dy = behind->y - before->y, far = hypot(dx, dy);
        double by = far > 0 ? aside * fmax(0, wanted_px / 2 - s->depth) / far : 0;
        int x = (int)lround(s->x - dy * by), y = (int)lround(s->y + dx * by);
        if (x < 0 || y < 0 || x >= wood->width_px || y >= wood->height_px)
            continue;
        if (!tb__edits_disc(edits, c->t, y * wood->width_px + x, wanted_px / 2 + 0.1))
            return false;
    }
    return true;
}

static tb_status widen(
        tb__edits *edits, climb *c, const tb_neck *neck, double wanted_px, tb_error *err)
{
    static const double ASIDE[] = {0, -0.8, 0.8};
    double least = MOST_MM2, cost, best = NAN;
    if (!find_way(c, neck, wanted_px / 2 - 0.5))
        return tb_fail_memory(err);
    for (int k = 0; k < 3; k++) {
        if (!tb__edits_begin(edits) || !lay_discs(edits, c, wanted_px, ASIDE[k]))
            return tb_fail_memory(err);
        tb_status status = tb__edits_weigh(&cost, edits, c->t, c->in, err);
        if (status)
            return status;
        if (cost < least) {
            least = cost;
            best = ASIDE[k];
        }
    }
    if (isnan(best))
        return TB_OK;
    bool fine = tb__edits_begin(edits) && lay_discs(edits, c, wanted_px, best);
    return fine ? tb__edits_keep(edits, c->t, err) : tb_fail_memory(err);
}

/* ---- necks ---------------------------------------------------------------------------------- */

static int by_px(const void *a, const void *b)
{
    const tb__known_neck *p = a, *q = b;
    return (p->px > q->px) - (p->px < q->px);
}

/* The width a neck should have, in pixels; 0 where it is wide enough, or the frame's affair. */
static double wanted_px(const climb *c, const tb_neck *neck)
{
    const tb_mask *wood = c->t->wood;
    const tb__known_necks *known = &c->ground->necks;
    const tb__known_neck key = {.px = neck->px}, *found = NULL;
    if (known->n > 0)
        found = bsearch(&key, known->items, known->n, sizeof key, by_px);
    if (!found || !found->found)
        return 0;
    const tb_breadth *b = &found->breadth;
    for (int k = 0; k < 2; k++)
        if (b->opening_x[k] < 0 || b->opening_y[k] < 0 || b->opening_x[k] >= wood->width_px ||
                b->opening_y[k] >= wood->height_px)
            return 0;
    const tb_limits *limits = &c->t->options->limits;
    double wanted_mm = fmax(limits->bridge_should_mm, tb__short_grain_mm(limits, b));
    double wanted = wanted_mm * wood->px_per_mm;
    return b->width_px < wanted - TB__GRAIN_PX ? wanted : 0;
}

tb_status tb__widen_necks(tb__edits *edits, tb__tie *t, const tb_inspection *in, tb_error *err)
{
    const tb_limits *limits = &t->options->limits;
    double most_mm = fmax(limits->bridge_should_mm, limits->bridge_across_mm);
    climb c = {.t = t, .ground = tb__inspector_ground(t->memory->inspector), .in = in};
    tb_neck *necks = NULL;
    size_t n = 0;
    tb_status status =
            tb_necks_find(&necks, &n, c.ground->ridge, most_mm * t->wood->px_per_mm + 2, err);
    if (!status) {
        c.seen = tb_calloc(tb_mask_area_px(t->wood), sizeof *c.seen);
        status = c.seen ? TB_OK : tb_fail_memory(err);
    }
    for (size_t i = n; i-- > 0 && !status;) {
        double wanted = wanted_px(&c, &necks[i]);
        if (wanted > 0)
            status = widen(edits, &c, &necks[i], wanted, err);
        if (!status && tb_job_stopped(t->job))
            status = tb_fail_cancelled(err);
    }
    tb_free(c.seen);
    tb_free(c.nodes);
    tb_free(c.heap);
    tb_free(c.way);
    tb_free(necks);
    return status;
}
