/* The hand's strokes, laid over a mask. */
#include "pattern/hand.h"

#include <glib.h>
#include <math.h>
#include <string.h>

static tb_mask *board(int width_px, int height_px, double px_per_mm, uint8_t value)
{
    tb_mask *mask;
    g_assert_cmpint(tb_mask_new(&mask, width_px, height_px, px_per_mm, NULL), ==, TB_OK);
    memset(mask->px, value, tb_mask_area_px(mask));
    return mask;
}

static void frame(tb_mask *mask, int px)
{
    for (int y = 0; y < mask->height_px; y++)
        for (int x = 0; x < mask->width_px; x++)
            if (x < px || y < px || x >= mask->width_px - px || y >= mask->height_px - px)
                mask->px[y * mask->width_px + x] = 1;
}

static void block(tb_mask *mask, int left, int top, int right, int bottom, uint8_t value)
{
    for (int y = top; y < bottom; y++)
        memset(mask->px + y * mask->width_px + left, value, (size_t)(right - left));
}

static size_t count(const tb_mask *mask)
{
    size_t n = 0;
    for (size_t i = 0; i < tb_mask_area_px(mask); i++)
        n += mask->px[i];
    return n;
}

static tb_stroke stroke_of(tb_stroke_kind kind, size_t n, const double points[][3])
{
    tb_stroke stroke = TB_STROKE_INIT(kind);
    for (size_t i = 0; i < n; i++)
        g_assert_cmpint(
                tb_stroke_add(&stroke, points[i][0], points[i][1], points[i][2], NULL), ==, TB_OK);
    return stroke;
}

static tb_rect draw(tb_hand *hand, tb_stroke_kind kind, size_t n, const double points[][3])
{
    tb_stroke stroke = stroke_of(kind, n, points);
    tb_rect dirty;
    g_assert_cmpint(tb_hand_draw(hand, &dirty, &stroke, 0, NULL), ==, TB_OK);
    tb_stroke_clear(&stroke);
    return dirty;
}

static tb_hand *hand_on(tb_mask *mask)
{
    tb_hand *hand;
    g_assert_cmpint(tb_hand_new(&hand, mask, 64 << 20, NULL), ==, TB_OK);
    tb_mask_free(mask);
    return hand;
}

/* What a stroke covers, by the words of stroke.h: 2,000 discs along each stretch. */
static bool under_slowly(const tb_stroke *s, double px_per_mm, int x, int y)
{
    for (size_t i = 1; i < s->n_points; i++)
        for (int k = 0; k <= 2000; k++) {
            const tb_stroke_point *a = &s->points[i - 1], *b = &s->points[i];
            double t = k / 2000.0, f = px_per_mm / 1000;
            double cx = (a->x_um + t * (b->x_um - a->x_um)) * f;
            double cy = (a->y_um + t * (b->y_um - a->y_um)) * f;
            double r = (a->width_um + t * (b->width_um - a->width_um)) * f / 2;
            if (hypot(x + 0.5 - cx, y + 0.5 - cy) <= r)
                return true;
        }
    return false;
}

static void test_hand__covers_the_discs_along_its_way(void)
{
    static const double ROWS[][3][3] = {
            {{2, 3, 1}, {11, 8, 5}, {14, 2, 2}},
            {{-3, 5, 4}, {20, 5, 4}, {8, 14, 0.6}},
            {{8, 8, 6}, {8.5, 8, 1}, {8.5, 15.9, 3}},
    };
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        tb_mask *mask = board(64, 64, 4, 0);
        tb_stroke s = stroke_of(TB_STROKE_WOOD, 3, ROWS[i]);
        g_assert_cmpint(tb_stroke_cover(mask, 1, &s, NULL), ==, TB_OK);
        int wrong = 0;
        for (int y = 0; y < 64; y++)
            for (int x = 0; x < 64; x++)
                wrong += under_slowly(&s, 4, x, y) != mask->px[y * 64 + x];
        /* The slow way looks at places a hundredth of a pixel apart: it may miss a touch. */
        g_assert_cmpint(wrong, <=, 1);
        tb_stroke_clear(&s);
        tb_mask_free(mask);
    }
}

static void test_hand__a_stadium_has_its_area(void)
{
    tb_hand *hand = hand_on(board(1200, 600, 10, 0));
    draw(hand, TB_STROKE_WOOD, 2, (const double[][3]){{20, 30, 12}, {90, 25, 12}});
    double area = (double)count(hand->mask) / 100;
    double exact = hypot(70, 5) * 12 + G_PI * 36;
    g_assert_cmpfloat_with_epsilon(area, exact, exact * 1e-3);
    tb_hand_free(hand);
}

static void test_hand__the_thinnest_stroke_leaves_no_gap(void)
{
    tb_hand *hand = hand_on(board(100, 100, 4, 0));
    draw(hand, TB_STROKE_WOOD, 2, (const double[][3]){{1, 1, 0}, {24, 17, 0}});
    for (int x = 5; x < 95; x++) {
        int n = 0;
        for (int y = 0; y < 100; y++)
            n += hand->mask->px[y * 100 + x];
        g_assert_cmpint(n, >=, 1);
    }
    tb_hand_free(hand);
}

static void test_hand__saw_and_wood_set_and_lift_constraints(void)
{
    tb_hand *hand = hand_on(board(100, 100, 10, 1));
    draw(hand, TB_STROKE_SAW, 1, (const double[][3]){{5, 5, 4}});
    size_t sawn = count(hand->opening);
    g_assert_cmpuint(count(hand->mask), ==, 10000 - sawn);
    draw(hand, TB_STROKE_WOOD, 1, (const double[][3]){{5, 5, 2}});
    g_assert_cmpuint(count(hand->opening), ==, sawn - count(hand->wood));
    g_assert_cmpuint(count(hand->mask), ==, 10000 - count(hand->opening));
    tb_hand_free(hand);
}

static void test_hand__a_growing_stroke_equals_the_whole(void)
{
    static const double POINTS[][3] = {{2, 2, 1}, {6, 3, 2}, {12, 9, 3}, {5, 15, 1}, {18, 18, 2}};
    tb_hand *whole = hand_on(board(200, 200, 10, 0)), *grown = hand_on(board(200, 200, 10, 0));
    draw(whole, TB_STROKE_WOOD, 5, POINTS);
    tb_stroke s = TB_STROKE_INIT(TB_STROKE_WOOD);
    tb_rect dirty;
    for (size_t i = 0; i < 5; i++) {
        g_assert_cmpint(tb_stroke_add(&s, POINTS[i][0], POINTS[i][1], POINTS[i][2], NULL), ==, 0);
        g_assert_cmpint(tb_hand_draw(grown, &dirty, &s, i, NULL), ==, TB_OK);
    }
    g_assert_cmpmem(whole->mask->px, 40000, grown->mask->px, 40000);
    g_assert_true(tb_hand_undo(grown, &dirty));
    g_assert_cmpuint(count(grown->mask), ==, 0);
    g_assert_false(tb_hand_undo(grown, &dirty));
    tb_stroke_clear(&s);
    tb_hand_free(whole);
    tb_hand_free(grown);
}

static void test_hand__a_bridge_reaches_both_banks(void)
{
    tb_mask *mask = board(300, 300, 10, 0);
    frame(mask, 40);
    block(mask, 120, 120, 180, 180, 1);
    tb_hand *hand = hand_on(mask);
    draw(hand, TB_STROKE_BRIDGE, 2, (const double[][3]){{8, 14, 2}, {10, 14.5, 2}});
    for (int x = 0; x < 300; x++) {
        int n = 0;
        for (int y = 0; y < 300; y++)
            n += hand->mask->px[y * 300 + x];
        if (x >= 40 && x < 120)
            g_assert_cmpint(n, >=, 80 + 20); /* the frame's two sides and the bridge's width */
    }
    tb_hand_free(hand);
}

static void test_hand__keeps_open_what_is_open_and_leaves_wood(void)
{
    tb_mask *mask = board(100, 100, 10, 0);
    block(mask, 0, 0, 50, 100, 1);
    tb_hand *hand = hand_on(mask);
    tb_rect dirty = draw(hand, TB_STROKE_KEEP_OPEN, 2, (const double[][3]){{3, 5, 2}, {8, 5, 2}});
    g_assert_cmpint(dirty.left_px, ==, 50);
    g_assert_cmpuint(count(hand->mask), ==, 5000);
    g_assert_cmpuint(count(hand->wood), ==, 0);
    g_assert_cmpint(hand->opening->px[50 * 100 + 60], ==, 1);
    g_assert_cmpint(hand->opening->px[50 * 100 + 40], ==, 0);
    g_assert_true(tb_hand_undo(hand, &dirty));
    g_assert_cmpuint(count(hand->opening), ==, 0);
    tb_hand_free(hand);
}

static void test_hand__one_click_bridges_the_shortest_way(void)
{
    tb_mask *mask = board(300, 300, 10, 0);
    frame(mask, 40);
    block(mask, 100, 40, 200, 230, 1);
    tb_hand *hand = hand_on(mask);
    tb_rect dirty = draw(hand, TB_STROKE_BRIDGE, 1, (const double[][3]){{14, 24.8, 2}});
    /* 3 mm down to the frame, and as upright as 64 directions are. */
    g_assert_cmpint(dirty.right_px - dirty.left_px, <=, 24);
    g_assert_cmpint(dirty.top_px, <, 230);
    g_assert_cmpint(dirty.bottom_px, >, 260);
    tb_hand_free(hand);
}

static void test_hand__takes_out_islands_and_never_the_mainland(void)
{
    tb_mask *mask = board(300, 300, 10, 0);
    frame(mask, 40);
    block(mask, 120, 120, 180, 180, 1);
    block(mask, 180, 180, 200, 200, 1); /* touches at a corner only: another piece */
    tb_hand *hand = hand_on(mask);
    size_t before = count(hand->mask);
    tb_rect dirty = draw(hand, TB_STROKE_TAKE_OUT, 1, (const double[][3]){{2, 2, 0}});
    g_assert_true(tb_rect_empty(dirty));
    dirty = draw(hand, TB_STROKE_TAKE_OUT, 1, (const double[][3]){{15, 15, 0}});
    g_assert_cmpuint(count(hand->mask), ==, before - 3600);
    g_assert_cmpint(dirty.left_px, ==, 120);
    g_assert_cmpint(dirty.bottom_px, ==, 180);
    g_assert_cmpuint(count(hand->opening), ==, 3600);
    tb_hand_free(hand);
}

static void test_hand__closes_an_opening_and_its_corners(void)
{
    tb_mask *mask = board(100, 100, 10, 1);
    block(mask, 20, 20, 40, 40, 0);
    block(mask, 40, 40, 60, 60, 0);
    block(mask, 70, 70, 80, 80, 0);
    tb_hand *hand = hand_on(mask);
    draw(hand, TB_STROKE_CLOSE, 1, (const double[][3]){{1.5, 3, 1.2}});
    g_assert_cmpuint(count(hand->mask), ==, 10000 - 100);
    g_assert_cmpuint(count(hand->wood), ==, 800);
    tb_hand_free(hand);
}

static void test_hand__a_bounded_stroke_cannot_run_away(void)
{
    tb_mask *mask = board(400, 100, 10, 1), *merged;
    block(mask, 20, 20, 60, 60, 0);
    g_assert_cmpint(tb_mask_copy(&merged, mask, NULL), ==, TB_OK);
    block(merged, 20, 20, 380, 60, 0);
    tb_hand *hand = hand_on(mask), *later = hand_on(merged);
    tb_stroke s = stroke_of(TB_STROKE_CLOSE, 1, (const double[][3]){{4, 4, 1}});
    tb_rect dirty;
    bool found;
    g_assert_cmpint(tb_hand_bound(&found, hand, &s, NULL), ==, TB_OK);
    g_assert_true(found);
    g_assert_cmpint(tb_hand_draw(later, &dirty, &s, 0, NULL), ==, TB_OK);
    g_assert_cmpint(dirty.right_px, ==, 60 + 14); /* 1 mm and a tenth of 4 mm */
    tb_stroke_clear(&s);
    tb_hand_free(hand);
    tb_hand_free(later);
}

static tb_stroke random_stroke(GRand *rand)
{
    tb_stroke s = TB_STROKE_INIT((tb_stroke_kind)g_rand_int_range(rand, 0, TB_N_STROKE_KINDS));
    int n = g_rand_int_range(rand, 1, 6);
    for (int i = 0; i < n; i++)
        g_assert_cmpint(
                tb_stroke_add(&s, g_rand_double_range(rand, -5, 45),
                        g_rand_double_range(rand, -5, 35), g_rand_double_range(rand, 0, 5), NULL),
                ==, TB_OK);
    if (s.kind == TB_STROKE_TAKE_OUT || s.kind == TB_STROKE_CLOSE)
        s.n_points = 1;
    return s;
}

/* One at a time with some taken back, and all at once: the same three masks; and only within the
 * rectangle that was told. */
static void test_hand__any_way_gives_the_same_pixels(void)
{
    enum { N = 120, W = 160, H = 120, AREA = W * H };
    GRand *rand = g_rand_new_with_seed(7);
    tb_stroke strokes[N];
    tb_mask *mask = board(W, H, 4, 0);
    frame(mask, 10);
    block(mask, 50, 50, 90, 80, 1);
    tb_hand *step, *once;
    g_assert_cmpint(tb_hand_new(&step, mask, 64 << 20, NULL), ==, TB_OK);
    for (int i = 0; i < N; i++) {
        tb_rect dirty, back;
        strokes[i] = random_stroke(rand);
        g_autofree uint8_t *before = g_memdup2(step->mask->px, AREA);
        g_assert_cmpint(tb_hand_draw(step, &dirty, &strokes[i], 0, NULL), ==, TB_OK);
        for (int k = 0; k < AREA; k++)
            if (step->mask->px[k] != before[k])
                g_assert_true(k % W >= dirty.left_px && k % W < dirty.right_px &&
                              k / W >= dirty.top_px && k / W < dirty.bottom_px);
        if (i % 3 == 0 && tb_stroke_on_mask(strokes[i].kind)) {
            g_assert_true(tb_hand_undo(step, &back));
            g_assert_cmpmem(step->mask->px, AREA, before, AREA);
            g_assert_cmpint(tb_hand_draw(step, &dirty, &strokes[i], 0, NULL), ==, TB_OK);
        }
    }
    g_assert_cmpint(tb_hand_apply(&once, mask, strokes, N, NULL, NULL), ==, TB_OK);
    g_assert_cmpmem(step->mask->px, AREA, once->mask->px, AREA);
    g_assert_cmpmem(step->wood->px, AREA, once->wood->px, AREA);
    g_assert_cmpmem(step->opening->px, AREA, once->opening->px, AREA);
    tb_rect dirty;
    while (tb_hand_undo(step, &dirty))
        continue;
    g_assert_cmpmem(step->mask->px, AREA, mask->px, AREA);
    for (int i = 0; i < N; i++)
        tb_stroke_clear(&strokes[i]);
    tb_hand_free(step);
    tb_hand_free(once);
    tb_mask_free(mask);
    g_rand_free(rand);
}

static void test_hand__forgets_whole_strokes_only(void)
{
    tb_hand *hand;
    tb_mask *mask = board(100, 100, 10, 0);
    g_assert_cmpint(tb_hand_new(&hand, mask, 4000, NULL), ==, TB_OK);
    tb_rect dirty;
    int undone = 0;
    for (int i = 0; i < 200; i++)
        draw(hand, i % 2 ? TB_STROKE_SAW : TB_STROKE_WOOD, 1, (const double[][3]){{5, 5, 4}});
    while (tb_hand_undo(hand, &dirty))
        undone++;
    g_assert_cmpint(undone, >, 2);
    g_assert_cmpint(undone, <, 60);
    tb_hand_free(hand);
    tb_mask_free(mask);
}

static void test_hand__refuses_strokes_out_of_limits(void)
{
    tb_hand *hand = hand_on(board(20, 20, 4, 0));
    tb_stroke s = {.kind = TB_STROKE_WOOD};
    tb_rect dirty;
    g_assert_cmpint(tb_hand_draw(hand, &dirty, &s, 0, NULL), ==, TB_EINVAL);
    g_assert_cmpint(tb_stroke_add(&s, NAN, 0, 1, NULL), ==, TB_EINVAL);
    g_assert_cmpint(tb_stroke_add(&s, 0, 1e9, 1, NULL), ==, TB_EINVAL);
    g_assert_cmpint(tb_stroke_add(&s, 0, 0, -1, NULL), ==, TB_EINVAL);
    g_assert_cmpint(tb_stroke_add(&s, 9999, -9999, 900, NULL), ==, TB_OK);
    g_assert_cmpint(tb_hand_draw(hand, &dirty, &s, 0, NULL), ==, TB_OK);
    g_assert_true(tb_rect_empty(dirty));
    tb_stroke_clear(&s);
    tb_hand_free(hand);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
#define ADD(name) g_test_add_func("/hand/" #name, test_hand__##name)
    ADD(covers_the_discs_along_its_way);
    ADD(a_stadium_has_its_area);
    ADD(the_thinnest_stroke_leaves_no_gap);
    ADD(saw_and_wood_set_and_lift_constraints);
    ADD(a_growing_stroke_equals_the_whole);
    ADD(a_bridge_reaches_both_banks);
    ADD(keeps_open_what_is_open_and_leaves_wood);
    ADD(one_click_bridges_the_shortest_way);
    ADD(takes_out_islands_and_never_the_mainland);
    ADD(closes_an_opening_and_its_corners);
    ADD(a_bounded_stroke_cannot_run_away);
    ADD(any_way_gives_the_same_pixels);
    ADD(forgets_whole_strokes_only);
    ADD(refuses_strokes_out_of_limits);
    return g_test_run();
}
