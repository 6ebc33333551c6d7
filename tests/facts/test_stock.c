/* Stock against the published tables, spot-checked: Wood Handbook FPL-GTR-282, Tables 5-3b and
 * 5-5b; sheets against what E along + E across comes to in every row of the plywood handbook. */
#include "base/num.h"
#include "facts/caution.h"
#include "facts/practice.h"
#include "facts/stock.h"
#include "facts/wood.h"

#include <glib.h>
#include <string.h>

static tb_stock find(const char *name)
{
    tb_stock stock;
    g_assert_cmpint(tb_stock_find(&stock, name, NULL), ==, TB_OK);
    return stock;
}

static void test_stock__has_the_handbook_strengths(void)
{
    static const struct {
        const char *name;
        double bending_mpa, modulus_gpa, across_mpa;
    } ROWS[] = {{"basswood", 60.0, 10.07, 2.41}, {"walnut", 100.7, 11.58, 4.76},
            {"cherry", 84.8, 10.27, 3.86}, {"red-oak", 98.6, 12.55, 5.52},
            {"ash", 106.2, 12.00, 6.48}, {"yellow-birch", 114.5, 13.86, 6.34},
            {"white-pine", 59.3, 8.55, 2.14}, {"redcedar", 51.7, 7.65, 1.52}};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        const tb_wood *wood = tb_wood_find(ROWS[i].name);
        g_assert_cmpfloat_with_epsilon(wood->bending_mpa, ROWS[i].bending_mpa, 0.051);
        g_assert_cmpfloat_with_epsilon(wood->modulus_mpa / 1000, ROWS[i].modulus_gpa, 0.0051);
        g_assert_cmpfloat_with_epsilon(wood->across_mpa, ROWS[i].across_mpa, 0.0051);
    }
}

static void test_stock__sums_the_sheets_stiffness(void)
{
    int n_sheets = 0;
    tb_stock stock;
    for (int i = 0; tb_stock_at(i, &stock); i++) {
        if (!stock.plywood)
            continue;
        g_assert_cmpfloat_with_epsilon(
                stock.modulus_along_mpa + stock.modulus_across_mpa, 17500, 0.5);
        n_sheets++;
    }
    g_assert_cmpint(n_sheets, ==, 5);
    stock = find("birch-ply-6.5");
    g_assert_cmpfloat(stock.thickness_mm, ==, 6.4);
    g_assert_cmpfloat(stock.strength_across_mpa, ==, 29.0);
}

static void test_stock__saws_boards_of_any_thickness(void)
{
    tb_stock stock = find("walnut-6");
    g_assert_cmpstr(stock.name, ==, "walnut-6");
    g_assert_cmpstr(stock.title, ==, "Black walnut, 6 mm");
    g_assert_cmpfloat(stock.safety, ==, 3);
    g_assert_cmpfloat_with_epsilon(find("basswood-1/4in").thickness_mm, 6.35, 1e-12);
    g_assert_cmpfloat_with_epsilon(find("Red Oak 12 mm").thickness_mm, 12, 1e-12);
    /* Worked by hand: 2.01e6 psi, corrected for shear, is 15.2443 GPa. */
    g_assert_cmpfloat_with_epsilon(find("yellow-birch-3").modulus_along_mpa, 15244.3, 0.05);
}

static void test_stock__finds_every_name_it_lists(void)
{
    tb_stock listed;
    int n = 0;
    for (; tb_stock_at(n, &listed); n++) {
        tb_stock found = find(listed.name);
        g_assert_cmpstr(found.title, ==, listed.title);
        g_assert_cmpfloat(found.strength_along_mpa, >, found.strength_across_mpa);
        g_assert_cmpfloat(found.strength_across_mpa, >, 0);
        g_assert_nonnull(found.source);
    }
    g_assert_cmpint(n, ==, 5 + 12);
    g_assert_false(tb_stock_at(-1, &listed));
}

static void test_stock__refuses_what_it_does_not_know(void)
{
    static const char *const ROWS[] = {"", "granite-6", "walnut", "walnut-0", "walnut-500",
            "walnut-6 parsecs", "birch-ply-7", "6", "-6"};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        tb_stock stock = {.thickness_mm = 7};
        tb_error err = {0};
        g_assert_cmpint(tb_stock_find(&stock, ROWS[i], &err), ==, TB_EINVAL);
        g_assert_cmpstr(err.text, !=, "");
        g_assert_cmpfloat(stock.thickness_mm, ==, 7);
    }
    char *endless = g_strnfill(5000, 'x');
    tb_stock stock;
    g_assert_cmpint(tb_stock_find(&stock, endless, NULL), ==, TB_EINVAL);
    g_free(endless);
}

static void test_stock__comes_with_practice_and_cautions(void)
{
    g_assert_cmpfloat(tb_practice_find("bridge_must_mm")->value, ==, 1.6);
    g_assert_null(tb_practice_find("luck"));
    for (int i = 0; tb_practice_at(i); i++)
        g_assert_true(tb_practice_at(i)->source && *tb_practice_at(i)->source);
    /* 1/8 in goes half as fast again as 1/4 in; 3/4 in keeps to the rates of hardwood. */
    g_assert_cmpfloat_with_epsilon(
            tb_practice_rate_mm_s(3.2) / tb_practice_rate_mm_s(6.4), 1.5, 0.001);
    g_assert_cmpfloat(tb_practice_rate_mm_s(19), >, 0.5);
    g_assert_cmpfloat(tb_practice_rate_mm_s(19), <, 1.5);
    g_assert_nonnull(strstr(tb_caution_at(8), "estimates"));
    g_assert_null(tb_caution_at(9));
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/stock/has_the_handbook_strengths", test_stock__has_the_handbook_strengths);
    g_test_add_func("/stock/sums_the_sheets_stiffness", test_stock__sums_the_sheets_stiffness);
    g_test_add_func(
            "/stock/saws_boards_of_any_thickness", test_stock__saws_boards_of_any_thickness);
    g_test_add_func("/stock/finds_every_name_it_lists", test_stock__finds_every_name_it_lists);
    g_test_add_func(
            "/stock/refuses_what_it_does_not_know", test_stock__refuses_what_it_does_not_know);
    g_test_add_func("/stock/comes_with_practice_and_cautions",
            test_stock__comes_with_practice_and_cautions);
    return g_test_run();
}
