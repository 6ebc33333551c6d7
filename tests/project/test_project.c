/* A project's life: actions, undo and redo, snapshots, notes, copies, locks. */
#include "base/alloc.h"
#include "made.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

static tb_project *new_in_memory(void)
{
    tb_project_start start = made_start();
    tb_project *project;
    tb_error err = {0};
    tb_status status = tb_project_new(&project, &start, &err);
    g_assert_cmpstr(err.text, ==, "");
    g_assert_cmpint(status, ==, TB_OK);
    return project;
}

static tb_project *new_at(const char *path)
{
    tb_project_start start = made_start();
    tb_project *project;
    tb_error err = {0};
    tb_status status = tb_project_create(&project, path, false, &start, &err);
    g_assert_cmpstr(err.text, ==, "");
    g_assert_cmpint(status, ==, TB_OK);
    return project;
}

static tb_project *reopened(tb_project *project, const char *path)
{
    tb_project_close(project);
    tb_error err = {0};
    g_assert_cmpint(tb_project_open(&project, path, true, &err), ==, TB_OK);
    g_assert_cmpstr(err.text, ==, "");
    return project;
}

static void draw(tb_project *project, unsigned number)
{
    tb_stroke stroke = made_stroke(number);
    g_assert_cmpint(tb_project_draw(project, &stroke, NULL), ==, TB_OK);
    tb_stroke_clear(&stroke);
}

static void set_darkness(tb_project *project, double darkness, unsigned drag)
{
    tb_settings settings = tb_project_state_now(project)->settings;
    settings.darkness = darkness;
    g_assert_cmpint(tb_project_set(project, &settings, drag, NULL), ==, TB_OK);
}

static void ring(tb_project *project, tb_note *note, const char *text)
{
    g_strlcpy(note->text, text, sizeof note->text);
    g_assert_cmpint(tb_project_ring(project, note, NULL), ==, TB_OK);
}

/* One of everything, at random. */
static void act(tb_project *project, GRand *rand, unsigned number)
{
    const tb_project_state *now = tb_project_state_now(project);
    tb_note note = {.x_mm = g_rand_double(rand), .radius_mm = 2};
    tb_words words = now->words;
    switch (g_rand_int_range(rand, 0, 12)) {
    case 0:
        ring(project, &note, "too thin?");
        break;
    case 1:
        if (now->n_notes > 0)
            g_assert_cmpint(
                    tb_project_unring(project, now->notes[now->n_notes / 2].id, NULL), ==, TB_OK);
        break;
    case 2:
        g_snprintf(words.credit, sizeof words.credit, "photograph %u", number);
        g_assert_cmpint(tb_project_write(project, &words, NULL), ==, TB_OK);
        break;
    case 3:
    case 4:
    case 5:
        set_darkness(project, g_rand_double_range(rand, -50, 50), number % 4);
        break;
    default:
        draw(project, number);
    }
}

static void test_project__starts_as_told(void)
{
    tb_project *project = new_in_memory();
    const tb_project_state *now = tb_project_state_now(project);
    const uint8_t *photo;
    const char *name;
    size_t n;
    g_assert_cmpfloat(now->settings.width_mm, ==, 200);
    g_assert_cmpfloat(now->settings.grain_rad, ==, 1.5707963267948966);
    g_assert_cmpstr(now->words.title, ==, "The keeper");
    g_assert_cmpuint(now->n_strokes + now->n_notes + now->n_actions + now->n_undone, ==, 0);
    g_assert_cmpint(tb_project_photo(project, &photo, &n, &name, NULL), ==, TB_OK);
    g_assert_cmpmem(photo, n, MADE_PHOTO, sizeof MADE_PHOTO);
    g_assert_cmpstr(name, ==, "keeper.jpg");
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_EINVAL);
    g_assert_cmpint(tb_project_redo(project, NULL), ==, TB_EINVAL);
    tb_project_close(project);
}

static void test_project__keeps_what_was_done(void)
{
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "keeper.tombolo");
    tb_project *project = new_at(path);
    g_autoptr(GRand) rand = g_rand_new_with_seed(11);
    for (unsigned i = 0; i < 40; i++)
        act(project, rand, i);
    for (int i = 0; i < 7; i++)
        g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    g_autofree char *before = made_digest(project);
    project = reopened(project, path);
    g_autofree char *after = made_digest(project);
    g_assert_cmpstr(before, ==, after);
    g_assert_cmpuint(tb_project_state_now(project)->n_undone, ==, 7);
    tb_project_close(project);
    made_remove(folder);
}

static void test_project__ten_thousand_edits_undone_leave_nothing(void)
{
    enum { N = 10000 };
    tb_project *project = new_in_memory();
    g_autoptr(GRand) rand = g_rand_new_with_seed(12);
    for (unsigned i = 0; tb_project_state_now(project)->n_actions < N; i++)
        act(project, rand, i);
    g_autofree char *end = made_digest(project);
    for (int i = 0; i < N; i++)
        g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    tb_project *fresh = new_in_memory();
    const tb_project_state *a = tb_project_state_now(project), *b = tb_project_state_now(fresh);
    g_assert_cmpmem(&a->settings, sizeof a->settings, &b->settings, sizeof b->settings);
    g_assert_cmpmem(&a->words, sizeof a->words, &b->words, sizeof b->words);
    g_assert_cmpuint(a->n_strokes + a->n_notes, ==, 0);
    for (int i = 0; i < N; i++)
        g_assert_cmpint(tb_project_redo(project, NULL), ==, TB_OK);
    g_autofree char *again = made_digest(project);
    g_assert_cmpstr(end, ==, again);
    tb_project_close(project);
    tb_project_close(fresh);
}

static void test_project__an_action_after_undo_ends_redo(void)
{
    char name[TB_ACTION_NAME_ROOM];
    tb_project *project = new_in_memory();
    set_darkness(project, 10, 0);
    set_darkness(project, 20, 0);
    g_assert_true(tb_project_undo_name(project, name));
    g_assert_cmpstr(name, ==, "darkness");
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    g_assert_cmpfloat(tb_project_state_now(project)->settings.darkness, ==, 10);
    g_assert_true(tb_project_redo_name(project, name));
    draw(project, 4);
    g_assert_false(tb_project_redo_name(project, name));
    g_assert_cmpint(tb_project_redo(project, NULL), ==, TB_EINVAL);
    g_assert_cmpuint(tb_project_state_now(project)->n_actions, ==, 2);
    tb_project_close(project);
}

static void test_project__a_drag_is_one_action(void)
{
    tb_project *project = new_in_memory();
    for (int i = 1; i <= 30; i++)
        set_darkness(project, i, 5);
    g_assert_cmpuint(tb_project_state_now(project)->n_actions, ==, 1);
    set_darkness(project, 7, 6);
    g_assert_cmpuint(tb_project_state_now(project)->n_actions, ==, 2);
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    g_assert_cmpfloat(tb_project_state_now(project)->settings.darkness, ==, 30);
    g_assert_cmpint(tb_project_redo(project, NULL), ==, TB_OK);
    set_darkness(project, 8, 6); /* the drag ended with the undo */
    g_assert_cmpuint(tb_project_state_now(project)->n_actions, ==, 3);
    set_darkness(project, 8, 0); /* nothing changes */
    g_assert_cmpuint(tb_project_state_now(project)->n_actions, ==, 3);
    tb_project_close(project);
}

static void test_project__snapshots_come_back_and_can_be_undone(void)
{
    tb_project *project = new_in_memory();
    draw(project, 1);
    set_darkness(project, 12, 0);
    g_assert_cmpint(tb_project_snapshot(project, "with a cap", NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_snapshot(project, "with a cap", NULL), ==, TB_EEXIST);
    g_assert_cmpint(tb_project_snapshot(project, "", NULL), ==, TB_EINVAL);
    g_autofree char *with_cap = made_digest(project);
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    draw(project, 2);
    draw(project, 3);
    g_autofree char *without = made_digest(project);
    g_assert_cmpint(tb_project_restore(project, "with a cap", NULL), ==, TB_OK);
    g_autofree char *restored = made_digest(project);
    g_assert_cmpstr(strrchr(restored, ','), ==, strrchr(with_cap, ','));
    draw(project, 5);
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_state_now(project)->n_undone, ==, 2);
    g_assert_cmpint(tb_project_state_now(project)->n_strokes, ==, 3);
    g_assert_nonnull(strstr(without, "3 strokes"));
    g_assert_cmpint(tb_project_restore(project, "without a cap", NULL), ==, TB_EINVAL);
    tb_project_close(project);
}

static tb_aside asides_of(const tb_project *project, size_t wanted)
{
    tb_aside *asides, first = {0};
    size_t n;
    g_assert_cmpint(tb_project_asides(&asides, &n, project, NULL), ==, TB_OK);
    g_assert_cmpuint(n, ==, wanted);
    if (n > 0)
        first = asides[0];
    tb_free(asides);
    return first;
}

static void test_project__what_was_undone_can_be_taken_up(void)
{
    tb_project *project = new_in_memory();
    for (int i = 1; i <= 3; i++)
        draw(project, i);
    g_autofree char *three = made_digest(project);
    for (int i = 0; i < 3; i++)
        g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    asides_of(project, 0); /* redo brings it back */
    draw(project, 4);
    g_assert_cmpint(tb_project_redo(project, NULL), ==, TB_EINVAL);
    tb_aside left = asides_of(project, 1);
    g_assert_cmpuint(left.n, ==, 3);
    g_assert_cmpint(tb_project_take_up(project, left.action, "as it was", NULL), ==, TB_OK);
    g_autofree char *again = made_digest(project);
    g_assert_cmpstr(strrchr(again, ','), ==, strrchr(three, ','));
    asides_of(project, 0);
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    draw(project, 5);
    g_assert_cmpuint(
            asides_of(project, 1).n, ==, 4); /* the return itself, and what it stands for */
    g_assert_cmpint(tb_project_take_up(project, 0, "", NULL), ==, TB_EINVAL);
    g_assert_cmpint(tb_project_take_up(project, 99, "", NULL), ==, TB_EINVAL);
    tb_project_close(project);
}

static void test_project__notes_are_ringed_changed_and_removed(void)
{
    tb_project *project = new_in_memory();
    tb_note note = {.x_mm = 20, .y_mm = 30, .radius_mm = 4};
    ring(project, &note, "ask Ilka about the ear");
    g_assert_cmpint(note.id, >, 0);
    ring(project, &note, "the ear is right");
    const tb_project_state *now = tb_project_state_now(project);
    g_assert_cmpuint(now->n_notes, ==, 1);
    g_assert_cmpstr(now->notes[0].text, ==, "the ear is right");
    g_assert_cmpint(tb_project_unring(project, note.id, NULL), ==, TB_OK);
    g_assert_cmpuint(now->n_notes, ==, 0);
    g_assert_cmpint(tb_project_unring(project, note.id, NULL), ==, TB_EINVAL);
    g_assert_cmpint(tb_project_ring(project, &(tb_note){.radius_mm = 4}, NULL), ==, TB_EINVAL);
    g_assert_cmpuint(now->n_notes, ==, 0);
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    g_assert_cmpstr(now->notes[0].text, ==, "ask Ilka about the ear");
    tb_project_close(project);
}

static void test_project__strokes_know_how_the_photograph_lay(void)
{
    tb_project *project = new_in_memory();
    draw(project, 1);
    tb_settings settings = tb_project_state_now(project)->settings;
    settings.width_mm = 300;
    g_assert_cmpint(tb_project_set(project, &settings, 0, NULL), ==, TB_OK);
    draw(project, 2);
    const tb_project_state *now = tb_project_state_now(project);
    g_assert_cmpfloat(now->strokes[0].framed->width_mm, ==, 200);
    g_assert_cmpfloat(now->strokes[1].framed->width_mm, ==, 300);
    tb_project_close(project);
}

static void test_project__history_names_what_was_done(void)
{
    tb_project *project = new_in_memory();
    tb_action_line *lines;
    size_t n;
    tb_stroke bridge = TB_STROKE_INIT(TB_STROKE_BRIDGE);
    g_assert_cmpint(tb_stroke_add(&bridge, 1, 2, 3, NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_draw(project, &bridge, NULL), ==, TB_OK);
    set_darkness(project, 3, 0);
    g_assert_cmpint(tb_project_undo(project, NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_history(&lines, &n, project, NULL), ==, TB_OK);
    g_assert_cmpuint(n, ==, 3);
    g_assert_cmpstr(lines[0].name, ==, "start");
    g_assert_cmpstr(lines[1].name, ==, "bridge");
    g_assert_cmpstr(lines[2].name, ==, "darkness");
    g_assert_false(lines[1].undone);
    g_assert_true(lines[2].undone);
    tb_free(lines);
    tb_stroke_clear(&bridge);
    tb_project_close(project);
}

static void test_project__refuses_settings_that_make_no_sense(void)
{
    tb_project *project = new_in_memory();
    tb_settings settings = tb_project_state_now(project)->settings;
    settings.darkness = NAN;
    g_assert_cmpint(tb_project_set(project, &settings, 0, NULL), ==, TB_EINVAL);
    settings.darkness = 0;
    memset(settings.stock, 'x', sizeof settings.stock);
    g_assert_cmpint(tb_project_set(project, &settings, 0, NULL), ==, TB_EINVAL);
    g_assert_cmpuint(tb_project_state_now(project)->n_actions, ==, 0);
    tb_project_close(project);
}

static void test_project__the_second_is_told_and_readers_may_look(void)
{
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "keeper.tombolo");
    tb_project *project = new_at(path), *second, *reader;
    tb_error err = {0};
    draw(project, 1);
    g_assert_cmpint(tb_project_open(&second, path, true, &err), ==, TB_EBUSY);
    g_assert_null(second);
    tb_project_start start = made_start();
    g_assert_cmpint(tb_project_create(&second, path, true, &start, NULL), ==, TB_EBUSY);
    g_assert_cmpint(tb_project_open(&reader, path, false, &err), ==, TB_OK);
    g_assert_cmpuint(tb_project_state_now(reader)->n_strokes, ==, 1);
    g_assert_cmpint(tb_project_undo(reader, NULL), ==, TB_EWRITE);
    draw(project, 2);
    tb_project_close(reader);
    tb_project_close(project);
    g_assert_cmpint(tb_project_open(&second, path, true, NULL), ==, TB_OK);
    g_assert_cmpuint(tb_project_state_now(second)->n_strokes, ==, 2);
    tb_project_close(second);
    made_remove(folder);
}

static void test_project__a_copy_made_while_open_is_whole(void)
{
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "keeper.tombolo");
    g_autofree char *path2 = made_path(folder, "copy.tombolo");
    tb_project *project = new_at(path), *copy;
    uint8_t *png;
    size_t n;
    draw(project, 1);
    g_assert_cmpint(tb_project_set_preview(project, MADE_PHOTO, 7, NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_copy(project, path2, false, NULL), ==, TB_OK);
    g_assert_cmpint(tb_project_copy(project, path2, false, NULL), ==, TB_EEXIST);
    g_assert_cmpint(tb_project_copy(project, path2, true, NULL), ==, TB_OK);
    g_autofree char *before = made_digest(project);
    draw(project, 2);
    g_assert_cmpint(tb_project_open(&copy, path2, true, NULL), ==, TB_OK);
    g_autofree char *after = made_digest(copy);
    g_assert_cmpstr(before, ==, after);
    g_assert_cmpint(tb_project_preview(&png, &n, copy, NULL), ==, TB_OK);
    g_assert_cmpmem(png, n, MADE_PHOTO, 7);
    tb_free(png);
    tb_project_close(project);
    tb_project_close(copy);
    made_remove(folder);
}

static void test_project__never_replaces_unasked(void)
{
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "keeper.tombolo");
    tb_project_start start = made_start();
    tb_project *project;
    g_assert_true(g_file_set_contents(path, "a letter", -1, NULL));
    g_assert_cmpint(tb_project_create(&project, path, false, &start, NULL), ==, TB_EEXIST);
    g_autofree char *still = NULL;
    g_assert_true(g_file_get_contents(path, &still, NULL, NULL));
    g_assert_cmpstr(still, ==, "a letter");
    g_assert_cmpint(tb_project_create(&project, path, true, &start, NULL), ==, TB_OK);
    tb_project_close(project);
    made_remove(folder);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
#define ADD(name) g_test_add_func("/project/" #name, test_project__##name)
    ADD(starts_as_told);
    ADD(keeps_what_was_done);
    ADD(ten_thousand_edits_undone_leave_nothing);
    ADD(an_action_after_undo_ends_redo);
    ADD(a_drag_is_one_action);
    ADD(snapshots_come_back_and_can_be_undone);
    ADD(what_was_undone_can_be_taken_up);
    ADD(notes_are_ringed_changed_and_removed);
    ADD(strokes_know_how_the_photograph_lay);
    ADD(history_names_what_was_done);
    ADD(refuses_settings_that_make_no_sense);
    ADD(the_second_is_told_and_readers_may_look);
    ADD(a_copy_made_while_open_is_whole);
    ADD(never_replaces_unasked);
    return g_test_run();
}
