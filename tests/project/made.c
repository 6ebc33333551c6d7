#include "made.h"

#include "base/alloc.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <string.h>

const uint8_t MADE_PHOTO[48] = "not looked at: a keeper of a harbour light";

tb_project_start made_start(void)
{
    tb_project_start start = {.photo = MADE_PHOTO,
            .n_photo = sizeof MADE_PHOTO,
            .photo_name = "keeper.jpg",
            .settings = TB_SETTINGS_INIT};
    start.settings.width_mm = 200;
    start.settings.height_mm = 250;
    g_strlcpy(start.words.title, "The keeper", sizeof start.words.title);
    return start;
}

char *made_folder(void)
{
    bool has_memory = g_file_test("/dev/shm", G_FILE_TEST_IS_DIR);
    char *folder =
            g_build_filename(has_memory ? "/dev/shm" : g_get_tmp_dir(), "tombolo-XXXXXX", NULL);
    g_assert_nonnull(g_mkdtemp(folder));
    return folder;
}

char *made_path(const char *folder, const char *name)
{
    return g_build_filename(folder, name, NULL);
}

void made_remove(char *folder)
{
    GDir *dir = g_dir_open(folder, 0, NULL);
    for (const char *name; (name = g_dir_read_name(dir));) {
        g_autofree char *path = g_build_filename(folder, name, NULL);
        g_assert_cmpint(g_remove(path), ==, 0);
    }
    g_dir_close(dir);
    g_assert_cmpint(g_rmdir(folder), ==, 0);
    g_free(folder);
}

tb_stroke made_stroke(unsigned number)
{
    g_autoptr(GRand) rand = g_rand_new_with_seed(number);
    tb_stroke stroke = TB_STROKE_INIT((tb_stroke_kind)g_rand_int_range(rand, 0, TB_N_STROKE_KINDS));
    double x = g_rand_double_range(rand, 0, 200), y = g_rand_double_range(rand, 0, 250);
    for (int n = g_rand_int_range(rand, 1, 12); n > 0; n--) {
        x += g_rand_double_range(rand, -3, 3);
        y += g_rand_double_range(rand, -3, 3);
        double width = g_rand_double_range(rand, 0.5, 4);
        /* Where memory fails on purpose, and once, this is not what is being tested. */
        while (tb_stroke_add(&stroke, x, y, width, NULL) == TB_ENOMEM)
            continue;
    }
    return stroke;
}

static tb_status step_set(tb_project *project, GRand *rand, tb_error *err)
{
    tb_settings settings = tb_project_state_now(project)->settings;
    settings.darkness = g_rand_double_range(rand, -50, 50);
    return tb_project_set(project, &settings, 0, err);
}

static tb_status step_words(tb_project *project, unsigned number, tb_error *err)
{
    tb_words words = tb_project_state_now(project)->words;
    g_snprintf(words.credit, sizeof words.credit, "photograph %u", number);
    return tb_project_write(project, &words, err);
}

static tb_status step_draw(tb_project *project, unsigned number, tb_error *err)
{
    tb_stroke stroke = made_stroke(number);
    tb_status status = tb_project_draw(project, &stroke, err);
    tb_stroke_clear(&stroke);
    return status;
}

tb_status made_step(tb_project *project, unsigned number, tb_error *err)
{
    g_autoptr(GRand) rand = g_rand_new_with_seed(number + 1000000);
    const tb_project_state *now = tb_project_state_now(project);
    tb_note note = {.x_mm = g_rand_double_range(rand, 0, 200), .y_mm = 7, .radius_mm = 3};
    g_snprintf(note.text, sizeof note.text, "look here, %u", number);
    char snapshot[32];
    g_snprintf(snapshot, sizeof snapshot, "evening %u", number);
    switch (g_rand_int_range(rand, 0, 20)) {
    case 0:
        return tb_project_ring(project, &note, err);
    case 1:
        return now->n_notes == 0 ? step_words(project, number, err)
                                 : tb_project_unring(project, now->notes[now->n_notes / 2].id, err);
    case 2:
        return step_words(project, number, err);
    case 3:
    case 4:
        return step_set(project, rand, err);
    case 5:
    case 6:
    case 7:
        return now->n_actions == 0 ? step_draw(project, number, err)
                                   : tb_project_undo(project, err);
    case 8:
        return now->n_undone == 0 ? step_set(project, rand, err) : tb_project_redo(project, err);
    case 9:
        return tb_project_snapshot(project, snapshot, err);
    default:
        return step_draw(project, number, err);
    }
}

static void add_bytes(GChecksum *sum, const void *bytes, size_t n)
{
    g_checksum_update(sum, bytes, (gssize)n);
}

char *made_digest(tb_project *project)
{
    const tb_project_state *now = tb_project_state_now(project);
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    const uint8_t *photo;
    size_t n_photo;
    const char *name;
    if (tb_project_photo(project, &photo, &n_photo, &name, NULL))
        return NULL;
    add_bytes(sum, photo, n_photo);
    add_bytes(sum, name, strlen(name));
    add_bytes(sum, &now->settings, sizeof now->settings);
    add_bytes(sum, &now->words, sizeof now->words);
    for (size_t i = 0; i < now->n_strokes; i++) {
        const tb_stroke *s = &now->strokes[i].stroke;
        add_bytes(sum, &s->kind, sizeof s->kind);
        add_bytes(sum, &s->amount, sizeof s->amount);
        add_bytes(sum, s->points, s->n_points * sizeof *s->points);
        add_bytes(sum, now->strokes[i].framed, sizeof *now->strokes[i].framed);
    }
    for (size_t i = 0; i < now->n_notes; i++) {
        add_bytes(sum, &now->notes[i].x_mm, 3 * sizeof(double));
        add_bytes(sum, now->notes[i].text, strlen(now->notes[i].text));
    }
    tb_snapshot *snapshots;
    size_t n_snapshots;
    if (tb_project_snapshots(&snapshots, &n_snapshots, project, NULL))
        return NULL;
    for (size_t i = 0; i < n_snapshots; i++) {
        add_bytes(sum, snapshots[i].name, strlen(snapshots[i].name));
        add_bytes(sum, &snapshots[i].action, sizeof snapshots[i].action);
    }
    tb_free(snapshots);
    return g_strdup_printf("%zu strokes, %zu notes, %zu undone, %zu done, %s", now->n_strokes,
            now->n_notes, now->n_undone, now->n_actions, g_checksum_get_string(sum));
}
