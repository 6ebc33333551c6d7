/* Squares: where pictures differ, and what lies near that. */
#include "base/alloc.h"
#include "image/squares.h"

#include <glib.h>

enum { W = 100, H = 70 };

static tb_squares *squares_of(const int (*points)[2], int n)
{
    tb_mask *a, *b;
    tb_squares *squares;
    g_assert_cmpint(tb_mask_new(&a, W, H, 10, NULL), ==, TB_OK);
    g_assert_cmpint(tb_mask_copy(&b, a, NULL), ==, TB_OK);
    for (int i = 0; i < n; i++)
        b->px[points[i][1] * W + points[i][0]] ^= 1;
    g_assert_cmpint(tb_squares_differing(&squares, a, b, NULL), ==, TB_OK);
    tb_mask_free(a);
    tb_mask_free(b);
    return squares;
}

static bool near(const tb_squares *squares, int x, int y)
{
    return tb_squares_meet(squares, (tb_rect){x, y, x + 1, y + 1});
}

static void test_squares__hold_every_difference(void)
{
    const int points[3][2] = {{0, 0}, {99, 69}, {40, 31}};
    tb_squares *squares = squares_of(points, 3);
    for (int i = 0; i < 3; i++)
        g_assert_true(near(squares, points[i][0], points[i][1]));
    g_assert_false(near(squares, 40, 32));
    g_assert_false(near(squares, 95, 40));
    g_assert_true(tb_squares_meet(squares, (tb_rect){-50, -50, 1, 1}));
    g_assert_false(tb_squares_meet(squares, (tb_rect){-50, -50, 0, 1}));
    tb_squares_free(squares);
}

static void test_squares__grow_by_no_less_than_told(void)
{
    const int point[1][2] = {{50, 35}};
    tb_squares *squares = squares_of(point, 1), *grown;
    for (int by = 0; by < 60; by += 7) {
        g_assert_cmpint(tb_squares_grown(&grown, squares, by, NULL), ==, TB_OK);
        for (int y = 0; y < H; y++)
            for (int x = 0; x < W; x++)
                if (ABS(x - 50) <= by && ABS(y - 35) <= by)
                    g_assert_true(near(grown, x, y));
        tb_squares_free(grown);
    }
    tb_squares_free(squares);
}

static void test_squares__come_as_rectangles(void)
{
    const int points[5][2] = {{0, 0}, {40, 0}, {0, 40}, {40, 40}, {99, 69}};
    tb_squares *squares = squares_of(points, 5);
    int covered[H][W] = {{0}};
    tb_rect *rects;
    size_t n;
    g_assert_cmpint(tb_squares_rects(&rects, &n, squares, NULL), ==, TB_OK);
    g_assert_cmpuint(n, ==, 2); /* the four join */
    for (size_t i = 0; i < n; i++)
        for (int y = rects[i].top_px; y < rects[i].bottom_px; y++)
            for (int x = rects[i].left_px; x < rects[i].right_px; x++)
                covered[y][x]++;
    for (int y = 0; y < H; y++)
        for (int x = 0; x < W; x++)
            g_assert_cmpint(covered[y][x], ==, near(squares, x, y));
    tb_free(rects);
    tb_squares_free(squares);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/squares/hold_every_difference", test_squares__hold_every_difference);
    g_test_add_func("/squares/grow", test_squares__grow_by_no_less_than_told);
    g_test_add_func("/squares/rectangles", test_squares__come_as_rectangles);
    return g_test_run();
}
