/* Options from a table. */
#include "cli/args.h"

#include <glib.h>
#include <string.h>

typedef struct {
    const char *output;
    double width_mm, darkness;
    int jobs, detail;
    bool force;
} values;

static const char *const DETAILS[] = {"fine", "bold", NULL};

static const tb_arg TABLE[] = {
        {.name = "output",
                .letter = 'o',
                .kind = TB_ARG_TEXT,
                .offset = offsetof(values, output),
                .value = "DIR"},
        {.name = "width",
                .kind = TB_ARG_LENGTH,
                .offset = offsetof(values, width_mm),
                .value = "LENGTH"},
        {.name = "darkness",
                .kind = TB_ARG_NUMBER,
                .offset = offsetof(values, darkness),
                .value = "N",
                .least = -50,
                .most = 50},
        {.name = "jobs",
                .letter = 'j',
                .kind = TB_ARG_COUNT,
                .offset = offsetof(values, jobs),
                .value = "N",
                .least = 1,
                .most = 64},
        {.name = "detail",
                .kind = TB_ARG_CHOICE,
                .offset = offsetof(values, detail),
                .value = "LEVEL",
                .choices = DETAILS},
        {.name = "force", .kind = TB_ARG_SWITCH, .offset = offsetof(values, force)},
        {.name = NULL},
};

static tb_status read_line(values *v, int *n, char **words, const char *line, tb_error *err)
{
    char **split = g_strsplit(line, "|", -1);
    int n_words = (int)g_strv_length(split);
    for (int i = 0; i < n_words; i++)
        words[i] = split[i];
    *v = (values){0};
    tb_status status = tb_args_read(v, n, TABLE, n_words, words, TB_UNIT_IN, err);
    /* The words stay until the test's end: what was read is borrowed from them. */
    g_test_queue_destroy((GDestroyNotify)g_strfreev, split);
    return status;
}

static void test_args__reads_every_kind(void)
{
    values v;
    char *words[32];
    int n;
    tb_error err = {0};
    tb_status status = read_line(&v, &n, words,
            "a.jpg|--width|8|-oout|--darkness=-12.5|--force|b.jpg|-j|3|--detail|bold|--|--force",
            &err);
    g_assert_cmpstr(err.text, ==, "");
    g_assert_cmpint(status, ==, TB_OK);
    g_assert_cmpfloat_with_epsilon(v.width_mm, 203.2, 1e-9);
    g_assert_cmpstr(v.output, ==, "out");
    g_assert_cmpfloat(v.darkness, ==, -12.5);
    g_assert_cmpint(v.jobs, ==, 3);
    g_assert_cmpint(v.detail, ==, 1);
    g_assert_true(v.force);
    g_assert_cmpint(n, ==, 3);
    g_assert_cmpstr(words[1], ==, "b.jpg");
    g_assert_cmpstr(words[2], ==, "--force");
}

static void test_args__refuses_and_names_the_option(void)
{
    static const struct {
        const char *line, *names;
    } ROWS[] = {{"--widht|8in", "--widht"}, {"-x", "-x"}, {"--width", "--width"},
            {"--width|0", "--width"}, {"--width|-5", "--width"}, {"--width|1e9", "--width"},
            {"--width|NaN", "--width"}, {"--width|8 1/0in", "--width"}, {"--width=", "--width"},
            {"--darkness|51", "--darkness"}, {"--darkness|dark", "--darkness"},
            {"--darkness|nan", "--darkness"}, {"--jobs|0", "--jobs"}, {"--jobs|1.5", "--jobs"},
            {"--jobs|99999999999", "--jobs"}, {"--detail|coarse", "--detail"},
            {"--force=yes", "--force"}, {"-o", "--output"}};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        values v;
        char *words[8];
        int n;
        tb_error err = {0};
        g_assert_cmpint(read_line(&v, &n, words, ROWS[i].line, &err), ==, TB_EINVAL);
        g_assert_nonnull(strstr(err.text, ROWS[i].names));
    }
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/args/reads_every_kind", test_args__reads_every_kind);
    g_test_add_func("/args/refuses_and_names_the_option", test_args__refuses_and_names_the_option);
    return g_test_run();
}
