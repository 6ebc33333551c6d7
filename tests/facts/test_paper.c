/* Papers against ISO 216 and against the printer's points that the sizes are known by. */
#include "facts/paper.h"

#include <glib.h>
#include <math.h>

static void test_paper__halves_the_a_series(void)
{
    /* ISO 216: each size is the one before, halved across its longer side and rounded down. */
    const char *names[] = {"a0", "a1", "a2", "a3", "a4", "a5", "a6"};
    g_assert_cmpfloat(tb_paper_find("a0")->width_mm, ==, 841);
    g_assert_cmpfloat(tb_paper_find("a0")->height_mm, ==, 1189);
    for (size_t i = 1; i < G_N_ELEMENTS(names); i++) {
        const tb_paper *larger = tb_paper_find(names[i - 1]), *paper = tb_paper_find(names[i]);
        g_assert_cmpfloat(paper->height_mm, ==, larger->width_mm);
        g_assert_cmpfloat(paper->width_mm, ==, floor(larger->height_mm / 2));
    }
}

static void test_paper__has_the_inch_sizes_in_points(void)
{
    static const struct {
        const char *name;
        double width_pt, height_pt;
    } ROWS[] = {{"letter", 612, 792}, {"legal", 612, 1008}, {"tabloid", 792, 1224}};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        const tb_paper *paper = tb_paper_find(ROWS[i].name);
        g_assert_cmpfloat_with_epsilon(paper->width_mm * 72 / 25.4, ROWS[i].width_pt, 1e-9);
        g_assert_cmpfloat_with_epsilon(paper->height_mm * 72 / 25.4, ROWS[i].height_pt, 1e-9);
    }
}

static void test_paper__stands_upright(void)
{
    int n = 0;
    for (const tb_paper *paper; (paper = tb_paper_at(n)); n++)
        g_assert_cmpfloat(paper->width_mm, <, paper->height_mm);
    g_assert_cmpint(n, ==, 18);
    g_assert_true(tb_paper_find("Letter") == tb_paper_find("letter"));
    g_assert_null(tb_paper_find("a7"));
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/paper/halves_the_a_series", test_paper__halves_the_a_series);
    g_test_add_func(
            "/paper/has_the_inch_sizes_in_points", test_paper__has_the_inch_sizes_in_points);
    g_test_add_func("/paper/stands_upright", test_paper__stands_upright);
    return g_test_run();
}
