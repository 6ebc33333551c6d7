/* Pieces of wood and of opening. What OpenCV says of them: tests/judges/judge_label.py. */
#include "image/label.h"

#include "drawn.h"

static const char *const TWO_CORNERS[] = {
        "##....",
        "##....",
        "..##.#",
        "..##.#",
};

static void test_label__wood_does_not_hold_at_corners(void)
{
    tb_mask *mask = drawn(TWO_CORNERS, 4);
    tb_labels *labels;
    g_assert_cmpint(tb_label_wood(&labels, mask, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(labels->n_pieces, ==, 3);
    g_assert_cmpint(tb_labels_at(labels, 1, 1), ==, 0);
    g_assert_cmpint(tb_labels_at(labels, 2, 2), ==, 1);
    g_assert_cmpint(tb_labels_at(labels, 5, 3), ==, 2);
    g_assert_cmpint(tb_labels_at(labels, 4, 3), ==, -1);
    g_assert_cmpint(tb_labels_at(labels, 6, 0), ==, -1);
    tb_labels_free(labels);
    tb_mask_free(mask);
}

static void test_label__openings_meet_at_corners(void)
{
    static const char *const ROWS[] = {".####", "#.###", "##..#", "####."};
    tb_mask *mask = drawn(ROWS, 4);
    tb_labels *labels;
    g_assert_cmpint(tb_label_openings(&labels, mask, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(labels->n_pieces, ==, 1);
    g_assert_cmpint(labels->pieces[0].area_px, ==, 5);
    tb_labels_free(labels);
    tb_mask_free(mask);
}

static void test_label__measures_a_rectangle(void)
{
    static const char *const ROWS[] = {"......", "..###.", "..###.", "......"};
    tb_mask *mask = drawn(ROWS, 4);
    tb_labels *labels;
    g_assert_cmpint(tb_label_wood(&labels, mask, NULL, NULL), ==, TB_OK);
    const tb_piece *piece = &labels->pieces[0];
    g_assert_cmpint(piece->area_px, ==, 6);
    g_assert_cmpint(piece->left_px, ==, 2);
    g_assert_cmpint(piece->top_px, ==, 1);
    g_assert_cmpint(piece->right_px, ==, 5);
    g_assert_cmpint(piece->bottom_px, ==, 3);
    g_assert_cmpfloat(piece->x_px, ==, 3.5);
    g_assert_cmpfloat(piece->y_px, ==, 2);
    g_assert_false(piece->at_edge);
    tb_labels_free(labels);
    tb_mask_free(mask);
}

static void test_label__runs_cover_the_wood_and_nothing_else(void)
{
    tb_mask *mask = noisy(131, 77, 3);
    tb_job job = {.n_threads = 2};
    tb_labels *labels;
    g_assert_cmpint(tb_label_wood(&labels, mask, &job, NULL), ==, TB_OK);
    int32_t *map = g_new(int32_t, tb_mask_area_px(mask));
    tb_labels_paint(labels, map);
    for (int y = 0; y < 77; y++)
        for (int x = 0; x < 131; x++) {
            int32_t piece = map[y * 131 + x];
            g_assert_cmpint(piece >= 0, ==, mask->px[y * 131 + x]);
            g_assert_cmpint(piece, ==, tb_labels_at(labels, x, y));
        }
    g_free(map);
    tb_labels_free(labels);
    tb_mask_free(mask);
}

static void test_label__stops_when_told(void)
{
    tb_mask *mask = noisy(200, 200, 4);
    atomic_bool stop = true;
    tb_job job = {.n_threads = 2, .stop = &stop};
    tb_labels *labels;
    g_assert_cmpint(tb_label_wood(&labels, mask, &job, NULL), ==, TB_ECANCELLED);
    g_assert_null(labels);
    tb_mask_free(mask);
}

static void test_label__refuses_a_fine_texture(void)
{
    tb_mask *mask;
    tb_error err;
    tb_labels *labels;
    g_assert_cmpint(tb_mask_new(&mask, 5000, 5000, 10, NULL), ==, TB_OK);
    for (size_t i = 0; i < tb_mask_area_px(mask); i += 2)
        mask->px[i] = 1;
    g_assert_cmpint(tb_label_wood(&labels, mask, NULL, &err), ==, TB_EINVAL);
    g_assert_null(labels);
    g_assert_nonnull(strstr(err.text, "texture"));
    tb_mask_free(mask);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/label/corners_of_wood", test_label__wood_does_not_hold_at_corners);
    g_test_add_func("/label/corners_of_openings", test_label__openings_meet_at_corners);
    g_test_add_func("/label/measures_a_rectangle", test_label__measures_a_rectangle);
    g_test_add_func("/label/runs_cover", test_label__runs_cover_the_wood_and_nothing_else);
    g_test_add_func("/label/stops_when_told", test_label__stops_when_told);
    g_test_add_func("/label/refuses_a_fine_texture", test_label__refuses_a_fine_texture);
    return g_test_run();
}
