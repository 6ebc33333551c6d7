/* Each mend, drawn, takes its finding away. */
#include "drawn.h"
#include "pattern/hand.h"
#include "pattern/mend.h"

#include <math.h>
#include <string.h>

static tb_inspection *inspected(const tb_mask *mask)
{
    tb_limits limits = TB_LIMITS_INIT;
    tb_inspection *inspection;
    g_assert_cmpint(tb_inspect(&inspection, mask, &limits, NULL, NULL), ==, TB_OK);
    return inspection;
}

static const tb_finding *found(const tb_inspection *inspection, tb_finding_kind kind)
{
    for (size_t i = 0; i < inspection->n_findings; i++)
        if (inspection->findings[i].kind == kind && inspection->findings[i].severity == TB_MUST)
            return &inspection->findings[i];
    return NULL;
}

/* Draws the mend of the one finding of that kind and looks again. */
static void check_mend(tb_mask *mask, tb_finding_kind kind, tb_mend mend)
{
    tb_limits limits = TB_LIMITS_INIT;
    tb_inspection *before = inspected(mask);
    const tb_finding *finding = found(before, kind);
    tb_hand *hand;
    tb_rect dirty;
    tb_stroke stroke;
    g_assert_nonnull(finding);
    g_assert_cmpint(tb_mend_stroke(&stroke, finding, mend, mask, &limits, NULL), ==, TB_OK);
    g_assert_cmpint(tb_hand_new(&hand, mask, 0, NULL), ==, TB_OK);
    g_assert_cmpint(tb_hand_draw(hand, &dirty, &stroke, 0, NULL), ==, TB_OK);
    tb_inspection *after = inspected(hand->mask);
    g_assert_null(found(after, kind));
    tb_inspection_free(before);
    tb_inspection_free(after);
    tb_stroke_clear(&stroke);
    tb_hand_free(hand);
    tb_mask_free(mask);
}

static tb_mask *board_with_island(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    drawn_box(mask, 0, 30, 30, 30, 30, 0);
    drawn_line(mask, 1, 27, 30, 27, 30, 4);
    return mask;
}

static void test_mend__ties_an_island(void)
{
    check_mend(board_with_island(), TB_FINDING_ISLAND, TB_MEND_TIE);
}

static void test_mend__takes_an_island_out(void)
{
    check_mend(board_with_island(), TB_FINDING_ISLAND, TB_MEND_TRIM);
}

static void test_mend__thickens_a_bridge(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    drawn_line(mask, 0, 22.4, 30, 22.4, 30, 7);
    drawn_line(mask, 0, 37.4, 30, 37.4, 30, 7); /* 1 mm between them */
    check_mend(mask, TB_FINDING_THIN_BRIDGE, TB_MEND_THICKEN);
}

/* Hair of 1.2 × 17 mm, free at one end: all of it is as thin as no wood may be. */
static void test_mend__thickens_a_strand_all_along(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    drawn_box(mask, 0, 30, 30, 40, 30, 0);
    drawn_box(mask, 1, 18, 30, 18, 1.2, 0);
    check_mend(mask, TB_FINDING_WEAK_PENINSULA, TB_MEND_THICKEN);
}

/* Two bars 0.6 mm thick, 1.5 mm from middle to middle: one made 1.8 mm thick ends 0.9 mm from its
 * middle, and what lies beyond stays open. */
static void test_mend__thickens_no_neighbour(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    tb_limits limits = TB_LIMITS_INIT;
    tb_stroke stroke;
    tb_hand *hand;
    tb_rect dirty;
    drawn_box(mask, 0, 30, 30, 20, 16, 0);
    drawn_line(mask, 1, 18, 29.2, 42, 29.2, 0.3);
    drawn_line(mask, 1, 18, 30.7, 42, 30.7, 0.3);
    tb_inspection *inspection = inspected(mask);
    const tb_finding *finding = found(inspection, TB_FINDING_THIN_BRIDGE);
    g_assert_nonnull(finding);
    g_assert_cmpint(
            tb_mend_stroke(&stroke, finding, TB_MEND_THICKEN, mask, &limits, NULL), ==, TB_OK);
    g_assert_cmpint(tb_hand_new(&hand, mask, 0, NULL), ==, TB_OK);
    g_assert_cmpint(tb_hand_draw(hand, &dirty, &stroke, 0, NULL), ==, TB_OK);
    int y = (int)lround(10 * (finding->y_mm < 30 ? finding->y_mm + 1.1 : finding->y_mm - 1.1));
    for (int x = 230; x < 370; x++)
        g_assert_cmpint(hand->mask->px[y * mask->width_px + x], ==, 0);
    tb_inspection_free(inspection);
    tb_stroke_clear(&stroke);
    tb_hand_free(hand);
    tb_mask_free(mask);
}

static tb_mask *board_with_tight_opening(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    drawn_line(mask, 0, 30, 30, 34, 30, 0.55);
    return mask;
}

static void test_mend__widens_a_tight_opening(void)
{
    check_mend(board_with_tight_opening(), TB_FINDING_TIGHT_OPENING, TB_MEND_WIDEN);
}

static void test_mend__closes_a_tight_opening(void)
{
    check_mend(board_with_tight_opening(), TB_FINDING_TIGHT_OPENING, TB_MEND_CLOSE);
}

static void test_mend__refuses_what_does_not_fit(void)
{
    tb_limits limits = TB_LIMITS_INIT;
    tb_finding finding = {.kind = TB_FINDING_THIN_BRIDGE};
    tb_stroke stroke;
    g_assert_cmpint(
            tb_mend_stroke(&stroke, &finding, TB_MEND_CLOSE, NULL, &limits, NULL), ==, TB_EINVAL);
    tb_stroke_clear(&stroke);
}

/* ---- every proposal for every finding -------------------------------------------------------- */

typedef struct {
    int n, n_gone, n_must, n_clean; /* proposals; that do; that bring a must; gone and none new */
} tally;

static void count_kinds(int n[TB_N_FINDING_KINDS], const tb_inspection *in)
{
    memset(n, 0, sizeof *n * TB_N_FINDING_KINDS);
    for (size_t i = 0; i < in->n_findings; i++)
        n[in->findings[i].kind]++;
}

/* Draws one mend on its own and counts findings in the whole pattern. */
static void take_tally(tally *sum, const tb_inspection *before, const tb_finding *finding,
        tb_mend mend, const tb_mask *mask)
{
    tb_limits limits = TB_LIMITS_INIT;
    tb_stroke stroke;
    tb_mask *mended;
    int was[TB_N_FINDING_KINDS], is[TB_N_FINDING_KINDS], n_new = 0;
    g_assert_cmpint(tb_mend_stroke(&stroke, finding, mend, mask, &limits, NULL), ==, TB_OK);
    g_assert_cmpint(tb_mask_copy(&mended, mask, NULL), ==, TB_OK);
    g_assert_cmpint(tb_stroke_cover(mended, stroke.kind == TB_STROKE_WOOD, &stroke, NULL), ==, 0);
    tb_inspection *after = inspected(mended);
    count_kinds(was, before);
    count_kinds(is, after);
    for (int k = 0; k < TB_N_FINDING_KINDS; k++)
        n_new += is[k] > was[k];
    bool gone = is[finding->kind]<was[finding->kind], must = after->n_must> before->n_must;
    sum->n++;
    sum->n_gone += gone;
    sum->n_must += must;
    sum->n_clean += gone && !must && n_new == 0;
    tb_inspection_free(after);
    tb_mask_free(mended);
    tb_stroke_clear(&stroke);
}

/* Openings strewn over a board, with bridges, slots, strands and sharp turns between them. */
static tb_mask *strewn_board(guint32 seed)
{
    GRand *rand = g_rand_new_with_seed(seed);
    tb_mask *mask = drawn_board(70, 70, 8);
    for (int i = 0; i < 14; i++) {
        double x = g_rand_double_range(rand, 12, 58), y = g_rand_double_range(rand, 12, 58);
        double turn = g_rand_double_range(rand, 0, G_PI);
        double size = g_rand_double_range(rand, 3, 14);
        if (i % 3 == 0)
            drawn_box(mask, 0, x, y, size, 5, turn);
        else
            drawn_line(mask, 0, x, y, x + size * cos(turn), y + size * sin(turn), 0.3 + size / 6);
    }
    g_rand_free(rand);
    return mask;
}

static void tally_board(tally sums[TB_N_FINDING_KINDS], tb_mask *mask)
{
    tb_inspection *before = inspected(mask);
    for (size_t i = 0; i < before->n_findings; i++) {
        tb_mend mends[TB_MENDS_MOST];
        const tb_finding *finding = &before->findings[i];
        int n = tb_mends_of(mends, finding->kind);
        for (int k = 0; k < n; k++)
            if (mends[k] != TB_MEND_TIE && mends[k] != TB_MEND_TRIM &&
                    finding->kind != TB_FINDING_SPECK)
                take_tally(&sums[finding->kind], before, finding, mends[k], mask);
    }
    tb_inspection_free(before);
    tb_mask_free(mask);
}

/* Hardly one brings what must be mended, and most take their finding away and bring none. */
static void test_mend__proposals_keep_what_they_promise(void)
{
    tally sums[TB_N_FINDING_KINDS] = {0}, all = {0};
    for (guint32 seed = 1; seed <= 10; seed++)
        tally_board(sums, strewn_board(seed));
    for (int k = 0; k < TB_N_FINDING_KINDS; k++) {
        if (sums[k].n > 0)
            g_test_message("%s: %d proposals, %d gone, %d bring a must, %d clean",
                    tb_finding_kind_name((tb_finding_kind)k), sums[k].n, sums[k].n_gone,
                    sums[k].n_must, sums[k].n_clean);
        all.n += sums[k].n;
        all.n_gone += sums[k].n_gone;
        all.n_must += sums[k].n_must;
        all.n_clean += sums[k].n_clean;
    }
    g_test_message("all: %d proposals, %d gone, %d bring a must, %d clean", all.n, all.n_gone,
            all.n_must, all.n_clean);
    g_assert_cmpint(all.n, >=, 30);
    g_assert_cmpint(100 * all.n_must, <=, 5 * all.n);
    g_assert_cmpint(100 * all.n_gone, >=, 85 * all.n);
    g_assert_cmpint(100 * all.n_clean, >=, 70 * all.n);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/mend/ties_an_island", test_mend__ties_an_island);
    g_test_add_func("/mend/takes_an_island_out", test_mend__takes_an_island_out);
    g_test_add_func("/mend/thickens_a_bridge", test_mend__thickens_a_bridge);
    g_test_add_func("/mend/thickens_a_strand", test_mend__thickens_a_strand_all_along);
    g_test_add_func("/mend/thickens_no_neighbour", test_mend__thickens_no_neighbour);
    g_test_add_func("/mend/widens_a_tight_opening", test_mend__widens_a_tight_opening);
    g_test_add_func("/mend/closes_a_tight_opening", test_mend__closes_a_tight_opening);
    g_test_add_func("/mend/refuses_what_does_not_fit", test_mend__refuses_what_does_not_fit);
    g_test_add_func(
            "/mend/proposals_keep_what_they_promise", test_mend__proposals_keep_what_they_promise);
    return g_test_run();
}
