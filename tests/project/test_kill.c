/* A project whose process is killed at any moment: kill -9, as often as TB_KILLS says (300).
 *
 * The scribe does the steps of a script and reports each one that was acknowledged. After each kill
 * the project must open and be exactly where the script was after the last reported step, or one
 * step further (done, but killed before it could say so).
 */
#include "made.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

/* How long a kill may be put off where a machine is too slow to get anything done before. */
enum { SLOW_MS = 120 };

typedef struct {
    char *path;
    tb_project *model; /* in memory, follows the script */
    unsigned next;     /* the script's next step for the model */
    unsigned in_doubt; /* how often the step that wasn't reported had been done */
} trial;

static void follow(trial *t)
{
    tb_error err = {0};
    g_assert_cmpint(made_step(t->model, t->next++, &err), ==, TB_OK);
}

/* Runs the scribe for so long, kills it, and lets the model follow what it reported. */
static void work(trial *t, gulong microseconds)
{
    int reports[2];
    char first[16];
    g_snprintf(first, sizeof first, "%u", t->next);
    g_assert_cmpint(pipe(reports), ==, 0);
    pid_t pid = fork();
    if (pid == 0) {
        dup2(reports[1], STDOUT_FILENO);
        close(reports[0]);
        execl(g_getenv("TB_SCRIBE"), "scribe", t->path, first, NULL);
        _exit(127);
    }
    close(reports[1]);
    g_usleep(microseconds);
    kill(pid, SIGKILL);
    int how;
    g_assert_cmpint(waitpid(pid, &how, 0), ==, pid);
    g_assert_true(WIFSIGNALED(how));
    unsigned step;
    while (read(reports[0], &step, sizeof step) == sizeof step) {
        g_assert_cmpuint(step, ==, t->next);
        follow(t);
    }
    close(reports[0]);
}

static void compare(trial *t)
{
    tb_project *project;
    tb_error err = {0};
    g_assert_cmpint(tb_project_open(&project, t->path, true, &err), ==, TB_OK);
    g_autofree char *is = made_digest(project);
    g_autofree char *reported = made_digest(t->model);
    if (g_strcmp0(is, reported) != 0) {
        follow(t);
        t->in_doubt++;
        g_autofree char *further = made_digest(t->model);
        g_assert_cmpstr(is, ==, further);
    }
    tb_project_close(project);
}

static void kill_often(const char *where, int n, int most_ms, unsigned least_steps)
{
    char *folder = g_build_filename(where, "tombolo-kill-XXXXXX", NULL);
    g_assert_nonnull(g_mkdtemp(folder));
    tb_project_start start = made_start();
    tb_project *project;
    trial t = {.path = made_path(folder, "keeper.tombolo")};
    g_assert_cmpint(tb_project_new(&t.model, &start, NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_create(&project, t.path, false, &start, NULL), ==, TB_OK);
    tb_project_close(project);
    g_autoptr(GRand) rand = g_rand_new();
    for (int i = 0; i < n; i++) {
        unsigned before = t.next;
        work(&t, (gulong)g_rand_int_range(rand, 1000, most_ms * 1000));
        compare(&t);
        /* A slow or busy machine is killed before it has begun: give it longer. */
        if (t.next == before && most_ms < SLOW_MS)
            most_ms += 1 + most_ms / 8;
    }
    g_test_message(
            "%d kills, %u steps, %u of them done and not yet reported", n, t.next, t.in_doubt);
    g_assert_cmpuint(t.next, >=, least_steps);
    tb_project_close(t.model);
    g_free(t.path);
    g_autofree char *journal = made_path(folder, "keeper.tombolo-journal");
    g_remove(journal);
    made_remove(folder);
}

static int n_kills(void)
{
    const char *wanted = g_getenv("TB_KILLS");
    return wanted ? atoi(wanted) : 300;
}

/* In memory, where a step takes a fraction of a millisecond, a kill hits any place of the work. */
static void test_kill__in_the_middle_of_work(void)
{
    bool has_memory = g_file_test("/dev/shm", G_FILE_TEST_IS_DIR);
    const int n = n_kills() * 5 / 6;
    kill_often(has_memory ? "/dev/shm" : g_get_tmp_dir(), n, 25, has_memory ? (unsigned)n : 1);
}

/* On a disk a kill mostly hits the waiting for it. */
static void test_kill__while_the_disk_works(void)
{
    kill_often(g_get_tmp_dir(), n_kills() - n_kills() * 5 / 6, 120, 1);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/kill/in_the_middle_of_work", test_kill__in_the_middle_of_work);
    g_test_add_func("/kill/while_the_disk_works", test_kill__while_the_disk_works);
    return g_test_run();
}
