/* app/model/library.c: see library.h. */
#include "app/model/library.h"

#include "app/model/errors.h"
#include "base/alloc.h"
#include "photo/picture.h"
#include "sheet/picture.h"

#include <glib/gi18n.h>
#include <glib/gstdio.h>
#include <string.h>
#include <sys/stat.h>

char *tb_library_folder(void)
{
    return g_build_filename(g_get_user_data_dir(), "tombolo", "projects", NULL);
}

/* A free name of the photograph's: "keeper.tombolo", "keeper 2.tombolo". NULL and error when the
 * folder can't be made. */
static char *new_project_path(const char *photo_path, GError **error)
{
    g_autofree char *folder = tb_library_folder();
    g_autofree char *base = g_path_get_basename(photo_path);
    char *dot = strrchr(base, '.');
    if (dot && dot > base)
        *dot = '\0';
    if (g_mkdir_with_parents(folder, 0700)) {
        g_set_error(error, TB_WORK_ERROR, TB_EWRITE, _("the folder %s can't be made"), folder);
        return NULL;
    }
    for (int i = 1;; i++) {
        g_autofree char *name = i == 1 ? g_strdup_printf("%s.tombolo", base)
                                       : g_strdup_printf("%s %d.tombolo", base, i);
        g_autofree char *path = g_build_filename(folder, name, NULL);
        if (!g_file_test(path, G_FILE_TEST_EXISTS))
            return g_steal_pointer(&path);
    }
}

TbWork *tb_library_open(const char *path, const tb_settings *start, GError **error)
{
    if (g_str_has_suffix(path, ".tombolo"))
        return tb_work_open(path, error);
    g_autofree char *project_path = new_project_path(path, error);
    return project_path ? tb_work_new_from_photo(path, project_path, start, error) : NULL;
}

/* ---- a photograph, or a pattern already -------------------------------------------------------
 */

typedef struct {
    char *path;
    tb_settings start;
    uint8_t *photo; /* the file's bytes */
    size_t n_photo;
    tb_bytes pattern; /* as a picture of our own; none: it is a photograph */
    tb_error err;     /* the file can't be read */
} opening;

static void opening_free(gpointer payload)
{
    opening *o = payload;
    g_free(o->path);
    tb_free(o->photo);
    tb_bytes_clear(&o->pattern);
    g_free(o);
}

/* A pattern whose size nobody knows is as wide as a board is unless told. */
static tb_status read_pattern(tb_mask **mask, const opening *o, tb_job *job)
{
    tb_picture_options options = {0};
    tb_status status = tb_picture_read(mask, NULL, o->photo, o->n_photo, &options, job, NULL);
    options.width_mm = o->start.width_mm > 0 ? o->start.width_mm : 200;
    return status == TB_EINVAL
                   ? tb_picture_read(mask, NULL, o->photo, o->n_photo, &options, job, NULL)
                   : status;
}

static void look_cb(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    opening *o = payload;
    tb_job job = {.n_threads = (int)MIN(g_get_num_processors(), 8)};
    tb_mask *mask = NULL;
    (void)source;
    (void)cancellable;
    if (tb_file_read(&o->photo, &o->n_photo, o->path, TB_PHOTO_MAX_BYTES, &o->err) == TB_OK &&
            read_pattern(&mask, o, &job) == TB_OK) {
        if (tb_picture_png(&o->pattern, mask, NULL) == TB_OK) {
            o->start.drawn = 1;
            o->start.tie = 0; /* first it is seen as it is */
            o->start.px_per_mm = CLAMP(mask->px_per_mm, 4, 24);
            o->start.width_mm = mask->width_px / mask->px_per_mm;
            o->start.height_mm = mask->height_px / mask->px_per_mm;
        }
    }
    tb_mask_free(mask);
    g_task_return_boolean(task, TRUE);
}

void tb_library_open_async(
        const char *path, const tb_settings *start, GAsyncReadyCallback done_cb, gpointer payload)
{
    GTask *task = g_task_new(NULL, NULL, done_cb, payload);
    opening *o = g_new0(opening, 1);
    o->path = g_strdup(path);
    o->start = start ? *start : (tb_settings)TB_SETTINGS_INIT;
    g_task_set_task_data(task, o, opening_free);
    if (g_str_has_suffix(path, ".tombolo"))
        g_task_return_boolean(task, TRUE);
    else
        g_task_run_in_thread(task, look_cb);
    g_object_unref(task);
}

TbWork *tb_library_open_finish(GAsyncResult *result, bool *drawn, GError **error)
{
    const opening *o = g_task_get_task_data(G_TASK(result));
    *drawn = o->pattern.n > 0;
    if (g_str_has_suffix(o->path, ".tombolo"))
        return tb_work_open(o->path, error);
    if (!o->photo) {
        tb_work_error_set(error, &o->err);
        return NULL;
    }
    g_autofree char *project_path = new_project_path(o->path, error);
    g_autofree char *name = g_path_get_basename(o->path);
    if (!project_path)
        return NULL;
    return *drawn ? tb_work_new_from_bytes(
                            name, o->pattern.data, o->pattern.n, project_path, &o->start, error)
                  : tb_work_new_from_bytes(
                            name, o->photo, o->n_photo, project_path, &o->start, error);
}

typedef struct {
    char *path;
    int64_t changed_s;
} entry;

static int newer_first(const void *a, const void *b)
{
    const entry *x = a, *y = b;
    return (y->changed_s > x->changed_s) - (y->changed_s < x->changed_s);
}

char **tb_library_recent(unsigned most)
{
    g_autofree char *folder = tb_library_folder();
    GDir *dir = g_dir_open(folder, 0, NULL);
    GArray *entries = g_array_new(FALSE, FALSE, sizeof(entry));
    GPtrArray *paths = g_ptr_array_new();
    const char *name;
    while (dir && (name = g_dir_read_name(dir))) {
        entry e = {g_build_filename(folder, name, NULL), 0};
        GStatBuf info;
        if (g_str_has_suffix(name, ".tombolo") && g_stat(e.path, &info) == 0) {
            e.changed_s = info.st_mtime;
            g_array_append_val(entries, e);
        } else {
            g_free(e.path);
        }
    }
    if (dir)
        g_dir_close(dir);
    if (entries->len > 0)
        qsort(entries->data, entries->len, sizeof(entry), newer_first);
    for (guint i = 0; i < entries->len; i++) {
        char *path = g_array_index(entries, entry, i).path;
        if (i < most)
            g_ptr_array_add(paths, path);
        else
            g_free(path);
    }
    g_ptr_array_add(paths, NULL);
    g_array_unref(entries);
    return (char **)g_ptr_array_free(paths, FALSE);
}

char *tb_library_name(const char *path)
{
    char *base = g_path_get_basename(path);
    if (g_str_has_suffix(base, ".tombolo"))
        base[strlen(base) - strlen(".tombolo")] = '\0';
    return base;
}

char *tb_library_place(const char *path)
{
    const char *home = g_get_home_dir();
    size_t n = strlen(home);
    g_autofree char *shown = g_filename_display_name(path);
    bool below = n > 1 && strncmp(path, home, n) == 0 && path[n] == '/';
    return below ? g_strconcat("~", shown + n, NULL) : g_steal_pointer(&shown);
}
