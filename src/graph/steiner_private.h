/* graph/steiner_private.h: what the parts of the solver share. */
#ifndef TB_GRAPH_STEINER_PRIVATE_H
#define TB_GRAPH_STEINER_PRIVATE_H

#include "graph/steiner.h"

#include <stddef.h>

/* An edge e is two arcs: 2e runs from a to b, 2e + 1 from b to a. */
typedef struct {
    int32_t n, m, root;
    const tb_edge *edges;
    const int64_t *prizes;
    int64_t prize_sum;
    int32_t *first;   /* [n + 1] */
    int32_t *arcs;    /* [2m] arcs out of vertex v are arcs[first[v]] … arcs[first[v + 1] - 1] */
    int32_t *by_cost; /* [m] cheapest first, then by index */
    int32_t *rank;    /* [m] place in by_cost */
} tb__graph;

static inline int32_t tb__arc_head(const tb__graph *g, int32_t arc)
{
    return arc & 1 ? g->edges[arc >> 1].a : g->edges[arc >> 1].b;
}

/* A queue of numbers, least key first, then least number. Keys are whole and below 2^53, or times
 * of growth, so a double holds them exactly where that matters. */
typedef struct {
    double key;
    int32_t id;
} tb__heap_item;

typedef struct {
    tb__heap_item *items;
    size_t n, room;
} tb__heap;

TB_NODISCARD bool tb__heap_push(tb__heap *heap, double key, int32_t id);
tb__heap_item tb__heap_pop(tb__heap *heap); /* heap->n > 0 */

/* A tree that holds the root, kept as its set of vertices and the cheapest edges that span it. */
typedef struct {
    bool *holds;    /* [n] */
    int32_t *edges; /* [n - 1] in order of rank */
    int32_t n_edges;
    int64_t cost; /* edges, and prizes left out */
} tb__tree;

TB_NODISCARD bool tb__tree_init(tb__tree *tree, const tb__graph *g);
void tb__tree_clear(tb__tree *tree);
void tb__tree_copy(tb__tree *to, const tb__tree *from, const tb__graph *g);

/* Scratch of the size of the graph, and the work done so far in edges looked at. */
typedef struct {
    int32_t *joined;                  /* [n] union-find */
    int64_t *value;                   /* [n] */
    int32_t *order, *up, *mark, *via; /* [n] */
    int32_t *branch_first;            /* [n + 1] */
    int32_t *branches;                /* [2n] edges of a tree at each vertex */
    double *distance;                 /* [n] */
    tb__heap heap;
    int64_t spent, budget;
} tb__work;

TB_NODISCARD bool tb__work_init(tb__work *work, const tb__graph *g);
void tb__work_clear(tb__work *work);

void tb__join_reset(int32_t *joined, int32_t n);
int32_t tb__join_find(int32_t *joined, int32_t v);
/* False if they were one already. */
bool tb__join(int32_t *joined, int32_t a, int32_t b);

/* Makes tree the best tree of the vertices that tree->holds names: the cheapest that spans those
 * the root reaches within the set, less every branch that costs more than its prizes. */
void tb__tree_span(tb__tree *tree, const tb__graph *g, tb__work *work);

/* Fills order (root first), up (edge towards the root, -1 at it) and the branches of work. */
void tb__tree_walk(const tb__tree *tree, const tb__graph *g, tb__work *work);

/* Primal-dual growth; tree gets the vertices that were reached, spanned. */
TB_NODISCARD tb_status tb__steiner_grow(
        tb__tree *tree, const tb__graph *g, tb__work *work, tb_error *err);

/* Local search from tree until nothing helps or the budget is spent. */
TB_NODISCARD tb_status tb__steiner_search(
        tb__tree *tree, const tb__graph *g, tb__work *work, const tb_job *job, tb_error *err);

/* Raises *bound, and may find a better tree on the way. */
TB_NODISCARD tb_status tb__steiner_bound(int64_t *bound, tb__tree *tree, const tb__graph *g,
        tb__work *work, const tb_job *job, tb_error *err);

#endif
