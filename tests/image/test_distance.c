/* Distances to the nearest opening. What SciPy says of them: tests/judges/judge_distance.py. */
#include "image/distance.h"

#include "base/alloc.h"
#include "drawn.h"

static void test_distance__of_a_single_opening_is_a_cone(void)
{
    tb_mask *mask;
    int32_t *d;
    g_assert_cmpint(tb_mask_new(&mask, 301, 280, 10, NULL), ==, TB_OK);
    memset(mask->px, 1, tb_mask_area_px(mask));
    mask->px[140 * 301 + 20] = 0;
    g_assert_cmpint(tb_distance_full(&d, mask, false, NULL, NULL), ==, TB_OK);
    for (int y = 0; y < 280; y++)
        for (int x = 0; x < 301; x++)
            g_assert_cmpint(d[y * 301 + x], ==, (x - 20) * (x - 20) + (y - 140) * (y - 140));
    tb_free(d);
    tb_mask_free(mask);
}

static void test_distance__counts_the_edge_only_when_asked(void)
{
    tb_mask *mask;
    int32_t *full;
    uint16_t *capped;
    g_assert_cmpint(tb_mask_new(&mask, 9, 7, 10, NULL), ==, TB_OK);
    memset(mask->px, 1, tb_mask_area_px(mask));
    g_assert_cmpint(tb_distance_full(&full, mask, true, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(full[3 * 9 + 4], ==, 16);
    tb_free(full);
    g_assert_cmpint(tb_distance_full(&full, mask, false, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(full[3 * 9 + 4], ==, INT32_MAX);
    tb_free(full);
    g_assert_cmpint(tb_distance_capped(&capped, mask, 20, false, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(capped[3 * 9 + 4], ==, 400);
    tb_free(capped);
    tb_mask_free(mask);
}

static void test_distance__capped_is_the_full_one_cut_off(void)
{
    static const int CAPS[] = {1, 3, 125, 126, 255};
    tb_mask *mask = noisy(257, 150, 5);
    memset(mask->px, 1, 257 * 60);
    tb_job job = {.n_threads = 2};
    int32_t *full;
    g_assert_cmpint(tb_distance_full(&full, mask, false, &job, NULL), ==, TB_OK);
    for (size_t i = 0; i < G_N_ELEMENTS(CAPS); i++) {
        uint16_t *capped;
        int most = CAPS[i] * CAPS[i];
        g_assert_cmpint(tb_distance_capped(&capped, mask, CAPS[i], false, &job, NULL), ==, TB_OK);
        for (size_t k = 0; k < tb_mask_area_px(mask); k++)
            g_assert_cmpint(capped[k], ==, MIN(full[k], most));
        tb_free(capped);
    }
    tb_free(full);
    tb_mask_free(mask);
}

static void test_distance__refuses_a_cap_out_of_limits(void)
{
    tb_mask *mask = noisy(5, 5, 6);
    uint16_t *capped;
    g_assert_cmpint(tb_distance_capped(&capped, mask, 0, false, NULL, NULL), ==, TB_EINVAL);
    g_assert_cmpint(tb_distance_capped(&capped, mask, 256, false, NULL, NULL), ==, TB_EINVAL);
    g_assert_null(capped);
    tb_mask_free(mask);
}

static void test_distance__stops_when_told(void)
{
    tb_mask *mask = noisy(200, 200, 4);
    atomic_bool stop = true;
    tb_job job = {.n_threads = 2, .stop = &stop};
    int32_t *full;
    uint16_t *capped;
    g_assert_cmpint(tb_distance_full(&full, mask, true, &job, NULL), ==, TB_ECANCELLED);
    g_assert_cmpint(tb_distance_capped(&capped, mask, 9, true, &job, NULL), ==, TB_ECANCELLED);
    g_assert_null(full);
    g_assert_null(capped);
    tb_mask_free(mask);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/distance/cone", test_distance__of_a_single_opening_is_a_cone);
    g_test_add_func("/distance/edge", test_distance__counts_the_edge_only_when_asked);
    g_test_add_func("/distance/capped", test_distance__capped_is_the_full_one_cut_off);
    g_test_add_func("/distance/cap_out_of_limits", test_distance__refuses_a_cap_out_of_limits);
    g_test_add_func("/distance/stops_when_told", test_distance__stops_when_told);
    return g_test_run();
}
