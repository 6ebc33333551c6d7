/* pattern/limb.c: see limb.h.
 *
 * 1. strands.h gives the ways of the ridge through wood that may hang; net.h tells which strands
 *    lie on no ring (single).
 * 2. Ways in the wood: shortest distances from what is held. A room is crossed straight from where
 *    it was entered.
 * 3. Up the walk, the farthest end behind each node; down the walk, each single strand joins the
 *    limb above it if that limb's farthest end is its own, or begins a new one.
 * 4. Along its strands each limb's root is where utilisation is greatest.
 */
#include "pattern/limb.h"

#include "base/alloc.h"
#include "base/array.h"
#include "pattern/strands.h"

#include <math.h>
#include <string.h>

#define STUMP 1.5

typedef struct {
    int32_t *px;   /* from one end of a strand to the other */
    double *along; /* way from its first pixel */
    size_t n, room, room_along;
} way;

typedef struct {
    const tb_ridge *ridge;
    const tb_limits *limits;
    double px_per_mm;
    tb__strands strands;
    tb__net net;
    double *distance; /* of a node, in the wood, from what is held, px */
    int32_t *entered; /* pixel where the node was entered, -1: not yet */
    double *far;      /* greatest distance behind the node */
    int32_t *limb;    /* of the single strand above the node, -1 */
    way way;
} tree;

double tb_limb_stress_mpa(const tb_limits *limits, double root_mm, double reach_mm)
{
    double t = limits->thickness_mm;
    return 6 * limits->load_n * reach_mm / (root_mm * t * t);
}

double tb_strength_at_mpa(const tb_limits *limits, double to_grain_rad)
{
    double s = sin(to_grain_rad), c = cos(to_grain_rad);
    double along = limits->strength_along_mpa, across = limits->strength_across_mpa;
    return along * across / (along * s * s + across * c * c);
}

/* Steps between pixels are longer than the smooth way they stand for, so the way's middle is taken
 * over five pixels. */
static void measure_way(way *w, int width_px)
{
    double last_x = 0, last_y = 0;
    for (size_t i = 0; i < w->n; i++) {
        size_t k = i < 2 ? i : 2;
        k = w->n - 1 - i < k ? w->n - 1 - i : k;
        double x = 0, y = 0, n = (double)(2 * k + 1);
        for (size_t j = i - k; j <= i + k; j++) {
            x += w->px[j] % width_px / n;
            y += w->px[j] / width_px / n;
        }
        w->along[i] = i ? w->along[i - 1] + hypot(x - last_x, y - last_y) : 0;
        last_x = x;
        last_y = y;
    }
}

/* Lays strand i out in t->way, from its end at node `from` to the other. */
static bool lay_way(tree *t, int32_t i, int32_t from)
{
    const tb__strands *strands = &t->strands;
    way *w = &t->way;
    const int32_t *px = strands->px + strands->begin[i];
    w->n = strands->begin[i + 1] - strands->begin[i];
    if (!tb_array_reserve(&w->px, &w->room, 0, w->n) ||
            !tb_array_reserve(&w->along, &w->room_along, 0, w->n))
        return false;
    bool forwards = strands->links[i].node[0] == from;
    for (size_t k = 0; k < w->n; k++)
        w->px[k] = px[forwards ? k : w->n - 1 - k];
    measure_way(w, t->ridge->width_px);
    return true;
}

static double apart(const tree *t, int32_t a, int32_t b)
{
    int width = t->ridge->width_px;
    return hypot(a % width - b % width, a / width - b / width);
}

/* A heap of nodes to visit, nearest first. */
typedef struct {
    double distance;
    int32_t node, px; /* and where it would be entered */
} visit;

typedef struct {
    visit *items;
    size_t n, room;
} heap;

static bool sooner(const visit *a, const visit *b)
{
    return a->distance < b->distance || (a->distance == b->distance && a->node < b->node);
}

static bool heap_push(heap *h, visit v)
{
    if (!tb_array_reserve(&h->items, &h->room, h->n, 1))
        return false;
    size_t i = h->n++;
    for (; i > 0 && sooner(&v, &h->items[(i - 1) / 2]); i = (i - 1) / 2)
        h->items[i] = h->items[(i - 1) / 2];
    h->items[i] = v;
    return true;
}

static visit heap_pop(heap *h)
{
    visit top = h->items[0], last = h->items[--h->n];
    size_t i = 0;
    for (size_t k; (k = 2 * i + 1) < h->n; i = k) {
        k += k + 1 < h->n && sooner(&h->items[k + 1], &h->items[k]);
        if (!sooner(&h->items[k], &last))
            break;
        h->items[i] = h->items[k];
    }
    h->items[i] = last;
    return top;
}

static bool visit_over(tree *t, heap *h, int32_t node, int32_t strand)
{
    int32_t next = tb__other_end(&t->net.links[strand], node);
    if (next == 0 || t->entered[next] >= 0)
        return true;
    if (!lay_way(t, strand, node))
        return false;
    const way *w = &t->way;
    double start = node ? t->distance[node] + apart(t, t->entered[node], w->px[0]) : 0;
    return heap_push(h, (visit){start + w->along[w->n - 1], next, w->px[w->n - 1]});
}

static bool measure_distances(tree *t)
{
    heap h = {0};
    bool good = true;
    const tb__net *net = &t->net;
    memset(t->entered, 0xff, net->n_nodes * sizeof *t->entered);
    for (int32_t k = net->first[0]; k < net->first[1] && good; k++)
        good = visit_over(t, &h, 0, net->around[k]);
    while (h.n && good) {
        visit v = heap_pop(&h);
        if (t->entered[v.node] >= 0)
            continue;
        t->entered[v.node] = v.px;
        t->distance[v.node] = v.distance;
        for (int32_t k = net->first[v.node]; k < net->first[v.node + 1] && good; k++)
            good = visit_over(t, &h, v.node, net->around[k]);
    }
    tb_free(h.items);
    return good;
}

/* How far a node's own wood goes beyond where it was entered. */
static double own_reach(const tree *t, int32_t node)
{
    const tb_ridge *ridge = t->ridge;
    int32_t px = t->strands.node_px[node];
    if (px >= 0)
        return sqrt(ridge->d2[px]) - 0.5;
    int32_t room = -1 - px;
    const tb_piece *piece = &ridge->rooms->pieces[room];
    double x = t->entered[node] % ridge->width_px, y = t->entered[node] / ridge->width_px, far = 0;
    for (int row = piece->top_px; row < piece->bottom_px; row++)
        for (size_t i = ridge->rooms->row_runs[row]; i < ridge->rooms->row_runs[row + 1]; i++) {
            const tb_run *run = &ridge->rooms->runs[i];
            if (run->piece != room)
                continue;
            double to = fmax(fabs(run->x_px - x), fabs(run->end_px - 1 - x));
            far = fmax(far, hypot(to, row - y));
        }
    return far + sqrt(ridge->cap_d2) - 0.5;
}

static size_t gather_limbs(tree *t)
{
    const tb__net *net = &t->net;
    size_t n = 0;
    for (size_t i = net->n_reached; i-- > 1;) {
        int32_t node = net->order[i], above = tb__net_above(net, node);
        t->far[node] = fmax(t->far[node], t->distance[node] + own_reach(t, node));
        t->far[above] = fmax(t->far[above], t->far[node]);
    }
    for (size_t i = 1; i < net->n_reached; i++) {
        int32_t node = net->order[i], above = tb__net_above(net, node);
        bool goes_on = above && net->single[above] && t->far[above] == t->far[node];
        t->limb[node] = -1;
        if (net->single[node])
            t->limb[node] = goes_on ? t->limb[above] : (int32_t)n++;
    }
    return n;
}

/* Height over the way, evened over five pixels as the way is. */
static double even_height(const tree *t, size_t i)
{
    const way *w = &t->way;
    size_t k = i < 2 ? i : 2;
    k = w->n - 1 - i < k ? w->n - 1 - i : k;
    double sum = 0;
    for (size_t j = i - k; j <= i + k; j++)
        sum += sqrt(t->ridge->d2[w->px[j]]);
    return sum / (double)(2 * k + 1);
}

/* Direction of the way at i, over half a root's width to either side. */
static double direction(const tree *t, size_t i, double half_px)
{
    const way *w = &t->way;
    int width = t->ridge->width_px;
    size_t k = (size_t)fmax(half_px, 3);
    size_t a = i > k ? i - k : 0, b = i + k < w->n ? i + k : w->n - 1;
    return atan2(w->px[b] / width - w->px[a] / width, w->px[b] % width - w->px[a] % width);
}

/* Judges every pixel of the single strand above a node as the root of its limb. */
static void judge_way(const tree *t, int32_t node, tb_hanging *best)
{
    const way *w = &t->way;
    double mm = 1 / t->px_per_mm, end = w->along[w->n - 1];
    for (size_t i = 0; i < w->n; i++) {
        double half = even_height(t, i) - 0.5, root = 2 * half;
        double reach = t->far[node] - t->distance[node] + end - w->along[i];
        if (t->ridge->d2[w->px[i]] == t->ridge->cap_d2 || reach < STUMP * root || half < 0.5)
            continue;
        double stress = tb_limb_stress_mpa(t->limits, root * mm, reach * mm);
        if (stress * t->limits->safety <= best->utilisation * t->limits->strength_across_mpa &&
                stress * t->limits->safety <= best->utilisation * t->limits->strength_along_mpa)
            continue;
        double towards = direction(t, i, half);
        double strength = tb_strength_at_mpa(t->limits, towards - t->limits->grain_rad);
        double utilisation = stress * t->limits->safety / strength;
        if (utilisation > best->utilisation)
            *best = (tb_hanging){w->px[i], towards, root, reach, utilisation};
    }
}

static bool judge_limbs(tree *t, tb_hanging *limbs)
{
    const tb__net *net = &t->net;
    for (size_t i = 1; i < net->n_reached; i++) {
        int32_t node = net->order[i];
        if (t->limb[node] < 0)
            continue;
        if (!lay_way(t, net->parent[node], tb__net_above(net, node)))
            return false;
        judge_way(t, node, &limbs[t->limb[node]]);
    }
    return true;
}

static bool grow_tree(tree *t)
{
    size_t n = t->strands.n_nodes;
    t->distance = tb_malloc(n, sizeof *t->distance);
    t->entered = tb_malloc(n, sizeof *t->entered);
    t->far = tb_calloc(n, sizeof *t->far);
    t->limb = tb_malloc(n, sizeof *t->limb);
    return t->distance && t->entered && t->far && t->limb &&
           tb__net_walk(&t->net, t->strands.links, t->strands.n_strands, n, 0) &&
           measure_distances(t);
}

static void tree_clear(tree *t)
{
    tb__strands_clear(&t->strands);
    tb__net_clear(&t->net);
    tb_free(t->distance);
    tb_free(t->entered);
    tb_free(t->far);
    tb_free(t->limb);
    tb_free(t->way.px);
    tb_free(t->way.along);
}

tb_status tb_limbs_find(tb_hanging **out, size_t *n_out, const tb_ridge *ridge, double px_per_mm,
        const tb_limits *limits, int32_t held_px, const int32_t *tips, size_t n_tips, double least,
        tb_error *err)
{
    *out = NULL;
    *n_out = 0;
    tree t = {.ridge = ridge, .limits = limits, .px_per_mm = px_per_mm};
    tb_hanging *limbs = NULL;
    size_t n = 0, n_kept = 0;
    tb_status status = tb__strands_find(&t.strands, ridge, held_px, tips, n_tips, err);
    if (status)
        return status;
    bool good = grow_tree(&t);
    if (good) {
        n = gather_limbs(&t);
        limbs = tb_calloc(n, sizeof *limbs);
    }
    if (!limbs || !judge_limbs(&t, limbs)) {
        status = tb_fail_memory(err);
        goto out;
    }
    for (size_t i = 0; i < n; i++)
        if (limbs[i].utilisation > 0 && limbs[i].utilisation >= least)
            limbs[n_kept++] = limbs[i];
    *out = limbs;
    *n_out = n_kept;
    limbs = NULL;
out:
    tb_free(limbs);
    tree_clear(&t);
    return status;
}
