/* graph/steiner_bound.c: a lower bound by dual ascent.
 *
 * Seen from the root, every spanned vertex with a prize must be reached by arcs that enter any set
 * holding it but not the root, or its prize is lost. So for such a set W all arcs into W together
 * with "losing the prize" carry at least one unit, and raising W's dual by the least reduced cost
 * among them is paid for by every tree. Raising sets until each prize is used up or its vertex can
 * be reached from the root over arcs that cost nothing more gives a bound, in whole numbers, so no
 * rounding can lift it above the optimum (Wong 1984).
 *
 * Then the bound works on itself. With the best tree known to cost U, an arc whose use would cost
 * more than U is struck out, and a vertex whose loss would is made compulsory; ascent on what is
 * left gives a better bound, valid for all trees cheaper than U, so min(U, it) is valid for all.
 */
#include "graph/steiner_private.h"

#include "base/alloc.h"

#include <string.h>

enum { MOST_ROUNDS = 12 };
#define COMPULSORY ((int64_t)1 << 52)

typedef struct {
    const tb__graph *g;
    tb__work *w;
    int64_t *arc_left;   /* [2m] reduced cost */
    int64_t *prize_left; /* [n] */
    bool *struck;        /* [2m] arcs no better tree uses */
    int64_t *prize;      /* [n] as raised */
    int32_t *inside;     /* members of W */
    int32_t stamp;
    int round; /* changes the order of ties */
    bool out_of_memory;
} ascent;

static bool ascent_init(ascent *s, const tb__graph *g, tb__work *w)
{
    *s = (ascent){.g = g, .w = w};
    s->arc_left = tb_malloc(2 * (size_t)g->m, sizeof *s->arc_left);
    s->prize_left = tb_malloc((size_t)g->n, sizeof *s->prize_left);
    s->struck = tb_calloc(2 * (size_t)g->m, sizeof *s->struck);
    s->prize = tb_malloc((size_t)g->n, sizeof *s->prize);
    s->inside = tb_malloc((size_t)g->n, sizeof *s->inside);
    if (!s->arc_left || !s->prize_left || !s->struck || !s->prize || !s->inside)
        return false;
    memcpy(s->prize, g->prizes, (size_t)g->n * sizeof *s->prize);
    return true;
}

static void ascent_clear(ascent *s)
{
    tb_free(s->arc_left);
    tb_free(s->prize_left);
    tb_free(s->struck);
    tb_free(s->prize);
    tb_free(s->inside);
}

/* Gathers W, all that reaches v over free arcs. Returns its size, or 0 if the root is in it;
 * *least becomes the least that any arc into W has left. */
static int32_t gather(ascent *s, int32_t v, int64_t *least)
{
    const tb__graph *g = s->g;
    int32_t *mark = s->w->mark, stamp = ++s->stamp, n = 0;
    s->inside[n++] = v;
    mark[v] = stamp;
    for (int32_t i = 0; i < n; i++) {
        int32_t u = s->inside[i];
        s->w->spent += g->first[u + 1] - g->first[u];
        for (int32_t j = g->first[u]; j < g->first[u + 1]; j++) {
            int32_t in = g->arcs[j] ^ 1, from = tb__arc_head(g, g->arcs[j]);
            if (s->arc_left[in] > 0 || s->struck[in] || mark[from] == stamp)
                continue;
            if (from == g->root)
                return 0;
            mark[from] = stamp;
            s->inside[n++] = from;
        }
    }
    *least = s->prize_left[v];
    for (int32_t i = 0; i < n; i++)
        for (int32_t u = s->inside[i], j = g->first[u]; j < g->first[u + 1]; j++) {
            int32_t in = g->arcs[j] ^ 1;
            if (mark[tb__arc_head(g, g->arcs[j])] != stamp && !s->struck[in] &&
                    s->arc_left[in] < *least)
                *least = s->arc_left[in];
        }
    return n;
}

static void raise(ascent *s, int32_t v, int32_t n, int64_t by)
{
    const tb__graph *g = s->g;
    s->prize_left[v] -= by;
    for (int32_t i = 0; i < n; i++)
        for (int32_t u = s->inside[i], j = g->first[u]; j < g->first[u + 1]; j++)
            if (s->w->mark[tb__arc_head(g, g->arcs[j])] != s->stamp)
                s->arc_left[g->arcs[j] ^ 1] -= by;
}

static double turn(const ascent *s, int32_t size, int32_t v)
{
    /* Small sets first; among equals another order each round. */
    uint32_t mixed = ((uint32_t)v + 1) * (2654435761u + 2246822518u * (uint32_t)s->round);
    return (double)size + (double)(mixed >> 12) / (1 << 21);
}

/* One ascent; nothing is gained by going beyond upper. */
static int64_t climb(ascent *s, int64_t upper)
{
    const tb__graph *g = s->g;
    tb__work *w = s->w;
    for (int32_t arc = 0; arc < 2 * g->m; arc++)
        s->arc_left[arc] = g->edges[arc >> 1].cost;
    memcpy(s->prize_left, s->prize, (size_t)g->n * sizeof *s->prize_left);
    memset(w->mark, 0, (size_t)g->n * sizeof *w->mark);
    s->stamp = 0;
    w->heap.n = 0;
    for (int32_t v = 0; v < g->n; v++)
        if (v != g->root && s->prize[v] > 0 && !tb__heap_push(&w->heap, turn(s, 1, v), v))
            s->out_of_memory = true;
    int64_t bound = 0;
    while (w->heap.n > 0 && !s->out_of_memory && w->spent < w->budget && bound < upper) {
        tb__heap_item item = tb__heap_pop(&w->heap);
        int64_t least = 0;
        int32_t n = gather(s, item.id, &least);
        if (n == 0)
            continue;
        double key = turn(s, n, item.id);
        if (w->heap.n == 0 || key <= w->heap.items[0].key) {
            raise(s, item.id, n, least);
            bound += least;
        }
        if (s->prize_left[item.id] > 0 && !tb__heap_push(&w->heap, key, item.id))
            s->out_of_memory = true;
    }
    return bound;
}

/* Distances over what is left: from the root along arcs, or (backwards) to the nearest prize. */
static void measure(ascent *s, double *distance, bool backwards)
{
    const tb__graph *g = s->g;
    tb__heap *heap = &s->w->heap;
    heap->n = 0;
    for (int32_t v = 0; v < g->n; v++) {
        distance[v] = 1e300;
        if (backwards ? s->prize[v] > 0 : v == g->root)
            distance[v] = 0;
        if (distance[v] == 0 && !tb__heap_push(heap, 0, v))
            s->out_of_memory = true;
    }
    while (heap->n > 0 && !s->out_of_memory) {
        tb__heap_item item = tb__heap_pop(heap);
        if (item.key > distance[item.id])
            continue;
        s->w->spent += g->first[item.id + 1] - g->first[item.id];
        for (int32_t i = g->first[item.id]; i < g->first[item.id + 1]; i++) {
            int32_t arc = g->arcs[i] ^ (backwards ? 1 : 0), to = tb__arc_head(g, g->arcs[i]);
            double key = item.key + (double)s->arc_left[arc];
            if (s->struck[arc] || key >= distance[to])
                continue;
            distance[to] = key;
            if (!tb__heap_push(heap, key, to))
                s->out_of_memory = true;
        }
    }
}

/* Strikes out and makes compulsory what the bound allows. */
static void reduce(ascent *s, int64_t bound, int64_t upper, double *from_root, double *to_prize)
{
    const tb__graph *g = s->g;
    measure(s, from_root, false);
    measure(s, to_prize, true);
    for (int32_t arc = 0; arc < 2 * g->m; arc++) {
        double least = (double)bound + from_root[tb__arc_head(g, arc ^ 1)] +
                       (double)s->arc_left[arc] + to_prize[tb__arc_head(g, arc)];
        if (least > (double)upper)
            s->struck[arc] = true;
    }
    for (int32_t v = 0; v < g->n; v++)
        if (s->prize[v] > 0 && v != g->root && bound + s->prize_left[v] > upper)
            s->prize[v] = COMPULSORY;
}

/* The vertices the root reaches over free arcs make a tree worth looking at. */
static void free_tree(ascent *s, tb__tree *tree)
{
    const tb__graph *g = s->g;
    memset(tree->holds, 0, (size_t)g->n * sizeof *tree->holds);
    int32_t n = 0;
    s->inside[n++] = g->root;
    tree->holds[g->root] = true;
    for (int32_t i = 0; i < n; i++)
        for (int32_t v = s->inside[i], j = g->first[v]; j < g->first[v + 1]; j++) {
            int32_t arc = g->arcs[j], to = tb__arc_head(g, arc);
            if (s->arc_left[arc] > 0 || s->struck[arc] || tree->holds[to])
                continue;
            tree->holds[to] = true;
            s->inside[n++] = to;
        }
    tb__tree_span(tree, g, s->w);
}

tb_status tb__steiner_bound(int64_t *bound, tb__tree *tree, const tb__graph *g, tb__work *w,
        const tb_job *job, tb_error *err)
{
    ascent s;
    tb__tree trial = {0};
    double *from_root = tb_malloc((size_t)g->n, sizeof *from_root);
    tb_status status = TB_OK;
    if (!ascent_init(&s, g, w) || !tb__tree_init(&trial, g) || !from_root) {
        status = tb_fail_memory(err);
        goto out;
    }
    for (; s.round < MOST_ROUNDS && *bound < tree->cost && w->spent < w->budget; s.round++) {
        if (tb_job_stopped(job)) {
            status = tb_fail_cancelled(err);
            goto out;
        }
        int64_t found = climb(&s, tree->cost);
        int64_t valid = found < tree->cost ? found : tree->cost;
        *bound = *bound > valid ? *bound : valid;
        free_tree(&s, &trial);
        status = tb__steiner_search(&trial, g, w, job, err);
        if (status)
            goto out;
        if (trial.cost < tree->cost)
            tb__tree_copy(tree, &trial, g);
        if (w->spent < w->budget)
            reduce(&s, found, tree->cost, from_root, w->distance);
        if (s.out_of_memory) {
            status = tb_fail_memory(err);
            goto out;
        }
    }
out:
    tb_free(from_root);
    tb__tree_clear(&trial);
    ascent_clear(&s);
    return status;
}
