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

static void test_num__writes_lengths_in_the_unit_of_people(void)
{
    /* 1 in = 25.4 mm, 1 in² = 645.16 mm². */
    static const struct {
        const char *text, *inches;
    } ROWS[] = {{"Widen this slot to 1.4 mm, or close it.",
                        "Widen this slot to 0.055 in, or close it."},
            {"no wood narrower than 25.4 mm", "no wood narrower than 1 in"},
            {"12 specks of 2 mm\u00b2, 3.5 mm apart",
                    "12 specks of 0.0031 in\u00b2, 0.138 in apart"},
            {"2 must be 5 m long", "2 must be 5 m long"}, {"auf 2,54 mm", "auf 0.1 in"}, {"", ""},
            {"6 millimetres 6mm", "6 millimetres 6mm"}};
    char text[80];
    g_assert_cmpstr(tb_num_length(2.5, 2, TB_UNIT_MM).text, ==, "2.5 mm");
    g_assert_cmpstr(tb_num_length(2.5, 2, TB_UNIT_IN).text, ==, "0.098 in");
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        tb_num_text(text, sizeof text, ROWS[i].text, TB_UNIT_IN);
        g_assert_cmpstr(text, ==, ROWS[i].inches);
        tb_num_text(text, sizeof text, ROWS[i].text, TB_UNIT_MM);
        g_assert_cmpstr(text, ==, ROWS[i].text);
        for (size_t room = 1; room < 12; room++) {
            tb_num_text(text, room, ROWS[i].text, TB_UNIT_IN);
            g_assert_cmpuint(strlen(text), <, room);
        }
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
    g_test_add_func("/num/units", test_num__writes_lengths_in_the_unit_of_people);
    g_test_add_func("/num/refuses_what_is_no_length", test_num__refuses_what_is_no_length);
    return g_test_run();
}
