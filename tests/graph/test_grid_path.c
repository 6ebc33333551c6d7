/* Cheapest ways over a grid: by hand, and against relaxing every step until nothing changes. */
#include "base/alloc.h"
#include "graph/grid_path.h"

#include <glib.h>

static tb_grid_paths *find(const tb_grid *grid)
{
    tb_grid_paths *paths = NULL;
    g_assert_cmpint(tb_grid_paths_find(&paths, grid, NULL, NULL), ==, TB_OK);
    return paths;
}

static void test_grid_path__counts_sides_and_corners(void)
{
    const uint16_t price[9] = {1, 1, 1, 1, 1, 1, 1, 1, 1};
    const int32_t source[9] = {7, -1, -1, -1, -1, -1, -1, -1, -1};
    const tb_grid grid = {3, 3, price, source, 0};
    tb_grid_paths *paths = find(&grid);
    g_assert_cmpint(paths->cost[1], ==, 5); /* a source's own cell is free */
    g_assert_cmpint(paths->cost[4], ==, 7);
    g_assert_cmpint(paths->cost[8], ==, 7 + 14);
    g_assert_cmpint(paths->source[8], ==, 7);
    g_assert_cmpint(tb_grid_paths_back(paths, 8), ==, 4);
    g_assert_cmpint(tb_grid_paths_back(paths, 0), ==, 0);
    tb_grid_paths_free(paths);
}

static void test_grid_path__goes_round_what_is_blocked(void)
{
    const uint16_t B = TB_GRID_BLOCKED;
    const uint16_t price[15] = {2, B, 2, 2, 2, 2, B, 2, B, 2, 2, 2, 2, B, B};
    const int32_t source[15] = {0, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1};
    const tb_grid grid = {5, 3, price, source, 0};
    tb_grid_paths *paths = find(&grid);
    g_assert_cmpint(paths->cost[1], ==, TB_GRID_FAR);
    g_assert_cmpint(paths->source[1], ==, -1);
    g_assert_cmpint(paths->cost[7], ==, 10 + 28 + 28); /* down, under the bar, up on its far side */
    tb_grid_paths_free(paths);
}

/* Judge: Bellman's relaxation, in its plainest form. */
static void relax(uint32_t *cost, const tb_grid *g)
{
    for (gboolean changed = TRUE; changed;) {
        changed = FALSE;
        for (int i = 0; i < g->width * g->height; i++)
            for (int dy = -1; dy <= 1; dy++)
                for (int dx = -1; dx <= 1; dx++) {
                    int x = i % g->width + dx, y = i / g->width + dy, j = y * g->width + x;
                    if (x < 0 || y < 0 || x >= g->width || y >= g->height || i == j ||
                            cost[i] == TB_GRID_FAR || g->price[j] == TB_GRID_BLOCKED)
                        continue;
                    uint32_t here = g->source[i] >= 0 ? 0 : g->price[i];
                    uint32_t step = tb_grid_step(here, g->price[j], dx, dy);
                    if (g->source[j] < 0 && cost[i] + step < cost[j]) {
                        cost[j] = cost[i] + step;
                        changed = TRUE;
                    }
                }
    }
}

static void test_grid_path__agrees_with_plain_relaxation(void)
{
    enum { W = 37, H = 23 };
    GRand *rand = g_rand_new_with_seed(5);
    for (int round = 0; round < 50; round++) {
        uint16_t price[W * H];
        int32_t source[W * H];
        uint32_t cost[W * H];
        for (int i = 0; i < W * H; i++) {
            int dice = g_rand_int_range(rand, 0, 40);
            source[i] = dice == 0 ? g_rand_int_range(rand, 0, 5) : -1;
            price[i] = dice < 6 ? TB_GRID_BLOCKED : (uint16_t)g_rand_int_range(rand, 0, 1001);
            cost[i] = source[i] >= 0 ? 0 : TB_GRID_FAR;
        }
        const tb_grid grid = {W, H, price, source, 0};
        tb_grid_paths *paths = find(&grid);
        relax(cost, &grid);
        g_assert_cmpmem(paths->cost, sizeof cost, cost, sizeof cost);
        for (int i = 0; i < W * H; i++)
            if (cost[i] > 0 && cost[i] != TB_GRID_FAR) {
                int b = tb_grid_paths_back(paths, i);
                g_assert_cmpint(paths->source[i], ==, paths->source[b]);
                g_assert_cmpuint(cost[b], <=, cost[i]);
            }
        tb_grid_paths_free(paths);
    }
    g_rand_free(rand);
}

static void test_grid_path__keeps_within_its_limit(void)
{
    const uint16_t price[6] = {3, 3, 3, 3, 3, 3};
    const int32_t source[6] = {0, -1, -1, -1, -1, -1};
    const tb_grid grid = {6, 1, price, source, 75};
    tb_grid_paths *paths = find(&grid);
    g_assert_cmpint(paths->cost[3], ==, 75);
    g_assert_cmpint(paths->cost[4], ==, TB_GRID_FAR);
    g_assert_cmpint(paths->source[4], ==, -1);
    tb_grid_paths_free(paths);
}

static void test_grid_path__refuses_what_is_out_of_range(void)
{
    const uint16_t price[1] = {TB_GRID_PRICE_MAX + 1};
    const int32_t source[1] = {-1};
    const tb_grid dear = {1, 1, price, source, 0}, empty = {0, 1, price, source, 0};
    tb_grid_paths *paths = NULL;
    g_assert_cmpint(tb_grid_paths_find(&paths, &dear, NULL, NULL), ==, TB_EINVAL);
    g_assert_cmpint(tb_grid_paths_find(&paths, &empty, NULL, NULL), ==, TB_EINVAL);
    g_assert_null(paths);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func(
            "/grid_path/counts_sides_and_corners", test_grid_path__counts_sides_and_corners);
    g_test_add_func("/grid_path/goes_round_blocks", test_grid_path__goes_round_what_is_blocked);
    g_test_add_func("/grid_path/agrees", test_grid_path__agrees_with_plain_relaxation);
    g_test_add_func("/grid_path/keeps_within_its_limit", test_grid_path__keeps_within_its_limit);
    g_test_add_func("/grid_path/refuses", test_grid_path__refuses_what_is_out_of_range);
    return g_test_run();
}
