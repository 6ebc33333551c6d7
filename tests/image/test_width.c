/* Opening, closing, growing. What SciPy and OpenCV say of them: tests/judges/judge_width.py. */
#include "image/width.h"

#include "drawn.h"
#include "image/bits.h"

#include <math.h>

static size_t count(const tb_mask *mask)
{
    size_t n = 0;
    for (size_t i = 0; i < tb_mask_area_px(mask); i++)
        n += mask->px[i];
    return n;
}

static void test_width__a_strip_survives_its_own_width(void)
{
    for (int n = 1; n <= 33; n++) {
        tb_mask *mask, *same, *gone;
        g_assert_cmpint(tb_mask_new(&mask, 130, 80, 10, NULL), ==, TB_OK);
        memset(mask->px + 20 * 130, 1, (size_t)n * 130);
        g_assert_cmpint(tb_open_wood(&same, mask, n / 10.0, false, NULL, NULL), ==, TB_OK);
        g_assert_cmpmem(same->px, 130 * 80, mask->px, 130 * 80);
        g_assert_cmpint(tb_open_wood(&gone, mask, (n + 1) / 10.0, true, NULL, NULL), ==, TB_OK);
        g_assert_cmpint(count(gone), ==, 0);
        tb_mask_free(mask);
        tb_mask_free(same);
        tb_mask_free(gone);
    }
}

static void test_width__closing_fills_slots_only(void)
{
    tb_mask *mask, *closed;
    g_assert_cmpint(tb_mask_new(&mask, 200, 100, 10, NULL), ==, TB_OK);
    memset(mask->px, 1, tb_mask_area_px(mask));
    for (int y = 20; y < 80; y++) {
        memset(mask->px + y * 200 + 30, 0, 4);
        memset(mask->px + y * 200 + 90, 0, 60);
    }
    g_assert_cmpint(tb_close_wood(&closed, mask, 0.5, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(closed->px[50 * 200 + 31], ==, 1);
    g_assert_cmpint(closed->px[50 * 200 + 90], ==, 0);
    g_assert_cmpint(closed->px[79 * 200 + 120], ==, 0);
    tb_mask_free(mask);
    tb_mask_free(closed);
}

static void test_width__growing_a_point_draws_a_disc(void)
{
    tb_mask *mask, *grown;
    tb_job job = {.n_threads = 2};
    g_assert_cmpint(tb_mask_new(&mask, 300, 290, 10, NULL), ==, TB_OK);
    mask->px[140 * 300 + 150] = 1;
    g_assert_cmpint(tb_grow_wood(&grown, mask, 12.7, &job, NULL), ==, TB_OK);
    for (int y = 0; y < 290; y++)
        for (int x = 0; x < 300; x++) {
            int far = (x - 150) * (x - 150) + (y - 140) * (y - 140);
            g_assert_cmpint(grown->px[y * 300 + x], ==, far <= 127 * 127);
        }
    tb_mask_free(mask);
    tb_mask_free(grown);
}

static void test_width__refuses_what_is_no_width(void)
{
    static const double ROWS[] = {-1, 25.6, NAN, INFINITY};
    tb_mask *mask = noisy(9, 9, 1), *out;
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        g_assert_cmpint(tb_open_wood(&out, mask, ROWS[i], true, NULL, NULL), ==, TB_EINVAL);
        g_assert_null(out);
        g_assert_cmpint(tb_grow_wood(&out, mask, ROWS[i], NULL, NULL), ==, TB_EINVAL);
        g_assert_null(out);
    }
    tb_mask_free(mask);
}

static void test_width__stops_when_told(void)
{
    tb_mask *mask = noisy(200, 200, 4), *out;
    atomic_bool stop = true;
    tb_job job = {.n_threads = 2, .stop = &stop};
    g_assert_cmpint(tb_open_wood(&out, mask, 0.9, true, &job, NULL), ==, TB_ECANCELLED);
    g_assert_null(out);
    tb_mask_free(mask);
}

static void test_bits__go_there_and_back(void)
{
    for (int width = 1; width < 200; width++) {
        tb_mask *mask = noisy(width, 1, (guint32)width);
        uint64_t words[4];
        uint8_t back[200];
        tb_bits_pack(words, mask->px, width, true);
        tb_bits_unpack(back, words, width, true);
        g_assert_cmpmem(back, (size_t)width, mask->px, (size_t)width);
        int x, end = 0;
        size_t n = 0;
        while (tb_bits_next_run(words, tb_bits_words(width), &x, &end)) {
            n++;
            for (int i = x; i < end; i++)
                g_assert_cmpint(mask->px[i], ==, 0);
            g_assert_true(end == width || mask->px[end] == 1);
        }
        g_assert_cmpint(n, ==, tb_bits_count_runs(words, tb_bits_words(width)));
        tb_mask_free(mask);
    }
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/width/strip", test_width__a_strip_survives_its_own_width);
    g_test_add_func("/width/closing", test_width__closing_fills_slots_only);
    g_test_add_func("/width/growing", test_width__growing_a_point_draws_a_disc);
    g_test_add_func("/width/refuses", test_width__refuses_what_is_no_width);
    g_test_add_func("/width/stops_when_told", test_width__stops_when_told);
    g_test_add_func("/bits/there_and_back", test_bits__go_there_and_back);
    return g_test_run();
}
