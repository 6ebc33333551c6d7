/* Runs a fuzz target over files and folders of files, without libFuzzer: what a campaign found once
 * is tried again in every test.   replay CORPUS…
 */
#include "fuzz.h"

#include <glib.h>
#include <stdio.h>

static unsigned replay(const char *path)
{
    unsigned n = 0;
    const char *name;
    g_autofree char *bytes = NULL;
    gsize size;
    g_autoptr(GDir) folder = g_dir_open(path, 0, NULL);
    while (folder && (name = g_dir_read_name(folder))) {
        g_autofree char *inner = g_build_filename(path, name, NULL);
        n += replay(inner);
    }
    if (folder || !g_file_get_contents(path, &bytes, &size, NULL))
        return n;
    /* An exact copy, so that a sanitizer sees a reading beyond the end. */
    uint8_t *exact = g_memdup2(bytes, size ? size : 1);
    LLVMFuzzerTestOneInput(exact, size);
    g_free(exact);
    return 1;
}

int main(int argc, char **argv)
{
    unsigned n = 0;
    for (int i = 1; i < argc; i++)
        n += replay(argv[i]);
    printf("1..1\n%s 1 - %u inputs replayed\n", n > 0 ? "ok" : "not ok", n);
    return n > 0 ? 0 : 1;
}
