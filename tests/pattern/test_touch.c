/* Strokes on the tone: shading, weights, and what is left out. */
#include "pattern/geodesic.h"
#include "pattern/touch.h"

#include <glib.h>
#include <math.h>
#include <string.h>

/* A light disc of 20 mm about (30, 25) on a darker ground of 60 × 50 mm, with a slope of light over
 * all of it and a little grain. */
static tb_plane *disc(double px_per_mm, double ground, double grain)
{
    tb_plane *plane;
    int w = (int)lround(60 * px_per_mm), h = (int)lround(50 * px_per_mm);
    g_autoptr(GRand) rand = g_rand_new_with_seed(1);
    g_assert_cmpint(tb_plane_new(&plane, w, h, px_per_mm, NULL), ==, TB_OK);
    for (int y = 0; y < h; y++)
        for (int x = 0; x < w; x++) {
            double mx = (x + 0.5) / px_per_mm, my = (y + 0.5) / px_per_mm;
            double in = hypot(mx - 30, my - 25) <= 20 ? 70 : ground;
            plane->px[y * w + x] =
                    (float)(in + 0.2 * mx + g_rand_double_range(rand, -1e-9, grain + 1e-9));
        }
    return plane;
}

static tb_stroke stroke_of(tb_stroke_kind kind, double x, double y, double x2, double y2, double w)
{
    tb_stroke stroke = TB_STROKE_INIT(kind);
    g_assert_cmpint(tb_stroke_add(&stroke, x, y, w, NULL), ==, TB_OK);
    g_assert_cmpint(tb_stroke_add(&stroke, x2, y2, w, NULL), ==, TB_OK);
    return stroke;
}

/* The share of pixels at which a mask differs from the disc (inside: kept). */
static double wrong_share(const tb_mask *out)
{
    double wrong = 0;
    for (int y = 0; y < out->height_px; y++)
        for (int x = 0; x < out->width_px; x++) {
            double mx = (x + 0.5) / out->px_per_mm, my = (y + 0.5) / out->px_per_mm;
            bool outside = hypot(mx - 30, my - 25) > 20;
            wrong += outside != out->px[y * out->width_px + x];
        }
    return wrong / (double)tb_mask_area_px(out);
}

static void test_touch__shades_fully_inside_and_not_beyond(void)
{
    tb_plane *tone = disc(10, 40, 0), *before = disc(10, 40, 0);
    tb_stroke s = stroke_of(TB_STROKE_DARKEN, 10, 10, 50, 10, 6);
    tb_rect dirty;
    g_assert_cmpint(tb_touch_shade(tone, &dirty, &s, 1, NULL, NULL), ==, TB_OK);
    const double one_pass = TB_STROKE_AMOUNT / 100.0;
    const int w = tone->width_px;
    g_assert_cmpfloat_with_epsilon(
            before->px[100 * w + 300] - tone->px[100 * w + 300], one_pass, 1e-4);
    g_assert_cmpfloat_with_epsilon(
            before->px[112 * w + 300] - tone->px[112 * w + 300], one_pass, 1e-4);
    g_assert_cmpfloat(before->px[131 * w + 300], ==, tone->px[131 * w + 300]);
    g_assert_cmpint(dirty.top_px, ==, 70);
    g_assert_cmpint(dirty.bottom_px, ==, 130);
    for (int y = 0; y < tone->height_px; y++)
        for (int x = 0; x < w; x++)
            if (y < dirty.top_px || y >= dirty.bottom_px || x < dirty.left_px ||
                    x >= dirty.right_px)
                g_assert_cmpfloat(before->px[y * w + x], ==, tone->px[y * w + x]);
    tb_stroke_clear(&s);
    tb_plane_free(tone);
    tb_plane_free(before);
}

static void test_touch__crossing_itself_works_once(void)
{
    tb_plane *tone = disc(10, 40, 0), *before = disc(10, 40, 0);
    tb_stroke s = stroke_of(TB_STROKE_LIGHTEN, 10, 10, 50, 10, 6);
    g_assert_cmpint(tb_stroke_add(&s, 20, 10, 6, NULL), ==, TB_OK);
    g_assert_cmpint(tb_touch_shade(tone, NULL, &s, 1, NULL, NULL), ==, TB_OK);
    size_t i = (size_t)(100 * tone->width_px + 300);
    g_assert_cmpfloat_with_epsilon(tone->px[i] - before->px[i], TB_STROKE_AMOUNT / 100.0, 1e-4);
    tb_stroke_clear(&s);
    tb_plane_free(tone);
    tb_plane_free(before);
}

static void test_touch__weights_are_of_one_kind(void)
{
    tb_plane *like = disc(4, 40, 0), *weight;
    tb_stroke s[2] = {stroke_of(TB_STROKE_KEEP_DETAIL, 10, 10, 20, 10, 6),
            stroke_of(TB_STROKE_DARKEN, 40, 10, 50, 10, 6)};
    g_assert_cmpint(
            tb_touch_weight(&weight, like, TB_STROKE_KEEP_DETAIL, s, 2, NULL, NULL), ==, TB_OK);
    g_assert_cmpfloat(weight->px[40 * like->width_px + 60], ==, 1);
    g_assert_cmpfloat(weight->px[40 * like->width_px + 180], ==, 0);
    tb_plane_free(weight);
    g_assert_cmpint(tb_touch_weight(&weight, like, TB_STROKE_KEEP_IN, s, 2, NULL, NULL), ==, TB_OK);
    g_assert_null(weight);
    tb_stroke_clear(&s[0]);
    tb_stroke_clear(&s[1]);
    tb_plane_free(like);
}

/* Half a cell along the disc's outline is 1 % of the board. */
static void test_leave_out__parts_along_the_outline(void)
{
    static const double FINENESS[] = {4, 7, 10, 16};
    tb_stroke s[2] = {stroke_of(TB_STROKE_KEEP_IN, 25, 25, 35, 25, 2),
            stroke_of(TB_STROKE_LEAVE_OUT, 3, 3, 3, 47, 2)};
    for (size_t i = 0; i < G_N_ELEMENTS(FINENESS); i++) {
        tb_plane *lightness = disc(FINENESS[i], 40, 4);
        tb_mask *out;
        g_assert_cmpint(tb_leave_out(&out, lightness, s, 2, NULL, NULL), ==, TB_OK);
        g_assert_cmpfloat(wrong_share(out), <, 0.01);
        tb_mask_free(out);
        tb_plane_free(lightness);
    }
    tb_stroke_clear(&s[0]);
    tb_stroke_clear(&s[1]);
}

static void test_leave_out__the_middle_is_kept_unasked(void)
{
    tb_plane *lightness = disc(8, 90, 2);
    tb_stroke s = stroke_of(TB_STROKE_LEAVE_OUT, 3, 3, 57, 3, 2);
    tb_mask *out;
    g_assert_cmpint(tb_leave_out(&out, lightness, &s, 1, NULL, NULL), ==, TB_OK);
    g_assert_cmpfloat(wrong_share(out), <, 0.01);
    tb_mask_free(out);
    tb_stroke_clear(&s);
    tb_plane_free(lightness);
}

static void test_leave_out__the_later_stroke_has_its_word(void)
{
    tb_plane *lightness = disc(8, 40, 0);
    tb_stroke s[3] = {stroke_of(TB_STROKE_LEAVE_OUT, 3, 3, 57, 3, 2),
            stroke_of(TB_STROKE_KEEP_IN, 10, 25, 50, 25, 2),
            stroke_of(TB_STROKE_LEAVE_OUT, 30, 20, 30, 30, 3)};
    tb_mask *out;
    g_assert_cmpint(tb_leave_out(&out, lightness, s, 3, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(out->px[25 * 8 * out->width_px + 30 * 8], ==, 1);
    g_assert_cmpint(out->px[25 * 8 * out->width_px + 15 * 8], ==, 0);
    tb_mask_free(out);
    g_assert_cmpint(tb_leave_out(&out, lightness, s + 1, 1, NULL, NULL), ==, TB_OK);
    g_assert_null(out);
    for (int i = 0; i < 3; i++)
        tb_stroke_clear(&s[i]);
    tb_plane_free(lightness);
}

/* A dot touched far from the disc takes nothing of what lies across the disc's outline, nor what
 * lies on the board's far side. */
static void test_leave_out__stays_where_it_was_touched(void)
{
    tb_plane *lightness = disc(8, 40, 0);
    tb_stroke s = stroke_of(TB_STROKE_LEAVE_OUT, 3, 3, 3.5, 3, 2);
    tb_mask *out;
    tb_plane *wide;
    g_assert_cmpint(tb_plane_new(&wide, 200 * 8, 50 * 8, 8, NULL), ==, TB_OK);
    for (size_t k = 0; k < tb_plane_area_px(wide); k++)
        wide->px[k] = 60;
    g_assert_cmpint(tb_leave_out(&out, wide, &s, 1, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(out->px[3 * 8 * out->width_px + 40 * 8], ==, 1);
    g_assert_cmpint(out->px[3 * 8 * out->width_px + 190 * 8], ==, 0);
    tb_mask_free(out);
    g_assert_cmpint(tb_leave_out(&out, lightness, &s, 1, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(out->px[25 * 8 * out->width_px + 20 * 8], ==, 0);
    tb_mask_free(out);
    tb_plane_free(wide);
    tb_plane_free(lightness);
    tb_stroke_clear(&s);
}

/* As a coat before a wall of nearly the same lightness. */
static void test_leave_out__stops_at_a_faint_outline(void)
{
    static const double FINENESS[] = {4, 10};
    tb_stroke s = stroke_of(TB_STROKE_LEAVE_OUT, 20, 20, 20, 30, 8);
    for (size_t i = 0; i < G_N_ELEMENTS(FINENESS); i++) {
        const double px_per_mm = FINENESS[i];
        const int w = (int)(200 * px_per_mm), row = w * (int)(25 * px_per_mm);
        tb_plane *lightness;
        tb_mask *out;
        g_assert_cmpint(
                tb_plane_new(&lightness, w, (int)(50 * px_per_mm), px_per_mm, NULL), ==, TB_OK);
        for (size_t k = 0; k < tb_plane_area_px(lightness); k++)
            lightness->px[k] = k % (size_t)w < 32 * px_per_mm ? 50 : 42;
        g_assert_cmpint(tb_leave_out(&out, lightness, &s, 1, NULL, NULL), ==, TB_OK);
        g_assert_cmpint(out->px[row + (int)(31 * px_per_mm)], ==, 1);
        g_assert_cmpint(out->px[row + (int)(33 * px_per_mm)], ==, 0);
        tb_mask_free(out);
        tb_plane_free(lightness);
    }
    tb_stroke_clear(&s);
}

static void test_leave_out__keep_in_only_takes_from_it(void)
{
    tb_plane *lightness = disc(8, 70, 4);
    tb_stroke s[2] = {stroke_of(TB_STROKE_LEAVE_OUT, 3, 3, 57, 3, 2),
            stroke_of(TB_STROKE_KEEP_IN, 3, 40, 12, 45, 2)};
    tb_mask *before, *after;
    g_assert_cmpint(tb_leave_out(&before, lightness, s, 1, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(tb_leave_out(&after, lightness, s, 2, NULL, NULL), ==, TB_OK);
    size_t added = 0, taken = 0;
    for (size_t k = 0; k < tb_mask_area_px(after); k++) {
        added += after->px[k] && !before->px[k];
        taken += !after->px[k] && before->px[k];
    }
    g_assert_cmpuint(added, <, tb_mask_area_px(after) / 1000); /* the border's own grain */
    g_assert_cmpuint(taken, >, 64 * 20);
    tb_mask_free(before);
    tb_mask_free(after);
    tb_plane_free(lightness);
    tb_stroke_clear(&s[0]);
    tb_stroke_clear(&s[1]);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
#define ADD(group, name) g_test_add_func("/" #group "/" #name, test_##group##__##name)
    ADD(touch, shades_fully_inside_and_not_beyond);
    ADD(touch, crossing_itself_works_once);
    ADD(touch, weights_are_of_one_kind);
    ADD(leave_out, parts_along_the_outline);
    ADD(leave_out, the_middle_is_kept_unasked);
    ADD(leave_out, the_later_stroke_has_its_word);
    ADD(leave_out, stays_where_it_was_touched);
    ADD(leave_out, stops_at_a_faint_outline);
    ADD(leave_out, keep_in_only_takes_from_it);
    return g_test_run();
}
