/* The plan of sawing against worked examples; the practice is the trade's own, common practice. */
#include "pattern/plan.h"

#include "base/alloc.h"
#include "drawn.h"

/* 6.4 mm birch plywood and a No. 2/0, whose teeth and stock are from memory. */
static const tb_plan_options USUAL = {.thickness_mm = 6.4,
        .opening_min = 2.5,
        .rate_mm_s = 1.75,
        .stack_thin = 4,
        .stack_thick = 3,
        .teeth_per_in = 20,
        .blade_most_mm = 25.4 / 8};

/* A board with n square openings, each with an entry hole in its middle. */
typedef struct {
    tb_mask *mask;
    tb_inspection inspection;
    tb_opening openings[24];
    tb_entry_hole holes[24];
} sawn;

static sawn *sawn_board(double width_mm, double height_mm)
{
    sawn *s = g_new0(sawn, 1);
    s->mask = drawn_board(width_mm, height_mm, 10);
    s->inspection.openings = s->openings;
    s->inspection.holes = s->holes;
    s->inspection.cut_length_mm = 2 * (width_mm + height_mm);
    return s;
}

static void add_opening(sawn *s, double x_mm, double y_mm, double side_mm)
{
    int n = (int)s->inspection.n_openings;
    drawn_box(s->mask, 0, x_mm, y_mm, side_mm, side_mm, 0);
    s->openings[n] = (tb_opening){.area_mm2 = side_mm * side_mm,
            .x_mm = x_mm,
            .y_mm = y_mm,
            .cut_length_mm = 4 * side_mm};
    s->holes[n] = (tb_entry_hole){.x_mm = x_mm, .y_mm = y_mm, .drill_mm = 1, .opening = n};
    s->inspection.n_openings = s->inspection.n_holes = (size_t)n + 1;
    s->inspection.cut_length_mm += 4 * side_mm;
}

static tb_plan *plan_of(const sawn *s, const tb_plan_options *options)
{
    tb_plan *plan;
    g_assert_cmpint(tb_plan_make(&plan, &s->inspection, s->mask, options, NULL, NULL), ==, TB_OK);
    return plan;
}

static void assert_order(const tb_plan *plan, const int *holes, size_t n)
{
    g_assert_cmpuint(plan->n_steps, ==, n);
    for (size_t i = 0; i < n; i++)
        g_assert_cmpint(plan->steps[i].hole, ==, holes[i]);
}

static void sawn_free(sawn *s)
{
    tb_mask_free(s->mask);
    g_free(s);
}

/* The corner last although it is small; of the three about the middle the smallest first. */
static void test_plan__goes_from_the_centre_outward_and_from_small_to_large(void)
{
    sawn *s = sawn_board(100, 100);
    add_opening(s, 8, 8, 2);
    add_opening(s, 50, 50, 6);
    add_opening(s, 58, 50, 4);
    add_opening(s, 43, 50, 3);
    tb_plan *plan = plan_of(s, &USUAL);
    assert_order(plan, (int[]){3, 2, 1, 0}, 4);
    tb_plan_free(plan);
    sawn_free(s);
}

/* A thin bridge between the first two, the root of a peninsula beside the last. */
static void test_plan__puts_what_lies_beside_weak_wood_first_or_last(void)
{
    sawn *s = sawn_board(100, 100);
    tb_finding bridge = {.kind = TB_FINDING_THIN_BRIDGE, .x_mm = 20, .y_mm = 20, .measured = 2};
    tb_limb limbs[] = {{.x_mm = 50, .y_mm = 84, .root_mm = 8, .utilisation = 0.6},
            {.x_mm = 50, .y_mm = 54, .root_mm = 8, .utilisation = 0.4}};
    s->inspection.findings = &bridge;
    s->inspection.n_findings = 1;
    s->inspection.limbs = limbs;
    s->inspection.n_limbs = 2;
    add_opening(s, 16, 20, 6); /* its edge is 1 mm from the bridge's middle */
    add_opening(s, 24, 20, 6);
    add_opening(s, 50, 50, 6);
    add_opening(s, 80, 20, 6);
    add_opening(s, 50, 91, 6); /* 4 mm from the root's middle */
    tb_plan_options options = USUAL;
    options.order = TB_ORDER_WEAK_FIRST;
    tb_plan *plan = plan_of(s, &options);
    assert_order(plan, (int[]){0, 1, 4, 2, 3}, 5);
    g_assert_true(plan->steps[2].weak);
    g_assert_false(plan->steps[3].weak);
    tb_plan_free(plan);
    options.order = TB_ORDER_WEAK_LAST;
    plan = plan_of(s, &options);
    assert_order(plan, (int[]){2, 3, 0, 1, 4}, 5);
    tb_plan_free(plan);
    sawn_free(s);
}

/* Common practice: 12 openings in about 30 minutes, in 1/4 in plywood. The board's edge of 600 mm
 * takes 600 / 1.75 / 60 = 5.71 minutes more. */
static void test_plan__takes_half_an_hour_for_twelve_openings(void)
{
    sawn *s = sawn_board(150, 150);
    for (int i = 0; i < 12; i++)
        add_opening(s, 20 + 30 * (i % 4), 30 + 30 * (i / 4), 12);
    tb_plan *plan = plan_of(s, &USUAL);
    g_assert_cmpfloat_with_epsilon(plan->outline_mm, 600, 1e-9);
    g_assert_cmpfloat_with_epsilon(plan->minutes, 30 + 5.714286, 1e-5);
    g_assert_cmpfloat_with_epsilon(plan->steps[0].cut_mm, 48, 1e-9);
    g_assert_cmpstr(tb_plan_about(plan->minutes).text, ==, "about 35 minutes");
    tb_plan_free(plan);
    sawn_free(s);
}

/* 420 mm of line at 1.75 mm/s are 240 s = 4 minutes, more than 2.5. */
static void test_plan__gives_a_long_line_the_time_it_takes(void)
{
    sawn *s = sawn_board(150, 150);
    add_opening(s, 75, 75, 105);
    tb_plan *plan = plan_of(s, &USUAL);
    g_assert_cmpfloat_with_epsilon(plan->steps[0].minutes, 4, 1e-9);
    tb_plan_free(plan);
    /* From two entry holes it is two lines of 210 mm, and the blade is threaded twice. */
    s->holes[1] = (tb_entry_hole){.x_mm = 40, .y_mm = 40, .drill_mm = 1, .opening = 0};
    s->inspection.n_holes = 2;
    plan = plan_of(s, &USUAL);
    g_assert_cmpfloat_with_epsilon(plan->steps[0].cut_mm, 210, 1e-9);
    g_assert_cmpfloat_with_epsilon(plan->steps[0].minutes + plan->steps[1].minutes, 5, 1e-9);
    tb_plan_free(plan);
    sawn_free(s);
}

static void test_plan__says_about_how_long(void)
{
    const struct {
        double minutes;
        const char *text;
    } rows[] = {{0, "about 5 minutes"}, {38, "about 40 minutes"}, {58, "about 1 hour"},
            {80, "about 1.5 hours"}, {375, "about 6.5 hours"}, {700, "about 12 hours"}};
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++)
        g_assert_cmpstr(tb_plan_about(rows[i].minutes).text, ==, rows[i].text);
}

/* Two teeth: 20 an inch ask for 50.8 / 20 = 2.54 mm. Stock of a No. 2/0 is at most 1/8 in, of a
 * No. 5 1/4 to 3/4 in; 6.4 mm passes for 1/4 in. */
static void test_plan__knows_what_the_blade_is_for(void)
{
    const struct {
        double thickness_mm, teeth, least_mm, most_mm;
        tb_blade_fit fit;
    } rows[] = {{2.53, 20, 0, 3.175, TB_BLADE_FEW_TEETH}, {2.55, 20, 0, 3.175, TB_BLADE_FITS},
            {6.4, 20, 0, 3.175, TB_BLADE_FINE}, {6.4, 23, 0, 6.35, TB_BLADE_FITS},
            {6.4, 12.5, 6.35, 19.05, TB_BLADE_FITS}, {4.5, 12.5, 6.35, 19.05, TB_BLADE_COARSE},
            {3, 12.5, 6.35, 19.05, TB_BLADE_FEW_TEETH}, {6.4, 0, 0, 19.05, TB_BLADE_FITS}};
    sawn *s = sawn_board(40, 40);
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        tb_plan_options options = {.thickness_mm = rows[i].thickness_mm,
                .teeth_per_in = rows[i].teeth,
                .blade_least_mm = rows[i].least_mm,
                .blade_most_mm = rows[i].most_mm};
        tb_plan *plan = plan_of(s, &options);
        g_assert_cmpint(plan->fit, ==, rows[i].fit);
        tb_plan_free(plan);
    }
    sawn_free(s);
}

/* Common practice: up to four of 1/8 in or three of 1/4 in; thicker by the height of the latter. */
static void test_plan__stacks_as_the_trade_does(void)
{
    const struct {
        double thickness_mm, blade_most_mm;
        int boards;
    } rows[] = {{3, 25.4, 4}, {3.2, 25.4, 4}, {3.6, 25.4, 3}, {6.4, 25.4, 3}, {9.2, 25.4, 2},
            {12, 25.4, 1}, {40, 25.4, 1}, {3, 3.175, 1}, {3, 6.35, 2}, {6.4, 19.05, 3}};
    sawn *s = sawn_board(40, 40);
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        tb_plan_options options = USUAL;
        options.thickness_mm = rows[i].thickness_mm;
        options.blade_most_mm = rows[i].blade_most_mm;
        tb_plan *plan = plan_of(s, &options);
        g_test_message("%.1f mm", rows[i].thickness_mm);
        g_assert_cmpint(plan->stack_most, ==, rows[i].boards);
        tb_plan_free(plan);
    }
    sawn_free(s);
}

/* A real inspection: every entry hole once, and all lengths come to the whole. */
static void test_plan__leaves_nothing_out(void)
{
    tb_mask *mask = drawn_board(60, 60, 10);
    for (int i = 0; i < 4; i++)
        drawn_line(mask, 0, 15 + 20 * (i % 2), 15 + 20 * (i / 2), 22, 22, 2);
    drawn_box(mask, 0, 0, 50, 20, 4, 0);
    tb_limits limits = TB_LIMITS_INIT;
    tb_inspection *inspection;
    g_assert_cmpint(tb_inspect(&inspection, mask, &limits, NULL, NULL), ==, TB_OK);
    for (int order = 0; order < TB_N_ORDERS; order++) {
        tb_plan_options options = USUAL;
        tb_plan *plan;
        bool seen[64] = {false};
        double sum = 0;
        options.order = (tb_saw_order)order;
        g_assert_cmpint(tb_plan_make(&plan, inspection, mask, &options, NULL, NULL), ==, TB_OK);
        g_assert_cmpuint(plan->n_steps, ==, inspection->n_holes);
        for (size_t i = 0; i < plan->n_steps; i++) {
            g_assert_false(seen[plan->steps[i].hole]);
            seen[plan->steps[i].hole] = true;
            sum += plan->steps[i].cut_mm;
        }
        g_assert_cmpfloat_with_epsilon(sum + plan->outline_mm, inspection->cut_length_mm, 1e-6);
        tb_plan_free(plan);
    }
    tb_inspection_free(inspection);
    tb_mask_free(mask);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/plan/order", test_plan__goes_from_the_centre_outward_and_from_small_to_large);
    g_test_add_func("/plan/weak", test_plan__puts_what_lies_beside_weak_wood_first_or_last);
    g_test_add_func("/plan/twelve", test_plan__takes_half_an_hour_for_twelve_openings);
    g_test_add_func("/plan/long", test_plan__gives_a_long_line_the_time_it_takes);
    g_test_add_func("/plan/about", test_plan__says_about_how_long);
    g_test_add_func("/plan/blade", test_plan__knows_what_the_blade_is_for);
    g_test_add_func("/plan/stack", test_plan__stacks_as_the_trade_does);
    g_test_add_func("/plan/whole", test_plan__leaves_nothing_out);
    return g_test_run();
}
