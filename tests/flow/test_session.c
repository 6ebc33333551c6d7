/* An evening's work, with and without a kill in the middle of it: make, forty strokes, undo ten,
 * (kill -9, open again,) change darkness, export. Both end in the same pattern, byte for byte.
 *
 * The process that is killed is this program again:  test_session --work PROJECT FROM
 */
#include "flow/flow.h"
#include "scene.h"
#include "sheet/picture.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { N_STROKES = 40, N_UNDONE = 10, N_STEPS = N_STROKES + N_UNDONE };

static const char *program;

static tb_status step(tb_project *project, int number)
{
    if (number >= N_STROKES)
        return tb_project_undo(project, NULL);
    static const tb_stroke_kind KINDS[] = {TB_STROKE_WOOD, TB_STROKE_SAW, TB_STROKE_DARKEN,
            TB_STROKE_BRIDGE, TB_STROKE_CLOSE, TB_STROKE_LIGHTEN, TB_STROKE_KEEP_DETAIL};
    g_autoptr(GRand) rand = g_rand_new_with_seed((guint32)number);
    tb_stroke stroke = TB_STROKE_INIT(KINDS[number % (int)G_N_ELEMENTS(KINDS)]);
    double x = g_rand_double_range(rand, 8, 56), y = g_rand_double_range(rand, 8, 72);
    for (int i = 0; i < 5; i++)
        g_assert_cmpint(tb_stroke_add(&stroke, x + i, y + i % 2, 1 + 0.2 * i, NULL), ==, TB_OK);
    tb_status status = tb_project_draw(project, &stroke, NULL);
    tb_stroke_clear(&stroke);
    return status;
}

/* What the killed process does: one byte for each step that is done. */
static int work(const char *path, int from)
{
    tb_project *project;
    if (tb_project_open(&project, path, true, NULL))
        return 1;
    for (int i = from; i < N_STEPS; i++)
        if (step(project, i) || write(STDOUT_FILENO, "", 1) != 1)
            return 1;
    tb_project_close(project);
    return 0;
}

/* Lets the work go on from a step, kills it after so many, and says how many it reported. */
static int work_and_kill(const char *path, int from, int after)
{
    int reports[2], n = 0;
    char number[16], byte;
    g_snprintf(number, sizeof number, "%d", from);
    g_assert_cmpint(pipe(reports), ==, 0);
    pid_t pid = fork();
    if (pid == 0) {
        dup2(reports[1], STDOUT_FILENO);
        execl(program, program, "--work", path, number, NULL);
        _exit(127);
    }
    close(reports[1]);
    while (read(reports[0], &byte, 1) == 1)
        if (++n == after)
            kill(pid, SIGKILL);
    close(reports[0]);
    g_assert_cmpint(waitpid(pid, NULL, 0), ==, pid);
    return n;
}

/* How far the script has come, by what the project holds: a step may have been done unreported. */
static int steps_done(const char *path)
{
    tb_project *project;
    g_assert_cmpint(tb_project_open(&project, path, true, NULL), ==, TB_OK);
    const tb_project_state *now = tb_project_state_now(project);
    int n = (int)(now->n_strokes + 2 * now->n_undone);
    tb_project_close(project);
    return n;
}

/* Changes darkness, and exports. */
static tb_bytes finish(const char *path, const uint8_t *photo, size_t n_photo)
{
    tb_project *project;
    tb_flow *flow;
    tb_bytes png = {0};
    g_assert_cmpint(tb_project_open(&project, path, true, NULL), ==, TB_OK);
    tb_settings settings = tb_project_state_now(project)->settings;
    settings.darkness = 6;
    g_assert_cmpint(tb_project_set(project, &settings, 0, NULL), ==, TB_OK);
    const tb_project_state *now = tb_project_state_now(project);
    g_assert_cmpuint(now->n_strokes, ==, N_STROKES - N_UNDONE);
    g_assert_cmpint(tb_flow_new(&flow, photo, n_photo, NULL), ==, TB_OK);
    g_assert_cmpint(tb_flow_set(flow, &now->settings, NULL), ==, TB_OK);
    g_assert_cmpint(tb_flow_set_strokes(flow, now->strokes, now->n_strokes, NULL), ==, TB_OK);
    g_assert_cmpint(tb_flow_update(flow, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(tb_picture_png(&png, tb_flow_outcome(flow)->pattern, NULL), ==, TB_OK);
    tb_flow_free(flow);
    tb_project_close(project);
    return png;
}

static void test_session__a_kill_changes_nothing(void)
{
    size_t n_photo;
    uint8_t *photo = scene_head(&n_photo, 480, 600);
    g_autofree char *folder = g_dir_make_tmp("tombolo-session-XXXXXX", NULL);
    g_autofree char *quiet = g_build_filename(folder, "quiet.tombolo", NULL);
    g_autofree char *killed = g_build_filename(folder, "killed.tombolo", NULL);
    tb_project_start start = {.photo = photo, .n_photo = n_photo, .settings = TB_SETTINGS_INIT};
    start.settings.width_mm = 64;
    start.settings.px_per_mm = 6;
    tb_project *project;
    g_assert_cmpint(tb_project_create(&project, killed, false, &start, NULL), ==, TB_OK);
    tb_project_close(project);
    g_assert_cmpint(tb_project_create(&project, quiet, false, &start, NULL), ==, TB_OK);
    for (int i = 0; i < N_STEPS; i++)
        g_assert_cmpint(step(project, i), ==, TB_OK);
    tb_project_close(project);
    int done = 0, n_kills = 0;
    while (done < N_STEPS) {
        int reported = work_and_kill(killed, done, 17);
        g_assert_cmpint(steps_done(killed), >=, done + reported);
        done = steps_done(killed);
        n_kills += done < N_STEPS;
    }
    g_assert_cmpint(n_kills, >=, 1);
    tb_bytes a = finish(quiet, photo, n_photo), b = finish(killed, photo, n_photo);
    g_assert_cmpmem(a.data, a.n, b.data, b.n);
    tb_bytes_clear(&a);
    tb_bytes_clear(&b);
    g_remove(quiet);
    g_remove(killed);
    g_rmdir(folder);
    free(photo);
}

int main(int argc, char **argv)
{
    program = argv[0];
    if (argc == 4 && strcmp(argv[1], "--work") == 0)
        return work(argv[2], atoi(argv[3]));
    g_test_init(&argc, &argv, NULL);
    g_assert_cmpint(tb_photo_start(1, NULL), ==, TB_OK);
    g_test_add_func("/session/a_kill_changes_nothing", test_session__a_kill_changes_nothing);
    int failed = g_test_run();
    tb_photo_stop();
    return failed;
}
