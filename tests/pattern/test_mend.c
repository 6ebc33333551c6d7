/* Each mend, drawn, takes its finding away. */
#include "drawn.h"
#include "pattern/hand.h"
#include "pattern/mend.h"

#include <math.h>

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
    return g_test_run();
}
