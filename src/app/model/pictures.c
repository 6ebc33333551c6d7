/* app/model/pictures.c: see pictures.h. */
#include "app/model/pictures.h"

#include "base/alloc.h"
#include "photo/photo.h"

#include <glib/gstdio.h>
#include <string.h>
#include <sys/stat.h>

enum { NAMES_MOST = 4000, BYTES_MOST = 64 << 20, PIXELS_MOST = 60000000 };

/* ---- which ------------------------------------------------------------------------------------
 */

typedef struct {
    char *path;
    int64_t changed_s;
} entry;

static void entry_clear(gpointer payload)
{
    g_free(((entry *)payload)->path);
}

static gint newer_first(gconstpointer a, gconstpointer b)
{
    const entry *x = a, *y = b;
    return (y->changed_s > x->changed_s) - (y->changed_s < x->changed_s);
}

static bool named_as_photo(const char *name)
{
    static const char *const ENDINGS[] = {
            ".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".heic"};
    g_autofree char *lower = g_ascii_strdown(name, -1);
    for (size_t i = 0; i < G_N_ELEMENTS(ENDINGS); i++)
        if (g_str_has_suffix(lower, ENDINGS[i]))
            return true;
    return false;
}

static void look_in(GArray *entries, const char *folder, int depth, int *names_left)
{
    GDir *dir = g_dir_open(folder, 0, NULL);
    const char *name;
    while (dir && (name = g_dir_read_name(dir)) && (*names_left)-- > 0) {
        entry e = {g_build_filename(folder, name, NULL), 0};
        GStatBuf info;
        bool there = *name != '.' && !g_file_test(e.path, G_FILE_TEST_IS_SYMLINK) &&
                     g_stat(e.path, &info) == 0;
        e.changed_s = there ? info.st_mtime : 0;
        if (there && S_ISREG(info.st_mode) && info.st_size <= BYTES_MOST && named_as_photo(name)) {
            g_array_append_val(entries, e);
            continue;
        }
        if (there && S_ISDIR(info.st_mode) && depth > 0)
            look_in(entries, e.path, depth - 1, names_left);
        g_free(e.path);
    }
    if (dir)
        g_dir_close(dir);
}

static void list_cb(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    const char *folder = g_get_user_special_dir(G_USER_DIRECTORY_PICTURES);
    unsigned most = GPOINTER_TO_UINT(payload);
    int names_left = NAMES_MOST;
    GArray *entries = g_array_new(FALSE, FALSE, sizeof(entry));
    GPtrArray *paths = g_ptr_array_new();
    (void)source;
    (void)cancellable;
    g_array_set_clear_func(entries, entry_clear);
    if (folder)
        look_in(entries, folder, 1, &names_left);
    g_array_sort(entries, newer_first);
    for (guint i = 0; i < entries->len && i < most; i++)
        g_ptr_array_add(paths, g_strdup(g_array_index(entries, entry, i).path));
    g_ptr_array_add(paths, NULL);
    g_array_unref(entries);
    g_task_return_pointer(task, g_ptr_array_free(paths, FALSE), (GDestroyNotify)g_strfreev);
}

void tb_pictures_list_async(unsigned most, GAsyncReadyCallback done_cb, gpointer payload)
{
    GTask *task = g_task_new(NULL, NULL, done_cb, payload);
    g_task_set_task_data(task, GUINT_TO_POINTER(most), NULL);
    g_task_run_in_thread(task, list_cb);
    g_object_unref(task);
}

char **tb_pictures_list_finish(GAsyncResult *result)
{
    return g_task_propagate_pointer(G_TASK(result), NULL);
}

/* ---- small ------------------------------------------------------------------------------------
 */

typedef struct {
    char *path;
    int longest_px;
} wish;

static void wish_free(gpointer payload)
{
    g_free(((wish *)payload)->path);
    g_free(payload);
}

static tb_picture *small_of(const uint8_t *bytes, size_t n, int longest_px)
{
    tb_photo_info info;
    tb_plane *tone = NULL;
    if (tb_photo_look(&info, bytes, n, NULL) ||
            (int64_t)info.width_px * info.height_px > PIXELS_MOST)
        return NULL;
    double scale = MIN(1, (double)longest_px / MAX(info.width_px, info.height_px));
    tb_photo_view view = {.w = info.width_px,
            .h = info.height_px,
            .width_px = MAX((int)(info.width_px * scale), 1),
            .height_px = MAX((int)(info.height_px * scale), 1),
            .px_per_mm = 1};
    tb_picture *small = tb_photo_tone(&tone, bytes, n, &view, NULL, NULL) == TB_OK
                                ? tb_picture_of_lightness(tone)
                                : NULL;
    tb_plane_free(tone);
    return small;
}

static void small_cb(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    const wish *w = payload;
    uint8_t *bytes = NULL;
    size_t n;
    (void)source;
    (void)cancellable;
    tb_picture *small = tb_file_read(&bytes, &n, w->path, BYTES_MOST, NULL) == TB_OK
                                ? small_of(bytes, n, w->longest_px)
                                : NULL;
    tb_free(bytes);
    g_task_return_pointer(task, small, (GDestroyNotify)tb_picture_free);
}

void tb_pictures_small_async(
        const char *path, int longest_px, GAsyncReadyCallback done_cb, gpointer payload)
{
    GTask *task = g_task_new(NULL, NULL, done_cb, payload);
    wish *w = g_new(wish, 1);
    *w = (wish){g_strdup(path), longest_px};
    g_task_set_task_data(task, w, wish_free);
    g_task_run_in_thread(task, small_cb);
    g_object_unref(task);
}

tb_picture *tb_pictures_small_finish(GAsyncResult *result)
{
    return g_task_propagate_pointer(G_TASK(result), NULL);
}
