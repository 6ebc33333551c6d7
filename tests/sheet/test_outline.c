/* The outline against shapes whose size is known. */
#include "board.h"

static void test_outline__board_is_exact(void)
{
    tb_mask *mask = board_new(200, 250, 10);
    tb_outline *outline = board_trace(mask);
    g_assert_cmpuint(outline->n_paths, ==, 1);
    const tb_path *path = &outline->paths[0];
    g_assert_cmpint(path->depth, ==, 0);
    g_assert_cmpfloat_with_epsilon(path->left_mm, 0, 1e-9);
    g_assert_cmpfloat_with_epsilon(path->top_mm, 0, 1e-9);
    g_assert_cmpfloat_with_epsilon(path->right_mm, 200, 1e-9);
    g_assert_cmpfloat_with_epsilon(path->bottom_mm, 250, 1e-9);
    g_assert_cmpfloat_with_epsilon(tb_path_length_mm(path), 900, 1e-6);
    tb_outline_free(outline);
    tb_mask_free(mask);
}

static void test_outline__disc_has_its_circumference(void)
{
    tb_mask *mask = board_new(60, 60, 10);
    board_set_disc(mask, 30, 30, 12, 0);
    tb_outline *outline = board_trace(mask);
    g_assert_cmpuint(outline->n_paths, ==, 2);
    const tb_path *disc = &outline->paths[1];
    g_assert_cmpint(disc->depth, ==, 1);
    g_assert_cmpfloat_with_epsilon(tb_path_length_mm(disc), 2 * G_PI * 12, 2 * G_PI * 12 * 0.005);
    g_assert_cmpfloat_with_epsilon(disc->right_mm - disc->left_mm, 24, 0.15);
    tb_outline_free(outline);
    tb_mask_free(mask);
}

static void test_outline__nests_openings_and_islands(void)
{
    tb_mask *mask = board_new(60, 60, 10);
    board_set_disc(mask, 30, 30, 20, 0);
    board_set_disc(mask, 30, 30, 12, 1);
    board_set_disc(mask, 30, 30, 5, 0);
    tb_outline *outline = board_trace(mask);
    g_assert_cmpuint(outline->n_paths, ==, 4);
    for (int i = 0; i < 4; i++)
        g_assert_cmpint(outline->paths[i].depth, ==, i);
    tb_outline_free(outline);
    tb_mask_free(mask);
}

static void test_outline__wood_that_meets_at_a_corner_is_apart(void)
{
    tb_mask *mask = board_new(60, 60, 10);
    board_set_box(mask, 10, 10, 30, 30, 0);
    board_set_box(mask, 30, 30, 50, 50, 0);
    tb_outline *outline = board_trace(mask);
    /* Openings touch at their corner: one opening, one board. */
    g_assert_cmpuint(outline->n_paths, ==, 2);
    tb_outline_free(outline);
    tb_mask_free(mask);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/outline/board_is_exact", test_outline__board_is_exact);
    g_test_add_func("/outline/disc", test_outline__disc_has_its_circumference);
    g_test_add_func("/outline/nests", test_outline__nests_openings_and_islands);
    g_test_add_func("/outline/corner", test_outline__wood_that_meets_at_a_corner_is_apart);
    return g_test_run();
}
