/* The user's pictures: which are listed, and what is no picture does no harm. */
#include "app/model/pictures.h"
#include "photo/photo.h"

#include <cairo.h>
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <locale.h>

static char *folder;

static char *in_folder(const char *name)
{
    return g_build_filename(folder, "Pictures", name, NULL);
}

static void put(const char *name, const char *text)
{
    g_autofree char *path = in_folder(name), *around = g_path_get_dirname(path);
    g_assert_cmpint(g_mkdir_with_parents(around, 0700), ==, 0);
    g_assert_true(g_file_set_contents(path, text, -1, NULL));
}

static void put_picture(const char *name, int width, int height)
{
    g_autofree char *path = in_folder(name);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
    cairo_t *cr = cairo_create(surface);
    cairo_set_source_rgb(cr, 1, 0, 0);
    cairo_paint(cr);
    cairo_destroy(cr);
    g_assert_cmpint(cairo_surface_write_to_png(surface, path), ==, CAIRO_STATUS_SUCCESS);
    cairo_surface_destroy(surface);
}

static void keep_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    (void)source;
    *(GAsyncResult **)payload = g_object_ref(result);
}

static GAsyncResult *waited(GAsyncResult **result)
{
    while (!*result)
        g_main_context_iteration(NULL, TRUE);
    return *result;
}

static bool listed(char **paths, const char *name)
{
    g_autofree char *path = in_folder(name);
    return g_strv_contains((const char *const *)paths, path);
}

static void test_pictures__are_those_of_the_folder_and_of_folders_in_it(void)
{
    GAsyncResult *result = NULL;
    tb_pictures_list_async(10, keep_cb, &result);
    g_auto(GStrv) paths = tb_pictures_list_finish(waited(&result));
    g_assert_cmpuint(g_strv_length(paths), ==, 3);
    g_assert_true(listed(paths, "one.png"));
    g_assert_true(listed(paths, "false.JPG"));
    g_assert_true(listed(paths, "sub/two.jpeg"));
    g_object_unref(result);
}

/* Twice as wide as high: filled all the same, in the colour it was painted. */
static void test_pictures__have_cards_of_one_size_in_colour(void)
{
    GAsyncResult *result = NULL;
    g_autofree char *path = in_folder("one.png");
    tb_pictures_card_async(path, keep_cb, &result);
    g_autoptr(GBytes) card = tb_pictures_card_finish(waited(&result));
    g_assert_nonnull(card);
    g_assert_cmpuint(g_bytes_get_size(card), ==, (gsize)3 * TB_CARD_PX * TB_CARD_PX);
    const uint8_t *px = g_bytes_get_data(card, NULL);
    g_assert_cmpint(px[0], ==, 255);
    g_assert_cmpint(px[1], ==, 0);
    g_assert_cmpint(px[2], ==, 0);
    g_object_unref(result);
}

static void test_pictures__what_is_none_has_no_card(void)
{
    static const char *const NAMES[] = {"false.JPG", "notes.txt", "false.tombolo"};
    for (size_t i = 0; i < G_N_ELEMENTS(NAMES); i++) {
        GAsyncResult *result = NULL;
        g_autofree char *path = in_folder(NAMES[i]);
        tb_pictures_card_async(path, keep_cb, &result);
        g_assert_null(tb_pictures_card_finish(waited(&result)));
        g_object_unref(result);
    }
}

static void make_folder(void)
{
    folder = g_dir_make_tmp("tombolo-pictures-XXXXXX", NULL);
    g_autofree char *config = g_build_filename(folder, "user-dirs.dirs", NULL);
    g_setenv("HOME", folder, TRUE);
    g_setenv("XDG_CONFIG_HOME", folder, TRUE);
    g_assert_true(g_file_set_contents(config, "XDG_PICTURES_DIR=\"$HOME/Pictures\"\n", -1, NULL));
    put("notes.txt", "no");
    put("false.tombolo", "no");
    put("false.JPG", "not a picture");
    put(".hidden.png", "no");
    put("sub/two.jpeg", "no");
    put("sub/deep/three.png", "no");
    put_picture("one.png", 400, 200);
    g_autofree char *link = in_folder("link.png");
    g_autoptr(GFile) file = g_file_new_for_path(link);
    g_assert_true(g_file_make_symbolic_link(file, "one.png", NULL, NULL));
}

static void remove_folder(void)
{
    static const char *const NAMES[] = {"notes.txt", "false.tombolo", "false.JPG", ".hidden.png",
            "sub/two.jpeg", "sub/deep/three.png", "one.png", "link.png", "sub/deep", "sub",
            "../user-dirs.dirs", ".", ".."};
    for (size_t i = 0; i < G_N_ELEMENTS(NAMES); i++) {
        g_autofree char *path = in_folder(NAMES[i]);
        g_autofree char *plain = g_canonicalize_filename(path, NULL);
        g_remove(plain);
    }
    g_free(folder);
}

int main(int argc, char **argv)
{
    setlocale(LC_ALL, "C.UTF-8");
    make_folder();
    g_test_init(&argc, &argv, NULL);
    if (tb_photo_start(1, NULL))
        return 1;
    g_test_add_func(
            "/pictures/folder", test_pictures__are_those_of_the_folder_and_of_folders_in_it);
    g_test_add_func("/pictures/cards", test_pictures__have_cards_of_one_size_in_colour);
    g_test_add_func("/pictures/none", test_pictures__what_is_none_has_no_card);
    int failed = g_test_run();
    tb_photo_stop();
    remove_folder();
    return failed;
}
