/* Pattern pictures in. make_patterns.py draws them with other libraries and says what must come. */
#include "photo/picture.h"

#include "base/alloc.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

static char *folder;

typedef struct {
    uint8_t *bytes;
    size_t n;
} file;

static file read_file(const char *name)
{
    file f;
    char *path = g_build_filename(folder, name, NULL);
    g_assert_cmpint(tb_file_read(&f.bytes, &f.n, path, 1 << 28, NULL), ==, TB_OK);
    g_free(path);
    return f;
}

static const uint8_t *read_truth(file *f, const char *name, int *width, int *height)
{
    *f = read_file(name);
    char *end;
    g_assert_cmpmem(f->bytes, 2, "P5", 2);
    *width = (int)g_ascii_strtoll((const char *)f->bytes + 2, &end, 10);
    *height = (int)g_ascii_strtoll(end, &end, 10);
    return f->bytes + f->n - (size_t)*width * (size_t)*height;
}

/* Compares by place on the board, so that sizes may differ. */
static double agreement(const tb_mask *mask, const uint8_t *truth, int width, int height)
{
    size_t n = 0;
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            int at_x = (int)((x + 0.5) * mask->width_px / width);
            int at_y = (int)((y + 0.5) * mask->height_px / height);
            bool wood = mask->px[(size_t)at_y * (size_t)mask->width_px + (size_t)at_x];
            n += wood == (truth[(size_t)y * (size_t)width + (size_t)x] > 127);
        }
    return (double)n / ((double)width * height);
}

static void test_picture__gives_the_right_mask(const void *data)
{
    char **words = g_strsplit(data, " ", -1);
    file f = read_file(words[0]);
    tb_picture_options options = {.width_mm = g_ascii_strtod(words[2], NULL),
            .wood = (tb_wood_tone)g_ascii_strtoll(words[3], NULL, 10)};
    tb_job job = {.n_threads = 2};
    tb_picture_info info = {0};
    tb_mask *mask;
    tb_error err = {0};
    tb_status status = tb_picture_read(&mask, &info, f.bytes, f.n, &options, &job, &err);
    g_test_message("%s", err.text);
    g_assert_cmpint(status, ==, g_ascii_strtoll(words[1], NULL, 10));
    if (status == TB_OK) {
        int width, height;
        file truth_file;
        const uint8_t *truth = read_truth(&truth_file, words[6], &width, &height);
        g_assert_cmpint(info.wood, ==, g_ascii_strtoll(words[5], NULL, 10));
        g_assert_cmpfloat_with_epsilon(
                info.turn_rad * 180 / G_PI, g_ascii_strtod(words[4], NULL), 0.1);
        g_assert_cmpfloat(
                agreement(mask, truth, width, height), >=, g_ascii_strtod(words[7], NULL));
        tb_free(truth_file.bytes);
    } else {
        g_assert_null(mask);
        g_assert_cmpstr(err.text, !=, "");
    }
    tb_mask_free(mask);
    tb_free(f.bytes);
    g_strfreev(words);
}

static tb_status read_with(
        const char *name, tb_picture_options options, double *px_per_mm, tb_error *err)
{
    file f = read_file(name);
    tb_mask *mask;
    tb_status status = tb_picture_read(&mask, NULL, f.bytes, f.n, &options, NULL, err);
    *px_per_mm = mask ? mask->px_per_mm : 0;
    tb_mask_free(mask);
    tb_free(f.bytes);
    return status;
}

static void test_picture__takes_its_size_from_what_it_is_told(void)
{
    double scale;
    tb_error err = {0};
    g_assert_cmpint(read_with("plain.png", (tb_picture_options){0}, &scale, &err), ==, TB_OK);
    /* pHYs counts whole pixels a metre: 300 dpi is 11811. */
    g_assert_cmpfloat_with_epsilon(scale, 11.811, 1e-9);
    g_assert_cmpint(read_with("plain.png", (tb_picture_options){.height_mm = 100}, &scale, &err),
            ==, TB_OK);
    g_assert_cmpfloat_with_epsilon(scale, 11, 1e-9);
    g_assert_cmpint(read_with("no-size.png", (tb_picture_options){0}, &scale, &err), ==, TB_EINVAL);
    g_assert_cmpstr(err.text, ==,
            "size unknown: say how wide the piece is, as --width 200mm, or how high: --height");
    tb_picture_options both = {.width_mm = 90, .height_mm = 80};
    g_assert_cmpint(read_with("plain.png", both, &scale, &err), ==, TB_EINVAL);
    tb_picture_options tiny = {.width_mm = 2000};
    g_assert_cmpint(read_with("plain.png", tiny, &scale, &err), ==, TB_EINVAL);
}

static void test_picture__points_photographs_to_make(void)
{
    double scale;
    tb_error err = {0};
    g_assert_cmpint(
            read_with("photograph.jpg", (tb_picture_options){0}, &scale, &err), ==, TB_EREAD);
    g_assert_nonnull(strstr(err.text, "tombolo make"));
}

static void test_picture__stops_when_told(void)
{
    file f = read_file("plain.png");
    atomic_bool stop = true;
    tb_job job = {.n_threads = 2, .stop = &stop};
    tb_picture_options options = {0};
    tb_mask *mask;
    g_assert_cmpint(
            tb_picture_read(&mask, NULL, f.bytes, f.n, &options, &job, NULL), ==, TB_ECANCELLED);
    g_assert_null(mask);
    tb_free(f.bytes);
}

static void test_picture__survives_damage(void)
{
    static const char *const NAMES[] = {"plain.png", "jpeg-50.jpg", "one-bit.tif", "lossless.webp"};
    GRand *rand = g_rand_new_with_seed(7);
    tb_picture_options options = {.width_mm = 80};
    for (size_t i = 0; i < G_N_ELEMENTS(NAMES); i++) {
        file f = read_file(NAMES[i]);
        for (int k = 0; k < 12; k++) {
            uint8_t *copy = g_memdup2(f.bytes, f.n);
            size_t n = k % 2 ? f.n : (size_t)g_rand_int_range(rand, 0, (gint32)f.n);
            for (int hit = 0; hit < 20; hit++)
                copy[g_rand_int_range(rand, 0, (gint32)f.n)] ^= (uint8_t)g_rand_int(rand);
            tb_mask *mask;
            tb_status status = tb_picture_read(&mask, NULL, copy, n, &options, NULL, NULL);
            g_assert_true((status == TB_OK) == (mask != NULL));
            tb_mask_free(mask);
            g_free(copy);
        }
        tb_free(f.bytes);
    }
    g_rand_free(rand);
}

static bool make_patterns(void)
{
    char *argv[] = {g_strdup("/usr/bin/python3"), g_strdup(MAKE_PATTERNS), g_strdup(folder), NULL};
    int status = 1;
    bool done = g_spawn_sync(
            NULL, argv, NULL, G_SPAWN_STDOUT_TO_DEV_NULL, NULL, NULL, NULL, NULL, &status, NULL);
    for (int i = 0; argv[i]; i++)
        g_free(argv[i]);
    return done && status == 0;
}

static char **add_patterns(void)
{
    char *path = g_build_filename(folder, "index.txt", NULL), *text = NULL;
    g_assert_true(g_file_get_contents(path, &text, NULL, NULL));
    char **lines = g_strsplit(text, "\n", -1);
    for (int i = 0; lines[i]; i++) {
        char *name = g_strdup_printf("/picture/mask/%.*s", (int)strcspn(lines[i], " "), lines[i]);
        g_test_add_data_func(name, lines[i], test_picture__gives_the_right_mask);
        g_free(name);
    }
    g_free(text);
    g_free(path);
    return lines;
}

static void remove_folder(void)
{
    const char *name;
    GDir *dir = g_dir_open(folder, 0, NULL);
    while (dir && (name = g_dir_read_name(dir))) {
        char *path = g_build_filename(folder, name, NULL);
        g_unlink(path);
        g_free(path);
    }
    if (dir)
        g_dir_close(dir);
    g_rmdir(folder);
    g_free(folder);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    /* libvips warns of damaged files, which are given to it here on purpose. */
    g_log_set_always_fatal(G_LOG_LEVEL_ERROR | G_LOG_LEVEL_CRITICAL);
    folder = g_dir_make_tmp("tombolo-picture-XXXXXX", NULL);
    g_assert_nonnull(folder);
    if (!make_patterns()) {
        g_print("1..0 # SKIP the pattern maker needs Python with Pillow, NumPy and OpenCV\n");
        remove_folder();
        return 0;
    }
    g_assert_cmpint(tb_photo_start(2, NULL), ==, TB_OK);
    char **lines = add_patterns();
    g_test_add_func("/picture/size", test_picture__takes_its_size_from_what_it_is_told);
    g_test_add_func("/picture/photograph", test_picture__points_photographs_to_make);
    g_test_add_func("/picture/stops_when_told", test_picture__stops_when_told);
    g_test_add_func("/picture/survives_damage", test_picture__survives_damage);
    int result = g_test_run();
    g_strfreev(lines);
    tb_photo_stop();
    remove_folder();
    return result;
}
