/* What the main loop works for one frame of the bench: pan, zoom and paint over 2000 × 2500 pixels
 * in a window of 1920 × 1080, the board looked at whole and near.
 *
 *     frame_times PHOTO [N]   a line "name median_ms 95th_ms tiles" for each; says 77 without a
 * display
 *
 * Counted is the processor time of the thread from the frame clock's first phase to its last, with
 * the window's own drawing in it: a busy machine doesn't change it.
 */
#define _POSIX_C_SOURCE 200809L
#include "app/ui/bench.h"
#include "base/alloc.h"
#include "base/num.h"
#include "photo/photo.h"

#include <adwaita.h>
#include <glib/gstdio.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

typedef struct {
    GtkWidget *bench;
    TbDesk *desk;
    double begun_ms;
    double *frames_ms;
    int n_frames, n_wanted, n_tiles;
    void (*act)(TbBench *bench, int frame);
} course;

static double worked_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static void pan(TbBench *bench, int frame)
{
    gtk_widget_activate_action(
            GTK_WIDGET(bench), frame / 8 % 2 ? "bench.left" : "bench.right", NULL);
}

static void zoom(TbBench *bench, int frame)
{
    tb_bench_zoom(bench, frame / 12 % 2 ? 1 / 1.07 : 1.07);
}

static void paint(TbBench *bench, int frame)
{
    double x_mm = 70 + 0.8 * (frame % 60), y_mm = 100 + 0.3 * (frame % 60);
    if (frame % 60 == 0)
        tb_bench_press(bench, x_mm, y_mm, 1);
    else
        tb_bench_drag_to(bench, x_mm, y_mm, 1);
}

static void begin_cb(GdkFrameClock *clock, course *c)
{
    (void)clock;
    c->begun_ms = worked_ms();
}

static void end_cb(GdkFrameClock *clock, course *c)
{
    int n_tiles;
    (void)clock;
    if (c->begun_ms > 0 && c->n_frames < c->n_wanted) {
        tb_bench_last_frame_ms(TB_BENCH(c->bench), &n_tiles);
        c->n_tiles += n_tiles;
        c->frames_ms[c->n_frames++] = worked_ms() - c->begun_ms;
    }
}

static gboolean tick_cb(GtkWidget *bench, GdkFrameClock *clock, gpointer payload)
{
    course *c = payload;
    (void)clock;
    c->act(TB_BENCH(bench), c->n_frames);
    return G_SOURCE_CONTINUE;
}

static int smaller_first(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void run(course *c, const char *name, void (*act)(TbBench *, int))
{
    GdkFrameClock *clock = gtk_widget_get_frame_clock(c->bench);
    c->act = act;
    c->n_frames = c->n_tiles = 0;
    c->begun_ms = 0;
    gulong begin = g_signal_connect(clock, "before-paint", G_CALLBACK(begin_cb), c);
    gulong end = g_signal_connect(clock, "after-paint", G_CALLBACK(end_cb), c);
    guint tick = gtk_widget_add_tick_callback(c->bench, tick_cb, c, NULL);
    while (c->n_frames < c->n_wanted)
        g_main_context_iteration(NULL, TRUE);
    gtk_widget_remove_tick_callback(c->bench, tick);
    g_signal_handler_disconnect(clock, begin);
    g_signal_handler_disconnect(clock, end);
    tb_bench_cancel(TB_BENCH(c->bench));
    qsort(c->frames_ms, (size_t)c->n_frames, sizeof *c->frames_ms, smaller_first);
    printf("%s %s %s %s\n", name, tb_num_of(c->frames_ms[c->n_frames / 2], 2).text,
            tb_num_of(c->frames_ms[c->n_frames * 95 / 100], 2).text,
            tb_num_of((double)c->n_tiles / c->n_frames, 1).text);
}

static void settle(course *c)
{
    TbWork *work = tb_desk_work(c->desk);
    while (!tb_work_settled(work))
        g_main_context_iteration(NULL, TRUE);
    for (int64_t end = g_get_monotonic_time() + 300000; g_get_monotonic_time() < end;)
        g_main_context_iteration(NULL, FALSE);
}

static void run_all(course *c)
{
    tb_desk_set_step(c->desk, TB_STEP_PATTERN);
    tb_desk_set_tool(c->desk, TB_TOOL_WOOD);
    settle(c);
    run(c, "whole-paint", paint);
    tb_bench_zoom(TB_BENCH(c->bench), 1.4);
    run(c, "whole-pan", pan);
    tb_bench_fit(TB_BENCH(c->bench));
    run(c, "zoom", zoom);
    tb_bench_glide_to(TB_BENCH(c->bench), 90, 110);
    settle(c);
    run(c, "near-paint", paint);
    run(c, "near-pan", pan);
}

int main(int argc, char **argv)
{
    g_autofree char *folder = g_dir_make_tmp("tombolo-XXXXXX", NULL);
    g_autofree char *project = g_build_filename(folder, "times.tombolo", NULL);
    tb_settings settings = TB_SETTINGS_INIT;
    g_autoptr(GError) error = NULL;
    tb_alloc_prepare(); /* as the app does */
    if (argc < 2 || !gtk_init_check())
        return 77;
    adw_init();
    settings.width_mm = 200;
    settings.height_mm = 250;
    if (tb_photo_start(2, NULL))
        return 1;
    g_autoptr(TbWork) work = tb_work_new_from_photo(argv[1], project, &settings, &error);
    if (!work) {
        fprintf(stderr, "%s\n", error->message);
        return 1;
    }
    course c = {.desk = tb_desk_new(), .n_wanted = argc > 2 ? MAX(atoi(argv[2]), 8) : 240};
    GtkWidget *window = gtk_window_new();
    c.frames_ms = g_new(double, c.n_wanted);
    c.bench = tb_bench_new(c.desk);
    gtk_window_set_default_size(GTK_WINDOW(window), 1920, 1080);
    gtk_window_set_decorated(GTK_WINDOW(window), FALSE);
    gtk_window_set_child(GTK_WINDOW(window), c.bench);
    gtk_window_present(GTK_WINDOW(window));
    tb_desk_set_work(c.desk, work);
    run_all(&c);
    tb_work_stop(work);
    while (tb_work_busy(work))
        g_main_context_iteration(NULL, TRUE);
    g_remove(project);
    g_rmdir(folder);
    g_free(c.frames_ms);
    return 0;
}
