/* flow/place.c: see place.h. */
#include "flow/place.h"

#include <gio/gio.h>

char *tb_place_find(const char *built, const char *installed)
{
    g_autofree char *self = g_file_read_link("/proc/self/exe", NULL);
    g_autofree char *folder = self ? g_path_get_dirname(self) : g_strdup(".");
    const char *const places[] = {built, installed};
    for (size_t i = 0; i < G_N_ELEMENTS(places); i++) {
        g_autofree char *path = g_build_filename(folder, places[i], NULL);
        if (g_file_test(path, G_FILE_TEST_EXISTS))
            return g_canonicalize_filename(path, NULL);
    }
    return NULL;
}
