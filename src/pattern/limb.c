/* pattern/limb.c: see limb.h.
 *
 * 1. strands.h gives the ways of the ridge through wood that may hang; net.h tells which strands
 *    lie on no ring (single).
 * 2. Ways in the wood: shortest distances from what is held. A room is crossed straight from where
 *    it was entered.
 * 3. Up the walk, the farthest end and all the wood behind each node; down the walk, a chain goes
 *    on by that single strand behind which most wood hangs, and each other one begins a new chain.
 * 4. A chain is one limb, or several, each on the end of the one before: wherever wood that is
 *    clearly stouter for its reach lies between two slender stretches, one limb ends and another
 *    begins. Grain has no say in that, so a wavy hair stays one limb.
 * 5. Each limb's root is where utilisation is greatest.
 */
#include "pattern/limb.h"

#include "base/alloc.h"
#include "base/array.h"
#include "pattern/strands.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define STUMP 1.5

/* How much stouter the wood between two limbs is than either, at least. */
#define STOUTER 1.4

typedef struct {
    int32_t *px;   /* from one end of a strand to the other */
    double *along; /* way from its first pixel */
    size_t n, room, room_along;
} way;

/* A pixel of a chain, as a root. */
typedef struct {
    tb_hanging hanging;
    double slender;  /* reach over width, a pixel added: what the pixels' grain can't sway */
    double area_px2; /* from here to the end, branches left out */
    bool fit;        /* to be a root at all */
} place;

typedef struct {
    place *items;
    size_t n, room;
} chain;

typedef struct {
    const tb_ridge *ridge;
    const tb_limits *limits;
    double px_per_mm, least;
    tb__strands strands;
    tb__net net;
    double *distance; /* of a node, in the wood, from what is held, px */
    int32_t *entered; /* pixel where the node was entered, -1: not yet */
    double *far;      /* greatest distance behind the node */
    double *bulk;     /* of a node, what hangs behind it and its strand to there, px² */
    double *area;     /* of a strand that was laid */
    int32_t *next;    /* node by which the chain goes on from this one, -1 */
    bool *begins;     /* the single strand above the node begins a chain */
    way way;
    chain chain;
    tb_hanging *limbs;
    size_t n_limbs, room_limbs;
    tb_limb_mark *marks;
    size_t n_marks;
} tree;

double tb_limb_stress_mpa(const tb_limits *limits, double root_mm, double reach_mm)
{
    double t = limits->thickness_mm;
    return 6 * limits->load_n * reach_mm / (root_mm * t * t);
}

bool tb_limb_is_strand(double root_mm, double reach_mm)
{
    return reach_mm > TB_STRAND_ROOTS * root_mm;
}

double tb_strength_at_mpa(const tb_limits *limits, double to_grain_rad)
{
    double s = sin(to_grain_rad), c = cos(to_grain_rad);
    double along = limits->strength_along_mpa, across = limits->strength_across_mpa;
    return along * across / (along * s * s + across * c * c);
}

/* Steps between pixels are longer than the smooth way they stand for, so the way's middle is taken
 * over nine pixels. */
enum { EVEN_PX = 4 };

static void measure_way(way *w, int width_px)
{
    double last_x = 0, last_y = 0;
    for (size_t i = 0; i < w->n; i++) {
        size_t k = i < EVEN_PX ? i : EVEN_PX;
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

/* Height over the way, evened over five pixels. */
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

/* Of the wood about the way, as far as its strand goes. */
static double area_of_way(const tree *t)
{
    double area = 0;
    for (size_t i = 1; i < t->way.n; i++)
        area += (2 * even_height(t, i) - 1) * (t->way.along[i] - t->way.along[i - 1]);
    return area;
}

static bool visit_over(tree *t, heap *h, int32_t node, int32_t strand)
{
    int32_t next = tb__other_end(&t->net.links[strand], node);
    if (next == 0 || t->entered[next] >= 0)
        return true;
    if (!lay_way(t, strand, node))
        return false;
    const way *w = &t->way;
    t->area[strand] = area_of_way(t);
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

/* Of a room; the wood of other nodes is that of their strands. */
static double own_area(const tree *t, int32_t node)
{
    int32_t px = t->strands.node_px[node];
    return px < 0 ? (double)t->ridge->rooms->pieces[-1 - px].area_px : 0;
}

static void gather_chains(tree *t)
{
    const tb__net *net = &t->net;
    for (size_t i = net->n_reached; i-- > 1;) {
        int32_t node = net->order[i], above = tb__net_above(net, node);
        t->far[node] = fmax(t->far[node], t->distance[node] + own_reach(t, node));
        t->far[above] = fmax(t->far[above], t->far[node]);
        t->bulk[node] += t->area[net->parent[node]] + own_area(t, node);
        t->bulk[above] += t->bulk[node];
    }
    memset(t->next, 0xff, net->n_nodes * sizeof *t->next);
    for (size_t i = 1; i < net->n_reached; i++) {
        int32_t node = net->order[i], above = tb__net_above(net, node);
        bool goes_on = above && net->single[above] && net->single[node];
        if (goes_on && (t->next[above] < 0 || t->bulk[t->next[above]] < t->bulk[node]))
            t->next[above] = node;
    }
    for (size_t i = 1; i < net->n_reached; i++) {
        int32_t node = net->order[i];
        t->begins[node] = net->single[node] && t->next[tb__net_above(net, node)] != node;
    }
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

static bool is_thin(const tree *t, const tb_hanging *h)
{
    double thin_px = (t->limits->bridge_should_mm + t->limits->split_kerf_mm) * t->px_per_mm;
    return h->root_px < thin_px && tb_limb_is_strand(h->root_px, h->reach_px);
}

/* Fills in what makes pixel i of the way a root, unless it can't be one that counts. */
static void judge_place(const tree *t, place *p, size_t i, double half)
{
    const tb_limits *limits = t->limits;
    tb_hanging *h = &p->hanging;
    double root_mm = h->root_px / t->px_per_mm, reach_mm = h->reach_px / t->px_per_mm;
    double load = tb_limb_stress_mpa(limits, root_mm, reach_mm) * limits->safety;
    bool counts =
            load >= t->least * fmin(limits->strength_across_mpa, limits->strength_along_mpa) ||
            is_thin(t, h);
    p->fit = counts && half >= 0.5 && t->ridge->d2[h->px] < t->ridge->cap_d2 &&
             h->reach_px >= STUMP * h->root_px;
    if (!p->fit)
        return;
    h->towards_rad = direction(t, i, half);
    h->utilisation = load / tb_strength_at_mpa(limits, h->towards_rad - limits->grain_rad);
}

/* Adds the single strand above a node to the chain, and the room that the node may be. */
static bool add_strand(tree *t, int32_t node)
{
    chain *c = &t->chain;
    const way *w = &t->way;
    if (!lay_way(t, t->net.parent[node], tb__net_above(&t->net, node)) ||
            !tb_array_reserve(&c->items, &c->room, c->n, w->n + 1))
        return false;
    double behind = t->far[node] - t->distance[node], end = w->along[w->n - 1];
    for (size_t i = 0; i < w->n; i++) {
        double half = even_height(t, i) - 0.5, reach = behind + end - w->along[i];
        place *p = &c->items[c->n++];
        *p = (place){.hanging = {w->px[i], 0, 2 * half, reach, 0}};
        p->slender = reach / (2 * half + 1);
        p->area_px2 = 2 * half * (i + 1 < w->n ? w->along[i + 1] - w->along[i] : 0);
        judge_place(t, p, i, half);
    }
    double area = own_area(t, node);
    if (area > 0)
        c->items[c->n++] = (place){.hanging.px = -1,
                .slender = behind / (2 * sqrt(t->ridge->cap_d2)),
                .area_px2 = area};
    return true;
}

static int by_px(const void *a, const void *b)
{
    const tb_limb_mark *p = a, *q = b;
    return (p->px > q->px) - (p->px < q->px);
}

void tb_limb_marks_sort(tb_limb_mark *marks, size_t n)
{
    if (n)
        qsort(marks, n, sizeof *marks, by_px);
}

tb_limb_mark *tb_limb_mark_at(tb_limb_mark *marks, size_t n, int32_t px)
{
    tb_limb_mark wanted = {px, -1};
    return n ? bsearch(&wanted, marks, n, sizeof wanted, by_px) : NULL;
}

/* The limb from place `root` up to place `end` has all marks on it. */
static void mark_limb(tree *t, size_t root, size_t end)
{
    for (size_t i = root; i < end && t->n_marks; i++) {
        tb_limb_mark *mark = tb_limb_mark_at(t->marks, t->n_marks, t->chain.items[i].hanging.px);
        if (mark)
            mark->limb = (int32_t)t->n_limbs;
    }
}

/* Where a strand tapers to a point, every place is used alike: so much is not worth going away from
 * where it is held. */
#define ALIKE 0.97

/* Keeps the most used of the places first … end - 1. */
static bool keep_root(tree *t, size_t first, size_t end)
{
    double speck_px2 = t->limits->speck_mm2 * t->px_per_mm * t->px_per_mm, highest = 0;
    size_t root = end;
    for (size_t i = end; i-- > first;) {
        const place *p = &t->chain.items[i];
        if (!p->fit || p->area_px2 < speck_px2 || p->hanging.utilisation < ALIKE * highest)
            continue;
        highest = fmax(highest, p->hanging.utilisation);
        root = i;
    }
    const tb_hanging *best = root < end ? &t->chain.items[root].hanging : NULL;
    if (!best || (best->utilisation < t->least && !is_thin(t, best)))
        return true;
    if (!tb_array_reserve(&t->limbs, &t->room_limbs, t->n_limbs, 1))
        return false;
    t->limbs[t->n_limbs] = *best;
    t->limbs[t->n_limbs].id = (int32_t)t->n_limbs;
    mark_limb(t, root, end);
    t->n_limbs++;
    return true;
}

/* One root for each stretch of the chain from a stoutest place between to the next. */
static bool part_chain(tree *t)
{
    const chain *c = &t->chain;
    size_t first = 0, low = 0;
    double high = 0;
    bool falls = false;
    for (size_t i = c->n; i-- > 1;)
        c->items[i - 1].area_px2 += c->items[i].area_px2;
    for (size_t i = 0; i < c->n; i++) {
        double here = c->items[i].slender;
        if (!falls) {
            high = fmax(high, here);
            falls = here * STOUTER <= high;
            low = i;
        } else if (here < c->items[low].slender) {
            low = i;
        } else if (here >= c->items[low].slender * STOUTER) {
            if (!keep_root(t, first, low))
                return false;
            first = low;
            high = here;
            falls = false;
        }
    }
    return keep_root(t, first, c->n);
}

static bool judge_chains(tree *t)
{
    for (size_t i = 1; i < t->net.n_reached; i++) {
        if (!t->begins[t->net.order[i]])
            continue;
        t->chain.n = 0;
        for (int32_t node = t->net.order[i]; node >= 0; node = t->next[node])
            if (!add_strand(t, node))
                return false;
        if (!part_chain(t))
            return false;
    }
    return true;
}

static bool grow_tree(tree *t)
{
    size_t n = t->strands.n_nodes;
    t->distance = tb_malloc(n, sizeof *t->distance);
    t->entered = tb_malloc(n, sizeof *t->entered);
    t->far = tb_calloc(n, sizeof *t->far);
    t->bulk = tb_calloc(n, sizeof *t->bulk);
    t->area = tb_calloc(t->strands.n_strands, sizeof *t->area);
    t->next = tb_malloc(n, sizeof *t->next);
    t->begins = tb_calloc(n, sizeof *t->begins);
    return t->distance && t->entered && t->far && t->bulk && t->area && t->next && t->begins &&
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
    tb_free(t->bulk);
    tb_free(t->area);
    tb_free(t->next);
    tb_free(t->begins);
    tb_free(t->way.px);
    tb_free(t->way.along);
    tb_free(t->chain.items);
    tb_free(t->limbs);
}

tb_status tb_limbs_find(tb_hanging **out, size_t *n_out, const tb_ridge *ridge, double px_per_mm,
        const tb_limits *limits, int32_t held_px, const int32_t *tips, size_t n_tips, double least,
        tb_limb_mark *marks, size_t n_marks, tb_error *err)
{
    *out = NULL;
    *n_out = 0;
    tree t = {.ridge = ridge, .limits = limits, .px_per_mm = px_per_mm, .least = least};
    t.marks = marks;
    t.n_marks = n_marks;
    tb_status status = tb__strands_find(&t.strands, ridge, held_px, tips, n_tips, err);
    if (status)
        return status;
    bool good = grow_tree(&t);
    if (good)
        gather_chains(&t);
    if (!good || !judge_chains(&t)) {
        status = tb_fail_memory(err);
    } else {
        *out = t.limbs;
        *n_out = t.n_limbs;
        t.limbs = NULL;
    }
    tree_clear(&t);
    return status;
}
