/* Numbers as text, in any locale; lengths as people write them. */
#include "base/num.h"

#include <glib.h>
#include <locale.h>

static void test_num__writes_plain_decimals(void)
{
    g_assert_cmpstr(tb_num_of(12.5, 2).text, ==, "12.5");
    g_assert_cmpstr(tb_num_of(-0.004, 2).text, ==, "0");
    g_assert_cmpstr(tb_num_of(-0.125, 2).text, ==, "-0.13");
    g_assert_cmpstr(tb_num_of(0.999, 2).text, ==, "1");
    g_assert_cmpstr(tb_num_of(100, 0).text, ==, "100");
    g_assert_cmpstr(tb_num_fixed(3, 2).text, ==, "3.00");
    g_assert_cmpstr(tb_num_of(1e300, 2).text, ==, "0");
}

static void test_num__ignores_the_locale(void)
{
    if (!setlocale(LC_ALL, "de_DE.UTF-8"))
        setlocale(LC_ALL, "C");
    g_assert_cmpstr(tb_num_of(1.5, 3).text, ==, "1.5");
    setlocale(LC_ALL, "C");
}

static void test_num__reads_lengths(void)
{
    /* 1 in = 25.4 mm exactly (international inch, 1959). */
    static const struct {
        const char *text;
        double mm;
    } ROWS[] = {{"200mm", 200}, {"20 cm", 200}, {"8in", 203.2}, {"7 1/2in", 190.5},
            {"7-1/2\"", 190.5}, {"5/16 in", 7.9375}, {"1,6", 1.6}, {" 12.5 mm ", 12.5},
            {"2e2", 200}};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        double mm = 0;
        g_assert_cmpint(tb_length_parse(&mm, ROWS[i].text, TB_UNIT_MM, NULL), ==, TB_OK);
        g_assert_cmpfloat_with_epsilon(mm, ROWS[i].mm, 1e-9);
    }
}

static void test_num__refuses_what_is_no_length(void)
{
    static const char *const ROWS[] = {"", "0", "-5", "1e9", "nan", "inf", "8 1/0in", "8 1/", "mm",
            "12 parsecs", "8in8", "1/2/3", "1e", "--5", "8 1", "."};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        double mm = 7;
        tb_error err = {0};
        g_assert_cmpint(tb_length_parse(&mm, ROWS[i], TB_UNIT_MM, &err), ==, TB_EINVAL);
        g_assert_cmpint(err.code, ==, TB_EINVAL);
        g_assert_cmpstr(err.text, !=, "");
    }
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/num/writes_plain_decimals", test_num__writes_plain_decimals);
    g_test_add_func("/num/ignores_the_locale", test_num__ignores_the_locale);
    g_test_add_func("/num/reads_lengths", test_num__reads_lengths);
    g_test_add_func("/num/refuses_what_is_no_length", test_num__refuses_what_is_no_length);
    return g_test_run();
}
