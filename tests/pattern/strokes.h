/* Random strokes on a random pattern: does looking again where a stroke fell give exactly what
 * looking at everything gives? For test_inspect and the longer campaign of ./dev fuzz. */
#ifndef TB_TESTS_STROKES_H
#define TB_TESTS_STROKES_H

#include "image/rect.h"
#include "pattern/inspect.h"

#include "drawn.h"

#include <string.h>

static inline void strokes_assert_same(const tb_inspection *a, const tb_inspection *b)
{
    g_assert_cmpint(a->n_pieces, ==, b->n_pieces);
    g_assert_cmpint(a->n_must, ==, b->n_must);
    g_assert_cmpint(a->n_should, ==, b->n_should);
    g_assert_cmpfloat(a->narrowest_wood_mm, ==, b->narrowest_wood_mm);
    g_assert_cmpfloat(a->narrowest_opening_mm, ==, b->narrowest_opening_mm);
    g_assert_cmpfloat(a->cut_length_mm, ==, b->cut_length_mm);
    g_assert_cmpmem(a->openings, a->n_openings * sizeof *a->openings, b->openings,
            b->n_openings * sizeof *b->openings);
    g_assert_cmpuint(a->n_corners, ==, b->n_corners);
    for (size_t i = 0; i < a->n_corners; i++) {
        g_assert_cmpfloat(a->corners[i].x_mm, ==, b->corners[i].x_mm);
        g_assert_cmpfloat(a->corners[i].y_mm, ==, b->corners[i].y_mm);
        g_assert_cmpfloat(a->corners[i].turn_rad, ==, b->corners[i].turn_rad);
        g_assert_cmpint(a->corners[i].opening, ==, b->corners[i].opening);
    }
    g_assert_cmpuint(a->n_holes, ==, b->n_holes);
    for (size_t i = 0; i < a->n_holes; i++) {
        g_assert_cmpfloat(a->holes[i].x_mm, ==, b->holes[i].x_mm);
        g_assert_cmpfloat(a->holes[i].y_mm, ==, b->holes[i].y_mm);
        g_assert_cmpint(a->holes[i].opening, ==, b->holes[i].opening);
    }
    g_assert_cmpmem(
            a->limbs, a->n_limbs * sizeof *a->limbs, b->limbs, b->n_limbs * sizeof *b->limbs);
    g_assert_cmpuint(a->n_findings, ==, b->n_findings);
    for (size_t i = 0; i < a->n_findings; i++) {
        const tb_finding *f = &a->findings[i], *g = &b->findings[i];
        g_assert_cmpint(f->kind, ==, g->kind);
        g_assert_cmpint(f->severity, ==, g->severity);
        g_assert_cmpfloat(f->x_mm, ==, g->x_mm);
        g_assert_cmpfloat(f->y_mm, ==, g->y_mm);
        g_assert_cmpfloat(f->measured, ==, g->measured);
        g_assert_cmpstr(f->advice, ==, g->advice);
        g_assert_cmpmem(f->extent, f->n_extent * sizeof *f->extent, g->extent,
                g->n_extent * sizeof *g->extent);
    }
}

/* A stroke of some width and tone within 20 × 20 mm. */
static inline void strokes_paint(tb_mask *mask, GRand *dice)
{
    double s = mask->px_per_mm, width = mask->width_px / s, height = mask->height_px / s;
    double radius = g_rand_double_range(dice, 0.1, 3);
    double x0 = g_rand_double_range(dice, 0, width), y0 = g_rand_double_range(dice, 0, height);
    double x1 = x0 + g_rand_double_range(dice, -14, 14),
           y1 = y0 + g_rand_double_range(dice, -14, 14);
    tb_rect around = {(int)((fmin(x0, x1) - radius) * s) - 1,
            (int)((fmin(y0, y1) - radius) * s) - 1, (int)((fmax(x0, x1) + radius) * s) + 2,
            (int)((fmax(y0, y1) + radius) * s) + 2};
    tb_rect within = tb_rect_meet(around, (tb_rect){0, 0, mask->width_px, mask->height_px});
    int tone = g_rand_boolean(dice);
    for (int y = within.top_px; y < within.bottom_px; y++)
        for (int x = within.left_px; x < within.right_px; x++) {
            double px = (x + 0.5) / s - x0, py = (y + 0.5) / s - y0, dx = x1 - x0, dy = y1 - y0;
            double t = fmin(fmax((px * dx + py * dy) / (dx * dx + dy * dy), 0), 1);
            if (hypot(px - t * dx, py - t * dy) < radius)
                mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] = (uint8_t)tone;
        }
}

static inline void strokes_run(guint32 seed, int n_strokes, double width_mm, double height_mm)
{
    GRand *dice = g_rand_new_with_seed(seed);
    tb_mask *mask = drawn_board(width_mm, height_mm, 6);
    tb_limits limits = TB_LIMITS_INIT;
    tb_job job = {.n_threads = 2};
    tb_inspector *inspector = tb_inspector_new();
    for (int i = 0; i < 60; i++)
        strokes_paint(mask, dice);
    tb_inspection *again, *whole;
    for (int i = 0; i < n_strokes; i++) {
        for (int k = 0; k <= i % 3; k++)
            strokes_paint(mask, dice);
        g_assert_cmpint(tb_reinspect(&again, inspector, mask, &limits, &job, NULL), ==, TB_OK);
        g_assert_cmpint(tb_inspect(&whole, mask, &limits, NULL, NULL), ==, TB_OK);
        strokes_assert_same(again, whole);
        tb_inspection_free(again);
        tb_inspection_free(whole);
    }
    tb_inspector_free(inspector);
    tb_mask_free(mask);
    g_rand_free(dice);
}

#endif
