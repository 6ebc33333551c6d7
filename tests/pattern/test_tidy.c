/* Splitting and tidying, on masks whose answers are known. */
#include "drawn.h"
#include "image/label.h"
#include "pattern/split.h"
#include "pattern/subject.h"

#include <math.h>

static int n_openings(const tb_mask *mask)
{
    tb_labels *labels;
    g_assert_cmpint(tb_label_openings(&labels, mask, NULL, NULL), ==, TB_OK);
    int n = labels->n_pieces;
    tb_labels_free(labels);
    return n;
}

static int n_pieces(const tb_mask *mask)
{
    tb_labels *labels;
    g_assert_cmpint(tb_label_wood(&labels, mask, NULL, NULL), ==, TB_OK);
    int n = labels->n_pieces;
    tb_labels_free(labels);
    return n;
}

static tb_mask *tidied(const tb_mask *mask)
{
    tb_tidy_options options = TB_TIDY_OPTIONS_INIT;
    tb_mask *tidy;
    g_assert_cmpint(tb_tidy(&tidy, mask, &options, NULL, NULL), ==, TB_OK);
    return tidy;
}

static bool is_wood(const tb_mask *mask, double x_mm, double y_mm)
{
    int x = (int)(x_mm * mask->px_per_mm), y = (int)(y_mm * mask->px_per_mm);
    return mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x];
}

static void test_split__cuts_at_the_line_inside_the_frame(void)
{
    tb_plane *tone;
    tb_mask *mask;
    g_assert_cmpint(tb_plane_new(&tone, 200, 100, 4, NULL), ==, TB_OK);
    for (int i = 0; i < 200 * 100; i++)
        tone->px[i] = (float)(i % 200) / 2; /* 0 … 99.5 from left to right */
    g_assert_cmpint(tb_split(&mask, tone, 50, 6, NULL, NULL), ==, TB_OK);
    g_assert_false(is_wood(mask, 24.9, 12)); /* tone 49.5 */
    g_assert_true(is_wood(mask, 25.3, 12));  /* tone 50.5 */
    g_assert_true(is_wood(mask, 5.9, 12));   /* frame */
    g_assert_true(is_wood(mask, 12, 5.9));
    g_assert_false(is_wood(mask, 6.1, 6.1));
    tb_mask_free(mask);
    tb_plane_free(tone);
}

static void test_split__is_all_frame_on_a_small_board(void)
{
    tb_plane *tone;
    tb_mask *mask;
    g_assert_cmpint(tb_plane_new(&tone, 40, 40, 4, NULL), ==, TB_OK);
    for (int i = 0; i < 1600; i++)
        tone->px[i] = 0;
    g_assert_cmpint(tb_split(&mask, tone, 50, 6, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(n_openings(mask), ==, 0);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

/* A smile: 0.5 mm wide and 14 mm long, on broad wood; too narrow to saw and too good to lose. */
static void test_tidy__widens_a_long_line_on_broad_wood(void)
{
    tb_mask *mask = drawn_board(40, 40, 10);
    drawn_line(mask, 0, 13, 20, 27, 20, 0.25);
    tb_mask *tidy = tidied(mask);
    g_assert_cmpint(n_openings(tidy), ==, 1);
    g_assert_false(is_wood(tidy, 20, 20));
    g_assert_false(is_wood(tidy, 20, 20.38)); /* at least 0.8 mm wide now */
    g_assert_false(is_wood(tidy, 20, 19.62));
    tb_mask_free(tidy);
    tb_mask_free(mask);
}

static void test_tidy__fills_a_short_scratch_and_a_speck(void)
{
    tb_mask *mask = drawn_board(40, 40, 10);
    drawn_line(mask, 0, 10, 10, 12, 10, 0.2);
    drawn_line(mask, 0, 30, 30, 30, 30, 0.5); /* 0.8 mm² */
    tb_mask *tidy = tidied(mask);
    g_assert_cmpint(n_openings(tidy), ==, 0);
    tb_mask_free(tidy);
    tb_mask_free(mask);
}

static void test_tidy__drops_a_speck_of_wood_but_no_island(void)
{
    tb_mask *mask = drawn_board(40, 40, 10);
    drawn_box(mask, 0, 20, 20, 25, 25, 0);
    drawn_line(mask, 1, 15, 15, 15, 15, 0.6); /* 1.1 mm² */
    drawn_line(mask, 1, 25, 25, 25, 25, 3);
    tb_mask *tidy = tidied(mask);
    g_assert_cmpint(n_pieces(tidy), ==, 2);
    g_assert_false(is_wood(tidy, 15, 15));
    g_assert_true(is_wood(tidy, 25, 25));
    tb_mask_free(tidy);
    tb_mask_free(mask);
}

/* 1 mm wide and 8 mm long: the blade passes, the drill of a 1.5 mm round does not, yet. */
static void test_tidy__makes_room_for_the_drill(void)
{
    tb_mask *mask = drawn_board(30, 30, 10);
    drawn_line(mask, 0, 11, 15, 19, 15, 0.5);
    tb_mask *tidy = tidied(mask);
    g_assert_cmpint(n_openings(tidy), ==, 1);
    bool fits = false;
    for (double x = 10; x < 20; x += 0.1)
        fits = fits || (!is_wood(tidy, x, 15 - 0.74) && !is_wood(tidy, x, 15 + 0.74));
    g_assert_true(fits);
    tb_mask_free(tidy);
    tb_mask_free(mask);
}

/* Share of the face that lies above the cut. */
static double light_of_face(const tb_plane *tone, double cut)
{
    int n = 0, n_light = 0;
    for (int y = 140; y < 320; y++)
        for (int x = 130; x < 270; x++, n++)
            n_light += tone->px[y * tone->width_px + x] > cut;
    return (double)n_light / n;
}

static void test_subject__keeps_the_drawing_of_a_face_against_the_light(void)
{
    tb_plane *lit, *weight;
    tb_tone_options options = TB_TONE_OPTIONS_INIT;
    g_assert_cmpint(tb_plane_new(&lit, 400, 500, 2, NULL), ==, TB_OK);
    for (int y = 0; y < 500; y++)
        for (int x = 0; x < 400; x++) {
            double u = (x - 200) / 120.0, v = (y - 230) / 160.0;
            bool face = u * u + v * v < 1, mark = (x / 10 + y / 10) % 2;
            lit->px[y * 400 + x] = (float)(face ? (mark ? 12 : 32) : 95);
        }
    /* The plain way, one level for the whole picture, makes the face all opening. */
    g_assert_cmpfloat(light_of_face(lit, tb_otsu(lit, NULL)), <, 0.01);
    tb_tone_map *map;
    g_assert_cmpint(tb_choose_evening(&options.evening, lit, &options, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(tb_subject_weight(&weight, 400, 500, 2, NULL), ==, TB_OK);
    g_assert_cmpint(tb_tone_map_new(&map, lit, &options, NULL, NULL), ==, TB_OK);
    double light = light_of_face(map->tone, tb_otsu(map->even, weight));
    g_assert_cmpfloat(light, >, 0.2);
    g_assert_cmpfloat(light, <, 0.8);
    tb_tone_map_free(map);
    tb_plane_free(weight);
    tb_plane_free(lit);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/split/cuts_at_the_line", test_split__cuts_at_the_line_inside_the_frame);
    g_test_add_func("/split/all_frame", test_split__is_all_frame_on_a_small_board);
    g_test_add_func("/tidy/widens_a_line", test_tidy__widens_a_long_line_on_broad_wood);
    g_test_add_func("/tidy/fills_scratches", test_tidy__fills_a_short_scratch_and_a_speck);
    g_test_add_func("/tidy/drops_specks", test_tidy__drops_a_speck_of_wood_but_no_island);
    g_test_add_func("/tidy/room_for_the_drill", test_tidy__makes_room_for_the_drill);
    g_test_add_func("/subject/against_the_light",
            test_subject__keeps_the_drawing_of_a_face_against_the_light);
    return g_test_run();
}
