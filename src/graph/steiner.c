/* graph/steiner.c: see steiner.h.
 *
 * Growth gives a first tree, search improves it, dual ascent proves a bound and offers further
 * trees, which are searched too; the best of all is the answer.
 */
#include "graph/steiner_private.h"

#include "base/alloc.h"

#include <stdlib.h>
#include <string.h>

/* Edges looked at, about a third of a second. */
static const int64_t SEARCH_BUDGET = 40000000, BOUND_BUDGET = 80000000;

static tb_status check(const tb_steiner_problem *p, tb_error *err)
{
    const int64_t most = (int64_t)1 << 52;
    if (p->n_vertices < 1 || p->root < 0 || p->root >= p->n_vertices || p->n_edges < 0 ||
            p->n_edges > INT32_MAX / 4)
        return tb_fail(err, TB_EINVAL, "a graph of %d vertices, %d edges and root %d",
                p->n_vertices, p->n_edges, p->root);
    int64_t sum = 0;
    for (int32_t v = 0; v < p->n_vertices; v++) {
        if (p->prizes[v] < 0 || p->prizes[v] >= most || (sum += p->prizes[v]) >= most)
            return tb_fail(err, TB_EINVAL, "the prize of vertex %d is out of range", v);
    }
    for (int32_t e = 0; e < p->n_edges; e++) {
        const tb_edge *edge = &p->edges[e];
        if (edge->a < 0 || edge->a >= p->n_vertices || edge->b < 0 || edge->b >= p->n_vertices ||
                edge->a == edge->b)
            return tb_fail(err, TB_EINVAL, "edge %d joins no two vertices", e);
        if (edge->cost < 0 || edge->cost >= most || (sum += edge->cost) >= most)
            return tb_fail(err, TB_EINVAL, "the cost of edge %d is out of range", e);
    }
    return TB_OK;
}

typedef struct {
    int64_t cost;
    int32_t edge;
} priced;

static int cheaper(const void *a, const void *b)
{
    const priced *x = a, *y = b;
    if (x->cost != y->cost)
        return x->cost < y->cost ? -1 : 1;
    return x->edge < y->edge ? -1 : x->edge > y->edge;
}

static bool order_by_cost(tb__graph *g)
{
    priced *list = tb_malloc((size_t)g->m, sizeof *list);
    if (!list)
        return false;
    for (int32_t e = 0; e < g->m; e++)
        list[e] = (priced){g->edges[e].cost, e};
    qsort(list, (size_t)g->m, sizeof *list, cheaper);
    for (int32_t i = 0; i < g->m; i++) {
        g->by_cost[i] = list[i].edge;
        g->rank[list[i].edge] = i;
    }
    tb_free(list);
    return true;
}

static void graph_clear(tb__graph *g)
{
    tb_free(g->first);
    tb_free(g->arcs);
    tb_free(g->by_cost);
    tb_free(g->rank);
}

static bool graph_init(tb__graph *g, const tb_steiner_problem *p)
{
    size_t n = (size_t)p->n_vertices, m = (size_t)p->n_edges;
    *g = (tb__graph){.n = p->n_vertices,
            .m = p->n_edges,
            .root = p->root,
            .edges = p->edges,
            .prizes = p->prizes};
    g->first = tb_calloc(n + 2, sizeof *g->first);
    g->arcs = tb_malloc(2 * m, sizeof *g->arcs);
    g->by_cost = tb_malloc(m, sizeof *g->by_cost);
    g->rank = tb_malloc(m, sizeof *g->rank);
    if (!g->first || !g->arcs || !g->by_cost || !g->rank || !order_by_cost(g)) {
        graph_clear(g);
        return false;
    }
    for (size_t v = 0; v < n; v++)
        g->prize_sum += p->prizes[v];
    /* first runs one place ahead while it is counted and filled, and ends up in place. */
    for (size_t e = 0; e < m; e++) {
        g->first[p->edges[e].a + 2]++;
        g->first[p->edges[e].b + 2]++;
    }
    for (size_t v = 2; v <= n; v++)
        g->first[v] += g->first[v - 1];
    for (int32_t e = 0; e < g->m; e++) {
        g->arcs[g->first[p->edges[e].a + 1]++] = 2 * e;
        g->arcs[g->first[p->edges[e].b + 1]++] = 2 * e + 1;
    }
    return true;
}

static int ascending(const void *a, const void *b)
{
    int32_t x = *(const int32_t *)a, y = *(const int32_t *)b;
    return x < y ? -1 : x > y;
}

/* Hands the tree's arrays over to a new result. */
static tb_steiner_tree *result_of(tb__tree *tree, int64_t bound)
{
    tb_steiner_tree *result = tb_malloc(1, sizeof *result);
    if (!result)
        return NULL;
    *result = (tb_steiner_tree){tree->edges, tree->n_edges, tree->holds, tree->cost, bound};
    qsort(result->edges, (size_t)result->n_edges, sizeof *result->edges, ascending);
    tree->edges = NULL;
    tree->holds = NULL;
    return result;
}

tb_status tb_steiner_solve(
        tb_steiner_tree **out, const tb_steiner_problem *problem, const tb_job *job, tb_error *err)
{
    *out = NULL;
    tb_status status = check(problem, err);
    if (status)
        return status;
    tb__graph g;
    if (!graph_init(&g, problem))
        return tb_fail_memory(err);
    tb__work work = {0};
    tb__tree tree = {0};
    int64_t bound = 0;
    if (!tb__work_init(&work, &g) || !tb__tree_init(&tree, &g)) {
        status = tb_fail_memory(err);
        goto out;
    }
    work.budget = SEARCH_BUDGET;
    status = tb__steiner_grow(&tree, &g, &work, err);
    if (!status)
        status = tb__steiner_search(&tree, &g, &work, job, err);
    work.budget = work.spent + BOUND_BUDGET;
    if (!status)
        status = tb__steiner_bound(&bound, &tree, &g, &work, job, err);
    if (!status) {
        *out = result_of(&tree, bound);
        status = *out ? TB_OK : tb_fail_memory(err);
    }
out:
    tb__tree_clear(&tree);
    tb__work_clear(&work);
    graph_clear(&g);
    return status;
}

void tb_steiner_tree_free(tb_steiner_tree *tree)
{
    if (!tree)
        return;
    tb_free(tree->edges);
    tb_free(tree->holds);
    tb_free(tree);
}
