/* Prize-collecting Steiner trees: small known graphs, and random ones against GLPK's optimum. */
#include "base/alloc.h"
#include "graph/steiner.h"
#include "steiner_exact.h"

#include <glib.h>

static tb_steiner_tree *solve(const tb_steiner_problem *problem)
{
    tb_steiner_tree *tree = NULL;
    g_assert_cmpint(tb_steiner_solve(&tree, problem, NULL, NULL), ==, TB_OK);
    return tree;
}

/* Counts the cost of a tree anew and checks that it is one. */
static void check_tree(const tb_steiner_problem *p, const tb_steiner_tree *tree)
{
    int64_t cost = 0;
    int n_held = 0;
    for (int32_t v = 0; v < p->n_vertices; v++) {
        n_held += tree->holds[v];
        cost += tree->holds[v] ? 0 : p->prizes[v];
    }
    g_autofree bool *met = g_new0(bool, (gsize)p->n_vertices);
    met[p->root] = true;
    for (int round = 0; round < n_held; round++)
        for (int32_t i = 0; i < tree->n_edges; i++) {
            const tb_edge *e = &p->edges[tree->edges[i]];
            met[e->a] = met[e->b] = met[e->a] || met[e->b];
        }
    for (int32_t v = 0; v < p->n_vertices; v++)
        g_assert_true(met[v] == tree->holds[v]);
    for (int32_t i = 0; i < tree->n_edges; i++)
        cost += p->edges[tree->edges[i]].cost;
    g_assert_cmpint(tree->n_edges, ==, n_held - 1);
    g_assert_cmpint(tree->cost, ==, cost);
    g_assert_cmpint(tree->lower_bound, <=, tree->cost);
}

static void test_steiner__meets_in_a_point_without_prize(void)
{
    /* Three corners 10 apart from each other but only 6 from a middle that nobody pays for. */
    const tb_edge edges[] = {{0, 1, 10}, {1, 2, 10}, {2, 0, 10}, {0, 3, 6}, {1, 3, 6}, {2, 3, 6}};
    const int64_t prizes[] = {0, 100, 100, 0};
    const tb_steiner_problem problem = {4, 0, prizes, edges, 6};
    tb_steiner_tree *tree = solve(&problem);
    check_tree(&problem, tree);
    g_assert_cmpint(tree->cost, ==, 18);
    g_assert_cmpint(tree->lower_bound, ==, 18);
    g_assert_true(tree->holds[3]);
    tb_steiner_tree_free(tree);
}

static void test_steiner__leaves_what_does_not_pay(void)
{
    /* A chain whose end is worth the way only together with its middle. */
    const tb_edge edges[] = {{0, 1, 5}, {1, 2, 5}, {0, 3, 7}};
    const int64_t prizes[] = {0, 4, 7, 6};
    const tb_steiner_problem problem = {4, 0, prizes, edges, 3};
    tb_steiner_tree *tree = solve(&problem);
    check_tree(&problem, tree);
    g_assert_true(tree->holds[1] && tree->holds[2] && !tree->holds[3]);
    g_assert_cmpint(tree->cost, ==, 5 + 5 + 6);
    tb_steiner_tree_free(tree);
}

static void test_steiner__copes_with_the_smallest(void)
{
    const int64_t prizes[] = {3, 4};
    const tb_steiner_problem alone = {1, 0, prizes, NULL, 0};
    const tb_steiner_problem apart = {2, 0, prizes, NULL, 0};
    tb_steiner_tree *tree = solve(&alone);
    g_assert_cmpint(tree->cost, ==, 0);
    tb_steiner_tree_free(tree);
    tree = solve(&apart);
    check_tree(&apart, tree);
    g_assert_cmpint(tree->cost, ==, 4);
    g_assert_cmpint(tree->lower_bound, ==, 4);
    tb_steiner_tree_free(tree);
}

static void test_steiner__refuses_bad_graphs(void)
{
    const int64_t prizes[] = {0, 1}, negative[] = {0, -1};
    const tb_edge loop = {1, 1, 3}, outside = {0, 2, 3}, dear = {0, 1, (int64_t)1 << 60};
    const tb_steiner_problem rows[] = {{2, 0, prizes, &loop, 1}, {2, 0, prizes, &outside, 1},
            {2, 0, prizes, &dear, 1}, {2, 2, prizes, NULL, 0}, {2, 0, negative, NULL, 0},
            {0, 0, prizes, NULL, 0}};
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        tb_steiner_tree *tree = NULL;
        g_assert_cmpint(tb_steiner_solve(&tree, &rows[i], NULL, NULL), ==, TB_EINVAL);
        g_assert_null(tree);
    }
}

typedef struct {
    tb_steiner_problem problem;
    int64_t *prizes;
    tb_edge *edges;
} grid_case;

/* A grid with some slanted ways, random costs, and prizes on up to n_prizes of its vertices. */
static grid_case grid_case_new(GRand *rand, int side, int n_prizes)
{
    grid_case c = {.prizes = g_new0(int64_t, (gsize)(side * side)),
            .edges = g_new0(tb_edge, (gsize)(side * side * 3))};
    int n_edges = 0;
    for (int y = 0; y < side; y++)
        for (int x = 0; x < side; x++) {
            int v = y * side + x;
            if (x + 1 < side)
                c.edges[n_edges++] = (tb_edge){v, v + 1, g_rand_int_range(rand, 20, 200)};
            if (y + 1 < side)
                c.edges[n_edges++] = (tb_edge){v, v + side, g_rand_int_range(rand, 20, 200)};
            if (x + 1 < side && y + 1 < side && g_rand_int_range(rand, 0, 4) == 0)
                c.edges[n_edges++] = (tb_edge){v, v + side + 1, g_rand_int_range(rand, 30, 280)};
        }
    for (int i = 0; i < n_prizes; i++)
        c.prizes[g_rand_int_range(rand, 0, side * side)] = g_rand_int_range(rand, 20, 600);
    int root = g_rand_int_range(rand, 0, side * side);
    c.problem = (tb_steiner_problem){side * side, root, c.prizes, c.edges, n_edges};
    return c;
}

static void grid_case_clear(grid_case *c)
{
    g_free(c->prizes);
    g_free(c->edges);
}

static void test_steiner__comes_near_the_optimum(void)
{
    /* Judge: GLPK 5.0, branch and cut on the directed-cut program. TB_STEINER_CASES asks for more.
     */
    const char *more = g_getenv("TB_STEINER_CASES");
    int n_cases = more ? (int)g_ascii_strtoll(more, NULL, 10) : 40;
    GRand *rand = g_rand_new_with_seed(8);
    double sum = 0, worst = 0, bound_sum = 0;
    for (int i = 0; i < n_cases; i++) {
        int side = 5 + i % 6;
        grid_case c = grid_case_new(rand, side, MIN(60, 5 + i * 7 % 56));
        tb_steiner_tree *tree = solve(&c.problem);
        check_tree(&c.problem, tree);
        int64_t best = steiner_exact_cost(&c.problem);
        g_assert_cmpint(best, >=, 0);
        g_assert_cmpint(tree->lower_bound, <=, best);
        g_assert_cmpint(tree->cost, >=, best);
        double gap = best ? (double)(tree->cost - best) / (double)best : 0;
        bound_sum += best ? (double)(best - tree->lower_bound) / (double)best : 0;
        sum += gap;
        worst = MAX(worst, gap);
        tb_steiner_tree_free(tree);
        grid_case_clear(&c);
    }
    g_test_message("%d cases: gap to the optimum in millionths: mean %.0f, worst %.0f; bound below "
                   "it by %.0f in the mean",
            n_cases, 1e6 * sum / n_cases, 1e6 * worst, 1e6 * bound_sum / n_cases);
    g_assert_cmpfloat(sum / n_cases, <=, 0.01);
    g_assert_cmpfloat(worst, <=, 0.05);
    g_rand_free(rand);
}

static void test_steiner__is_the_same_every_time(void)
{
    GRand *rand = g_rand_new_with_seed(3);
    grid_case c = grid_case_new(rand, 20, 120);
    tb_steiner_tree *first = solve(&c.problem), *second = solve(&c.problem);
    g_assert_cmpint(first->n_edges, ==, second->n_edges);
    g_assert_cmpmem(first->edges, (gsize)first->n_edges * sizeof *first->edges, second->edges,
            (gsize)second->n_edges * sizeof *second->edges);
    g_assert_cmpint(first->lower_bound, ==, second->lower_bound);
    tb_steiner_tree_free(first);
    tb_steiner_tree_free(second);
    grid_case_clear(&c);
    g_rand_free(rand);
}

static void test_steiner__stops_when_told(void)
{
    GRand *rand = g_rand_new_with_seed(4);
    grid_case c = grid_case_new(rand, 20, 120);
    atomic_bool stop = true;
    tb_job job = {.n_threads = 1, .stop = &stop};
    tb_steiner_tree *tree = NULL;
    g_assert_cmpint(tb_steiner_solve(&tree, &c.problem, &job, NULL), ==, TB_ECANCELLED);
    g_assert_null(tree);
    grid_case_clear(&c);
    g_rand_free(rand);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/steiner/meets_in_a_point", test_steiner__meets_in_a_point_without_prize);
    g_test_add_func("/steiner/leaves_what_does_not_pay", test_steiner__leaves_what_does_not_pay);
    g_test_add_func("/steiner/copes_with_the_smallest", test_steiner__copes_with_the_smallest);
    g_test_add_func("/steiner/refuses_bad_graphs", test_steiner__refuses_bad_graphs);
    g_test_add_func("/steiner/comes_near_the_optimum", test_steiner__comes_near_the_optimum);
    g_test_add_func("/steiner/is_the_same_every_time", test_steiner__is_the_same_every_time);
    g_test_add_func("/steiner/stops_when_told", test_steiner__stops_when_told);
    return g_test_run();
}
