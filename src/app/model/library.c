/* app/model/library.c: see library.h. */
#include "app/model/library.h"

#include "app/model/errors.h"

#include <glib/gi18n.h>
#include <glib/gstdio.h>
#include <string.h>
#include <sys/stat.h>

static char *projects_folder(void)
{
    return g_build_filename(g_get_user_data_dir(), "tombolo", "projects", NULL);
}

/* A free name of the photograph's: "keeper.tombolo", "keeper 2.tombolo". NULL and error when the
 * folder can't be made. */
static char *new_project_path(const char *photo_path, GError **error)
{
    g_autofree char *folder = projects_folder();
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
    g_autofree char *folder = projects_folder();
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
