/* Directed-cut formulation (Ljubić et al. 2006): arcs x, vertices y; every vertex that is in has
 * one arc into it, and every set that holds it but not the root has at least one. The cuts are
 * found as they are needed, by a largest flow from the root to the vertex. */
#include "steiner_exact.h"

#include <glib.h>
#include <glpk.h>
#include <math.h>
#include <string.h>

typedef struct {
    const tb_steiner_problem *p;
    int n_arcs;
    double *capacity, *flow; /* [n_arcs] of the arc, and sent along it */
    int *via, *queue;
    int *columns;
    double *ones;
} program;

static int arc_column(int arc)
{
    return arc + 1;
}

static int vertex_column(const program *g, int v)
{
    return g->n_arcs + v + 1;
}

static int tail(const program *g, int arc)
{
    return arc & 1 ? g->p->edges[arc / 2].b : g->p->edges[arc / 2].a;
}

/* Finds a way from the root with room left; via[v] becomes the arc used, -1 where unreached. Arc
 * a used backwards is written as n_arcs + a. */
static gboolean find_way(program *g, int to)
{
    for (int v = 0; v < g->p->n_vertices; v++)
        g->via[v] = -1;
    int n = 0;
    g->queue[n++] = g->p->root;
    g->via[g->p->root] = -2;
    for (int i = 0; i < n && g->via[to] == -1; i++)
        for (int arc = 0; arc < g->n_arcs; arc++) {
            int a = tail(g, arc), b = tail(g, arc ^ 1);
            if (a == g->queue[i] && g->via[b] == -1 && g->capacity[arc] - g->flow[arc] > 1e-7) {
                g->via[b] = arc;
                g->queue[n++] = b;
            } else if (b == g->queue[i] && g->via[a] == -1 && g->flow[arc] > 1e-7) {
                g->via[a] = g->n_arcs + arc;
                g->queue[n++] = a;
            }
        }
    return g->via[to] != -1;
}

static double largest_flow(program *g, int to)
{
    memset(g->flow, 0, (size_t)g->n_arcs * sizeof *g->flow);
    double sum = 0;
    while (find_way(g, to)) {
        double room = 1e9;
        for (int v = to; v != g->p->root;) {
            int arc = g->via[v] % g->n_arcs;
            gboolean back = g->via[v] >= g->n_arcs;
            room = MIN(room, back ? g->flow[arc] : g->capacity[arc] - g->flow[arc]);
            v = back ? tail(g, arc ^ 1) : tail(g, arc);
        }
        for (int v = to; v != g->p->root;) {
            int arc = g->via[v] % g->n_arcs;
            gboolean back = g->via[v] >= g->n_arcs;
            g->flow[arc] += back ? -room : room;
            v = back ? tail(g, arc ^ 1) : tail(g, arc);
        }
        sum += room;
    }
    return sum;
}

/* After largest_flow(): the arcs from what the root reaches into the rest. */
static void add_cut(program *g, glp_prob *lp, int v)
{
    int n = 0;
    for (int arc = 0; arc < g->n_arcs; arc++)
        if (g->via[tail(g, arc)] != -1 && g->via[tail(g, arc ^ 1)] == -1) {
            g->columns[++n] = arc_column(arc);
            g->ones[n] = 1;
        }
    g->columns[++n] = vertex_column(g, v);
    g->ones[n] = -1;
    int row = glp_add_rows(lp, 1);
    glp_set_row_bnds(lp, row, GLP_LO, 0, 0);
    glp_set_mat_row(lp, row, n, g->columns, g->ones);
}

static void separate_cb(glp_tree *tree, void *payload)
{
    program *g = payload;
    if (glp_ios_reason(tree) != GLP_IROWGEN)
        return;
    glp_prob *lp = glp_ios_get_prob(tree);
    for (int arc = 0; arc < g->n_arcs; arc++)
        g->capacity[arc] = glp_get_col_prim(lp, arc_column(arc));
    for (int v = 0; v < g->p->n_vertices; v++) {
        double y = glp_get_col_prim(lp, vertex_column(g, v));
        if (v != g->p->root && y > 1e-6 && largest_flow(g, v) < y - 1e-6)
            add_cut(g, lp, v);
    }
}

static void add_columns(const program *g, glp_prob *lp)
{
    const tb_steiner_problem *p = g->p;
    glp_add_cols(lp, g->n_arcs + p->n_vertices);
    for (int arc = 0; arc < g->n_arcs; arc++) {
        glp_set_col_kind(lp, arc_column(arc), GLP_BV);
        glp_set_obj_coef(lp, arc_column(arc), (double)p->edges[arc / 2].cost);
    }
    double offset = 0;
    for (int v = 0; v < p->n_vertices; v++) {
        glp_set_col_kind(lp, vertex_column(g, v), GLP_BV);
        glp_set_obj_coef(lp, vertex_column(g, v), -(double)p->prizes[v]);
        offset += (double)p->prizes[v];
    }
    glp_set_col_bnds(lp, vertex_column(g, p->root), GLP_FX, 1, 1);
    glp_set_obj_coef(lp, 0, offset);
}

static void add_rows(const program *g, glp_prob *lp)
{
    const tb_steiner_problem *p = g->p;
    for (int v = 0; v < p->n_vertices; v++) {
        int n = 0;
        for (int arc = 0; arc < g->n_arcs; arc++)
            if (tail(g, arc ^ 1) == v) {
                g->columns[++n] = arc_column(arc);
                g->ones[n] = 1;
            }
        if (v != p->root) {
            g->columns[++n] = vertex_column(g, v);
            g->ones[n] = -1;
        }
        int row = glp_add_rows(lp, 1);
        glp_set_row_bnds(lp, row, GLP_FX, 0, 0);
        glp_set_mat_row(lp, row, n, g->columns, g->ones);
    }
    for (int arc = 0; arc < g->n_arcs; arc++) {
        int columns[4] = {0, arc_column(arc), arc_column(arc ^ 1), vertex_column(g, tail(g, arc))};
        double factors[4] = {0, 1, 1, -1};
        int row = glp_add_rows(lp, 1);
        glp_set_row_bnds(lp, row, GLP_UP, 0, 0);
        glp_set_mat_row(lp, row, 3, columns, factors);
    }
}

int64_t steiner_exact_cost(const tb_steiner_problem *problem)
{
    program g = {.p = problem, .n_arcs = 2 * problem->n_edges};
    size_t n_columns = (size_t)(g.n_arcs + problem->n_vertices);
    g.capacity = g_new0(double, (gsize)g.n_arcs);
    g.flow = g_new0(double, (gsize)g.n_arcs);
    g.via = g_new0(int, (gsize)problem->n_vertices);
    g.queue = g_new0(int, (gsize)problem->n_vertices);
    g.columns = g_new0(int, n_columns + 1);
    g.ones = g_new0(double, n_columns + 1);
    glp_term_out(GLP_OFF);
    glp_prob *lp = glp_create_prob();
    add_columns(&g, lp);
    add_rows(&g, lp);
    glp_smcp simplex;
    glp_init_smcp(&simplex);
    glp_iocp options;
    glp_init_iocp(&options);
    options.cb_func = separate_cb;
    options.cb_info = &g;
    options.tm_lim = 60000;
    int64_t cost = -1;
    if (glp_simplex(lp, &simplex) == 0 && glp_intopt(lp, &options) == 0 &&
            glp_mip_status(lp) == GLP_OPT)
        cost = (int64_t)llround(glp_mip_obj_val(lp));
    glp_delete_prob(lp);
    g_free(g.capacity);
    g_free(g.flow);
    g_free(g.via);
    g_free(g.queue);
    g_free(g.columns);
    g_free(g.ones);
    return cost;
}
