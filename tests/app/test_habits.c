/* What the user chose for good: src/app/model/habits.h. Kept in a file of the test's own folder. */
#include "app/model/habits.h"

#include <gio/gio.h>
#include <glib/gstdio.h>

/* As after a new start of the app. */
static tb_habits *again(tb_habits *habits)
{
    tb_habits_free(habits);
    g_settings_sync();
    return tb_habits_new();
}

static void test_habits__are_what_is_usual_at_first(void)
{
    tb_habits *habits = tb_habits_new();
    g_assert_false(tb_habits_inches(habits));
    g_assert_cmpstr(tb_habits_paper(habits), ==, "a4");
    g_assert_cmpstr(tb_habits_printer(habits), ==, "");
    g_assert_cmpfloat(tb_habits_bar_mm(habits, "Any"), ==, 100);
    g_assert_cmpfloat(tb_habits_overlap_mm(habits), ==, 10);
    tb_habits_free(habits);
}

static void test_habits__last_longer_than_the_app(void)
{
    tb_habits *habits = tb_habits_new();
    tb_habits_set_inches(habits, true);
    tb_habits_set_paper(habits, "letter");
    tb_habits_set_window(habits, (tb_window_size){1024, 600, true});
    tb_habits_set_overlap_mm(habits, 6.35);
    tb_habits_set_folder(habits, g_get_tmp_dir());
    habits = again(habits);
    g_assert_cmpfloat(tb_habits_overlap_mm(habits), ==, 6.35);
    g_assert_cmpstr(tb_habits_folder(habits), ==, g_get_tmp_dir());
    g_assert_true(tb_habits_inches(habits));
    g_assert_cmpstr(tb_habits_paper(habits), ==, "letter");
    tb_window_size size = tb_habits_window(habits);
    g_assert_cmpint(size.width, ==, 1024);
    g_assert_cmpint(size.height, ==, 600);
    g_assert_true(size.maximized);
    tb_habits_free(habits);
}

static void test_habits__know_each_printer(void)
{
    tb_habits *habits = tb_habits_new();
    tb_habits_set_printer(habits, "Attic");
    tb_habits_set_bar_mm(habits, "", 99);
    tb_habits_set_bar_mm(habits, "Attic", 99.4);
    tb_habits_set_bar_mm(habits, "Cellar \"2\"", 101.2);
    habits = again(habits);
    g_assert_cmpstr(tb_habits_printer(habits), ==, "Attic");
    g_assert_cmpfloat(tb_habits_bar_mm(habits, "Attic"), ==, 99.4);
    g_assert_cmpfloat(tb_habits_bar_mm(habits, "Cellar \"2\""), ==, 101.2);
    g_assert_cmpfloat(tb_habits_bar_mm(habits, "never measured"), ==, 99);
    tb_habits_free(habits);
}

static void test_habits__do_not_believe_what_cannot_be(void)
{
    tb_habits *habits = tb_habits_new();
    tb_habits_set_bar_mm(habits, "Bent", 12);
    tb_habits_set_paper(habits, "papyrus");
    tb_habits_set_folder(habits, "/gone since");
    habits = again(habits);
    g_assert_cmpstr(tb_habits_folder(habits), !=, "/gone since");
    g_assert_cmpfloat(tb_habits_bar_mm(habits, "Bent"), ==, 100);
    g_assert_cmpstr(tb_habits_paper(habits), ==, "a4");
    tb_habits_free(habits);
}

static void remove_folder(const char *folder)
{
    static const char *const PARTS[] = {
            "glib-2.0/settings/keyfile", "glib-2.0/settings", "glib-2.0", ""};
    for (size_t i = 0; i < G_N_ELEMENTS(PARTS); i++) {
        g_autofree char *path = g_build_filename(folder, PARTS[i], NULL);
        g_remove(path);
    }
}

int main(int argc, char **argv)
{
    g_autofree char *folder = g_dir_make_tmp("tombolo-habits-XXXXXX", NULL);
    g_setenv("XDG_CONFIG_HOME", folder, TRUE);
    g_setenv("GSETTINGS_BACKEND", "keyfile", TRUE);
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/habits/first", test_habits__are_what_is_usual_at_first);
    g_test_add_func("/habits/kept", test_habits__last_longer_than_the_app);
    g_test_add_func("/habits/printers", test_habits__know_each_printer);
    g_test_add_func("/habits/doubt", test_habits__do_not_believe_what_cannot_be);
    int failed = g_test_run();
    remove_folder(folder);
    return failed;
}
