/* Each mend that is offered, drawn, takes its finding away, and none that can't is offered. */
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

/* Tries one mend of one finding of the pattern. */
static tb_proposal proposed(const tb_mask *mask, const tb_finding *finding, tb_mend mend)
{
    tb_limits limits = TB_LIMITS_INIT;
    tb_mender *mender = tb_mender_new();
    tb_proposal proposal;
    g_assert_cmpint(tb_mender_see(mender, mask, &limits, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(tb_mender_try(&proposal, mender, finding, mend, NULL, NULL), ==, TB_OK);
    tb_mender_free(mender);
    return proposal;
}

static tb_hand *mended(const tb_mask *mask, const tb_proposal *proposal)
{
    tb_hand *hand;
    tb_rect dirty;
    g_assert_cmpint(proposal->hindrance, ==, TB_MEND_WORKS);
    g_assert_cmpint(tb_hand_new(&hand, mask, 0, NULL), ==, TB_OK);
    g_assert_cmpint(tb_hand_draw(hand, &dirty, &proposal->stroke, 0, NULL), ==, TB_OK);
    return hand;
}

/* Draws the mend of the one finding of that kind and looks again; what is measured then. */
static double check_mend(tb_mask *mask, tb_finding_kind kind, tb_mend mend)
{
    tb_inspection *before = inspected(mask);
    const tb_finding *finding = found(before, kind);
    g_assert(finding);
    tb_proposal proposal = proposed(mask, finding, mend);
    tb_hand *hand = mended(mask, &proposal);
    tb_inspection *after = inspected(hand->mask);
    g_assert_null(found(after, kind));
    double then = proposal.then;
    tb_inspection_free(before);
    tb_inspection_free(after);
    tb_proposal_clear(&proposal);
    tb_hand_free(hand);
    tb_mask_free(mask);
    return then;
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

/* Nearer to another island than to the mainland: a bridge to that one would leave it loose. */
static void test_mend__ties_an_island_to_the_mainland(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    drawn_box(mask, 0, 30, 30, 30, 30, 0);
    drawn_line(mask, 1, 25, 30, 25, 30, 4);
    drawn_line(mask, 1, 35, 30, 35, 30, 3.5);
    tb_inspection *before = inspected(mask);
    for (int i = 0; i < 2; i++) {
        g_assert_cmpint(before->findings[i].kind, ==, TB_FINDING_ISLAND);
        tb_proposal proposal = proposed(mask, &before->findings[i], TB_MEND_TIE);
        tb_hand *hand = mended(mask, &proposal);
        tb_inspection *after = inspected(hand->mask);
        g_assert_cmpint(after->n_pieces, ==, 2);
        tb_inspection_free(after);
        tb_hand_free(hand);
        tb_proposal_clear(&proposal);
    }
    tb_inspection_free(before);
    tb_mask_free(mask);
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
    double then = check_mend(mask, TB_FINDING_THIN_BRIDGE, TB_MEND_THICKEN);
    g_assert_cmpfloat(then, >=, 2.45);
    g_assert_cmpfloat(then, <=, 3.3);
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
    drawn_box(mask, 0, 30, 30, 20, 16, 0);
    drawn_line(mask, 1, 18, 29.2, 42, 29.2, 0.3);
    drawn_line(mask, 1, 18, 30.7, 42, 30.7, 0.3);
    tb_inspection *inspection = inspected(mask);
    const tb_finding *finding = found(inspection, TB_FINDING_THIN_BRIDGE);
    g_assert(finding);
    tb_proposal proposal = proposed(mask, finding, TB_MEND_THICKEN);
    tb_hand *hand = mended(mask, &proposal);
    int y = (int)lround(10 * (finding->y_mm < 30 ? finding->y_mm + 1.1 : finding->y_mm - 1.1));
    for (int x = 230; x < 370; x++)
        g_assert_cmpint(hand->mask->px[y * mask->width_px + x], ==, 0);
    tb_inspection_free(inspection);
    tb_proposal_clear(&proposal);
    tb_hand_free(hand);
    tb_mask_free(mask);
}

/* A bar 40 mm long and 1.8 mm wide becomes one that is evenly 2.5 mm wide or a little more: each of
 * its rows of pixels holds as much. The banks are no lumps. */
static void test_mend__thickens_evenly(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    drawn_box(mask, 0, 30, 30, 24, 40, 0);
    drawn_box(mask, 1, 30, 30, 1.8, 40, 0);
    tb_inspection *inspection = inspected(mask);
    g_assert_cmpint(inspection->n_should, >, 0);
    g_assert_cmpint(inspection->findings[0].kind, ==, TB_FINDING_THIN_BRIDGE);
    tb_proposal proposal = proposed(mask, &inspection->findings[0], TB_MEND_THICKEN);
    tb_hand *hand = mended(mask, &proposal);
    for (int y = 130; y < 470; y++) {
        int n = 0;
        for (int x = 190; x < 410; x++)
            n += hand->mask->px[y * mask->width_px + x];
        g_assert_cmpint(n, >=, 25);
        g_assert_cmpint(n, <=, 28);
    }
    tb_inspection_free(inspection);
    tb_proposal_clear(&proposal);
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
    tb_mask *mask = drawn_board(20, 20, 10);
    tb_limits limits = TB_LIMITS_INIT;
    tb_finding finding = {.kind = TB_FINDING_THIN_BRIDGE, .unit = "mm"};
    tb_mender *mender = tb_mender_new();
    tb_proposal proposal;
    g_assert_cmpint(tb_mender_see(mender, mask, &limits, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(
            tb_mender_try(&proposal, mender, &finding, TB_MEND_CLOSE, NULL, NULL), ==, TB_EINVAL);
    tb_mender_free(mender);
    tb_mask_free(mask);
}

/* A bar 0.8 mm thick up the middle of a shaft of 4 mm leaves 1.6 mm on either side, just enough for
 * the drill: thickened by another 0.8 mm, there is no room for it on one side or on both. */
static void test_mend__offers_nothing_that_brings_worse(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    drawn_box(mask, 0, 30, 30, 4, 12, 0);
    drawn_box(mask, 1, 30, 30, 0.8, 14, 0);
    tb_inspection *before = inspected(mask);
    const tb_finding *finding = found(before, TB_FINDING_THIN_BRIDGE);
    g_assert(finding);
    g_assert_null(found(before, TB_FINDING_TIGHT_OPENING));
    tb_proposal proposal = proposed(mask, finding, TB_MEND_THICKEN);
    g_assert_cmpint(proposal.hindrance, !=, TB_MEND_WORKS);
    g_assert_cmpuint(strlen(tb_hindrance_text(proposal.hindrance)), >, 0);
    tb_proposal_clear(&proposal);
    tb_inspection_free(before);
    tb_mask_free(mask);
}

/* ---- every proposal for every finding -------------------------------------------------------- */

static int n_thin_frames(const tb_mask *mask)
{
    tb_inspection *inspection = inspected(mask);
    int n = 0;
    for (size_t i = 0; i < inspection->n_findings; i++)
        n += inspection->findings[i].kind == TB_FINDING_THIN_FRAME;
    tb_inspection_free(inspection);
    return n;
}

/* A slit through the frame is found at the rim, and made whole; a nick in it is no cut. */
static void test_mend__makes_a_frame_whole(void)
{
    tb_mask *mask = drawn_board(100, 80, 10);
    drawn_box(mask, 0, 50, 0, 5, 2, 0);
    g_assert_cmpint(n_thin_frames(mask), ==, 0);
    drawn_box(mask, 0, 20, 40, 42, 3, 0);
    tb_inspection *cut = inspected(mask);
    g_assert_cmpuint(cut->n_findings, ==, 1);
    const tb_finding *finding = &cut->findings[0];
    g_assert_cmpfloat(finding->measured, ==, 0);
    g_assert_cmpfloat(finding->x_mm, <, 0.1);
    g_assert_cmpfloat_with_epsilon(finding->y_mm, 40, 0.1);
    tb_proposal proposal = proposed(mask, finding, TB_MEND_THICKEN);
    g_assert_cmpint(proposal.hindrance, ==, TB_MEND_WORKS);
    g_assert_cmpint(tb_stroke_cover(mask, 1, &proposal.stroke, NULL), ==, TB_OK);
    g_assert_cmpint(n_thin_frames(mask), ==, 0);
    tb_inspection_free(cut);
    tb_proposal_clear(&proposal);
    tb_mask_free(mask);
}

typedef struct {
    int n, n_offered;
} tally;

static int count_of(const tb_inspection *in, tb_finding_kind kind, bool must)
{
    int n = 0;
    for (size_t i = 0; i < in->n_findings; i++)
        n += in->findings[i].kind == kind && (!must || in->findings[i].severity == TB_MUST);
    return n;
}

static bool is_at(const tb_inspection *in, const tb_finding *finding, bool must)
{
    for (size_t i = 0; i < in->n_findings; i++) {
        const tb_finding *f = &in->findings[i];
        if (f->kind == finding->kind && (!must || f->severity == TB_MUST) &&
                hypot(f->x_mm - finding->x_mm, f->y_mm - finding->y_mm) < 0.3)
            return true;
    }
    return false;
}

static double changed_mm2(const tb_mask *a, const tb_mask *b)
{
    size_t n = 0;
    for (size_t i = 0; i < tb_mask_area_px(a); i++)
        n += a->px[i] != b->px[i];
    return (double)n / (a->px_per_mm * a->px_per_mm);
}

/* Drawn alone on the whole pattern, and inspected anew from nothing. */
static void check_offer(const tb_mask *mask, const tb_inspection *before, const tb_finding *finding,
        const tb_proposal *proposal)
{
    tb_hand *hand = mended(mask, proposal);
    tb_inspection *after = inspected(hand->mask);
    bool must = finding->severity == TB_MUST, only_safe = must && proposal->advised;
    g_assert_false(is_at(after, finding, only_safe));
    g_assert_cmpint(count_of(after, finding->kind, only_safe), <,
            count_of(before, finding->kind, only_safe));
    for (int k = 0; k < TB_N_FINDING_KINDS; k++) {
        int allowed = count_of(before, (tb_finding_kind)k, true);
        allowed -= must && k == (int)finding->kind;
        g_assert_cmpint(count_of(after, (tb_finding_kind)k, true), <=, allowed);
    }
    if (!must)
        g_assert_cmpuint(after->n_findings, <, before->n_findings);
    double changed = changed_mm2(mask, hand->mask);
    g_assert_cmpfloat(changed, >, 0);
    if (proposal->stroke.kind != TB_STROKE_CLOSE && proposal->stroke.kind != TB_STROKE_TAKE_OUT)
        g_assert_cmpfloat(changed, <=, TB_MEND_MOST_MM2);
    g_assert_cmpfloat(fabs(changed - proposal->changed_mm2), <, 1e-6);
    /* What is told is within the limit: half a pixel is given in the pattern's favour. */
    double grain_mm = 1 / mask->px_per_mm;
    if (*finding->unit && !isnan(proposal->then))
        g_assert_cmpfloat(proposal->then, >=, finding->limit - grain_mm);
    else if (finding->kind == TB_FINDING_WEAK_PENINSULA && !isnan(proposal->then))
        g_assert_cmpfloat(proposal->then, <=, finding->limit);
    tb_inspection_free(after);
    tb_hand_free(hand);
}

static void check_board(tally sums[TB_N_FINDING_KINDS], tb_mask *mask)
{
    tb_limits limits = TB_LIMITS_INIT;
    tb_inspection *before = inspected(mask);
    tb_mender *mender = tb_mender_new();
    g_assert_cmpint(tb_mender_see(mender, mask, &limits, NULL, NULL), ==, TB_OK);
    for (size_t i = 0; i < before->n_findings; i++) {
        tb_mend mends[TB_MENDS_MOST];
        const tb_finding *finding = &before->findings[i];
        int n = tb_mends_of(mends, finding->kind);
        for (int k = 0; k < n; k++) {
            tb_proposal proposal;
            g_assert_cmpint(tb_mender_try(&proposal, mender, finding, mends[k], NULL, NULL), ==, 0);
            bool offered = proposal.hindrance == TB_MEND_WORKS;
            if (offered)
                check_offer(mask, before, finding, &proposal);
            sums[finding->kind].n++;
            sums[finding->kind].n_offered += offered;
            tb_proposal_clear(&proposal);
        }
    }
    tb_mender_free(mender);
    tb_inspection_free(before);
    tb_mask_free(mask);
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

/* Wood where a sum of waves is low, as spots of light and dark are in a picture: islands, necks and
 * points of every width, within a frame that is too thin here and there. */
static tb_mask *waved_board(guint32 seed)
{
    enum { N_WAVES = 12 };
    GRand *rand = g_rand_new_with_seed(seed);
    tb_mask *mask = drawn_board(70, 70, 8);
    double fx[N_WAVES], fy[N_WAVES], phase[N_WAVES];
    for (int k = 0; k < N_WAVES; k++) {
        double angle = g_rand_double_range(rand, 0, G_PI);
        double length_mm = g_rand_double_range(rand, 5, 16);
        fx[k] = 2 * G_PI * cos(angle) / length_mm;
        fy[k] = 2 * G_PI * sin(angle) / length_mm;
        phase[k] = g_rand_double_range(rand, 0, 2 * G_PI);
    }
    for (int y = 0; y < mask->height_px; y++)
        for (int x = 0; x < mask->width_px; x++) {
            double x_mm = (x + 0.5) / 8, y_mm = (y + 0.5) / 8, sum = 0;
            double edge_mm = fmin(fmin(x_mm, 70 - x_mm), fmin(y_mm, 70 - y_mm));
            for (int k = 0; k < N_WAVES; k++)
                sum += cos(fx[k] * x_mm + fy[k] * y_mm + phase[k]);
            mask->px[y * mask->width_px + x] = sum < 0.4 || edge_mm < (seed % 3 ? 6.2 : 5.5);
        }
    g_rand_free(rand);
    return mask;
}

/* Bars that hang from one wall of a wide opening, straight ones and such as widen to their end. */
static tb_mask *combed_board(guint32 seed)
{
    GRand *rand = g_rand_new_with_seed(seed);
    tb_mask *mask = drawn_board(80, 70, 8);
    drawn_box(mask, 0, 40, 35, 66, 56, 0);
    for (int i = 0; i < 4; i++) {
        double y = 14 + 14 * i, turn = g_rand_double_range(rand, -0.08, 0.08);
        double reach = g_rand_double_range(rand, 15, 58),
               half = g_rand_double_range(rand, 0.6, 1.8);
        double end_x = 7 + reach * cos(turn), end_y = y + reach * sin(turn);
        drawn_line(mask, 1, 4, y, end_x, end_y, half);
        if (i % 2)
            drawn_line(mask, 1, end_x, end_y, end_x, end_y, 2 * half);
    }
    g_rand_free(rand);
    return mask;
}

/* Each that is offered, on boards that nothing was tuned on. Most are: a tool that offers nothing
 * would keep every promise. */
static void test_mend__proposals_keep_what_they_promise(void)
{
    tally sums[TB_N_FINDING_KINDS] = {0}, all = {0};
    for (guint32 seed = 0; seed < 3; seed++) {
        check_board(sums, strewn_board(20260 + seed));
        check_board(sums, waved_board(7300 + seed));
        check_board(sums, combed_board(4100 + seed));
    }
    for (int k = 0; k < TB_N_FINDING_KINDS; k++) {
        g_test_message("%s: %d proposals, %d offered", tb_finding_kind_name((tb_finding_kind)k),
                sums[k].n, sums[k].n_offered);
        all.n += sums[k].n;
        all.n_offered += sums[k].n_offered;
    }
    g_assert_cmpint(all.n, >=, 100);
    g_assert_cmpint(2 * all.n_offered, >, all.n);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/mend/ties_an_island", test_mend__ties_an_island);
    g_test_add_func("/mend/ties_to_the_mainland", test_mend__ties_an_island_to_the_mainland);
    g_test_add_func("/mend/takes_an_island_out", test_mend__takes_an_island_out);
    g_test_add_func("/mend/thickens_a_bridge", test_mend__thickens_a_bridge);
    g_test_add_func("/mend/thickens_a_strand", test_mend__thickens_a_strand_all_along);
    g_test_add_func("/mend/thickens_no_neighbour", test_mend__thickens_no_neighbour);
    g_test_add_func("/mend/thickens_evenly", test_mend__thickens_evenly);
    g_test_add_func("/mend/offers_nothing_worse", test_mend__offers_nothing_that_brings_worse);
    g_test_add_func("/mend/widens_a_tight_opening", test_mend__widens_a_tight_opening);
    g_test_add_func("/mend/closes_a_tight_opening", test_mend__closes_a_tight_opening);
    g_test_add_func("/mend/makes_a_frame_whole", test_mend__makes_a_frame_whole);
    g_test_add_func("/mend/refuses_what_does_not_fit", test_mend__refuses_what_does_not_fit);
    g_test_add_func(
            "/mend/proposals_keep_what_they_promise", test_mend__proposals_keep_what_they_promise);
    return g_test_run();
}
