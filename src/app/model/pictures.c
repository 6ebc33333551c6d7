/* app/model/pictures.c: see pictures.h. */
#include "app/model/pictures.h"

#include "base/alloc.h"
#include "flow/place.h"
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

/* ---- cards ------------------------------------------------------------------------------------
 */

static GBytes *card_of(const char *path)
{
    uint8_t *bytes = NULL, *rgb = NULL;
    size_t n;
    tb_photo_info info;
    bool made = tb_file_read(&bytes, &n, path, BYTES_MOST, NULL) == TB_OK &&
                tb_photo_look(&info, bytes, n, NULL) == TB_OK &&
                (int64_t)info.width_px * info.height_px <= PIXELS_MOST &&
                tb_photo_card(&rgb, bytes, n, TB_CARD_PX, TB_CARD_PX, NULL) == TB_OK;
    tb_free(bytes);
    GBytes *card = made ? g_bytes_new(rgb, (size_t)3 * TB_CARD_PX * TB_CARD_PX) : NULL;
    tb_free(rgb);
    return card;
}

/* Where a project's card is kept, and whether it is younger than the project. */
static char *kept_card(const char *project, bool *fresh)
{
    g_autofree char *sum = g_compute_checksum_for_string(G_CHECKSUM_SHA256, project, -1);
    g_autofree char *name = g_strdup_printf("%s.png", sum);
    char *path = g_build_filename(g_get_user_cache_dir(), "tombolo", "cards", name, NULL);
    GStatBuf card, changed;
    *fresh = g_stat(path, &card) == 0 && g_stat(project, &changed) == 0 &&
             card.st_mtime > changed.st_mtime;
    return path;
}

static bool draw_project(const char *project, const char *out)
{
    g_autofree char *program =
            tb_place_find("../cli/tombolo-thumbnail", "../libexec/tombolo/tombolo-thumbnail");
    g_autofree char *folder = g_path_get_dirname(out);
    g_autofree char *size = g_strdup_printf("%d", 2 * TB_CARD_PX);
    if (!program || g_mkdir_with_parents(folder, 0700))
        return false;
    g_autoptr(GSubprocess) child =
            g_subprocess_new(G_SUBPROCESS_FLAGS_STDOUT_SILENCE | G_SUBPROCESS_FLAGS_STDERR_SILENCE,
                    NULL, program, project, out, size, NULL);
    return child && g_subprocess_wait_check(child, NULL, NULL);
}

static void card_cb(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    const char *path = payload;
    (void)source;
    (void)cancellable;
    if (g_str_has_suffix(path, ".tombolo")) {
        bool fresh;
        g_autofree char *kept = kept_card(path, &fresh);
        GBytes *card = fresh || draw_project(path, kept) ? card_of(kept) : NULL;
        g_task_return_pointer(task, card, (GDestroyNotify)g_bytes_unref);
    } else {
        g_task_return_pointer(task, card_of(path), (GDestroyNotify)g_bytes_unref);
    }
}

void tb_pictures_card_async(const char *path, GAsyncReadyCallback done_cb, gpointer payload)
{
    GTask *task = g_task_new(NULL, NULL, done_cb, payload);
    g_task_set_task_data(task, g_strdup(path), g_free);
    g_task_run_in_thread(task, card_cb);
    g_object_unref(task);
}

GBytes *tb_pictures_card_finish(GAsyncResult *result)
{
    return g_task_propagate_pointer(G_TASK(result), NULL);
}
