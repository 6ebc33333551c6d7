/* Turns are as wide as the blade's where the picture allows it, and the outline stays proven. */
#include "base/alloc.h"
#include "board.h"
#include "sheet/prove.h"

static const double RADIUS_MM = 1.1;

/* A wide opening whose right edge swings to and fro: amplitude 0.16 mm, from wave to wave 2 mm,
 * which bends with a radius of wave² / (4 pi² amplitude) = 0.63 mm at its crests. */
static tb_mask *wavy(double to_right_mm)
{
    tb_mask *mask = board_new(60, 60, 10);
    for (int y = 100; y < 500; y++) {
        double edge = 300 + 1.6 * sin(2 * G_PI * (y + 0.5) / 20);
        for (int x = 100; x + 0.5 < edge; x++)
            mask->px[(size_t)y * 600 + (size_t)x] = 0;
        for (int x = 0; to_right_mm > 0 && x < 150; x++)
            mask->px[(size_t)y * 600 + (size_t)(300 + to_right_mm * 10) + (size_t)x] = 0;
    }
    return mask;
}

static tb_outline *trace(const tb_mask *mask, double turn_mm)
{
    tb_outline_options options = TB_OUTLINE_OPTIONS_INIT;
    options.turn_mm = turn_mm;
    tb_outline *outline = NULL;
    g_assert_cmpint(tb_outline_trace(&outline, mask, &options, NULL, NULL), ==, TB_OK);
    return outline;
}

/* The tightest radius, over half a millimetre of line, between y = 15 and y = 45, x = 28 and 32. */
static double tightest(const tb_path *path)
{
    enum { MOST = 40000 };
    const double step = 0.02;
    g_autofree tb_point *at = g_new(tb_point, MOST);
    size_t n = 0, window = (size_t)(0.25 / step);
    tb_point from = path->start;
    double left = 0, least = INFINITY;
    for (size_t i = 0; i < path->n_curves; i++) {
        const tb_curve *c = &path->curves[i];
        tb_point p0 = from;
        for (int k = 1; k <= 400; k++) {
            double t = k / 400.0, s = 1 - t;
            double a = s * s * s, b = 3 * s * s * t, d = 3 * s * t * t, e = t * t * t;
            tb_point to = {a * p0.x_mm + b * c->a.x_mm + d * c->b.x_mm + e * c->to.x_mm,
                    a * p0.y_mm + b * c->a.y_mm + d * c->b.y_mm + e * c->to.y_mm};
            for (left += hypot(to.x_mm - from.x_mm, to.y_mm - from.y_mm); left >= step && n < MOST;
                    left -= step)
                at[n++] = to;
            from = to;
        }
    }
    for (size_t i = window; i + window < n; i++) {
        tb_point u = at[i - window], v = at[i], w = at[i + window];
        if (v.x_mm < 28 || v.x_mm > 32 || v.y_mm < 15 || v.y_mm > 45)
            continue;
        double ax = v.x_mm - u.x_mm, ay = v.y_mm - u.y_mm, bx = w.x_mm - v.x_mm,
               by = w.y_mm - v.y_mm;
        double turn = fabs(atan2(ax * by - ay * bx, ax * bx + ay * by));
        least = fmin(least, turn > 0 ? 0.25 / turn : INFINITY);
    }
    return least;
}

static size_t n_eased(const tb_outline *outline)
{
    size_t n = 0;
    for (size_t i = 0; i < outline->n_paths; i++)
        for (size_t k = 0; k < outline->paths[i].n_curves; k++)
            n += outline->paths[i].curves[k].eased > 0;
    return n;
}

/* Proven anew, from nothing. */
static size_t n_failing(const tb_outline *outline, const tb_mask *mask)
{
    tb_outline_options options = TB_OUTLINE_OPTIONS_INIT;
    tb_proof proof;
    bool *fails;
    size_t n = 0, sum = 0;
    g_assert_cmpint(tb__proof_begin(&proof, mask, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(tb__prove(&fails, &proof, outline, false, &options, NULL, NULL), ==, TB_OK);
    for (size_t i = 0; i < outline->n_paths; i++)
        n += outline->paths[i].n_curves;
    for (size_t i = 0; i < n; i++)
        sum += fails[i];
    tb_free(fails);
    tb__proof_end(&proof);
    return sum;
}

static void test_ease__waves_become_wide_turns(void)
{
    tb_mask *mask = wavy(0);
    tb_outline *drawn = trace(mask, 0), *eased = trace(mask, RADIUS_MM);
    g_assert_cmpuint(drawn->n_paths, ==, 2);
    g_assert_cmpuint(eased->n_paths, ==, 2);
    g_assert_cmpuint(n_eased(drawn), ==, 0);
    g_assert_cmpuint(n_eased(eased), >, 0);
    g_assert_cmpfloat(tightest(&drawn->paths[1]), <, 0.8);
    g_assert_cmpfloat(tightest(&eased->paths[1]), >, 0.95 * RADIUS_MM);
    g_assert_cmpuint(n_failing(eased, mask), ==, 0);
    tb_outline_free(drawn);
    tb_outline_free(eased);
    tb_mask_free(mask);
}

/* Wood of 1.6 mm beside the waves may lose 0.05 mm; easing all of a crest would cost it 0.1. */
static void test_ease__a_neck_keeps_its_width(void)
{
    tb_mask *mask = wavy(1.6);
    tb_outline *eased = trace(mask, RADIUS_MM);
    g_assert_cmpuint(eased->n_paths, ==, 3);
    g_assert_cmpuint(n_failing(eased, mask), ==, 0);
    tb_outline_free(eased);
    tb_mask_free(mask);
}

static void test_ease__sharp_corners_stay(void)
{
    tb_mask *mask = board_new(60, 60, 10);
    board_set_box(mask, 15, 15, 45, 45, 0);
    tb_outline *drawn = trace(mask, 0), *eased = trace(mask, RADIUS_MM);
    g_assert_cmpuint(n_eased(eased), ==, 0);
    g_assert_cmpuint(eased->paths[1].n_curves, ==, drawn->paths[1].n_curves);
    for (size_t i = 0; i < drawn->paths[1].n_curves; i++)
        g_assert_cmpmem(&eased->paths[1].curves[i].to, sizeof(tb_point),
                &drawn->paths[1].curves[i].to, sizeof(tb_point));
    tb_outline_free(drawn);
    tb_outline_free(eased);
    tb_mask_free(mask);
}

/* Pieces and openings of random blobs are those of the mask, whatever was eased. */
static void test_ease__blobs_stay_proven(void)
{
    GRand *rand = g_rand_new_with_seed(11);
    tb_mask *mask = board_new(60, 60, 10);
    for (int i = 0; i < 60; i++)
        board_set_disc(mask, g_rand_double_range(rand, 8, 52), g_rand_double_range(rand, 8, 52),
                g_rand_double_range(rand, 0.6, 4), (uint8_t)(i % 3 == 2));
    g_rand_free(rand);
    tb_outline *drawn = trace(mask, 0), *eased = trace(mask, RADIUS_MM);
    g_assert_cmpuint(eased->n_paths, ==, drawn->n_paths);
    g_assert_cmpuint(n_eased(eased), >, 0);
    g_assert_cmpuint(n_failing(eased, mask), ==, 0);
    tb_outline_free(drawn);
    tb_outline_free(eased);
    tb_mask_free(mask);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/ease/waves", test_ease__waves_become_wide_turns);
    g_test_add_func("/ease/neck", test_ease__a_neck_keeps_its_width);
    g_test_add_func("/ease/corners", test_ease__sharp_corners_stay);
    g_test_add_func("/ease/blobs", test_ease__blobs_stay_proven);
    return g_test_run();
}
