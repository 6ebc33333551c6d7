/* Files that appear whole or not at all. */
#include "flow/output.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static char *folder;

static char *in_folder(const char *name)
{
    return g_build_filename(folder, name, NULL);
}

static int n_files(void)
{
    GDir *dir = g_dir_open(folder, 0, NULL);
    int n = 0;
    while (g_dir_read_name(dir))
        n++;
    g_dir_close(dir);
    return n;
}

static void empty_folder(void)
{
    GDir *dir = g_dir_open(folder, 0, NULL);
    for (const char *name; (name = g_dir_read_name(dir));) {
        char *path = in_folder(name);
        g_remove(path);
        g_free(path);
    }
    g_dir_close(dir);
}

static void assert_holds(const char *path, const char *text)
{
    char *found;
    g_assert_true(g_file_get_contents(path, &found, NULL, NULL));
    g_assert_cmpstr(found, ==, text);
    g_free(found);
}

static tb_outputs *outputs(bool force)
{
    tb_outputs *set;
    g_assert_cmpint(tb_outputs_new(&set, force, NULL), ==, TB_OK);
    return set;
}

static void test_output__appears_with_the_commit(void)
{
    char *a = in_folder("a"), *b = in_folder("b");
    const char *temporary;
    tb_outputs *set = outputs(false);
    g_assert_cmpint(tb_outputs_add(set, a, "one", 3, NULL), ==, TB_OK);
    g_assert_cmpint(tb_outputs_reserve(set, b, &temporary, NULL), ==, TB_OK);
    g_assert_true(g_file_set_contents(temporary, "two", -1, NULL));
    g_assert_false(g_file_test(a, G_FILE_TEST_EXISTS));
    g_assert_cmpint(tb_outputs_commit(set, NULL), ==, TB_OK);
    tb_outputs_free(set);
    assert_holds(a, "one");
    assert_holds(b, "two");
    g_assert_cmpint(n_files(), ==, 2);
    empty_folder();
    g_free(a);
    g_free(b);
}

static void test_output__leaves_nothing_without_it(void)
{
    char *inner = in_folder("new/deep"), *a = in_folder("new/deep/a"), *outer = in_folder("new");
    tb_outputs *set = outputs(false);
    g_assert_cmpint(tb_outputs_folder(set, inner, NULL), ==, TB_OK);
    g_assert_cmpint(tb_outputs_add(set, a, "one", 3, NULL), ==, TB_OK);
    tb_outputs_free(set);
    g_assert_false(g_file_test(outer, G_FILE_TEST_EXISTS));
    g_free(inner);
    g_free(outer);
    g_free(a);
}

static void test_output__replaces_only_by_force(void)
{
    char *a = in_folder("a");
    tb_error err = {0};
    g_assert_true(g_file_set_contents(a, "old", -1, NULL));
    tb_outputs *careful = outputs(false), *forced = outputs(true);
    g_assert_cmpint(tb_outputs_check(careful, a, &err), ==, TB_EEXIST);
    g_assert_cmpint(tb_outputs_add(careful, a, "new", 3, &err), ==, TB_EEXIST);
    g_assert_nonnull(strstr(err.text, "--force"));
    assert_holds(a, "old");
    g_assert_cmpint(tb_outputs_add(forced, a, "new", 3, NULL), ==, TB_OK);
    g_assert_cmpint(tb_outputs_commit(forced, NULL), ==, TB_OK);
    assert_holds(a, "new");
    tb_outputs_free(careful);
    tb_outputs_free(forced);
    empty_folder();
    g_free(a);
}

/* Somebody else writes the second file while ours are being made: theirs stays, ours all go. */
static void test_output__loses_a_race_cleanly(void)
{
    char *a = in_folder("a"), *b = in_folder("b");
    tb_outputs *set = outputs(false);
    g_assert_cmpint(tb_outputs_add(set, a, "one", 3, NULL), ==, TB_OK);
    g_assert_cmpint(tb_outputs_add(set, b, "two", 3, NULL), ==, TB_OK);
    g_assert_true(g_file_set_contents(b, "theirs", -1, NULL));
    g_assert_cmpint(tb_outputs_commit(set, NULL), ==, TB_EEXIST);
    tb_outputs_free(set);
    assert_holds(b, "theirs");
    g_assert_cmpint(n_files(), ==, 1);
    empty_folder();
    g_free(a);
    g_free(b);
}

static void test_output__refuses_what_is_no_file(void)
{
    tb_outputs *set = outputs(true);
    tb_error err = {0};
    g_assert_cmpint(tb_outputs_check(set, folder, &err), ==, TB_EWRITE);
    g_assert_cmpint(tb_outputs_add(set, "/dev/null", "x", 1, &err), ==, TB_EWRITE);
    g_assert_nonnull(strstr(err.text, "no ordinary file"));
    g_assert_cmpint(tb_outputs_add(set, "/no/such/folder/a", "x", 1, &err), ==, TB_EWRITE);
    g_assert_cmpint(tb_outputs_folder(set, "/dev/null/a", &err), ==, TB_EWRITE);
    tb_outputs_free(set);
}

static void test_output__leaves_nothing_when_the_disk_is_full(void)
{
    char *a = in_folder("a");
    char *bytes = g_malloc0(100000);
    struct rlimit old, small;
    tb_error err = {0};
    getrlimit(RLIMIT_FSIZE, &old);
    small = (struct rlimit){5000, old.rlim_max};
    signal(SIGXFSZ, SIG_IGN);
    setrlimit(RLIMIT_FSIZE, &small);
    tb_outputs *set = outputs(false);
    tb_status status = tb_outputs_add(set, a, bytes, 100000, &err);
    setrlimit(RLIMIT_FSIZE, &old);
    g_assert_cmpint(status, ==, TB_EWRITE);
    tb_outputs_free(set);
    g_assert_cmpint(n_files(), ==, 0);
    g_free(bytes);
    g_free(a);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    folder = g_dir_make_tmp("tombolo-output-XXXXXX", NULL);
    g_assert_nonnull(folder);
    g_test_add_func("/output/appears_with_the_commit", test_output__appears_with_the_commit);
    g_test_add_func("/output/leaves_nothing_without_it", test_output__leaves_nothing_without_it);
    g_test_add_func("/output/replaces_only_by_force", test_output__replaces_only_by_force);
    g_test_add_func("/output/loses_a_race_cleanly", test_output__loses_a_race_cleanly);
    g_test_add_func("/output/refuses_what_is_no_file", test_output__refuses_what_is_no_file);
    g_test_add_func("/output/leaves_nothing_when_the_disk_is_full",
            test_output__leaves_nothing_when_the_disk_is_full);
    int result = g_test_run();
    g_rmdir(folder);
    g_free(folder);
    return result;
}
