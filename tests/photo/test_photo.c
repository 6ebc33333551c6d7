/* Photographs in. The pictures and what they must show come from make_pictures.py, where the
 * outside judges are named; CIE's own values are checked here. */
#include "photo/photo.h"

#include "base/alloc.h"

#include <glib.h>
#include <glib/gstdio.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static char *folder;

typedef struct {
    uint8_t *bytes;
    size_t n;
} file;

static file read_picture(const char *name)
{
    file f;
    tb_error err = {0};
    char *path = g_build_filename(folder, name, NULL);
    tb_status status = tb_file_read(&f.bytes, &f.n, path, 1 << 28, &err);
    g_assert_cmpstr(err.text, ==, "");
    g_assert_cmpint(status, ==, TB_OK);
    g_free(path);
    return f;
}

static tb_plane *tone_of(const char *name, const tb_photo_view *view, int n_threads)
{
    file f = read_picture(name);
    tb_job job = {.n_threads = n_threads};
    tb_error err = {0};
    tb_plane *tone;
    tb_status status = tb_photo_tone(&tone, f.bytes, f.n, view, &job, &err);
    g_assert_cmpstr(err.text, ==, "");
    g_assert_cmpint(status, ==, TB_OK);
    tb_free(f.bytes);
    return tone;
}

static double at(const tb_plane *tone, int x, int y)
{
    return (double)tone->px[(size_t)y * (size_t)tone->width_px + (size_t)x];
}

/* One line of the index: all four fields, seen whole, shrunk and enlarged. */
static void test_photo__shows_its_fields(const void *data)
{
    char **words = g_strsplit(data, " ", -1);
    double tolerance = g_ascii_strtod(words[1], NULL);
    static const int SIZES[] = {96, 48, 24, 192, 240};
    for (size_t s = 0; s < G_N_ELEMENTS(SIZES); s++) {
        int w = SIZES[s], h = w * 2 / 3;
        tb_photo_view view = {0, 0, 96, 64, 0, w, h, 1};
        tb_plane *tone = tone_of(words[0], &view, 2);
        for (int i = 0; i < 4; i++)
            g_assert_cmpfloat_with_epsilon(at(tone, w / 4 + i % 2 * w / 2, h / 4 + i / 2 * h / 2),
                    g_ascii_strtod(words[2 + i], NULL), tolerance);
        tb_plane_free(tone);
    }
    g_strfreev(words);
}

static double lightness_of(const uint8_t *rgb)
{
    static const double WEIGHTS[3] = {0.2126, 0.7152, 0.0722};
    double y = 0;
    for (int band = 0; band < 3; band++) {
        double c = rgb[band] / 255.0;
        y += WEIGHTS[band] * (c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return y > pow(6.0 / 29, 3) ? 116 * cbrt(y) - 16 : y * pow(29.0 / 3, 3);
}

/* The same fields on a card of it; what it cuts off at the sides leaves them a third of it. */
static void test_photo__shows_its_fields_on_a_card(const void *data)
{
    char **words = g_strsplit(data, " ", -1);
    double tolerance = g_ascii_strtod(words[1], NULL) + 1;
    file f = read_picture(words[0]);
    uint8_t *rgb = NULL;
    g_assert_cmpint(tb_photo_card(&rgb, f.bytes, f.n, 60, 60, NULL), ==, TB_OK);
    for (int i = 0; i < 4; i++)
        g_assert_cmpfloat_with_epsilon(
                lightness_of(rgb + (size_t)3 * (size_t)((15 + i / 2 * 30) * 60 + 15 + i % 2 * 30)),
                g_ascii_strtod(words[2 + i], NULL), tolerance);
    tb_free(rgb);
    tb_free(f.bytes);
    g_strfreev(words);
}

/* CIE 15; the values of sRGB's primaries are those that any colour table gives. */
static void test_photo__agrees_with_cie(void)
{
    static const double LSTAR[4] = {53.24, 87.73, 32.30, 50.03};
    tb_photo_view view = {0, 0, 96, 64, 0, 96, 64, 1};
    tb_plane *tone = tone_of("plain.png", &view, 1);
    for (int i = 0; i < 4; i++)
        g_assert_cmpfloat_with_epsilon(at(tone, 24 + i % 2 * 48, 16 + i / 2 * 32), LSTAR[i], 0.01);
    tb_plane_free(tone);
}

static void test_photo__names_format_and_density(void)
{
    static const struct {
        const char *name, *format;
        double px_per_mm;
    } ROWS[] = {{"dpi-300.png", "png", 11.811}, {"dpi-300.jpg", "jpeg", 300 / 25.4},
            {"dpi-300.tif", "tiff", 300 / 25.4}, {"dpi-none.webp", "webp", 0},
            {"plain.png", "png", 0}};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        file f = read_picture(ROWS[i].name);
        tb_photo_info info;
        g_assert_cmpint(tb_photo_look(&info, f.bytes, f.n, NULL), ==, TB_OK);
        g_assert_cmpstr(info.format, ==, ROWS[i].format);
        g_assert_cmpfloat_with_epsilon(info.px_per_mm, ROWS[i].px_per_mm, 1e-3);
        g_assert_cmpint(info.width_px, ==, 96);
        g_assert_cmpint(info.height_px, ==, 64);
        tb_free(f.bytes);
    }
}

/* Black and white lines seen from afar are half the light, not half the lightness. */
static void test_photo__shrinks_in_linear_light(void)
{
    tb_photo_view view = {0, 0, 128, 64, 0, 64, 32, 1};
    tb_plane *tone = tone_of("stripes.png", &view, 1);
    for (size_t i = 0; i < tb_plane_area_px(tone); i++)
        g_assert_cmpfloat_with_epsilon(tone->px[i], 116 * cbrt(0.5) - 16, 0.01);
    tb_plane_free(tone);
}

/* A crop of whole pixels at its own size is the photograph's own pixels. */
static void test_photo__crops_exactly(void)
{
    tb_photo_view all = {0, 0, 400, 300, 0, 400, 300, 1}, part = {37, 21, 200, 150, 0, 200, 150, 1};
    tb_plane *whole = tone_of("random.png", &all, 1), *cut = tone_of("random.png", &part, 1);
    for (int y = 0; y < 150; y++)
        for (int x = 0; x < 200; x++)
            g_assert_cmpfloat(at(cut, x, y), ==, at(whole, x + 37, y + 21));
    tb_plane_free(whole);
    tb_plane_free(cut);
}

/* A quarter turn clockwise takes the top edge to the right. */
static void test_photo__turns_clockwise(void)
{
    tb_photo_view straight = {50, 0, 300, 300, 0, 300, 300, 1}, turned = straight;
    turned.turn_rad = G_PI / 2;
    tb_plane *from = tone_of("random.png", &straight, 1), *to = tone_of("random.png", &turned, 2);
    for (int y = 4; y < 296; y++)
        for (int x = 4; x < 296; x++)
            g_assert_cmpfloat_with_epsilon(at(to, x, y), at(from, y, 299 - x), 0.01);
    tb_plane_free(from);
    tb_plane_free(to);
}

static void test_photo__is_the_same_at_any_thread_count(void)
{
    static const tb_photo_view VIEWS[] = {{3.3, 7.7, 301, 250, 0, 173, 144, 1},
            {3.3, 7.7, 301, 250, 0, 602, 500, 1}, {3.3, 7.7, 301, 250, 0.2, 602, 500, 1},
            {3.3, 7.7, 301, 250, -0.2, 150, 125, 1}};
    for (size_t i = 0; i < G_N_ELEMENTS(VIEWS); i++) {
        tb_plane *one = tone_of("random.png", &VIEWS[i], 1);
        tb_plane *five = tone_of("random.png", &VIEWS[i], 5);
        g_assert_cmpmem(one->px, tb_plane_area_px(one) * sizeof(float), five->px,
                tb_plane_area_px(five) * sizeof(float));
        tb_plane_free(one);
        tb_plane_free(five);
    }
}

static void test_photo__stops_when_told(void)
{
    file f = read_picture("random.png");
    atomic_bool stop = true;
    tb_job job = {.n_threads = 2, .stop = &stop};
    tb_photo_view view = {0, 0, 400, 300, 0, 200, 150, 1};
    tb_plane *tone;
    g_assert_cmpint(tb_photo_tone(&tone, f.bytes, f.n, &view, &job, NULL), ==, TB_ECANCELLED);
    g_assert_null(tone);
    tb_free(f.bytes);
}

static void test_photo__refuses_a_part_outside(void)
{
    static const tb_photo_view VIEWS[] = {{500, 0, 50, 50, 0, 50, 50, 1},
            {0, 0, 0, 50, 0, 50, 50, 1}, {NAN, 0, 50, 50, 0, 50, 50, 1},
            {0, 0, 50, 50, 0, 0, 50, 1}, {0, 0, 50, 50, INFINITY, 50, 50, 1}};
    file f = read_picture("random.png");
    for (size_t i = 0; i < G_N_ELEMENTS(VIEWS); i++) {
        tb_plane *tone;
        tb_error err = {0};
        g_assert_cmpint(tb_photo_tone(&tone, f.bytes, f.n, &VIEWS[i], NULL, &err), ==, TB_EINVAL);
        g_assert_null(tone);
        g_assert_cmpstr(err.text, !=, "");
    }
    tb_free(f.bytes);
}

/* Every file named refuse-* is refused with a line, by the look or at the latest by the tone. */
static void test_photo__refuses(const void *data)
{
    char *path = g_build_filename(folder, data, NULL);
    uint8_t *bytes = NULL;
    size_t n = 0;
    tb_error err = {0};
    tb_photo_info info;
    tb_plane *tone = NULL;
    tb_status status = tb_file_read(&bytes, &n, path, 1 << 28, &err);
    if (!status)
        status = tb_photo_look(&info, bytes, n, &err);
    if (!status) {
        tb_photo_view view = {0, 0, info.width_px, info.height_px, 0, 50, 50, 1};
        status = tb_photo_tone(&tone, bytes, n, &view, NULL, &err);
    }
    g_assert_cmpint(status, ==, TB_EREAD);
    g_assert_cmpint(err.code, ==, TB_EREAD);
    g_assert_cmpstr(err.text, !=, "");
    g_assert_null(tone);
    tb_free(bytes);
    g_free(path);
}

static void test_photo__names_what_a_path_is(void)
{
    static const struct {
        const char *path, *text;
    } ROWS[] = {{"/no/such/file.jpg", "there is no such file"},
            {"/", "this is a folder; give a file"}, {"/dev/null", "the file is empty"},
            {"/dev/zero", "larger than 1 MB, the most that is read"}};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        uint8_t *bytes;
        size_t n;
        tb_error err = {0};
        g_assert_cmpint(tb_file_read(&bytes, &n, ROWS[i].path, 1000000, &err), ==, TB_EREAD);
        g_assert_cmpstr(err.text, ==, ROWS[i].text);
        g_assert_null(bytes);
    }
}

/* Flips bytes of every small picture: refused or read, never a crash. */
static void test_photo__survives_damage(void)
{
    static const char *const NAMES[] = {"baseline.jpg", "progressive.jpg", "palette.png",
            "plain.tif", "lossy.webp", "photo.heic", "profile-a98.png"};
    GRand *rand = g_rand_new_with_seed(5);
    for (size_t i = 0; i < G_N_ELEMENTS(NAMES); i++) {
        char *path = g_build_filename(folder, NAMES[i], NULL);
        if (!g_file_test(path, G_FILE_TEST_EXISTS)) {
            g_free(path);
            continue;
        }
        g_free(path);
        file f = read_picture(NAMES[i]);
        for (int round = 0; round < 40; round++) {
            uint8_t *copy = g_memdup2(f.bytes, f.n);
            copy[g_rand_int_range(rand, 12, (int)f.n)] ^= (uint8_t)g_rand_int_range(rand, 1, 256);
            tb_photo_view view = {0, 0, 96, 64, 0, 48, 32, 1};
            tb_plane *tone;
            tb_status status = tb_photo_tone(&tone, copy, f.n, &view, NULL, NULL);
            g_assert_true((status == TB_OK) == (tone != NULL));
            tb_plane_free(tone);
            g_free(copy);
        }
        tb_free(f.bytes);
    }
    g_rand_free(rand);
}

static bool make_pictures(void)
{
    const char *argv[] = {"/usr/bin/python3", MAKE_PICTURES, folder, NULL};
    char *args[G_N_ELEMENTS(argv)];
    int status = 1;
    memcpy(args, argv, sizeof argv);
    return g_spawn_sync(NULL, args, NULL, G_SPAWN_STDOUT_TO_DEV_NULL, NULL, NULL, NULL, NULL,
                   &status, NULL) &&
           status == 0;
}

static char **add_pictures(void)
{
    char *path = g_build_filename(folder, "index.txt", NULL), *text = NULL;
    g_assert_true(g_file_get_contents(path, &text, NULL, NULL));
    char **lines = g_strsplit(g_strstrip(text), "\n", -1);
    for (char **line = lines; *line; line++) {
        char *name =
                g_strdup_printf("/photo/shows_its_fields/%.*s", (int)strcspn(*line, " "), *line);
        g_test_add_data_func(name, *line, test_photo__shows_its_fields);
        g_free(name);
        name = g_strdup_printf("/photo/card/%.*s", (int)strcspn(*line, " "), *line);
        g_test_add_data_func(name, *line, test_photo__shows_its_fields_on_a_card);
        g_free(name);
    }
    g_free(text);
    g_free(path);
    return lines;
}

static GPtrArray *add_refused(void)
{
    GPtrArray *names = g_ptr_array_new_with_free_func(g_free);
    GDir *dir = g_dir_open(folder, 0, NULL);
    for (const char *name; (name = g_dir_read_name(dir));)
        if (g_str_has_prefix(name, "refuse-")) {
            char *path = g_strconcat("/photo/refuses/", name, NULL);
            g_ptr_array_add(names, g_strdup(name));
            g_test_add_data_func(path, names->pdata[names->len - 1], test_photo__refuses);
            g_free(path);
        }
    g_dir_close(dir);
    return names;
}

static void remove_folder(void)
{
    GDir *dir = g_dir_open(folder, 0, NULL);
    for (const char *name; (name = g_dir_read_name(dir));) {
        char *path = g_build_filename(folder, name, NULL);
        g_unlink(path);
        g_free(path);
    }
    g_dir_close(dir);
    g_rmdir(folder);
    g_free(folder);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    /* libvips warns of damaged files, which are given to it here on purpose. */
    g_log_set_always_fatal(G_LOG_LEVEL_ERROR | G_LOG_LEVEL_CRITICAL);
    folder = g_dir_make_tmp("tombolo-photo-XXXXXX", NULL);
    g_assert_nonnull(folder);
    if (!make_pictures()) {
        g_print("1..0 # SKIP the picture maker needs Python with Pillow, NumPy and OpenCV\n");
        remove_folder();
        return 0;
    }
    g_assert_cmpint(tb_photo_start(2, NULL), ==, TB_OK);
    char **lines = add_pictures();
    GPtrArray *refused = add_refused();
    g_test_add_func("/photo/agrees_with_cie", test_photo__agrees_with_cie);
    g_test_add_func("/photo/names_format_and_density", test_photo__names_format_and_density);
    g_test_add_func("/photo/shrinks_in_linear_light", test_photo__shrinks_in_linear_light);
    g_test_add_func("/photo/crops_exactly", test_photo__crops_exactly);
    g_test_add_func("/photo/turns_clockwise", test_photo__turns_clockwise);
    g_test_add_func(
            "/photo/is_the_same_at_any_thread_count", test_photo__is_the_same_at_any_thread_count);
    g_test_add_func("/photo/stops_when_told", test_photo__stops_when_told);
    g_test_add_func("/photo/refuses_a_part_outside", test_photo__refuses_a_part_outside);
    g_test_add_func("/photo/names_what_a_path_is", test_photo__names_what_a_path_is);
    g_test_add_func("/photo/survives_damage", test_photo__survives_damage);
    int result = g_test_run();
    g_strfreev(lines);
    g_ptr_array_unref(refused);
    tb_photo_stop();
    remove_folder();
    return result;
}
