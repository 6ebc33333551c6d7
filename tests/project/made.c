#include "made.h"

#include "base/num.h"

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
    GError *error = NULL;
    char *folder = g_dir_make_tmp("tombolo-test-XXXXXX", &error);
    g_assert_no_error(error);
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
        g_assert_cmpint(
                tb_stroke_add(&stroke, x, y, g_rand_double_range(rand, 0.5, 4), NULL), ==, TB_OK);
    }
    return stroke;
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
    return g_strdup_printf("%zu strokes, %zu notes, %zu undone, %s", now->n_strokes, now->n_notes,
            now->n_undone, g_checksum_get_string(sum));
}
