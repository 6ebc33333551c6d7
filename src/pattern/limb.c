/* pattern/limb.c: see limb.h.
 *
 * 1. The net: nodes of the ridge and tips; an edge for each pass and each tip.
 * 2. A depth-first walk from the held node finds the edges that lie on no ring (bridges in the
 *    sense of graphs; called single here, as a bridge is something else in this trade). Nodes
 *    behind a single edge hang.
 * 3. Ways in the wood: shortest distances from what is held, counted through hanging nodes only. A
 *    room is crossed straight from where it was entered.
 * 4. Up the walk, the farthest end behind each node; down the walk, each single edge joins the
 *    limb above it if that limb's farthest end is its own, or begins a new one.
 * 5. Along its edges each limb's root is where utilisation is greatest.
 */
#include "pattern/limb.h"

#include "base/alloc.h"
#include "base/array.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846
#define STUMP 1.5

typedef struct {
    int32_t node[2];
    int32_t px;    /* of the pass or the tip */
    int32_t up[2]; /* first pixel of the way to node[0], node[1]; -1: px is the node itself */
} edge;

typedef struct {
    int32_t *px;   /* from one end of an edge to the other */
    double *along; /* way from its first pixel */
    size_t n, room, room_along;
} way;

typedef struct {
    const tb_ridge *ridge;
    const tb_limits *limits;
    double px_per_mm;
    size_t n_nodes, n_edges;
    edge *edges;
    int32_t *first, *around; /* edges around each node */
    int32_t *order;          /* nodes in the order of the walk */
    int32_t *parent;         /* edge by which the walk came, -1 */
    bool *single;            /* that edge lies on no ring */
    bool *hangs;
    double *distance; /* in the wood from what is held, px */
    int32_t *entered; /* pixel where the node was entered */
    double *far;      /* greatest distance behind the node */
    int32_t *limb;    /* of the single edge above the node, -1 */
    size_t n_reached;
    way way;
} net;

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

static int32_t other_end(const edge *e, int32_t node)
{
    return e->node[0] == node ? e->node[1] : e->node[0];
}

static bool new_net(net *t, size_t n_tips)
{
    size_t n = t->ridge->n_summits + (size_t)t->ridge->rooms->n_pieces + n_tips;
    t->n_nodes = n;
    t->n_edges = t->ridge->n_passes + n_tips;
    t->edges = tb_malloc(t->n_edges, sizeof *t->edges);
    t->first = tb_calloc(n + 2, sizeof *t->first);
    t->around = tb_malloc(2 * t->n_edges, sizeof *t->around);
    t->order = tb_malloc(n, sizeof *t->order);
    t->parent = tb_malloc(n, sizeof *t->parent);
    t->single = tb_calloc(n, sizeof *t->single);
    t->hangs = tb_calloc(n, sizeof *t->hangs);
    t->distance = tb_malloc(n, sizeof *t->distance);
    t->entered = tb_malloc(n, sizeof *t->entered);
    t->far = tb_calloc(n, sizeof *t->far);
    t->limb = tb_malloc(n, sizeof *t->limb);
    return t->edges && t->first && t->around && t->order && t->parent && t->single && t->hangs &&
           t->distance && t->entered && t->far && t->limb;
}

static void free_net(net *t)
{
    void *blocks[] = {t->edges, t->first, t->around, t->order, t->parent, t->single, t->hangs,
            t->distance, t->entered, t->far, t->limb, t->way.px, t->way.along};
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++)
        tb_free(blocks[i]);
}

static void fill_net(net *t, const int32_t *tips, size_t n_tips)
{
    const tb_ridge *ridge = t->ridge;
    size_t n = 0, first_tip = t->n_nodes - n_tips;
    for (size_t i = 0; i < ridge->n_passes; i++) {
        const tb_pass *p = &ridge->passes[i];
        if (p->node[0] != p->node[1])
            t->edges[n++] = (edge){{p->node[0], p->node[1]}, p->px, {p->up[0], p->up[1]}};
    }
    for (size_t i = 0; i < n_tips; i++) {
        int32_t up = tb_ridge_up(ridge, tips[i]);
        t->edges[n++] = (edge){
                {(int32_t)(first_tip + i), tb_ridge_node(ridge, tips[i])}, tips[i], {-1, up}};
    }
    t->n_edges = n;
    for (size_t i = 0; i < n; i++)
        for (int side = 0; side < 2; side++)
            t->first[t->edges[i].node[side] + 2]++;
    for (size_t i = 2; i < t->n_nodes + 2; i++)
        t->first[i] += t->first[i - 1];
    for (size_t i = 0; i < n; i++)
        for (int side = 0; side < 2; side++)
            t->around[t->first[t->edges[i].node[side] + 1]++] = (int32_t)i;
}

/* Depth first without recursion: `at` holds how far the list around each node has been read. */
static bool walk_net(net *t, int32_t held)
{
    int32_t *number = tb_malloc(t->n_nodes, sizeof *number);
    int32_t *low = tb_malloc(t->n_nodes, sizeof *low);
    int32_t *at = tb_malloc(t->n_nodes, sizeof *at);
    bool good = number && low && at;
    if (!good)
        goto out;
    memset(number, 0xff, t->n_nodes * sizeof *number);
    memcpy(at, t->first, t->n_nodes * sizeof *at);
    t->parent[held] = -1;
    number[held] = low[held] = 0;
    t->order[t->n_reached++] = held;
    for (int32_t node = held; node >= 0;) {
        if (at[node] < t->first[node + 1]) {
            int32_t e = t->around[at[node]++], next = other_end(&t->edges[e], node);
            if (number[next] >= 0) {
                if (e != t->parent[node] && number[next] < low[node])
                    low[node] = number[next];
                continue;
            }
            t->parent[next] = e;
            number[next] = low[next] = (int32_t)t->n_reached;
            t->order[t->n_reached++] = next;
            node = next;
            continue;
        }
        if (t->parent[node] < 0)
            break;
        int32_t above = other_end(&t->edges[t->parent[node]], node);
        t->single[node] = low[node] == number[node];
        low[above] = low[node] < low[above] ? low[node] : low[above];
        node = above;
    }
    for (size_t i = 1; i < t->n_reached; i++) {
        int32_t node = t->order[i], above = other_end(&t->edges[t->parent[node]], node);
        t->hangs[node] = t->single[node] || t->hangs[above];
    }
out:
    tb_free(number);
    tb_free(low);
    tb_free(at);
    return good;
}

static bool add_px(way *w, int32_t px)
{
    if (!tb_array_reserve(&w->px, &w->room, w->n, 1))
        return false;
    w->px[w->n++] = px;
    return true;
}

static bool add_way_up(net *t, int32_t px)
{
    for (int32_t next = px; px >= 0; px = next) {
        if (!add_px(&t->way, px))
            return false;
        next = tb_ridge_up(t->ridge, px);
        if (next == px)
            break;
    }
    return true;
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

/* Lays the edge out in t->way, from the end that is `from` to the other. */
static bool lay_way(net *t, const edge *e, int32_t from)
{
    int begin = e->node[0] == from ? 0 : 1;
    way *w = &t->way;
    w->n = 0;
    if (e->up[begin] >= 0 && !add_way_up(t, e->up[begin]))
        return false;
    for (size_t i = 0; i < w->n / 2; i++) {
        int32_t swap = w->px[i];
        w->px[i] = w->px[w->n - 1 - i];
        w->px[w->n - 1 - i] = swap;
    }
    if (!add_px(w, e->px))
        return false;
    int32_t up = e->up[!begin];
    if (up >= 0 && up != e->px && !add_way_up(t, up))
        return false;
    if (!tb_array_reserve(&w->along, &w->room_along, 0, w->n))
        return false;
    measure_way(w, t->ridge->width_px);
    return true;
}

static double apart(const net *t, int32_t a, int32_t b)
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

static bool visit_over(net *t, heap *h, int32_t node, int32_t e)
{
    int32_t next = other_end(&t->edges[e], node);
    if (!t->hangs[next] || t->entered[next] >= 0)
        return true;
    if (!lay_way(t, &t->edges[e], node))
        return false;
    const way *w = &t->way;
    double start =
            t->entered[node] >= 0 ? t->distance[node] + apart(t, t->entered[node], w->px[0]) : 0;
    return heap_push(h, (visit){start + w->along[w->n - 1], next, w->px[w->n - 1]});
}

/* The walk's order has every node behind the one it hangs on, and a single edge is the only way
 * in, so what hangs on what is held may be visited all at once. */
static bool measure_distances(net *t)
{
    heap h = {0};
    bool good = true;
    memset(t->entered, 0xff, t->n_nodes * sizeof *t->entered);
    for (size_t i = 1; i < t->n_reached && good; i++) {
        int32_t node = t->order[i], e = t->parent[node];
        int32_t above = other_end(&t->edges[e], node);
        if (t->hangs[node] && !t->hangs[above])
            good = visit_over(t, &h, above, e);
    }
    while (h.n && good) {
        visit v = heap_pop(&h);
        if (t->entered[v.node] >= 0)
            continue;
        t->entered[v.node] = v.px;
        t->distance[v.node] = v.distance;
        for (int32_t k = t->first[v.node]; k < t->first[v.node + 1] && good; k++)
            good = visit_over(t, &h, v.node, t->around[k]);
    }
    tb_free(h.items);
    return good;
}

/* How far a node's own wood goes beyond where it was entered. */
static double own_reach(const net *t, int32_t node)
{
    const tb_ridge *ridge = t->ridge;
    size_t n_summits = ridge->n_summits, n_rooms = (size_t)ridge->rooms->n_pieces;
    if ((size_t)node >= n_summits + n_rooms)
        return 0;
    double height = sqrt(tb_ridge_height(ridge, node)) - 0.5;
    if ((size_t)node < n_summits)
        return height;
    int32_t room = node - (int32_t)n_summits;
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
    return far + height;
}

static size_t gather_limbs(net *t)
{
    size_t n = 0;
    for (size_t i = t->n_reached; i-- > 1;) {
        int32_t node = t->order[i];
        if (!t->hangs[node])
            continue;
        t->far[node] = fmax(t->far[node], t->distance[node] + own_reach(t, node));
        int32_t above = other_end(&t->edges[t->parent[node]], node);
        t->far[above] = fmax(t->far[above], t->far[node]);
    }
    for (size_t i = 1; i < t->n_reached; i++) {
        int32_t node = t->order[i];
        t->limb[node] = -1;
        if (!t->single[node])
            continue;
        int32_t above = other_end(&t->edges[t->parent[node]], node);
        bool goes_on = t->hangs[above] && t->single[above] && t->far[above] == t->far[node];
        t->limb[node] = goes_on ? t->limb[above] : (int32_t)n++;
    }
    return n;
}

/* Height over the way, evened over five pixels as the way is. */
static double even_height(const net *t, size_t i)
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
static double direction(const net *t, size_t i, double half_px)
{
    const way *w = &t->way;
    int width = t->ridge->width_px;
    size_t k = (size_t)fmax(half_px, 3);
    size_t a = i > k ? i - k : 0, b = i + k < w->n ? i + k : w->n - 1;
    return atan2(w->px[b] / width - w->px[a] / width, w->px[b] % width - w->px[a] % width);
}

/* Judges every pixel of the single edge above a node as the root of its limb. */
static void judge_way(const net *t, int32_t node, tb_hanging *best)
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

static bool judge_limbs(net *t, tb_hanging *limbs)
{
    for (size_t i = 1; i < t->n_reached; i++) {
        int32_t node = t->order[i];
        if (t->limb[node] < 0)
            continue;
        const edge *e = &t->edges[t->parent[node]];
        if (!lay_way(t, e, other_end(e, node)))
            return false;
        judge_way(t, node, &limbs[t->limb[node]]);
    }
    return true;
}

tb_status tb_limbs_find(tb_hanging **out, size_t *n_out, const tb_ridge *ridge, double px_per_mm,
        const tb_limits *limits, int32_t held_px, const int32_t *tips, size_t n_tips, double least,
        const tb_job *job, tb_error *err)
{
    *out = NULL;
    *n_out = 0;
    net t = {.ridge = ridge, .limits = limits, .px_per_mm = px_per_mm};
    tb_hanging *limbs = NULL;
    tb_status status = TB_OK;
    bool good = new_net(&t, n_tips);
    if (good) {
        fill_net(&t, tips, n_tips);
        good = walk_net(&t, tb_ridge_node(ridge, held_px));
    }
    if (good && !tb_job_stopped(job))
        good = measure_distances(&t);
    if (good && tb_job_stopped(job)) {
        status = tb_fail_cancelled(err);
        goto out;
    }
    size_t n = good ? gather_limbs(&t) : 0, n_kept = 0;
    limbs = good ? tb_calloc(n, sizeof *limbs) : NULL;
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
    free_net(&t);
    return status;
}
