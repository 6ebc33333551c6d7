/* Stress at a root and strength at an angle to the grain. */
#include "pattern/limb.h"

#include <glib.h>
#include <math.h>

/* Worked cantilever: b = 5, h = 3.2, L = 20 mm, P = 5 N gives 6 P L / (b h²) = 11.72 MPa. */
static void test_limb__stress_of_the_worked_cantilever(void)
{
    tb_limits limits = TB_LIMITS_INIT;
    limits.thickness_mm = 3.2;
    limits.load_n = 5;
    g_assert_cmpfloat_with_epsilon(tb_limb_stress_mpa(&limits, 5, 20), 11.72, 0.005);
}

/* 5 N at the tip, t = 3.2 mm, root 3 mm: 1.024 mm of reach for each MPa. Basswood along the grain
 * (60 MPa, Wood Handbook table 5-3b) 61 mm, across (2.41 MPa, table 5-5b) 2.5 mm. */
static void test_limb__reach_that_basswood_bears(void)
{
    tb_limits limits = TB_LIMITS_INIT;
    limits.thickness_mm = 3.2;
    limits.strength_along_mpa = 60;
    limits.strength_across_mpa = 2.41;
    g_assert_cmpfloat_with_epsilon(
            tb_strength_at_mpa(&limits, 0) / tb_limb_stress_mpa(&limits, 3, 1), 61.4, 0.1);
    g_assert_cmpfloat_with_epsilon(
            tb_strength_at_mpa(&limits, G_PI / 2) / tb_limb_stress_mpa(&limits, 3, 1), 2.47, 0.01);
}

/* Hankinson, n = 2: at 45° twice the product over the sum; even in the angle, and falling to 90°.
 */
static void test_limb__strength_between_along_and_across(void)
{
    tb_limits limits = TB_LIMITS_INIT;
    double along = limits.strength_along_mpa, across = limits.strength_across_mpa;
    g_assert_cmpfloat_with_epsilon(
            tb_strength_at_mpa(&limits, G_PI / 4), 2 * along * across / (along + across), 1e-9);
    for (int degrees = 0; degrees < 90; degrees++) {
        double here = tb_strength_at_mpa(&limits, degrees * G_PI / 180);
        g_assert_cmpfloat(here, >, tb_strength_at_mpa(&limits, (degrees + 1) * G_PI / 180));
        g_assert_cmpfloat_with_epsilon(
                here, tb_strength_at_mpa(&limits, -degrees * G_PI / 180), 1e-9);
    }
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
#define ADD(name) g_test_add_func("/limb/" #name, test_limb__##name)
    ADD(stress_of_the_worked_cantilever);
    ADD(reach_that_basswood_bears);
    ADD(strength_between_along_and_across);
    return g_test_run();
}
