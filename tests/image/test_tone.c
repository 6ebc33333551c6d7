/* Blurs, shrinking and the cut line against answers worked out on paper. */
#include "base/alloc.h"
#include "image/filter.h"
#include "image/tone.h"

#include <glib.h>
#include <math.h>
#include <string.h>

static tb_plane *new_plane(int width_px, int height_px, double px_per_mm, float value)
{
    tb_plane *plane;
    g_assert_cmpint(tb_plane_new(&plane, width_px, height_px, px_per_mm, NULL), ==, TB_OK);
    for (size_t i = 0; i < tb_plane_area_px(plane); i++)
        plane->px[i] = value;
    return plane;
}

/* The variance of a blurred point is sigma², whatever way the blur is done. */
static void check_spread(double sigma_px, double tolerance)
{
    int side = 401;
    tb_plane *plane = new_plane(side, side, 1, 0);
    plane->px[(size_t)(side / 2) * (size_t)side + (size_t)(side / 2)] = 1;
    g_assert_cmpint(tb_blur(plane, sigma_px, NULL, NULL), ==, TB_OK);
    double sum = 0, along = 0, down = 0;
    for (int y = 0; y < side; y++)
        for (int x = 0; x < side; x++) {
            double value = plane->px[(size_t)y * (size_t)side + (size_t)x];
            sum += value;
            along += value * (x - side / 2) * (x - side / 2);
            down += value * (y - side / 2) * (y - side / 2);
        }
    g_assert_cmpfloat_with_epsilon(sum, 1, 1e-3);
    g_assert_cmpfloat_with_epsilon(sqrt(along / sum), sigma_px, tolerance * sigma_px);
    g_assert_cmpfloat_with_epsilon(sqrt(down / sum), sigma_px, tolerance * sigma_px);
    tb_plane_free(plane);
}

static void test_filter__blur_spreads_as_a_gaussian(void)
{
    check_spread(1, 0.03); /* truncated at 3 sigma: 1.3 % short */
    check_spread(3, 0.03);
    check_spread(12, 0.05);
    check_spread(40, 0.05);
}

static void test_filter__blur_keeps_a_flat_ground(void)
{
    tb_plane *plane = new_plane(57, 31, 10, 42);
    g_assert_cmpint(tb_blur(plane, 2, NULL, NULL), ==, TB_OK);
    for (size_t i = 0; i < tb_plane_area_px(plane); i++)
        g_assert_cmpfloat_with_epsilon(plane->px[i], 42, 1e-3);
    tb_plane_free(plane);
}

static void test_filter__shrink_takes_block_means(void)
{
    tb_plane *plane = new_plane(5, 3, 10, 0), *small;
    for (int i = 0; i < 15; i++)
        plane->px[i] = (float)i;
    g_assert_cmpint(tb_shrink(&small, plane, 2, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(small->width_px, ==, 3);
    g_assert_cmpint(small->height_px, ==, 2);
    g_assert_cmpfloat(small->px[0], ==, 3);   /* 0 1 5 6 */
    g_assert_cmpfloat(small->px[2], ==, 6.5); /* 4 9 */
    g_assert_cmpfloat(small->px[5], ==, 14);
    tb_plane_free(small);
    tb_plane_free(plane);
}

static void test_filter__enlarging_a_ramp_keeps_it_straight(void)
{
    for (int factor = 1; factor <= 5; factor++) {
        tb_plane *coarse = new_plane(8, 1, 1, 0);
        float row[40];
        for (int i = 0; i < 8; i++)
            coarse->px[i] = (float)i;
        tb_enlarge_row(row, 8 * factor, 0, coarse, factor);
        for (int x = factor; x < 7 * factor; x++)
            g_assert_cmpfloat_with_epsilon(row[x], (x + 0.5) / factor - 0.5, 1e-4);
        tb_plane_free(coarse);
    }
}

static void test_tone__same_bytes_at_any_thread_count(void)
{
    tb_plane *light = new_plane(403, 307, 10, 0), *one, *three;
    unsigned seed = 7;
    for (size_t i = 0; i < tb_plane_area_px(light); i++)
        light->px[i] = (float)((seed = seed * 1664525u + 1013904223u) >> 24) * 0.39f;
    tb_tone_options options = TB_TONE_OPTIONS_INIT;
    for (int n = 1; n <= 3; n += 2) {
        tb_job job = {.n_threads = n};
        tb_tone_map *map;
        g_assert_cmpint(tb_tone_map_new(&map, light, &options, &job, NULL), ==, TB_OK);
        g_assert_cmpint(
                tb_tone_apply(n == 1 ? &one : &three, light, map, 0.25, &job, NULL), ==, TB_OK);
        tb_tone_map_free(map);
    }
    g_assert_cmpmem(one->px, tb_plane_area_px(one) * sizeof *one->px, three->px,
            tb_plane_area_px(three) * sizeof *three->px);
    tb_plane_free(one);
    tb_plane_free(three);
    tb_plane_free(light);
}

/* A step of light across the picture, with the same pattern on both sides, comes out even. */
static void test_tone__evening_brings_both_halves_to_one_level(void)
{
    tb_plane *light = new_plane(600, 600, 4, 0), *tone;
    for (int y = 0; y < 600; y++)
        for (int x = 0; x < 600; x++)
            light->px[y * 600 + x] =
                    (float)((x < 300 ? 30 : 70) + ((x / 40 + y / 40) % 2 ? 10 : -10));
    tb_tone_options options = TB_TONE_OPTIONS_INIT;
    options.evening = 1;
    options.surround_mm = 20;
    tb_tone_map *map;
    g_assert_cmpint(tb_tone_map_new(&map, light, &options, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(tb_tone_apply(&tone, light, map, 0, NULL, NULL), ==, TB_OK);
    double cut = tb_otsu(tone, NULL);
    for (int half = 0; half < 2; half++) {
        int n_above = 0, n = 0;
        for (int y = 100; y < 500; y++)
            for (int x = half ? 450 : 50; x < (half ? 550 : 150); x++, n++)
                n_above += tone->px[y * 600 + x] > cut;
        g_assert_cmpfloat_with_epsilon((double)n_above / n, 0.5, 0.1);
    }
    tb_tone_map_free(map);
    tb_plane_free(tone);
    tb_plane_free(light);
}

static void test_otsu__parts_two_classes(void)
{
    tb_plane *plane = new_plane(100, 100, 1, 20);
    for (int i = 0; i < 10000; i++)
        plane->px[i] = (float)(i % 3 ? 20 + i % 5 : 80 + i % 7);
    double cut = tb_otsu(plane, NULL);
    g_assert_cmpfloat(cut, >, 24);
    g_assert_cmpfloat(cut, <, 80.5);
    tb_plane_free(plane);
}

static void test_otsu__is_that_value_on_a_flat_plane(void)
{
    tb_plane *plane = new_plane(10, 10, 1, 33);
    g_assert_cmpfloat(tb_otsu(plane, NULL), ==, 33);
    tb_plane_free(plane);
}

static void test_tone__refuses_senseless_options(void)
{
    tb_plane *light = new_plane(20, 20, 10, 50);
    tb_tone_options options = TB_TONE_OPTIONS_INIT;
    options.evening = NAN;
    tb_tone_map *map = (tb_tone_map *)light;
    g_assert_cmpint(tb_tone_map_new(&map, light, &options, NULL, NULL), ==, TB_EINVAL);
    g_assert_null(map);
    tb_plane_free(light);
}

static void test_tone__stops_when_told(void)
{
    atomic_bool stop = true;
    tb_job job = {.n_threads = 2, .stop = &stop};
    tb_plane *light = new_plane(200, 200, 10, 50);
    tb_tone_options options = TB_TONE_OPTIONS_INIT;
    tb_tone_map *map;
    g_assert_cmpint(tb_tone_map_new(&map, light, &options, &job, NULL), ==, TB_ECANCELLED);
    g_assert_null(map);
    tb_plane_free(light);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/filter/blur_spreads_as_a_gaussian", test_filter__blur_spreads_as_a_gaussian);
    g_test_add_func("/filter/blur_keeps_a_flat_ground", test_filter__blur_keeps_a_flat_ground);
    g_test_add_func("/filter/shrink_takes_block_means", test_filter__shrink_takes_block_means);
    g_test_add_func("/filter/enlarging_a_ramp", test_filter__enlarging_a_ramp_keeps_it_straight);
    g_test_add_func("/tone/same_bytes_at_any_threads", test_tone__same_bytes_at_any_thread_count);
    g_test_add_func("/tone/evening_levels", test_tone__evening_brings_both_halves_to_one_level);
    g_test_add_func("/tone/refuses_senseless_options", test_tone__refuses_senseless_options);
    g_test_add_func("/tone/stops_when_told", test_tone__stops_when_told);
    g_test_add_func("/otsu/parts_two_classes", test_otsu__parts_two_classes);
    g_test_add_func("/otsu/flat_plane", test_otsu__is_that_value_on_a_flat_plane);
    return g_test_run();
}
