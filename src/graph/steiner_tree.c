/* graph/steiner_tree.c: queue, union-find and spanning trees of the solver. */
#include "graph/steiner_private.h"

#include "base/alloc.h"
#include "base/array.h"

#include <string.h>

static bool sooner(tb__heap_item a, tb__heap_item b)
{
    return a.key < b.key || (a.key == b.key && a.id < b.id);
}

bool tb__heap_push(tb__heap *heap, double key, int32_t id)
{
    if (!tb_array_reserve(&heap->items, &heap->room, heap->n, 1))
        return false;
    tb__heap_item item = {key, id};
    size_t i = heap->n++;
    for (; i > 0 && sooner(item, heap->items[(i - 1) / 2]); i = (i - 1) / 2)
        heap->items[i] = heap->items[(i - 1) / 2];
    heap->items[i] = item;
    return true;
}

tb__heap_item tb__heap_pop(tb__heap *heap)
{
    tb__heap_item top = heap->items[0], last = heap->items[--heap->n];
    size_t i = 0;
    for (size_t child = 1; child < heap->n; child = 2 * i + 1) {
        if (child + 1 < heap->n && sooner(heap->items[child + 1], heap->items[child]))
            child++;
        if (!sooner(heap->items[child], last))
            break;
        heap->items[i] = heap->items[child];
        i = child;
    }
    heap->items[i] = last;
    return top;
}

void tb__join_reset(int32_t *joined, int32_t n)
{
    for (int32_t v = 0; v < n; v++)
        joined[v] = v;
}

int32_t tb__join_find(int32_t *joined, int32_t v)
{
    while (joined[v] != v) {
        joined[v] = joined[joined[v]];
        v = joined[v];
    }
    return v;
}

bool tb__join(int32_t *joined, int32_t a, int32_t b)
{
    a = tb__join_find(joined, a);
    b = tb__join_find(joined, b);
    if (a == b)
        return false;
    if (a < b)
        joined[b] = a;
    else
        joined[a] = b;
    return true;
}

bool tb__tree_init(tb__tree *tree, const tb__graph *g)
{
    *tree = (tb__tree){0};
    tree->holds = tb_calloc((size_t)g->n, sizeof *tree->holds);
    tree->edges = tb_malloc((size_t)g->n, sizeof *tree->edges);
    return tree->holds && tree->edges;
}

void tb__tree_clear(tb__tree *tree)
{
    tb_free(tree->holds);
    tb_free(tree->edges);
    *tree = (tb__tree){0};
}

void tb__tree_copy(tb__tree *to, const tb__tree *from, const tb__graph *g)
{
    memcpy(to->holds, from->holds, (size_t)g->n * sizeof *to->holds);
    memcpy(to->edges, from->edges, (size_t)from->n_edges * sizeof *to->edges);
    to->n_edges = from->n_edges;
    to->cost = from->cost;
}

bool tb__work_init(tb__work *w, const tb__graph *g)
{
    size_t n = (size_t)g->n;
    *w = (tb__work){0};
    w->joined = tb_malloc(n, sizeof *w->joined);
    w->value = tb_malloc(n, sizeof *w->value);
    w->order = tb_malloc(n, sizeof *w->order);
    w->up = tb_malloc(n, sizeof *w->up);
    w->mark = tb_malloc(n, sizeof *w->mark);
    w->via = tb_malloc(n, sizeof *w->via);
    w->branch_first = tb_malloc(n + 1, sizeof *w->branch_first);
    w->branches = tb_malloc(2 * n, sizeof *w->branches);
    w->distance = tb_malloc(n, sizeof *w->distance);
    return w->joined && w->value && w->order && w->up && w->mark && w->via && w->branch_first &&
           w->branches && w->distance;
}

void tb__work_clear(tb__work *w)
{
    tb_free(w->joined);
    tb_free(w->value);
    tb_free(w->order);
    tb_free(w->up);
    tb_free(w->mark);
    tb_free(w->via);
    tb_free(w->branch_first);
    tb_free(w->branches);
    tb_free(w->distance);
    tb_free(w->heap.items);
    *w = (tb__work){0};
}

static void list_branches(const tb__tree *tree, const tb__graph *g, tb__work *w)
{
    int32_t *first = w->branch_first;
    memset(first, 0, ((size_t)g->n + 1) * sizeof *first);
    for (int32_t i = 0; i < tree->n_edges; i++) {
        first[g->edges[tree->edges[i]].a + 1]++;
        first[g->edges[tree->edges[i]].b + 1]++;
    }
    for (int32_t v = 0; v < g->n; v++)
        first[v + 1] += first[v];
    for (int32_t i = tree->n_edges - 1; i >= 0; i--) {
        const tb_edge *edge = &g->edges[tree->edges[i]];
        w->branches[--first[edge->a + 1]] = tree->edges[i];
        w->branches[--first[edge->b + 1]] = tree->edges[i];
    }
    /* Filling moved every first[v + 1] down to where v's branches begin: shift by one. */
    memmove(first, first + 1, (size_t)g->n * sizeof *first);
    first[g->n] = 2 * tree->n_edges;
}

void tb__tree_walk(const tb__tree *tree, const tb__graph *g, tb__work *w)
{
    list_branches(tree, g, w);
    int32_t n = 0;
    w->order[n++] = g->root;
    w->up[g->root] = -1;
    for (int32_t i = 0; i < n; i++) {
        int32_t v = w->order[i];
        for (int32_t j = w->branch_first[v]; j < w->branch_first[v + 1]; j++) {
            int32_t e = w->branches[j];
            if (e == w->up[v])
                continue;
            int32_t to = g->edges[e].a == v ? g->edges[e].b : g->edges[e].a;
            w->up[to] = e;
            w->order[n++] = to;
        }
    }
}

/* Drops every branch that costs more than the prizes it brings; the tree must hang together. */
static void prune(tb__tree *tree, const tb__graph *g, tb__work *w)
{
    tb__tree_walk(tree, g, w);
    int32_t n = tree->n_edges + 1;
    for (int32_t i = 0; i < n; i++)
        w->value[w->order[i]] = g->prizes[w->order[i]];
    for (int32_t i = n - 1; i > 0; i--) {
        int32_t v = w->order[i];
        const tb_edge *edge = &g->edges[w->up[v]];
        int64_t worth = w->value[v] - edge->cost;
        if (worth > 0)
            w->value[edge->a == v ? edge->b : edge->a] += worth;
        else
            tree->holds[v] = false; /* its own branches go with it, below */
    }
    for (int32_t i = 1; i < n; i++) {
        int32_t v = w->order[i];
        const tb_edge *edge = &g->edges[w->up[v]];
        if (!tree->holds[edge->a == v ? edge->b : edge->a])
            tree->holds[v] = false;
    }
}

void tb__tree_span(tb__tree *tree, const tb__graph *g, tb__work *w)
{
    tree->holds[g->root] = true;
    tb__join_reset(w->joined, g->n);
    int32_t n = 0;
    for (int32_t i = 0; i < g->m; i++) {
        int32_t e = g->by_cost[i];
        const tb_edge *edge = &g->edges[e];
        if (tree->holds[edge->a] && tree->holds[edge->b] && tb__join(w->joined, edge->a, edge->b))
            tree->edges[n++] = e;
    }
    w->spent += g->m;
    tree->n_edges = 0;
    int32_t root = tb__join_find(w->joined, g->root);
    for (int32_t i = 0; i < n; i++)
        if (tb__join_find(w->joined, g->edges[tree->edges[i]].a) == root)
            tree->edges[tree->n_edges++] = tree->edges[i];
    for (int32_t v = 0; v < g->n; v++)
        tree->holds[v] = tree->holds[v] && tb__join_find(w->joined, v) == root;
    prune(tree, g, w);
    n = 0;
    tree->cost = g->prize_sum;
    for (int32_t i = 0; i < tree->n_edges; i++) {
        const tb_edge *edge = &g->edges[tree->edges[i]];
        if (tree->holds[edge->a] && tree->holds[edge->b]) {
            tree->edges[n++] = tree->edges[i];
            tree->cost += edge->cost;
        }
    }
    tree->n_edges = n;
    for (int32_t v = 0; v < g->n; v++)
        if (tree->holds[v])
            tree->cost -= g->prizes[v];
}
