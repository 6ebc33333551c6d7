/* The proof has teeth: an outline that was tampered with must fail, an honest one must not. */
#include "board.h"
#include "sheet/prove.h"

#include <string.h>

/* A board with one bridge, 2 mm wide from x = 29 to x = 31, between two openings. */
static tb_mask *bridged(void)
{
    tb_mask *mask = board_new(60, 60, 10);
    board_set_box(mask, 10, 10, 29, 50, 0);
    board_set_box(mask, 31, 10, 50, 50, 0);
    return mask;
}

typedef struct {
    double from_x, to_x; /* mm; points in this band are moved */
    double by_x;         /* mm */
} push;

/* Moves points of the flattened outline and tells how many paths have a curve that fails. */
static int n_failing(const tb_mask *mask, const tb_outline *outline, const push *pushes, int n)
{
    tb_outline_options options = TB_OUTLINE_OPTIONS_INIT;
    bool fails[512] = {false}, failing[16] = {false};
    tb_flat flat;
    g_assert_cmpint(tb__flatten(&flat, outline, mask->px_per_mm, NULL), ==, TB_OK);
    for (size_t i = 0; i < flat.first[flat.n_paths]; i++)
        for (int k = 0; k < n; k++) {
            double x = flat.at[i].x / mask->px_per_mm;
            if (x > pushes[k].from_x && x < pushes[k].to_x) {
                flat.at[i].x += pushes[k].by_x * mask->px_per_mm;
                break;
            }
        }
    tb_proof proof;
    g_assert_cmpint(tb__proof_begin(&proof, mask, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(
            tb__prove_distance(fails, &proof, &flat, false, &options, NULL, NULL), ==, TB_OK);
    tb__proof_end(&proof);
    g_assert_cmpint(
            tb__prove_pieces(fails, &flat, outline, mask->px_per_mm, NULL, NULL), ==, TB_OK);
    g_assert_cmpuint(flat.n_curves, <=, G_N_ELEMENTS(fails));
    for (size_t i = 0; i < flat.n_paths; i++)
        for (size_t k = flat.first[i]; k < flat.first[i + 1]; k++)
            failing[i] |= fails[flat.at[k].curve];
    tb__flat_clear(&flat);
    int sum = 0;
    for (size_t i = 0; i < outline->n_paths; i++)
        sum += failing[i];
    return sum;
}

static bool has_drawn(const tb_path *path, tb_path_drawn least)
{
    for (size_t i = 0; i < path->n_curves; i++)
        if (path->curves[i].drawn >= least)
            return true;
    return false;
}

static void test_prove__honest_outline_passes(void)
{
    tb_mask *mask = bridged();
    tb_outline *outline = board_trace(mask);
    g_assert_cmpint(n_failing(mask, outline, NULL, 0), ==, 0);
    for (size_t i = 0; i < outline->n_paths; i++)
        g_assert_false(has_drawn(&outline->paths[i], TB_DRAWN_CLOSE));
    tb_outline_free(outline);
    tb_mask_free(mask);
}

static void test_prove__narrowed_neck_fails(void)
{
    tb_mask *mask = bridged();
    tb_outline *outline = board_trace(mask);
    /* 0.02 mm a side is within what a neck may lose (0.05 mm), 0.035 mm a side is not. */
    const push little[] = {{28, 30, 0.02}, {30, 32, -0.02}};
    const push much[] = {{28, 30, 0.035}, {30, 32, -0.035}};
    g_assert_cmpint(n_failing(mask, outline, little, 2), ==, 0);
    g_assert_cmpint(n_failing(mask, outline, much, 2), ==, 2);
    /* All from one side. */
    const push one[] = {{28, 30, 0.07}};
    g_assert_cmpint(n_failing(mask, outline, one, 1), ==, 2);
    tb_outline_free(outline);
    tb_mask_free(mask);
}

static void test_prove__strayed_line_fails(void)
{
    tb_mask *mask = bridged();
    tb_outline *outline = board_trace(mask);
    const push out[] = {{9, 11, 0.16}};
    g_assert_cmpint(n_failing(mask, outline, out, 1), ==, 1);
    tb_outline_free(outline);
    tb_mask_free(mask);
}

static void test_prove__lost_piece_fails(void)
{
    tb_mask *mask = bridged();
    tb_outline *outline = board_trace(mask);
    /* The bridge's banks change places: the openings overlap. */
    const push cross[] = {{28, 30, 1.2}, {30, 32, -1.2}};
    g_assert_cmpint(n_failing(mask, outline, cross, 2), >=, 2);
    tb_outline_free(outline);
    tb_mask_free(mask);
}

/* A line that leaves out a spike of the mask's edge. */
static void test_prove__left_out_edge_fails(void)
{
    tb_mask *plain = bridged(), *spiked = bridged();
    board_set_box(spiked, 19, 50, 19.2, 50.8, 0);
    tb_outline *outline = board_trace(plain);
    g_assert_cmpint(n_failing(spiked, outline, NULL, 0), ==, 1);
    tb_outline_free(outline);
    tb_mask_free(plain);
    tb_mask_free(spiked);
}

/* On noise nothing smooth is true: every path must come out, at worst along the pixels. */
static void test_prove__noise_is_drawn_after_all(void)
{
    tb_mask *mask = board_new(20, 20, 10);
    GRand *rand = g_rand_new_with_seed(7);
    for (size_t i = 0; i < tb_mask_area_px(mask); i++)
        mask->px[i] = (uint8_t)g_rand_int_range(rand, 0, 2);
    g_rand_free(rand);
    tb_outline *outline = board_trace(mask);
    bool any = false;
    for (size_t i = 0; i < outline->n_paths; i++)
        any |= has_drawn(&outline->paths[i], TB_DRAWN_CLOSE);
    g_assert_true(any);
    tb_outline_free(outline);
    tb_mask_free(mask);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/prove/honest", test_prove__honest_outline_passes);
    g_test_add_func("/prove/narrowed", test_prove__narrowed_neck_fails);
    g_test_add_func("/prove/strayed", test_prove__strayed_line_fails);
    g_test_add_func("/prove/lost", test_prove__lost_piece_fails);
    g_test_add_func("/prove/left_out", test_prove__left_out_edge_fails);
    g_test_add_func("/prove/noise", test_prove__noise_is_drawn_after_all);
    return g_test_run();
}
