/* Turns of an outline: where, how far, and how tight. */
#include "pattern/turn.h"

#include "base/alloc.h"
#include "drawn.h"

typedef struct {
    tb_turn *turns;
    size_t n, room;
} found;

static tb_status outline_cb(void *payload, const tb_outline *outline)
{
    found *f = payload;
    return tb_turns_find(&f->turns, &f->n, &f->room, outline, 26, NULL);
}

static found find_turns(const tb_mask *mask)
{
    found f = {0};
    g_assert_cmpint(tb_outlines_walk(mask, outline_cb, &f, NULL, NULL), ==, TB_OK);
    return f;
}

/* Only turns of the opening, not the board's own corners. */
static void assert_turns(
        const found *f, size_t n, double least_rad, double least_px, double most_px)
{
    size_t n_met = 0;
    for (size_t i = 0; i < f->n; i++) {
        const tb_turn *t = &f->turns[i];
        if (t->turn_rad < 0)
            continue;
        g_test_message(
                "(%.1f, %.1f) %.2f rad, %.2f px", t->x_px, t->y_px, t->turn_rad, t->radius_px);
        g_assert_cmpfloat(t->turn_rad, >=, least_rad);
        g_assert_cmpfloat(t->radius_px, >=, least_px);
        g_assert_cmpfloat(t->radius_px, <=, most_px);
        n_met++;
    }
    g_assert_cmpuint(n_met, ==, n);
}

static void test_turn__corners_of_a_box_are_sharp(void)
{
    for (int k = 0; k < 8; k++) {
        tb_mask *mask = drawn_board(20, 20, 20);
        drawn_box(mask, 0, 10, 10, 10, 8, k * 0.2);
        found f = find_turns(mask);
        assert_turns(&f, 4, 1.4, 0, 0);
        tb_free(f.turns);
        tb_mask_free(mask);
    }
}

/* A rounded end of 0.5 to 0.9 mm at 20 px/mm. */
static void test_turn__rounded_ends_have_their_radius(void)
{
    for (int k = 0; k < 5; k++) {
        double radius = 0.5 + 0.1 * k, turn = 0.3 * k;
        tb_mask *mask = drawn_board(20, 20, 20);
        drawn_line(mask, 0, 10 - 4 * cos(turn), 10 - 4 * sin(turn), 10 + 4 * cos(turn),
                10 + 4 * sin(turn), radius);
        found f = find_turns(mask);
        assert_turns(&f, 2, G_PI / 2, 0.8 * radius * 20, 1.2 * radius * 20);
        tb_free(f.turns);
        tb_mask_free(mask);
    }
}

static void test_turn__wide_bends_are_none(void)
{
    tb_mask *mask = drawn_board(20, 20, 20);
    drawn_line(mask, 0, 10, 10, 10, 10, 5);
    found f = find_turns(mask);
    assert_turns(&f, 0, 0, 0, 0);
    tb_free(f.turns);
    tb_mask_free(mask);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
#define ADD(name) g_test_add_func("/turn/" #name, test_turn__##name)
    ADD(corners_of_a_box_are_sharp);
    ADD(rounded_ends_have_their_radius);
    ADD(wide_bends_are_none);
    return g_test_run();
}
