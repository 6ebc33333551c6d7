/* The piece as it will hang: the picture of a small board is compared with one that was looked at
 * and found good (golden/preview.png; TOMBOLO_GOLDEN=generate writes it anew), and what makes it
 * look like wood is measured. */
#include "base/alloc.h"
#include "board.h"
#include "sheet/picture.h"

#include <cairo.h>
#include <stdlib.h>
#include <string.h>

enum { LONGEST_PX = 128 };

typedef struct {
    uint8_t *rgb;
    int w, h;
} picture;

/* 80 × 100 mm: an opening with a ring of wood tied in it. */
static picture draw(const char *species, int n_threads)
{
    picture p;
    tb_job job = {.n_threads = n_threads};
    tb_mask *mask = board_new(80, 100, 10);
    board_set_disc(mask, 40, 50, 30, 0);
    board_set_disc(mask, 40, 50, 18, 1);
    board_set_disc(mask, 40, 50, 8, 0);
    board_set_box(mask, 38, 10, 42, 40, 1);
    tb_outline *outline = board_trace(mask);
    tb_sheet_content content = {.mask = mask,
            .outline = outline,
            .species = species,
            .thickness_mm = 6.5,
            .grain_rad = G_PI / 2};
    g_assert_cmpint(
            tb_preview_rgb(&p.rgb, &p.w, &p.h, &content, LONGEST_PX, &job, NULL), ==, TB_OK);
    tb_outline_free(outline);
    tb_mask_free(mask);
    return p;
}

static const uint8_t *at(const picture *p, double x_mm, double y_mm)
{
    /* The board's longer side is 1 / 1.11 of the picture's. */
    double scale = LONGEST_PX / (100 * 1.11);
    int x = (int)((x_mm - 40) * scale + p->w / 2.0), y = (int)((y_mm - 50) * scale + p->h / 2.0);
    return p->rgb + 3 * ((size_t)y * (size_t)p->w + (size_t)x);
}

static double light(const picture *p, double x_mm, double y_mm)
{
    const uint8_t *c = at(p, x_mm, y_mm);
    return (0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2]) / 255;
}

static void save(const picture *p, const char *path)
{
    cairo_surface_t *to = cairo_image_surface_create(CAIRO_FORMAT_RGB24, p->w, p->h);
    uint8_t *px = cairo_image_surface_get_data(to);
    int stride = cairo_image_surface_get_stride(to);
    for (int i = 0; i < p->w * p->h; i++) {
        const uint8_t *c = p->rgb + 3 * (size_t)i;
        uint32_t value = (uint32_t)c[0] << 16 | (uint32_t)c[1] << 8 | c[2];
        memcpy(px + i / p->w * stride + i % p->w * 4, &value, sizeof value);
    }
    cairo_surface_mark_dirty(to);
    g_assert_cmpint(cairo_surface_write_to_png(to, path), ==, CAIRO_STATUS_SUCCESS);
    cairo_surface_destroy(to);
}

/* Mean difference of a channel, and the share of pixels with one that is far off. */
static void compare(double *mean, double *far, const picture *p, cairo_surface_t *golden)
{
    const uint8_t *px = cairo_image_surface_get_data(golden);
    int stride = cairo_image_surface_get_stride(golden);
    size_t n = (size_t)p->w * (size_t)p->h, sum = 0, n_far = 0;
    for (size_t i = 0; i < n; i++) {
        uint32_t value;
        int worst = 0;
        memcpy(&value, px + i / (size_t)p->w * (size_t)stride + i % (size_t)p->w * 4, sizeof value);
        for (int k = 0; k < 3; k++) {
            int off = abs((int)(value >> (16 - 8 * k) & 255) - p->rgb[3 * i + (size_t)k]);
            sum += (size_t)off;
            worst = off > worst ? off : worst;
        }
        n_far += worst > 24;
    }
    *mean = (double)sum / (double)(3 * n);
    *far = (double)n_far / (double)n;
}

static void test_preview__is_as_it_was_found_good(void)
{
    picture p = draw("birch-ply-6.5", 1);
    g_autofree char *path = g_test_build_filename(G_TEST_DIST, "golden", "preview.png", NULL);
    double mean, far;
    if (g_strcmp0(g_getenv("TOMBOLO_GOLDEN"), "generate") == 0)
        save(&p, path);
    cairo_surface_t *golden = cairo_image_surface_create_from_png(path);
    g_assert_cmpint(cairo_surface_status(golden), ==, CAIRO_STATUS_SUCCESS);
    g_assert_cmpint(cairo_image_surface_get_width(golden), ==, p.w);
    g_assert_cmpint(cairo_image_surface_get_height(golden), ==, p.h);
    /* Another cairo may draw an edge a little softer; another wood or light is far off. */
    compare(&mean, &far, &p, golden);
    g_assert_cmpfloat(mean, <, 1);
    g_assert_cmpfloat(far, <, 0.005);
    /* And the tolerance can fail. */
    picture other = draw("maple-6", 1);
    compare(&mean, &far, &other, golden);
    g_assert_cmpfloat(mean, >, 2);
    cairo_surface_destroy(golden);
    tb_free(p.rgb);
    tb_free(other.rgb);
}

static void test_preview__wood_is_thick_and_casts_a_shadow(void)
{
    picture p = draw("birch-ply-6.5", 1);
    double face = light(&p, 20, 15), backer = light(&p, 40, 78);
    /* Below the ring: its side first, then its shadow, then the backer. */
    double side = light(&p, 40, 68.8), shade = light(&p, 42, 72.2);
    g_assert_cmpfloat(face, >, 0.65);
    g_assert_cmpfloat(side, <, face * 0.8);
    g_assert_cmpfloat(side, >, backer);
    g_assert_cmpfloat(backer, <, 0.25);
    g_assert_cmpfloat(shade, <, backer * 0.75);
    tb_free(p.rgb);
}

static void test_preview__species_differ(void)
{
    static const char *const DARK_FIRST[] = {"walnut-6", "mahogany-6", "cherry-6", "birch-ply-6.5"};
    double before = 0;
    for (size_t i = 0; i < G_N_ELEMENTS(DARK_FIRST); i++) {
        picture p = draw(DARK_FIRST[i], 1);
        double sum = 0;
        for (int k = 0; k < 60; k++)
            sum += light(&p, 10 + k, 10) / 60;
        g_assert_cmpfloat(sum, >, before + 0.03);
        before = sum;
        tb_free(p.rgb);
    }
}

static void test_preview__is_the_same_at_any_thread_count(void)
{
    picture one = draw("red-oak-6", 1), three = draw("red-oak-6", 3);
    g_assert_cmpmem(one.rgb, 3 * (size_t)one.w * (size_t)one.h, three.rgb,
            3 * (size_t)three.w * (size_t)three.h);
    tb_free(one.rgb);
    tb_free(three.rgb);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/preview/golden", test_preview__is_as_it_was_found_good);
    g_test_add_func("/preview/thick", test_preview__wood_is_thick_and_casts_a_shadow);
    g_test_add_func("/preview/species", test_preview__species_differ);
    g_test_add_func("/preview/threads", test_preview__is_the_same_at_any_thread_count);
    return g_test_run();
}
