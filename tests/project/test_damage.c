/* Files that are no project, and projects that were damaged: refused with a reason, or as they
 * were; never a crash, and never something else. */
#include "made.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <sqlite3.h>
#include <stdio.h>
#include <string.h>

static void sql(const char *path, const char *text)
{
    sqlite3 *db;
    g_assert_cmpint(sqlite3_open(path, &db), ==, SQLITE_OK);
    char *why = NULL;
    sqlite3_exec(db, text, NULL, NULL, &why);
    g_assert_cmpstr(why, ==, NULL);
    sqlite3_close(db);
}

/* A small project with all there can be in one; pages of 512 bytes keep its file small. */
static char *small(const char *folder)
{
    char *path = made_path(folder, "small.tombolo");
    tb_project_start start = made_start();
    tb_project *project;
    g_assert_cmpint(tb_project_create(&project, path, true, &start, NULL), ==, TB_OK);
    for (unsigned i = 0; i < 24; i++)
        g_assert_cmpint(made_step(project, i, NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_snapshot(project, "so far", NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_set_preview(project, MADE_PHOTO, 20, NULL), ==, TB_OK);
    tb_project_close(project);
    sql(path, "PRAGMA page_size=512; VACUUM");
    return path;
}

static char *digest_of(const char *path, bool *can_change)
{
    tb_project *project;
    tb_error err = {0};
    if (tb_project_open(&project, path, true, &err)) {
        g_assert_cmpstr(err.text, !=, "");
        return NULL;
    }
    char *digest = made_digest(project);
    *can_change = tb_project_can_change(project);
    if (!*can_change)
        g_assert_cmpstr(tb_project_remark(project), !=, "");
    tb_project_close(project);
    return digest;
}

static void write_bytes(const char *path, const char *bytes, size_t n)
{
    FILE *file = fopen(path, "wb");
    g_assert_nonnull(file);
    g_assert_cmpuint(fwrite(bytes, 1, n, file), ==, n);
    g_assert_cmpint(fclose(file), ==, 0);
}

static void test_damage__any_byte_is_noticed_or_harmless(void)
{
    static const uint8_t CHANGES[] = {0xff, 0x01};
    char *folder = made_folder();
    g_autofree char *path = small(folder);
    g_autofree char *bytes = NULL;
    bool can_change;
    gsize n;
    g_autofree char *whole = digest_of(path, &can_change);
    g_assert_true(g_file_get_contents(path, &bytes, &n, NULL));
    g_assert_nonnull(whole);
    unsigned refused = 0, same = 0, read_only = 0;
    for (gsize i = 0; i < n; i++) {
        bytes[i] ^= CHANGES[i % 2];
        write_bytes(path, bytes, n);
        g_autofree char *now = digest_of(path, &can_change);
        if (now)
            g_assert_cmpstr(now, ==, whole);
        refused += !now;
        same += now && can_change;
        read_only += now && !can_change;
        bytes[i] ^= CHANGES[i % 2];
    }
    g_test_message("%zu bytes: %u refused, %u the same, %u the same and to be read only", n,
            refused, same, read_only);
    g_assert_cmpuint(refused, >, n / 4);
    made_remove(folder);
}

/* SQLite reads what is missing of the last page as zeros: where it was zeros nothing is lost. */
static void test_damage__a_cut_file_is_refused(void)
{
    char *folder = made_folder();
    g_autofree char *path = small(folder);
    g_autofree char *bytes = NULL;
    bool can_change;
    gsize n;
    g_autofree char *whole = digest_of(path, &can_change);
    g_assert_true(g_file_get_contents(path, &bytes, &n, NULL));
    for (gsize cut = 0; cut < n; cut += 97) {
        write_bytes(path, bytes, cut);
        g_autofree char *now = digest_of(path, &can_change);
        if (now && cut > n - 512)
            g_assert_cmpstr(now, ==, whole);
        else
            g_assert_null(now);
    }
    made_remove(folder);
}

/* What nobody would damage by chance but somebody might on purpose: the sums are right. */
static void test_damage__a_hostile_schema_is_refused(void)
{
    static const char *const ROWS[] = {
            "CREATE VIEW peek AS SELECT 1",
            "CREATE TRIGGER t AFTER UPDATE ON state BEGIN DELETE FROM action; END",
            "CREATE TABLE more(x)",
            "CREATE INDEX i ON action(kind)",
            "DROP TABLE preview",
            "DELETE FROM action WHERE id=3",
            "DELETE FROM snapshot",
            "DELETE FROM state",
            "UPDATE action SET parent=7 WHERE id=7",
            "UPDATE action SET body=zeroblob(100000) WHERE id=2",
            "UPDATE state SET head=2",
            "UPDATE photograph SET name='other.jpg'",
            "PRAGMA application_id=1",
            "PRAGMA user_version=0",
            "PRAGMA user_version=-3",
    };
    char *folder = made_folder();
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        g_autofree char *path = small(folder);
        bool can_change;
        sql(path, ROWS[i]);
        g_autofree char *now = digest_of(path, &can_change);
        g_assert_null(now);
    }
    made_remove(folder);
}

static void test_damage__a_newer_project_can_be_looked_at(void)
{
    char *folder = made_folder();
    g_autofree char *path = small(folder);
    bool can_change;
    g_autofree char *whole = digest_of(path, &can_change);
    sql(path, "PRAGMA user_version=2; CREATE TABLE frames(id INTEGER PRIMARY KEY)");
    tb_project *project;
    tb_error err = {0};
    g_assert_cmpint(tb_project_open(&project, path, true, NULL), ==, TB_OK);
    g_autofree char *now = made_digest(project);
    g_assert_cmpstr(now, ==, whole);
    g_assert_nonnull(strstr(tb_project_remark(project), "newer version"));
    g_assert_cmpint(made_step(project, 2, &err), ==, TB_ENEWER);
    g_assert_cmpstr(err.text, ==, tb_project_remark(project));
    tb_project_close(project);
    made_remove(folder);
}

static void test_damage__what_is_no_project_is_named_so(void)
{
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "letter.tombolo");
    g_autofree char *foreign = made_path(folder, "addresses.tombolo");
    g_autofree char *none = made_path(folder, "none.tombolo");
    tb_project *project;
    tb_error err;
    const char *files[] = {path, foreign, folder, none, "/dev/null"};
    write_bytes(path, "Dear Ilka,\n", 11);
    sql(foreign, "CREATE TABLE address(name)");
    for (size_t i = 0; i < G_N_ELEMENTS(files); i++) {
        err.text[0] = '\0';
        g_assert_cmpint(tb_project_open(&project, files[i], true, &err), ==, TB_EREAD);
        g_assert_nonnull(strstr(err.text, files[i]));
        g_assert_null(project);
    }
    write_bytes(path, "", 0);
    g_assert_cmpint(tb_project_open(&project, path, true, &err), ==, TB_EREAD);
    made_remove(folder);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
#define ADD(name) g_test_add_func("/damage/" #name, test_damage__##name)
    ADD(any_byte_is_noticed_or_harmless);
    ADD(a_cut_file_is_refused);
    ADD(a_hostile_schema_is_refused);
    ADD(a_newer_project_can_be_looked_at);
    ADD(what_is_no_project_is_named_so);
    return g_test_run();
}
