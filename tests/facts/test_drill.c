/* Number drills against the published table (ANSI/ASME B94.11M), spot-checked. */
#include "facts/drill.h"

#include <glib.h>

static void test_drill__has_the_published_sizes(void)
{
    static const struct {
        const char *name;
        double mm;
    } ROWS[] = {{"#80", .343}, {"#76", .508}, {"#72", .635}, {"#69", .742}, {"#65", .889},
            {"#60", 1.016}, {"#56", 1.181}, {"#53", 1.511}, {"#52", 1.613}, {"#50", 1.778}};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        const tb_drill *drill = tb_drill_find(ROWS[i].name);
        g_assert_nonnull(drill);
        g_assert_cmpfloat_with_epsilon(drill->diameter_mm, ROWS[i].mm, 0.0006);
    }
}

static void test_drill__stands_in_order(void)
{
    int n = 0;
    for (const tb_drill *a, *b; (a = tb_drill_at(n)) && (b = tb_drill_at(n + 1)); n++)
        if (a->kind == b->kind)
            g_assert_cmpfloat(a->diameter_mm, <, b->diameter_mm);
    g_assert_cmpint(n + 1, ==, 31 + 28);
    g_assert_null(tb_drill_at(-1));
}

static void test_drill__is_found_as_people_write_it(void)
{
    const tb_drill *drill = tb_drill_find("#69");
    g_assert_true(tb_drill_find("69") == drill && tb_drill_find("No. 69") == drill);
    g_assert_true(tb_drill_find("0.8 mm") && tb_drill_find("0.8mm") == tb_drill_find("0.8 mm"));
    g_assert_null(tb_drill_find("#49"));
    g_assert_null(tb_drill_find(""));
    g_assert_null(tb_drill_find(NULL));
}

static void test_drill__is_no_thinner_than_asked(void)
{
    g_assert_cmpstr(tb_drill_at_least(TB_DRILL_METRIC, 0.8)->name, ==, "0.8 mm");
    g_assert_cmpstr(tb_drill_at_least(TB_DRILL_METRIC, 0.81)->name, ==, "0.9 mm");
    g_assert_cmpstr(tb_drill_at_least(TB_DRILL_NUMBER, 0.7138)->name, ==, "#69");
    g_assert_null(tb_drill_at_least(TB_DRILL_NUMBER, 1.78));
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/drill/has_the_published_sizes", test_drill__has_the_published_sizes);
    g_test_add_func("/drill/stands_in_order", test_drill__stands_in_order);
    g_test_add_func("/drill/is_found_as_people_write_it", test_drill__is_found_as_people_write_it);
    g_test_add_func("/drill/is_no_thinner_than_asked", test_drill__is_no_thinner_than_asked);
    return g_test_run();
}
