/* Blades: what is computed from the remembered sizes, against the same worked out by hand. */
#include "facts/blade.h"

#include <glib.h>

static void test_blade__is_found_as_people_write_it(void)
{
    const tb_blade *blade = tb_blade_find("2/0");
    g_assert_nonnull(blade);
    g_assert_true(tb_blade_find("#2/0") == blade && tb_blade_find("no. 2/0") == blade);
    g_assert_true(tb_blade_find("Spiral 1")->spiral);
    g_assert_null(tb_blade_find("4"));
    g_assert_null(tb_blade_find("20"));
}

static void test_blade__gets_the_easy_bit(void)
{
    static const char *const ROWS[][2] = {{"2/0", "#69"}, {"0", "#68"}, {"1", "#66"}, {"2", "#64"},
            {"3", "#61"}, {"5", "#56"}, {"7", "#54"}, {"9", "#52"}, {"12", "1.8 mm"}};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++)
        g_assert_cmpstr(
                tb_blade_drill(tb_blade_find(ROWS[i][0]), TB_DRILL_NUMBER)->name, ==, ROWS[i][1]);
    g_assert_cmpstr(tb_blade_drill(tb_blade_find("2/0"), TB_DRILL_METRIC)->name, ==, "0.8 mm");
}

static void test_blade__turns_within_twice_its_width(void)
{
    static const struct {
        const char *name;
        double turn_mm;
    } ROWS[] = {{"2/0", 1.1}, {"3", 1.6}, {"5", 1.9}, {"9", 2.7}};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++)
        g_assert_cmpfloat_with_epsilon(
                tb_blade_turn_mm(tb_blade_find(ROWS[i].name)), ROWS[i].turn_mm, 0.051);
    g_assert_cmpfloat_with_epsilon(tb_blade_turn_least_mm(tb_blade_find("2/0")), 0.39, 0.005);
    g_assert_cmpfloat_with_epsilon(tb_blade_turn_least_mm(tb_blade_find("5")), 1.16, 0.005);
}

static void test_blade__leaves_a_kerf_wider_than_itself(void)
{
    for (int i = 0; tb_blade_at(i); i++) {
        const tb_blade *b = tb_blade_at(i);
        double room_mm = tb_blade_kerf_mm(b) - b->thickness_mm;
        g_assert_cmpfloat(room_mm, >=, 0.05);
        g_assert_cmpfloat(room_mm, <=, 0.10);
    }
    g_assert_cmpfloat_with_epsilon(tb_blade_kerf_mm(tb_blade_find("spiral-2/0")), 0.8, 1e-9);
}

static void test_blade__needs_two_teeth_in_the_wood(void)
{
    /* 50.8 / TPI: 2.54 mm for 20 teeth, 5.35 mm for 9.5. */
    g_assert_true(tb_blade_has_teeth_for(tb_blade_find("2/0"), 2.55));
    g_assert_false(tb_blade_has_teeth_for(tb_blade_find("2/0"), 2.53));
    g_assert_false(tb_blade_has_teeth_for(tb_blade_find("12"), 5.3));
    g_assert_true(tb_blade_has_teeth_for(tb_blade_find("spiral-1"), 1));
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/blade/is_found_as_people_write_it", test_blade__is_found_as_people_write_it);
    g_test_add_func("/blade/gets_the_easy_bit", test_blade__gets_the_easy_bit);
    g_test_add_func(
            "/blade/turns_within_twice_its_width", test_blade__turns_within_twice_its_width);
    g_test_add_func(
            "/blade/leaves_a_kerf_wider_than_itself", test_blade__leaves_a_kerf_wider_than_itself);
    g_test_add_func("/blade/needs_two_teeth_in_the_wood", test_blade__needs_two_teeth_in_the_wood);
    return g_test_run();
}
