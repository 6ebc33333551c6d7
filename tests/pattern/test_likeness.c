/* Likeness: the ends of its scale, and what blurring does to a stripe. */
#include "base/alloc.h"
#include "pattern/likeness.h"

#include <glib.h>
#include <math.h>

enum { W = 400, H = 300 };

static tb_mask *mask_of(uint8_t wood)
{
    tb_mask *mask = NULL;
    g_assert_cmpint(tb_mask_new(&mask, W, H, 10, NULL), ==, TB_OK);
    for (int i = 0; i < W * H; i++)
        mask->px[i] = wood;
    return mask;
}

static tb_plane *plane_of(float value)
{
    tb_plane *plane = NULL;
    g_assert_cmpint(tb_plane_new(&plane, W, H, 10, NULL), ==, TB_OK);
    for (int i = 0; i < W * H; i++)
        plane->px[i] = value;
    return plane;
}

static double likeness(const tb_mask *mask, const tb_plane *tone, const tb_plane *weight)
{
    double value;
    g_assert_cmpint(tb_likeness(&value, mask, tone, 40, weight, NULL, NULL), ==, TB_OK);
    return value;
}

static void test_likeness__runs_from_nothing_to_one(void)
{
    tb_mask *wood = mask_of(1), *opening = mask_of(0);
    tb_plane *light = plane_of(100), *middle = plane_of(40);
    g_assert_cmpfloat_with_epsilon(likeness(wood, light, NULL), 1, 1e-6);
    g_assert_cmpfloat_with_epsilon(likeness(opening, light, NULL), 0, 1e-6);
    g_assert_cmpfloat_with_epsilon(likeness(wood, middle, NULL), 0.5, 1e-6);
    g_assert_cmpfloat_with_epsilon(likeness(opening, middle, NULL), 0.5, 1e-6);
    tb_mask_free(wood);
    tb_mask_free(opening);
    tb_plane_free(light);
    tb_plane_free(middle);
}

static void test_likeness__sees_a_stripe_as_the_eye_does(void)
{
    /* A stripe of wood b wide on black adds b * erf(b/2s) - 2s/sqrt(pi) * (1 - exp(-(b/2s)^2)) a mm
     * to the integral of the squared blur: two Gaussians of s, worked out by hand. */
    const double b = 1.6, s = TB_EYE_BLUR_MM, r = b / (2 * s);
    double square = b * erf(r) - 2 * s / sqrt(acos(-1)) * (1 - exp(-r * r));
    tb_mask *mask = mask_of(0);
    tb_plane *black = plane_of(0);
    for (int y = 0; y < H; y++)
        for (int x = 192; x < 208; x++)
            mask->px[y * W + x] = 1;
    double expected = 1 - sqrt(square / (W / 10.0));
    g_assert_cmpfloat_with_epsilon(likeness(mask, black, NULL), expected, 2e-3);
    tb_mask_free(mask);
    tb_plane_free(black);
}

static void test_likeness__counts_by_weight(void)
{
    tb_mask *mask = mask_of(1);
    tb_plane *tone = plane_of(100), *weight = plane_of(1);
    for (int y = 0; y < H; y++)
        for (int x = 0; x < W / 2; x++) {
            tone->px[y * W + x] = 0;
            weight->px[y * W + x] = 0;
        }
    g_assert_cmpfloat(likeness(mask, tone, NULL), <, 0.35);
    g_assert_cmpfloat(likeness(mask, tone, weight), >, 0.9); /* but for the blurred border */
    tb_mask_free(mask);
    tb_plane_free(tone);
    tb_plane_free(weight);
}

static void test_likeness__refuses_other_sizes(void)
{
    tb_mask *mask = mask_of(1);
    tb_plane *tone = NULL;
    double value;
    g_assert_cmpint(tb_plane_new(&tone, W, H - 1, 10, NULL), ==, TB_OK);
    g_assert_cmpint(tb_likeness(&value, mask, tone, 40, NULL, NULL, NULL), ==, TB_EINVAL);
    g_assert_true(isnan(value));
    tb_mask_free(mask);
    tb_plane_free(tone);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/likeness/runs_from_nothing_to_one", test_likeness__runs_from_nothing_to_one);
    g_test_add_func("/likeness/sees_a_stripe", test_likeness__sees_a_stripe_as_the_eye_does);
    g_test_add_func("/likeness/counts_by_weight", test_likeness__counts_by_weight);
    g_test_add_func("/likeness/refuses_other_sizes", test_likeness__refuses_other_sizes);
    return g_test_run();
}
