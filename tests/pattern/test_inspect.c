/* What inspect finds on hand-made patterns: each fault once, in its place, with its number. */
#include "pattern/inspect.h"
#include "pattern/say.h"

#include "drawn.h"
#include "strokes.h"

#include <stdlib.h>

typedef struct {
    tb_finding_kind kind;
    tb_severity severity;
    double x_mm, y_mm, place_mm; /* and how far from there it may be */
    double measured, within;
} expected;

static tb_inspection *inspect(const tb_mask *mask)
{
    tb_limits limits = TB_LIMITS_INIT;
    tb_inspection *inspection;
    tb_error err = {0};
    tb_status status = tb_inspect(&inspection, mask, &limits, NULL, &err);
    g_assert_cmpstr(err.text, ==, "");
    g_assert_cmpint(status, ==, TB_OK);
    return inspection;
}

static bool meets(const tb_finding *f, const expected *e)
{
    return f->kind == e->kind && f->severity == e->severity &&
           hypot(f->x_mm - e->x_mm, f->y_mm - e->y_mm) <= e->place_mm &&
           fabs(f->measured - e->measured) <= e->within;
}

static void assert_findings(const tb_mask *mask, const expected *rows, size_t n)
{
    tb_inspection *inspection = inspect(mask);
    for (size_t i = 0; i < inspection->n_findings; i++) {
        const tb_finding *f = &inspection->findings[i];
        g_test_message("%s %d (%.2f, %.2f) %.3f: %s", tb_finding_kind_name(f->kind), f->severity,
                f->x_mm, f->y_mm, f->measured, f->advice);
        g_assert_cmpuint(f->n_extent, >=, 3);
    }
    g_assert_cmpuint(inspection->n_findings, ==, n);
    for (size_t i = 0; i < n; i++) {
        int n_met = 0;
        for (size_t k = 0; k < n; k++)
            n_met += meets(&inspection->findings[k], &rows[i]);
        g_test_message("expected row %zu", i);
        g_assert_cmpint(n_met, ==, 1);
    }
    tb_inspection_free(inspection);
}

static void test_inspect__sound_pattern_has_no_findings(void)
{
    tb_mask *mask = drawn_board(60, 40, 10);
    drawn_box(mask, 0, 20, 20, 15, 20, 0.3);
    drawn_line(mask, 0, 42, 20, 42, 20, 8);
    tb_inspection *inspection = inspect(mask);
    g_assert_cmpuint(inspection->n_findings, ==, 0);
    g_assert_cmpint(inspection->n_pieces, ==, 1);
    g_assert_cmpuint(inspection->n_openings, ==, 2);
    g_assert_cmpuint(inspection->n_holes, ==, 2);
    /* 2 (60 + 40) + 2 (15 + 20) + 16 pi; from box to disc 22 cos 0.3 - 7.5 - 8 */
    g_assert_cmpfloat_with_epsilon(inspection->cut_length_mm, 200 + 70 + 50.265, 1.2);
    g_assert_cmpstr(tb_verdict_of(inspection).text, ==, "one piece, no wood narrower than 5.5 mm");
    tb_inspection_free(inspection);
    tb_mask_free(mask);
}

static void test_inspect__island_is_found(void)
{
    tb_mask *mask = drawn_board(40, 40, 10);
    drawn_line(mask, 0, 20, 20, 20, 20, 12);
    drawn_line(mask, 1, 19, 21, 19, 21, 5);
    /* 25 pi */
    expected rows[] = {{TB_FINDING_ISLAND, TB_MUST, 19, 21, 0.1, 78.54, 0.5}};
    assert_findings(mask, rows, G_N_ELEMENTS(rows));
    tb_mask_free(mask);
}

static void test_inspect__neck_is_one_finding_at_its_narrowest(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    drawn_line(mask, 0, 20, 25, 20, 25, 9.3);
    drawn_line(mask, 0, 40, 33, 40, 33, 10.8);
    /* hypot(20, 8) - 9.3 - 10.8 */
    expected rows[] = {{TB_FINDING_THIN_BRIDGE, TB_MUST, 28.99, 28.6, 0.4, 1.441, 0.06}};
    assert_findings(mask, rows, G_N_ELEMENTS(rows));
    tb_mask_free(mask);
}

static void test_inspect__two_bridges_are_two_findings(void)
{
    tb_mask *mask = drawn_board(60, 40, 10);
    drawn_line(mask, 0, 30, 20, 30, 20, 13);
    drawn_line(mask, 1, 30, 20, 30, 20, 6);
    drawn_box(mask, 1, 30, 20, 1.4, 30, 0.7);
    expected rows[] = {{TB_FINDING_THIN_BRIDGE, TB_MUST, 24.2, 26.9, 3.5, 1.4, 0.1},
            {TB_FINDING_THIN_BRIDGE, TB_MUST, 35.8, 13.1, 3.5, 1.4, 0.1}};
    assert_findings(mask, rows, G_N_ELEMENTS(rows));
    tb_mask_free(mask);
}

/* Rows are read 64 pixels at a step; what is left may be none, one, or all but one. */
static void test_inspect__any_width_is_read_to_its_end(void)
{
    for (int width_px = 255; width_px <= 259; width_px++) {
        tb_mask *mask = drawn_board(width_px / 10.0, 26, 10);
        double x = width_px / 10.0 - 9;
        drawn_line(mask, 0, x, 9.4, x, 9.4, 3);
        drawn_line(mask, 0, x, 16.6, x, 16.6, 3);
        expected row = {TB_FINDING_THIN_BRIDGE, TB_MUST, x, 13, 0.5, 1.2, 0.1};
        assert_findings(mask, &row, 1);
        tb_mask_free(mask);
    }
}

static void test_inspect__ring_around_an_opening_is_found(void)
{
    tb_mask *mask = drawn_board(40, 40, 10);
    drawn_line(mask, 0, 20, 20, 20, 20, 12);
    drawn_line(mask, 1, 20, 20, 20, 20, 6);
    drawn_box(mask, 1, 10, 20, 12, 4, 0);
    drawn_line(mask, 0, 20.2, 20, 20.2, 20, 4.5);
    /* 6 - 0.2 - 4.5, on the far side from the bridge */
    expected rows[] = {{TB_FINDING_THIN_BRIDGE, TB_MUST, 25.35, 20, 2, 1.3, 0.06}};
    assert_findings(mask, rows, G_N_ELEMENTS(rows));
    tb_mask_free(mask);
}

static void test_inspect__tapering_tip_is_no_neck(void)
{
    tb_mask *mask = drawn_board(60, 40, 10);
    drawn_line(mask, 0, 30, 20, 30, 20, 12);
    for (int k = 0; k < 200; k++)
        drawn_line(mask, 1, 17 + k * 0.08, 20, 17 + k * 0.08, 20, 2.5 * (1 - k / 200.0));
    assert_findings(mask, NULL, 0);
    tb_mask_free(mask);
}

static void test_inspect__openings_are_measured(void)
{
    tb_mask *mask = drawn_board(80, 40, 10);
    drawn_box(mask, 0, 20, 20, 1.2, 12, 0);
    drawn_box(mask, 0, 40, 20, 1, 1, 0);
    drawn_box(mask, 0, 72, 20, 10, 10, 0);
    expected rows[] = {{TB_FINDING_TIGHT_OPENING, TB_MUST, 20, 20, 6, 1.2, 0.11},
            {TB_FINDING_SPECK, TB_SHOULD, 40, 20, 0.1, 1, 0.01},
            {TB_FINDING_THIN_FRAME, TB_SHOULD, 78.5, 20, 6, 3, 0.01}};
    assert_findings(mask, rows, G_N_ELEMENTS(rows));
    tb_mask_free(mask);
}

static void test_inspect__slots_are_found(void)
{
    tb_mask *mask = drawn_board(80, 60, 10);
    drawn_box(mask, 0, 20, 15, 10, 10, 0);
    drawn_box(mask, 0, 30, 15.05, 12, 0.5, 0);
    drawn_box(mask, 0, 20, 40, 10, 10, 0);
    drawn_box(mask, 0, 40, 40, 10, 10, 0);
    drawn_box(mask, 0, 30, 40, 12, 0.2, 0);
    expected rows[] = {{TB_FINDING_NARROW_SLOT, TB_SHOULD, 30.5, 15, 6, 0.5, 0.05},
            {TB_FINDING_NARROW_SLOT, TB_MUST, 30, 40, 6, 0.2, 0.05}};
    assert_findings(mask, rows, G_N_ELEMENTS(rows));
    tb_inspection *inspection = inspect(mask);
    /* The saw can't pass through the narrower slot, so its ends have a hole each. */
    g_assert_cmpuint(inspection->n_openings, ==, 2);
    g_assert_cmpuint(inspection->n_holes, ==, 3);
    tb_inspection_free(inspection);
    tb_mask_free(mask);
}

/* 6 P L / (b t²) × safety / strength, here across the upright grain: 6 · 5 · 50 / (2 · 6.4²) × 2 /
 * 29 = 1.263; the child, 30 mm on its parent, 0.758, which is borne; but it is a strand of 2 mm. */
static void test_inspect__peninsulas_hang_by_their_roots(void)
{
    tb_mask *mask = drawn_board(100, 100, 10);
    drawn_box(mask, 0, 50, 50, 80, 80, 0);
    drawn_box(mask, 1, 35, 21, 50, 2, 0);
    drawn_box(mask, 1, 43, 75, 6, 30, 0);
    drawn_box(mask, 1, 61, 71, 30, 2, 0);
    expected rows[] = {{TB_FINDING_WEAK_PENINSULA, TB_SHOULD, 10, 21, 0.5, 1.263, 0.02},
            {TB_FINDING_WEAK_PENINSULA, TB_SHOULD, 46, 71, 0.5, 2, 0.01}};
    assert_findings(mask, rows, G_N_ELEMENTS(rows));
    tb_inspection *inspection = inspect(mask);
    g_assert_cmpuint(inspection->n_limbs, ==, 2);
    g_assert_cmpfloat_with_epsilon(inspection->limbs[0].reach_mm, 50, 0.5);
    g_assert_cmpfloat_with_epsilon(inspection->limbs[0].area_mm2, 100, 2);
    g_assert_cmpfloat_with_epsilon(inspection->limbs[1].x_mm, 46, 0.5);
    g_assert_cmpfloat_with_epsilon(inspection->limbs[1].utilisation, 0.758, 0.02);
    tb_inspection_free(inspection);
    tb_mask_free(mask);
}

/* Hair of 1.2 × 17 mm, free at one end, is as thin as a bridge of 1.2 mm; a spike of 1.2 × 4 mm is
 * a point, and no wood is held by it. One held at both ends is a bridge, once, whatever grows on
 * it. */
static void test_inspect__strands_are_found_once_however_they_are_held(void)
{
    tb_mask *mask = drawn_board(100, 100, 10);
    drawn_box(mask, 0, 50, 50, 80, 80, 0);
    drawn_box(mask, 1, 18.4, 25, 17.2, 1.2, 0);
    drawn_box(mask, 1, 12, 35, 4.2, 1.2, 0);
    drawn_box(mask, 1, 50, 60, 90, 1.4, 0);
    drawn_box(mask, 1, 40, 64, 2, 8, 0);
    drawn_box(mask, 1, 60, 57, 2, 6, 0);
    expected rows[] = {{TB_FINDING_WEAK_PENINSULA, TB_MUST, 10, 25, 0.5, 1.2, 0.01},
            {TB_FINDING_THIN_BRIDGE, TB_MUST, 50, 60, 41, 1.4, 0.01}};
    assert_findings(mask, rows, G_N_ELEMENTS(rows));
    tb_inspection *inspection = inspect(mask);
    g_assert_cmpfloat_with_epsilon(inspection->narrowest_wood_mm, 1.2, 0.01);
    tb_inspection_free(inspection);
    tb_mask_free(mask);
}

static int count_bridges(const tb_mask *mask, double narrowest_x_mm)
{
    tb_inspection *inspection = inspect(mask);
    int n = 0;
    for (size_t i = 0; i < inspection->n_findings; i++)
        n += inspection->findings[i].kind == TB_FINDING_THIN_BRIDGE;
    g_assert_cmpfloat_with_epsilon(inspection->findings[0].x_mm, narrowest_x_mm, 2);
    tb_inspection_free(inspection);
    return n;
}

/* Necks on either side of a bead of 2.8 mm are one strand's, told at the narrower; a bead of 5 mm
 * parts them; and three strands that meet are three. */
static void test_inspect__a_strand_is_one_finding_and_no_bridge_is_hidden(void)
{
    tb_mask *mask = drawn_board(100, 100, 10);
    drawn_box(mask, 0, 50, 50, 80, 80, 0);
    drawn_box(mask, 1, 50, 40, 90, 2, 0);
    drawn_line(mask, 1, 50, 40, 50, 40, 1.4);
    drawn_box(mask, 0, 30, 39, 3, 1, 0);
    drawn_box(mask, 0, 70, 39, 3, 0.6, 0);
    g_assert_cmpint(count_bridges(mask, 30), ==, 1);
    drawn_line(mask, 1, 50, 40, 50, 40, 2.5);
    g_assert_cmpint(count_bridges(mask, 30), ==, 2);
    drawn_line(mask, 0, 50, 40, 50, 40, 2.8);
    drawn_box(mask, 1, 50, 40, 90, 2, 0);
    drawn_box(mask, 0, 30, 39, 3, 1, 0);
    drawn_box(mask, 1, 50, 75, 2, 70, 0);
    g_assert_cmpint(count_bridges(mask, 30), ==, 3);
    tb_mask_free(mask);
}

/* A board with one of each fault; `without` is left out, or mended. */
static tb_mask *faulty_board(int without)
{
    tb_mask *mask = drawn_board(160, 120, 10);
    drawn_box(mask, 0, 25, 25, 20, 20, 0);
    if (without != TB_FINDING_ISLAND)
        drawn_line(mask, 1, 25, 25, 25, 25, 5);
    drawn_box(mask, 0, 60, 25, 24, 20, 0);
    drawn_box(mask, 1, 60, 25, without == TB_FINDING_THIN_BRIDGE ? 4 : 1.2, 30, 0.4);
    drawn_box(mask, 0, 45, 62, 70, 30, 0);
    if (without != TB_FINDING_WEAK_PENINSULA)
        drawn_box(mask, 1, 38, 62, 60, 2.6, 0);
    drawn_box(mask, 0, 90, 25, without == TB_FINDING_TIGHT_OPENING ? 3 : 1.2, 12, 0);
    drawn_box(mask, 0, 110, 25, 12, 20, 0);
    if (without != TB_FINDING_NARROW_SLOT)
        drawn_box(mask, 0, 120, 25, 12, 0.2, 0);
    drawn_box(mask, 0, 110, 62, 12, 20, 0);
    if (without != TB_FINDING_TIGHT_TURN)
        drawn_line(mask, 0, 116, 62, 128, 62, 0.9);
    drawn_box(mask, 0, 25, 100, without == TB_FINDING_CROWDED_HOLE ? 3 : 1.4, 4, 0);
    drawn_box(mask, 0, without == TB_FINDING_THIN_FRAME ? 146 : 150, 62, 14, 20, 0);
    if (without != TB_FINDING_SPECK)
        drawn_box(mask, 0, 60, 100, 1, 1, 0);
    return mask;
}

static void count_kinds(int counts[TB_N_FINDING_KINDS], const tb_mask *mask)
{
    tb_limits limits = TB_LIMITS_INIT;
    tb_inspection *inspection;
    limits.drill_mm = 0.9;
    limits.drill_room_mm = 0.4;
    limits.hole_clear_mm = 0.35;
    g_assert_cmpint(tb_inspect(&inspection, mask, &limits, NULL, NULL), ==, TB_OK);
    for (int kind = 0; kind < TB_N_FINDING_KINDS; kind++)
        counts[kind] = 0;
    for (size_t i = 0; i < inspection->n_findings; i++) {
        const tb_finding *f = &inspection->findings[i];
        counts[f->kind]++;
        g_test_message("%s (%.2f, %.2f) %.3f of %.2f: %s", tb_finding_kind_name(f->kind), f->x_mm,
                f->y_mm, f->measured, f->limit, f->advice);
    }
    tb_inspection_free(inspection);
}

/* Each fault is named once; without one of them, that finding goes and no other. */
static void test_inspect__one_of_each_fault(void)
{
    for (int without = -1; without < TB_N_FINDING_KINDS; without++) {
        int counts[TB_N_FINDING_KINDS];
        tb_mask *mask = faulty_board(without);
        count_kinds(counts, mask);
        for (int kind = 0; kind < TB_N_FINDING_KINDS; kind++) {
            g_test_message("without %d, kind %d", without, kind);
            g_assert_cmpint(counts[kind], ==, kind != without);
        }
        tb_mask_free(mask);
    }
}

/* 53 × 53 holes of 1.7 mm, 0.5 mm apart. Of the 2 × 53 × 52 walls between them as many as there are
 * crossings, 52 × 52, only join those; each of the others closes a ring, which is a thin bridge. */
static void test_inspect__of_thousands_of_bridges_two_thousand_are_listed(void)
{
    enum { HOLES = 53, PITCH_PX = 22, HOLE_PX = 17, FRAME_PX = 70 };
    tb_mask *mask = drawn_board(130, 130, 10);
    for (int y = 0; y < HOLES * PITCH_PX; y++)
        for (int x = 0; x < HOLES * PITCH_PX; x++)
            if (x % PITCH_PX < HOLE_PX && y % PITCH_PX < HOLE_PX)
                mask->px[(y + FRAME_PX) * mask->width_px + x + FRAME_PX] = 0;
    tb_inspection *inspection = inspect(mask);
    int n_bridges = 0, n_must = 0;
    for (size_t i = 0; i < inspection->n_findings; i++) {
        const tb_finding *f = &inspection->findings[i];
        n_must += f->severity == TB_MUST;
        n_bridges += f->kind == TB_FINDING_THIN_BRIDGE;
        if (f->kind == TB_FINDING_THIN_BRIDGE)
            g_assert_cmpfloat_with_epsilon(f->measured, 0.5, 0.1);
    }
    g_assert_cmpint(n_bridges, ==, 2000);
    g_assert_cmpint(inspection->n_must - n_must + n_bridges, ==, HOLES * HOLES - 1);
    tb_inspection_free(inspection);
    tb_mask_free(mask);
}

static void test_inspect__limits_are_checked(void)
{
    tb_mask *mask = drawn_board(10, 10, 10);
    tb_limits limits = TB_LIMITS_INIT;
    limits.bridge_must_mm = NAN;
    tb_inspection *inspection = (tb_inspection *)mask;
    tb_error err = {0};
    g_assert_cmpint(tb_inspect(&inspection, mask, &limits, NULL, &err), ==, TB_EINVAL);
    g_assert_null(inspection);
    g_assert_cmpstr(err.text, !=, "");
    tb_mask_free(mask);
}

static void test_inspect__threads_change_nothing(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    for (int k = 0; k < 30; k++)
        drawn_line(
                mask, 0, 8 + k * 37 % 45, 8 + k * 17 % 45, 8 + k * 23 % 45, 8 + k * 11 % 45, 0.8);
    tb_limits limits = TB_LIMITS_INIT;
    tb_job job = {.n_threads = 4};
    tb_inspection *one = inspect(mask), *four;
    g_assert_cmpint(tb_inspect(&four, mask, &limits, &job, NULL), ==, TB_OK);
    g_assert_cmpuint(one->n_findings, ==, four->n_findings);
    for (size_t i = 0; i < one->n_findings; i++)
        g_assert_cmpfloat(one->findings[i].measured, ==, four->findings[i].measured);
    tb_inspection_free(one);
    tb_inspection_free(four);
    tb_mask_free(mask);
}

static void test_inspect__looking_again_agrees_with_looking_at_all(void)
{
    /* TB_STROKES asks for a longer campaign. */
    const char *wanted = g_getenv("TB_STROKES");
    strokes_run(7, wanted ? atoi(wanted) : 100, 90, 70);
}

/* A bridge of 2.4 mm, upright, in solid wood of 6 mm: short of half the thickness only where it
 * runs across the grain. */
static void test_inspect__a_bridge_across_the_grain_is_half_as_wide_as_the_board_is_thick(void)
{
    tb_mask *mask = drawn_board(60, 40, 10);
    drawn_box(mask, 0, 22.8, 20, 12, 10, 0);
    drawn_box(mask, 0, 37.2, 20, 12, 10, 0);
    for (int across = 0; across <= 1; across++) {
        tb_limits limits = TB_LIMITS_INIT;
        tb_inspection *in;
        limits.bridge_across_mm = 3;
        limits.grain_rad = across ? 0 : G_PI / 2;
        g_assert_cmpint(tb_inspect(&in, mask, &limits, NULL, NULL), ==, TB_OK);
        g_assert_cmpint(in->n_must, ==, across);
        g_assert_cmpint(in->n_should, ==, !across);
        const tb_finding *f = &in->findings[0];
        g_assert_cmpint(f->kind, ==, TB_FINDING_THIN_BRIDGE);
        g_assert_cmpfloat_with_epsilon(f->measured, 2.4, 0.05);
        g_assert_cmpfloat(f->limit, ==, across ? 3 : limits.bridge_should_mm);
        tb_inspection_free(in);
    }
    tb_mask_free(mask);
}

/* 1.21 mm are 0.048 in, 1.6 mm 0.063 in, 12 mm² 0.0186 in² (1 in = 25.4 mm). */
static void test_inspect__says_what_was_found_in_the_unit_asked_for(void)
{
    tb_finding bridge = {.kind = TB_FINDING_THIN_BRIDGE,
            .severity = TB_MUST,
            .measured = 1.21,
            .limit = 1.6,
            .unit = "mm",
            .advice = "Thicken this bridge to 2.5 mm."};
    tb_finding island = {.kind = TB_FINDING_ISLAND, .measured = 12, .unit = "mm²"};
    tb_finding limb = {.kind = TB_FINDING_WEAK_PENINSULA, .measured = 1.2, .limit = 1, .unit = ""};
    tb_finding speck = {.kind = TB_FINDING_SPECK, .measured = 1.5, .limit = 2, .unit = "mm²"};
    g_assert_cmpstr(tb_say_measure(&bridge, TB_UNIT_MM).text, ==, "1.21 mm, must be 1.60 mm");
    g_assert_cmpstr(tb_say_measure(&bridge, TB_UNIT_IN).text, ==, "0.048 in, must be 0.063 in");
    g_assert_cmpstr(
            tb_say_advice(&bridge, TB_UNIT_IN).text, ==, "Thicken this bridge to 0.098 in.");
    g_assert_cmpstr(tb_say_measure(&speck, TB_UNIT_MM).text, ==, "1.50 mm², smaller than 2.00 mm²");
    g_assert_cmpstr(tb_say_measure(&island, TB_UNIT_MM).text, ==, "12 mm² loose");
    g_assert_cmpstr(tb_say_measure(&island, TB_UNIT_IN).text, ==, "0.0186 in² loose");
    g_assert_cmpstr(tb_say_measure(&limb, TB_UNIT_IN).text, ==, "120 % of what it should bear");
    limb = (tb_finding){.kind = TB_FINDING_WEAK_PENINSULA,
            .severity = TB_MUST,
            .measured = 1.21,
            .limit = 1.6,
            .unit = "mm"};
    g_assert_cmpstr(tb_say_measure(&limb, TB_UNIT_MM).text, ==, "1.21 mm, must be 1.60 mm");
}

/* In a large opening the hole stands near a corner, and its edge at least a millimetre from any
 * line; in one that just takes it, as near as it must. */
static void test_inspect__entry_holes_keep_clear_of_tips(void)
{
    tb_mask *mask = drawn_board(80, 60, 10);
    drawn_box(mask, 0, 30, 30, 40, 30, 0.3);
    drawn_box(mask, 0, 66, 30, 2.4, 30, 0);
    tb_inspection *inspection = inspect(mask);
    g_assert_cmpuint(inspection->n_holes, ==, 2);
    for (int i = 0; i < 2; i++) {
        const tb_entry_hole *hole = &inspection->holes[i];
        bool large = hole->x_mm < 60;
        double x = hole->x_mm - (large ? 30 : 66), y = hole->y_mm - 30, turn = large ? 0.3 : 0;
        double across = fabs(x * cos(turn) + y * sin(turn));
        double down = fabs(y * cos(turn) - x * sin(turn));
        double clear = fmin((large ? 20 : 1.2) - across, 15 - down) - hole->drill_mm / 2;
        g_assert_cmpfloat(clear, >, large ? 1 : 0.25);
        g_assert_cmpfloat(clear, <, 2);
        g_assert_cmpfloat(down, >, 11);
    }
    tb_inspection_free(inspection);
    tb_mask_free(mask);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
#define ADD(name) g_test_add_func("/inspect/" #name, test_inspect__##name)
    ADD(sound_pattern_has_no_findings);
    ADD(entry_holes_keep_clear_of_tips);
    ADD(island_is_found);
    ADD(neck_is_one_finding_at_its_narrowest);
    ADD(two_bridges_are_two_findings);
    ADD(any_width_is_read_to_its_end);
    ADD(ring_around_an_opening_is_found);
    ADD(tapering_tip_is_no_neck);
    ADD(openings_are_measured);
    ADD(slots_are_found);
    ADD(peninsulas_hang_by_their_roots);
    ADD(strands_are_found_once_however_they_are_held);
    ADD(a_strand_is_one_finding_and_no_bridge_is_hidden);
    ADD(one_of_each_fault);
    ADD(of_thousands_of_bridges_two_thousand_are_listed);
    ADD(limits_are_checked);
    ADD(threads_change_nothing);
    ADD(looking_again_agrees_with_looking_at_all);
    ADD(a_bridge_across_the_grain_is_half_as_wide_as_the_board_is_thick);
    ADD(says_what_was_found_in_the_unit_asked_for);
    return g_test_run();
}
