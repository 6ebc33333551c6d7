/* Memory that runs out: each allocation of a project's small life fails once in turn, SQLite's too.
 * It says so, leaks nothing, and loses nothing that was acknowledged. */
#include "../base/alloc_failing.h"
#include "base/alloc.h"
#include "made.h"

#include <glib.h>
#include <sqlite3.h>
#include <string.h>

/* SQLite's memory, from the same source; the size stands before the block. */
enum { HEAD = 16 };

static void *give(int n)
{
    char *block = tb_malloc((size_t)n + HEAD, 1);
    if (!block)
        return NULL;
    memcpy(block, &n, sizeof n);
    return block + HEAD;
}

static void take(void *at)
{
    tb_free((char *)at - HEAD);
}

static int size_of(void *at)
{
    int n;
    memcpy(&n, (char *)at - HEAD, sizeof n);
    return n;
}

static void *give_again(void *at, int n)
{
    char *block = tb_realloc((char *)at - HEAD, (size_t)n + HEAD, 1);
    if (!block)
        return NULL;
    memcpy(block, &n, sizeof n);
    return block + HEAD;
}

static int round_up(int n)
{
    return (n + 7) & ~7;
}

static int begin(void *unused)
{
    (void)unused;
    return SQLITE_OK;
}

static void end(void *unused)
{
    (void)unused;
}

typedef struct {
    const char *path, *copy;
    unsigned step; /* the first step that was not acknowledged */
    tb_status status;
} life;

static void look_at_all(life *l, tb_project *project, tb_error *err)
{
    tb_action_line *lines;
    uint8_t *png;
    const uint8_t *photo;
    size_t n;
    l->status = tb_project_history(&lines, &n, project, err);
    if (!l->status)
        tb_free(lines);
    if (!l->status)
        l->status = tb_project_photo(project, &photo, &n, NULL, err);
    if (!l->status)
        l->status = tb_project_set_preview(project, MADE_PHOTO, 20, err);
    if (!l->status)
        l->status = tb_project_preview(&png, &n, project, err);
    if (!l->status)
        tb_free(png);
    if (!l->status)
        l->status = tb_project_snapshot(project, "late", err);
    if (!l->status)
        l->status = tb_project_copy(project, l->copy, true, err);
}

enum { STEPS = 5 };

/* All of it; stops at the first call that fails. */
static void live(life *l, tb_error *err)
{
    tb_project *project = NULL;
    l->step = 0;
    l->status = tb_project_open(&project, l->path, true, err);
    while (!l->status && l->step < STEPS) {
        l->status = made_step(project, l->step, err);
        l->step += l->status == TB_OK;
    }
    if (!l->status)
        look_at_all(l, project, err);
    tb_project_close(project);
}

static void follow(tb_project *model, unsigned n)
{
    for (unsigned i = 0; i < n; i++)
        g_assert_cmpint(made_step(model, i, NULL), ==, TB_OK);
}

static void check(const life *l)
{
    tb_project_start start = made_start();
    tb_project *project, *model;
    g_assert_cmpint(tb_project_new(&model, &start, NULL), ==, TB_OK);
    follow(model, l->step);
    g_assert_cmpint(tb_project_open(&project, l->path, true, NULL), ==, TB_OK);
    g_autofree char *is = made_digest(project);
    g_autofree char *should = made_digest(model);
    /* The late snapshot may be there or not: it does not count. */
    if (l->step < STEPS)
        g_assert_cmpstr(is, ==, should);
    tb_project_close(project);
    tb_project_close(model);
}

static void test_memory__runs_out_anywhere(void)
{
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "keeper.tombolo");
    g_autofree char *copy = made_path(folder, "copy.tombolo");
    life l = {.path = path, .copy = copy};
    tb_project_start start = made_start();
    tb_project *project;
    unsigned n_failed = 0, n_told = 0;
    bool failed = true;
    for (long n = 1; failed; n++) {
        tb_error err = {0};
        g_assert_cmpint(tb_project_create(&project, path, true, &start, NULL), ==, TB_OK);
        tb_project_close(project);
        long before = alloc_n_live();
        alloc_fail_at(n);
        live(&l, &err);
        failed = alloc_has_failed();
        alloc_fail_at(0);
        /* SQLite gets by without some of what it asks for. */
        g_assert_true(l.status == TB_OK || l.status == TB_ENOMEM);
        g_assert_cmpint(alloc_n_live(), ==, before);
        n_failed += failed;
        n_told += l.status == TB_ENOMEM;
        check(&l);
    }
    g_test_message("%u allocations failed in turn, %u of them were felt", n_failed, n_told);
    g_assert_cmpuint(n_told, >, 100);
    made_remove(folder);
}

static void test_memory__a_new_project_may_not_come_to_be(void)
{
    tb_project_start start = made_start();
    bool failed = true;
    for (long n = 1; failed; n++) {
        tb_project *project;
        tb_error err = {0};
        long before = alloc_n_live();
        alloc_fail_at(n);
        tb_status status = tb_project_new(&project, &start, &err);
        failed = alloc_has_failed();
        alloc_fail_at(0);
        g_assert_true(status == TB_ENOMEM ? !project : status == TB_OK && project);
        tb_project_close(project);
        g_assert_cmpint(alloc_n_live(), ==, before);
    }
}

int main(int argc, char **argv)
{
    static const sqlite3_mem_methods MEMORY = {
            give, take, give_again, size_of, round_up, begin, end, NULL};
    sqlite3_config(SQLITE_CONFIG_MALLOC, &MEMORY);
    sqlite3_config(SQLITE_CONFIG_LOOKASIDE, 0, 0);
    sqlite3_config(SQLITE_CONFIG_PAGECACHE, NULL, 0, 0);
    sqlite3_initialize();
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/memory/runs_out_anywhere", test_memory__runs_out_anywhere);
    g_test_add_func("/memory/a_new_project_may_not_come_to_be",
            test_memory__a_new_project_may_not_come_to_be);
    return g_test_run();
}
