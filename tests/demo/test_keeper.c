/* The demo photograph: the same every time, and lit like a portrait. */
#include <glib.h>
#include <glib/gstdio.h>
#include <vips/vips.h>

static const char *keeper_path;

/* Renders at the width into a fresh folder; both names are the caller's. */
static char *render(char **folder, const char *width)
{
    *folder = g_dir_make_tmp("keeper-XXXXXX", NULL);
    char *path = g_build_filename(*folder, "keeper.jpg", NULL);
    const char *argv[] = {keeper_path, "--width", width, path, NULL};
    int status = -1;
    g_assert_true(g_spawn_sync(NULL, (char **)(gpointer)argv, NULL, G_SPAWN_DEFAULT, NULL, NULL,
            NULL, NULL, &status, NULL));
    g_assert_cmpint(status, ==, 0);
    return path;
}

static void discard(char *path, char *folder)
{
    g_unlink(path);
    g_rmdir(folder);
    g_free(path);
    g_free(folder);
}

static void test_keeper__gives_the_same_bytes_twice(void)
{
    char *bytes[2], *folder;
    size_t n[2];
    for (int i = 0; i < 2; i++) {
        char *path = render(&folder, "120");
        g_assert_true(g_file_get_contents(path, &bytes[i], &n[i], NULL));
        discard(path, folder);
    }
    g_assert_cmpmem(bytes[0], n[0], bytes[1], n[1]);
    g_free(bytes[0]);
    g_free(bytes[1]);
}

/* Mean lightness, 0..255, of a box given in shares of the picture's width. */
static double mean_of(VipsImage *grey, double left, double top, double right, double bottom)
{
    double w = grey->Xsize, mean = 0;
    VipsImage *part = NULL;
    g_assert_cmpint(vips_extract_area(grey, &part, (int)(left * w), (int)(top * w),
                            (int)((right - left) * w), (int)((bottom - top) * w), NULL),
            ==, 0);
    g_assert_cmpint(vips_avg(part, &mean, NULL), ==, 0);
    g_object_unref(part);
    return mean;
}

static void test_keeper__is_lit_from_one_side(void)
{
    char *folder, *path = render(&folder, "200");
    VipsImage *picture = vips_image_new_from_file(path, "access", VIPS_ACCESS_RANDOM, NULL);
    VipsImage *grey = NULL;
    double spread = 0;
    g_assert_nonnull(picture);
    g_assert_cmpint(picture->Xsize, ==, 200);
    g_assert_cmpint(picture->Ysize, ==, 250);
    g_assert_cmpint(picture->Bands, ==, 3);
    g_assert_cmpint(vips_colourspace(picture, &grey, VIPS_INTERPRETATION_B_W, NULL), ==, 0);
    g_assert_cmpint(vips_deviate(grey, &spread, NULL), ==, 0);
    g_assert_cmpfloat(spread, >, 40);
    double lit_cheek = mean_of(grey, 0.30, 0.56, 0.36, 0.64);
    double behind_lit_side = mean_of(grey, 0.02, 0.70, 0.16, 0.80);
    double behind_shadow_side = mean_of(grey, 0.80, 0.20, 0.95, 0.60);
    g_assert_cmpfloat(lit_cheek, >, behind_lit_side + 60);
    g_assert_cmpfloat(behind_shadow_side, >, behind_lit_side + 60);
    g_object_unref(grey);
    g_object_unref(picture);
    discard(path, folder);
}

static void test_keeper__refuses_what_is_no_width(void)
{
    const char *argv[] = {keeper_path, "--width", "0", "nowhere.jpg", NULL};
    int status = 0;
    g_assert_true(g_spawn_sync(NULL, (char **)(gpointer)argv, NULL,
            G_SPAWN_STDERR_TO_DEV_NULL | G_SPAWN_STDOUT_TO_DEV_NULL, NULL, NULL, NULL, NULL,
            &status, NULL));
    GError *error = NULL;
    g_assert_false(g_spawn_check_wait_status(status, &error));
    g_assert_error(error, G_SPAWN_EXIT_ERROR, 2);
    g_error_free(error);
}

int main(int argc, char **argv)
{
    if (VIPS_INIT(argv[0]))
        return 1;
    g_test_init(&argc, &argv, NULL);
    keeper_path = argv[argc - 1];
    g_test_add_func("/keeper/gives_the_same_bytes_twice", test_keeper__gives_the_same_bytes_twice);
    g_test_add_func("/keeper/is_lit_from_one_side", test_keeper__is_lit_from_one_side);
    g_test_add_func("/keeper/refuses_what_is_no_width", test_keeper__refuses_what_is_no_width);
    return g_test_run();
}
