/* The model under the bench, without a display: a project and a worker. */
#define _POSIX_C_SOURCE 200809L
#include "app/model/desk.h"
#include "app/model/errors.h"
#include "app/model/library.h"
#include "app/model/mends.h"
#include "app/model/papers.h"
#include "app/model/strength.h"
#include "base/alloc.h"
#include "sheet/picture.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>
#include <time.h>

/* A face of a kind, drawn as a two-tone picture that serves as a photograph: a light head with dark
 * eyes and mouth before a dark ground. */
static char *made_photo(const char *folder)
{
    tb_mask *mask;
    tb_bytes png = {0};
    char *path = g_build_filename(folder, "face.png", NULL);
    g_assert_cmpint(tb_mask_new(&mask, 320, 400, 4, NULL), ==, TB_OK);
    for (int y = 0; y < 400; y++)
        for (int x = 0; x < 320; x++) {
            bool head = hypot((x - 160) / 110.0, (y - 200) / 150.0) < 1;
            bool eyes = hypot((abs(x - 160) - 45) / 18.0, (y - 160) / 12.0) < 1;
            bool mouth = hypot((x - 160) / 50.0, (y - 280) / 10.0) < 1;
            mask->px[y * 320 + x] = head && !eyes && !mouth;
        }
    g_assert_cmpint(tb_picture_png(&png, mask, NULL), ==, TB_OK);
    g_assert_true(g_file_set_contents(path, (const char *)png.data, (gssize)png.n, NULL));
    tb_bytes_clear(&png);
    tb_mask_free(mask);
    return path;
}

typedef struct {
    char *folder, *photo, *project;
    TbWork *work;
} fixture;

/* However long it takes on a busy machine: one that never settles is ended by the runner. */
static void wait_until_settled(TbWork *work)
{
    while (!tb_work_settled(work))
        g_main_context_iteration(NULL, TRUE);
}

static void set_up(fixture *f, gconstpointer unused)
{
    GError *error = NULL;
    tb_settings settings = TB_SETTINGS_INIT;
    (void)unused;
    settings.width_mm = 80;
    settings.px_per_mm = 5;
    f->folder = g_dir_make_tmp("tombolo-XXXXXX", NULL);
    f->photo = made_photo(f->folder);
    f->project = g_build_filename(f->folder, "face.tombolo", NULL);
    f->work = tb_work_new_from_photo(f->photo, f->project, &settings, &error);
    g_assert_no_error(error);
    wait_until_settled(f->work);
}

static void tear_down(fixture *f, gconstpointer unused)
{
    (void)unused;
    tb_work_stop(f->work);
    while (tb_work_busy(f->work))
        g_main_context_iteration(NULL, TRUE);
    g_clear_object(&f->work);
    g_remove(f->photo);
    g_remove(f->project);
    g_rmdir(f->folder);
    g_free(f->folder);
    g_free(f->photo);
    g_free(f->project);
}

static uint8_t pixel_at(TbWork *work, double x_mm, double y_mm)
{
    const tb_mask *mask = tb_work_pattern_now(work)->result->pattern;
    return mask->px[(int)(y_mm * mask->px_per_mm) * mask->width_px + (int)(x_mm * mask->px_per_mm)];
}

static void draw(TbWork *work, tb_stroke_kind kind, double x_mm, double y_mm, double width_mm)
{
    tb_stroke stroke = TB_STROKE_INIT(kind);
    g_assert_cmpint(tb_stroke_add(&stroke, x_mm, y_mm, width_mm, NULL), ==, TB_OK);
    tb_work_draw(work, &stroke);
    tb_stroke_clear(&stroke);
}

static void test_work__makes_a_pattern_of_a_photograph(fixture *f, gconstpointer unused)
{
    (void)unused;
    const tb_work_pattern *pattern = tb_work_pattern_now(f->work);
    g_assert_nonnull(pattern);
    g_assert_false(pattern->coarse);
    g_assert_cmpint(pattern->result->inspection->n_pieces, ==, 1);
    g_assert_nonnull(tb_work_photo_picture(f->work));
    g_assert_cmpint(pixel_at(f->work, 40, 55), ==, 1); /* the cheek */
    g_assert_cmpint(pixel_at(f->work, 28, 40), ==, 0); /* an eye */
}

static void test_work__draws_and_takes_back(fixture *f, gconstpointer unused)
{
    (void)unused;
    draw(f->work, TB_STROKE_SAW, 40, 55, 6);
    wait_until_settled(f->work);
    g_assert_cmpint(pixel_at(f->work, 40, 55), ==, 0);
    tb_work_undo(f->work);
    wait_until_settled(f->work);
    g_assert_cmpint(pixel_at(f->work, 40, 55), ==, 1);
    tb_work_redo(f->work);
    wait_until_settled(f->work);
    g_assert_cmpint(pixel_at(f->work, 40, 55), ==, 0);
}

static void count_cb(TbWork *work, int *n)
{
    (void)work;
    ++*n;
}

static void test_work__answers_a_drag_without_falling_behind(fixture *f, gconstpointer unused)
{
    int n_shown = 0;
    tb_settings s = tb_work_state(f->work)->settings;
    size_t n_actions = tb_work_state(f->work)->n_actions;
    (void)unused;
    g_signal_connect(f->work, "pattern", G_CALLBACK(count_cb), &n_shown);
    for (int i = 1; i <= 50; i++) {
        s.darkness = i / 5.0;
        tb_work_slide(f->work, &s);
        g_main_context_iteration(NULL, FALSE);
    }
    for (int64_t end = g_get_monotonic_time() + G_USEC_PER_SEC; g_get_monotonic_time() < end;)
        g_main_context_iteration(NULL, FALSE);
    wait_until_settled(f->work);
    g_assert_cmpfloat(tb_work_state(f->work)->settings.darkness, ==, 10);
    /* One action for the drag; a busy machine that pauses in it makes it two or three. */
    g_assert_cmpuint(tb_work_state(f->work)->n_actions, >, n_actions);
    g_assert_cmpuint(tb_work_state(f->work)->n_actions, <, n_actions + 5);
    g_assert_cmpint(n_shown, >, 0);
    g_assert_cmpint(n_shown, <, 50);
    g_assert_false(tb_work_pattern_now(f->work)->coarse);
}

/* A task that has told its answer may hold the work for a moment more, in its own thread. */
static void close_work(fixture *f)
{
    gpointer held = f->work;
    g_object_add_weak_pointer(G_OBJECT(f->work), &held);
    g_clear_object(&f->work);
    int64_t end = g_get_monotonic_time() + 20 * G_USEC_PER_SEC;
    while (g_atomic_pointer_get(&held) && g_get_monotonic_time() < end) {
        g_main_context_iteration(NULL, FALSE);
        g_usleep(1000);
    }
    g_assert_null(g_atomic_pointer_get(&held));
}

static void test_work__is_all_there_when_opened_again(fixture *f, gconstpointer unused)
{
    GError *error = NULL;
    (void)unused;
    draw(f->work, TB_STROKE_SAW, 40, 55, 6);
    wait_until_settled(f->work);
    close_work(f);
    f->work = tb_work_open(f->project, &error);
    g_assert_no_error(error);
    wait_until_settled(f->work);
    g_assert_cmpuint(tb_work_state(f->work)->n_strokes, ==, 1);
    g_assert_cmpint(pixel_at(f->work, 40, 55), ==, 0);
}

static void say_cb(TbWork *work, const char *text, int *n)
{
    (void)work;
    *n += *text != '\0';
}

/* One that stays, for nothing is tied. */
static void make_island(fixture *f)
{
    tb_settings s = tb_work_state(f->work)->settings;
    s.tie = 0;
    tb_work_set(f->work, &s);
    draw(f->work, TB_STROKE_SAW, 40, 50, 20);
    draw(f->work, TB_STROKE_WOOD, 40, 50, 8);
    wait_until_settled(f->work);
}

static tb_mending mended_all(TbMends *mends, bool gives_way)
{
    tb_mends_all(mends, gives_way);
    while (tb_mends_busy(mends))
        g_main_context_iteration(NULL, TRUE);
    return *tb_mends_account(mends);
}

/* What was found in one pattern is of no use in another, nor where there is none yet. */
static void test_work__mends_only_what_was_found_in_the_pattern_at_hand(
        fixture *f, gconstpointer unused)
{
    int n_told = 0;
    (void)unused;
    make_island(f);
    tb_result *found = tb_work_inspected_hold(f->work);
    g_assert_cmpuint(found->inspection->n_findings, >, 0);
    tb_stroke stroke = TB_STROKE_INIT(TB_STROKE_WOOD);
    g_assert_cmpint(tb_stroke_add(&stroke, 40, 50, 8, NULL), ==, TB_OK);
    size_t n_actions = tb_work_state(f->work)->n_actions;
    g_signal_connect(f->work, "trouble", G_CALLBACK(say_cb), &n_told);
    tb_settings s = tb_work_state(f->work)->settings;
    s.width_mm = 90;
    tb_work_set(f->work, &s); /* the board lies otherwise from here on, though nothing shows it */
    g_assert_false(tb_work_mend(f->work, found, 0, &stroke));
    wait_until_settled(f->work);
    g_assert_false(tb_work_mend(f->work, found, 0, &stroke));
    g_assert_cmpint(n_told, ==, 2);
    g_assert_cmpuint(tb_work_state(f->work)->n_actions, ==, n_actions + 1);
    tb_result *now = tb_work_inspected(f->work);
    g_assert_cmpuint(now->inspection->n_findings, >, 0);
    g_assert_false(tb_work_mend(f->work, now, now->inspection->n_findings, &stroke));
    g_assert_true(tb_work_mend(f->work, now, 0, &stroke));
    tb_stroke_clear(&stroke);
    tb_result_release(found);
}

static void widest_cb(TbWork *work, double *widest_mm)
{
    *widest_mm = fmax(*widest_mm, tb_work_pattern_now(work)->result->width_mm);
}

/* A large board takes long; the change is taken back before it is there, which ends it. */
static void test_work__ends_what_is_overtaken(fixture *f, gconstpointer unused)
{
    double widest_mm = 0;
    tb_settings s = tb_work_state(f->work)->settings;
    (void)unused;
    g_signal_connect(f->work, "pattern", G_CALLBACK(widest_cb), &widest_mm);
    s.width_mm = 600;
    s.px_per_mm = 10;
    tb_work_set(f->work, &s);
    g_assert_true(tb_work_busy(f->work));
    g_usleep(50000);
    tb_work_undo(f->work);
    wait_until_settled(f->work);
    g_assert_cmpfloat(fabs(widest_mm - 80), <, 0.5);
}

static void test_work__can_be_halted(fixture *f, gconstpointer unused)
{
    const tb_picture *photo = tb_work_photo_picture(f->work);
    tb_settings s = tb_work_state(f->work)->settings;
    (void)unused;
    s.width_mm = 600;
    s.px_per_mm = 10;
    tb_work_set(f->work, &s);
    while (tb_work_busy(f->work) && tb_work_progress(f->work) < 0.1)
        g_usleep(1000); /* until the photograph has been taken in */
    tb_work_halt(f->work);
    wait_until_settled(f->work);
    g_assert_nonnull(strstr(tb_work_trouble(f->work), "stopped"));
    g_assert_true(tb_work_photo_picture(f->work) == photo); /* of the pattern in view */
    g_assert_null(tb_work_inspected(f->work));
    tb_work_undo(f->work);
    wait_until_settled(f->work);
    g_assert_cmpstr(tb_work_trouble(f->work), ==, "");
    g_assert_nonnull(tb_work_inspected(f->work));
}

static void test_work__has_found_nothing_where_there_is_no_pattern(fixture *f, gconstpointer unused)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = g_build_filename(f->folder, "another.tombolo", NULL);
    tb_result *found = tb_work_inspected_hold(f->work);
    (void)unused;
    TbWork *another = tb_work_new_from_photo(f->photo, path, NULL, &error);
    g_assert_no_error(error);
    g_assert_null(tb_work_inspected(another)); /* it has only just begun */
    g_assert_false(tb_work_mend(another, found, 0, NULL));
    g_assert_false(tb_work_mend(another, NULL, 0, NULL));
    g_autoptr(TbMends) mends = tb_mends_new(another);
    g_assert_cmpint(mended_all(mends, false).n_drawn, ==, 0);
    g_clear_object(&mends);
    tb_result_release(found);
    tb_work_stop(another);
    while (tb_work_busy(another))
        g_main_context_iteration(NULL, TRUE);
    g_object_unref(another);
    g_remove(path);
}

static void test_work__mends_what_must_be_mended(fixture *f, gconstpointer unused)
{
    g_autoptr(TbMends) mends = tb_mends_new(f->work);
    (void)unused;
    make_island(f);
    int n_before = tb_work_pattern_now(f->work)->result->inspection->n_must;
    g_assert_cmpint(n_before, >, 0);
    size_t n_actions = tb_work_state(f->work)->n_actions;
    tb_mending done = mended_all(mends, false);
    g_assert_cmpint(done.n_drawn, >, 0);
    g_assert_cmpint(done.n_drawn + done.n_left, ==, n_before);
    wait_until_settled(f->work);
    g_assert_cmpint(tb_work_pattern_now(f->work)->result->inspection->n_must, <, n_before);
    tb_work_take_back(f->work, done.n_drawn);
    wait_until_settled(f->work);
    g_assert_cmpuint(tb_work_state(f->work)->n_actions, ==, n_actions);
    g_assert_cmpint(tb_work_pattern_now(f->work)->result->inspection->n_must, ==, n_before);
}

/* An island that is mended again and again gives way: it is taken out. */
static void test_work__gives_way_where_it_is_told_to(fixture *f, gconstpointer unused)
{
    g_autoptr(TbMends) mends = tb_mends_new(f->work);
    (void)unused;
    make_island(f);
    tb_mending done = mended_all(mends, true);
    g_assert_cmpint(done.n_by[TB_MEND_TIE], ==, 0);
    g_assert_cmpint(done.n_by[TB_MEND_TRIM], >, 0);
    wait_until_settled(f->work);
    g_assert_cmpint(pixel_at(f->work, 40, 50), ==, 0);
}

/* What is asked for is tried by the worker, and drawn at once; halted, nothing is drawn. */
static void test_work__tries_a_mend_before_it_is_drawn(fixture *f, gconstpointer unused)
{
    g_autoptr(TbMends) mends = tb_mends_new(f->work);
    const tb_proposal *proposal;
    (void)unused;
    make_island(f);
    tb_result *found = tb_work_inspected(f->work);
    g_assert_cmpint(found->inspection->findings[0].kind, ==, TB_FINDING_ISLAND);
    g_assert_null(tb_mends_ask(mends, found, 0, 0));
    g_assert_false(tb_mends_draw(mends, found, 0, 0));
    while (!(proposal = tb_mends_ask(mends, found, 0, 0)))
        g_main_context_iteration(NULL, TRUE);
    g_assert_cmpint(proposal->hindrance, ==, TB_MEND_WORKS);
    size_t n_actions = tb_work_state(f->work)->n_actions;
    int n_pieces = found->inspection->n_pieces;
    tb_mends_all(mends, false);
    g_assert_true(tb_mends_busy(mends));
    tb_mends_halt(mends);
    g_assert_cmpint(tb_mends_account(mends)->n_drawn, ==, 0);
    g_assert_cmpuint(tb_work_state(f->work)->n_actions, ==, n_actions);
    g_assert_true(tb_mends_draw(mends, found, 0, 0));
    wait_until_settled(f->work);
    g_assert_cmpint(tb_work_inspected(f->work)->inspection->n_pieces, ==, n_pieces - 1);
    g_assert_false(tb_mends_draw(mends, found, 0, 0)); /* the pattern is another */
}

/* A place on the bridge that was opening before the tie. */
static tb_point over_water(TbWork *work, const tb_bridge *bridge)
{
    const tb_mask *untied = tb_work_pattern_now(work)->result->untied;
    for (size_t i = 0; i < bridge->n_path; i++) {
        int x = (int)(bridge->path[i].x_mm * untied->px_per_mm);
        int y = (int)(bridge->path[i].y_mm * untied->px_per_mm);
        if (!untied->px[y * untied->width_px + x])
            return bridge->path[i];
    }
    g_assert_not_reached();
}

/* The head is tied to the frame; what is refused is not crossed again, until it is taken back. */
static void test_work__refuses_a_bridge(fixture *f, gconstpointer unused)
{
    const tb_tie_account *tie = tb_work_pattern_now(f->work)->result->tie;
    (void)unused;
    g_assert_cmpuint(tie->n_bridges, >, 0);
    tb_point place = over_water(f->work, &tie->bridges[0]);
    g_assert_cmpint(pixel_at(f->work, place.x_mm, place.y_mm), ==, 1);
    tb_work_refuse(f->work, &tie->bridges[0]);
    wait_until_settled(f->work);
    g_assert_cmpint(pixel_at(f->work, place.x_mm, place.y_mm), ==, 0);
    g_assert_cmpint(pixel_at(f->work, 40, 55), ==, 1); /* the head hangs by another */
    g_assert_cmpint(tb_work_pattern_now(f->work)->result->inspection->n_pieces, ==, 1);
    tb_work_undo(f->work);
    wait_until_settled(f->work);
    g_assert_cmpint(pixel_at(f->work, place.x_mm, place.y_mm), ==, 1);
}

typedef struct {
    bool done, good;
} made;

static void made_cb(GObject *work, GAsyncResult *result, gpointer payload)
{
    made *m = payload;
    tb_sheet_account account;
    m->done = true;
    m->good = tb_papers_make_finish(TB_WORK(work), result, &account, NULL);
}

/* Two sets, side by side: neither writes over the other. */
static void test_papers__put_everything_in_a_folder_of_its_own(fixture *f, gconstpointer unused)
{
    static const char *const NAMES[] = {"pattern.png", "pattern.svg", "sheets.pdf", "share.jpg",
            "preview.png", "report.json", "project.tombolo"};
    tb_papers_wish wish = {.path = f->folder,
            .set = true,
            .sheet = TB_SHEET_OPTIONS_INIT,
            .copy = TB_SHARE_OPTIONS_INIT};
    (void)unused;
    for (int i = 0; i < 2; i++) {
        g_autofree char *set = g_build_filename(f->folder, i ? "face 2" : "face", NULL);
        made m = {0};
        tb_papers_make_async(f->work, &wish, made_cb, &m);
        while (!m.done)
            g_main_context_iteration(NULL, TRUE);
        g_assert_true(m.good);
        for (size_t k = 0; k < G_N_ELEMENTS(NAMES); k++) {
            g_autofree char *path = g_build_filename(set, NAMES[k], NULL);
            g_assert_cmpint(g_remove(path), ==, 0);
        }
        if (i == 1)
            g_rmdir(set);
    }
    g_autofree char *first = g_build_filename(f->folder, "face", NULL);
    g_rmdir(first);
}

/* Wood painted by hand, and around it an opening sawn by hand: no bridge may reach it. */
static void paint_what_no_bridge_reaches(TbWork *work)
{
    for (int kind = 0; kind < 2; kind++) {
        tb_stroke stroke = TB_STROKE_INIT(kind ? TB_STROKE_WOOD : TB_STROKE_SAW);
        for (int i = 0; i <= 24; i++)
            g_assert_cmpint(tb_stroke_add(&stroke, 40 + (kind ? 0.1 * i : 9 * cos(i * G_PI / 12)),
                                    60 + (kind ? 0 : 9 * sin(i * G_PI / 12)), kind ? 6 : 5, NULL),
                    ==, TB_OK);
        tb_work_draw(work, &stroke);
        tb_stroke_clear(&stroke);
    }
    wait_until_settled(work);
}

static void looked_cb(GObject *work, GAsyncResult *result, gpointer payload)
{
    made *m = payload;
    g_autoptr(TbPages) pages = tb_papers_look_finish(TB_WORK(work), result, NULL);
    m->done = true;
    m->good = pages && tb_pages_count(pages) > 2;
}

static void test_papers__are_not_made_of_a_pattern_that_is_past(fixture *f, gconstpointer unused)
{
    tb_papers_wish wish = {.sheet = TB_SHEET_OPTIONS_INIT, .copy = TB_SHARE_OPTIONS_INIT};
    (void)unused;
    paint_what_no_bridge_reaches(f->work);
    g_assert_nonnull(strstr(tb_work_trouble(f->work), "no bridge can reach"));
    for (int i = 0; i < 2; i++) {
        made m = {0};
        tb_papers_look_async(f->work, &wish, looked_cb, &m);
        while (!m.done)
            g_main_context_iteration(NULL, TRUE);
        g_assert_true(m.good == (i == 1));
        tb_work_undo(f->work);
        wait_until_settled(f->work);
        g_assert_cmpstr(tb_work_trouble(f->work), ==, "");
    }
}

/* Processor time of this thread: what the main loop itself works, however busy the machine is. */
static double worked_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

/* beat: when the last turn ended, and the longest turn. */
static gboolean beat_cb(gpointer payload)
{
    double *beat = payload, now = worked_ms();
    beat[1] = MAX(beat[1], now - beat[0]);
    beat[0] = now;
    return G_SOURCE_CONTINUE;
}

static void test_work__never_holds_up_the_main_loop(fixture *f, gconstpointer unused)
{
    tb_settings s = tb_work_state(f->work)->settings;
    double beat[2] = {worked_ms(), 0};
    guint timer = g_timeout_add(5, beat_cb, beat);
    (void)unused;
    s.px_per_mm = 12;
    s.width_mm = 160;
    tb_work_set(f->work, &s);
    wait_until_settled(f->work);
    make_island(f);
    g_autoptr(TbMends) mends = tb_mends_new(f->work);
    g_assert_cmpint(mended_all(mends, false).n_drawn, >, 0);
    wait_until_settled(f->work);
    g_source_remove(timer);
    g_test_message("longest turn of the main loop: %.1f ms of work", beat[1]);
    g_assert_cmpfloat(beat[1], <, 100);
}

static void test_library__says_what_it_can_not_open(void)
{
    g_autofree char *folder = g_dir_make_tmp("tombolo-XXXXXX", NULL);
    static const char *const NAMES[] = {"letter.jpg", "broken.tombolo"};
    for (int i = 0; i < 2; i++) {
        g_autofree char *path = g_build_filename(folder, NAMES[i], NULL);
        g_autoptr(GError) error = NULL;
        g_assert_true(g_file_set_contents(path, "Dear Ilka,\n", -1, NULL));
        g_assert_null(tb_library_open(path, NULL, &error));
        g_assert_error(error, TB_WORK_ERROR, TB_EREAD);
        g_remove(path);
    }
    g_rmdir(folder);
}

typedef struct {
    TbWork *work;
    bool done, drawn;
} opened;

static void opened_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    opened *o = payload;
    (void)source;
    o->work = tb_library_open_finish(result, &o->drawn, NULL);
    o->done = true;
}

static uint8_t drawn_at(int x, int y)
{
    bool frame = x < 30 || y < 30 || x >= 290 || y >= 370;
    bool disc = hypot(x - 160, y - 200) < 80, strand = abs(x - 160) < 9 && y > 200;
    return frame || disc || strand;
}

/* A frame, and a disc that hangs by a strand: wood is what is light, pixel for pixel. */
static void test_library__takes_two_tones_for_a_pattern(void)
{
    g_autofree char *folder = g_dir_make_tmp("tombolo-XXXXXX", NULL);
    g_autofree char *path = g_build_filename(folder, "disc.png", NULL);
    tb_mask *mask;
    tb_bytes png = {0};
    opened o = {0};
    g_assert_cmpint(tb_mask_new(&mask, 320, 400, 8, NULL), ==, TB_OK);
    for (int i = 0; i < 320 * 400; i++)
        mask->px[i] = drawn_at(i % 320, i / 320);
    g_assert_cmpint(tb_picture_png(&png, mask, NULL), ==, TB_OK);
    g_assert_true(g_file_set_contents(path, (const char *)png.data, (gssize)png.n, NULL));
    tb_library_open_async(path, NULL, opened_cb, &o);
    while (!o.done)
        g_main_context_iteration(NULL, TRUE);
    g_assert_nonnull(o.work);
    g_assert_true(o.drawn);
    wait_until_settled(o.work);
    const tb_mask *pattern = tb_work_pattern_now(o.work)->result->pattern;
    g_assert_cmpmem(pattern->px, tb_mask_area_px(pattern), mask->px, tb_mask_area_px(mask));
    g_remove(tb_project_path(tb_work_project(o.work)));
    g_clear_object(&o.work);
    tb_mask_free(mask);
    tb_bytes_clear(&png);
    g_remove(path);
    g_rmdir(folder);
}

static void notified_cb(GObject *desk, GParamSpec *spec, int *n)
{
    (void)desk;
    (void)spec;
    ++*n;
}

static void test_desk__tells_of_changes_once(void)
{
    g_autoptr(TbDesk) desk = tb_desk_new();
    int n = 0;
    g_signal_connect(desk, "notify", G_CALLBACK(notified_cb), &n);
    tb_desk_set_tool(desk, TB_TOOL_SAW);
    tb_desk_set_tool(desk, TB_TOOL_SAW);
    tb_desk_set_brush_mm(desk, 5);
    g_assert_cmpint(n, ==, 2);
    tb_desk_set_brush_mm(desk, 1000);
    g_assert_cmpfloat(tb_desk_brush_mm(desk), ==, 40);
    tb_desk_set_inches(desk, false); /* whatever the locale measures in */
    g_autofree char *mm = tb_desk_length(desk, 12.7);
    tb_desk_set_inches(desk, true);
    g_autofree char *inches = tb_desk_length(desk, 12.7);
    g_assert_cmpstr(mm, ==, "12.7 mm");
    g_assert_cmpstr(inches, ==, "0.5 in");
}

static void test_picture__refreshed_is_as_made_anew(void)
{
    tb_mask *mask;
    g_assert_cmpint(tb_mask_new(&mask, 301, 203, 10, NULL), ==, TB_OK);
    tb_picture *picture = tb_picture_of_mask(mask);
    for (int y = 31; y < 77; y++)
        memset(mask->px + y * 301 + 45, 1, 112);
    tb_picture_refresh(picture, mask, (tb_rect){45, 31, 157, 77});
    tb_picture *anew = tb_picture_of_mask(mask);
    for (int i = 0; i < anew->n_levels; i++) {
        size_t n = (size_t)anew->levels[i].width_px * (size_t)anew->levels[i].height_px;
        g_assert_cmpmem(picture->levels[i].px, n, anew->levels[i].px, n);
    }
    tb_picture_free(picture);
    tb_picture_free(anew);
    tb_mask_free(mask);
}

static uint8_t weakness_at(const tb_picture *picture, int x_px, int y_px)
{
    return picture->levels[0].px[y_px * picture->levels[0].width_px + x_px];
}

/* A board with a strip of 1 mm, one of 2 mm and one of 4 mm across an opening. */
static void test_strength__tells_narrow_wood_by_the_limits(void)
{
    tb_mask *mask;
    tb_inspection inspection = {0};
    tb_limits limits = TB_LIMITS_INIT;
    limits.bridge_must_mm = 1.6;
    limits.bridge_should_mm = 2.5;
    g_assert_cmpint(tb_mask_new(&mask, 300, 300, 10, NULL), ==, TB_OK);
    for (int y = 0; y < 300; y++)
        for (int x = 0; x < 300; x++) {
            bool opening = x >= 60 && x < 240 && y >= 60 && y < 240;
            bool strip = (y >= 100 && y < 110) || (y >= 140 && y < 160) || (y >= 190 && y < 230);
            mask->px[y * 300 + x] = !opening || strip;
        }
    tb_picture *strength = tb_picture_of_strength(mask, &inspection, &limits, NULL);
    g_assert_cmpint(weakness_at(strength, 150, 105), ==, 255);
    g_assert_cmpint(weakness_at(strength, 150, 150), ==, 128);
    g_assert_cmpint(weakness_at(strength, 150, 210), ==, 0);
    g_assert_cmpint(weakness_at(strength, 30, 30), ==, 0);
    g_assert_cmpint(weakness_at(strength, 150, 98), ==, 255); /* the opening beside it */
    g_assert_cmpint(weakness_at(strength, 150, 80), ==, 0);
    tb_picture_free(strength);
    tb_mask_free(mask);
}

#define ADD(path, test) g_test_add(path, fixture, NULL, set_up, test, tear_down)

int main(int argc, char **argv)
{
    g_autofree char *data = g_dir_make_tmp("tombolo-XXXXXX", NULL);
    g_setenv("XDG_DATA_HOME", data, TRUE);
    g_setenv("GSETTINGS_BACKEND", "memory", TRUE);
    g_test_init(&argc, &argv, NULL);
    g_assert_cmpint(tb_photo_start(2, NULL), ==, TB_OK);
    ADD("/model/makes_a_pattern", test_work__makes_a_pattern_of_a_photograph);
    ADD("/model/draws_and_takes_back", test_work__draws_and_takes_back);
    ADD("/model/answers_a_drag", test_work__answers_a_drag_without_falling_behind);
    ADD("/model/opened_again", test_work__is_all_there_when_opened_again);
    ADD("/model/mends-what-was-found", test_work__mends_only_what_was_found_in_the_pattern_at_hand);
    ADD("/model/overtaken", test_work__ends_what_is_overtaken);
    ADD("/model/halted", test_work__can_be_halted);
    ADD("/model/nothing-found-yet", test_work__has_found_nothing_where_there_is_no_pattern);
    ADD("/model/mends", test_work__mends_what_must_be_mended);
    ADD("/model/mends-what-was-tried", test_work__tries_a_mend_before_it_is_drawn);
    ADD("/model/gives-way", test_work__gives_way_where_it_is_told_to);
    ADD("/model/refuses", test_work__refuses_a_bridge);
    ADD("/papers/set", test_papers__put_everything_in_a_folder_of_its_own);
    ADD("/papers/past", test_papers__are_not_made_of_a_pattern_that_is_past);
    ADD("/model/main_loop", test_work__never_holds_up_the_main_loop);
    g_test_add_func("/library/can_not_open", test_library__says_what_it_can_not_open);
    g_test_add_func("/library/pattern", test_library__takes_two_tones_for_a_pattern);
    g_test_add_func("/desk/tells_once", test_desk__tells_of_changes_once);
    g_test_add_func("/strength/narrow", test_strength__tells_narrow_wood_by_the_limits);
    g_test_add_func("/picture/refreshed", test_picture__refreshed_is_as_made_anew);
    int status = g_test_run();
    tb_photo_stop();
    return status;
}
