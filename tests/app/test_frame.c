/* The frame on the photograph, and the settings that it becomes. */
#include "app/model/frame.h"

#include "flow/flow.h"

#include <glib.h>
#include <math.h>

static const tb_photo_info PHOTO = {.width_px = 1000, .height_px = 800};

static tb_settings of_size(double width_mm, double height_mm)
{
    tb_settings settings = TB_SETTINGS_INIT;
    settings.width_mm = width_mm;
    settings.height_mm = height_mm;
    return settings;
}

static void assert_near(double a, double b)
{
    g_assert_cmpfloat_with_epsilon(a, b, 1e-6);
}

static void test_frame__begins_with_the_whole_photograph(void)
{
    tb_settings settings = of_size(250, 0);
    tb_frame frame = tb_frame_of(&settings, &PHOTO);
    double width_mm, height_mm;
    tb_frame_size(&settings, &PHOTO, &width_mm, &height_mm);
    assert_near(frame.x_px, 500);
    assert_near(frame.w_px, 1000);
    assert_near(frame.h_px, 800);
    assert_near(height_mm, 200);
}

static void test_frame__leaves_the_sides_that_are_not_pulled(void)
{
    tb_settings settings = of_size(250, 0);
    tb_frame whole = tb_frame_of(&settings, &PHOTO);
    tb_frame pulled = tb_frame_pulled(&whole, TB_GRIP_LEFT | TB_GRIP_TOP, 100, 50, false, &PHOTO);
    assert_near(pulled.x_px + pulled.w_px / 2, 1000);
    assert_near(pulled.y_px + pulled.h_px / 2, 800);
    assert_near(pulled.w_px, 900);
    assert_near(pulled.h_px, 750);
}

static void test_frame__stays_on_the_photograph_and_keeps_a_size(void)
{
    tb_settings settings = of_size(250, 0);
    tb_frame whole = tb_frame_of(&settings, &PHOTO);
    tb_frame small = tb_frame_pulled(&whole, TB_GRIP_RIGHT, -5000, 0, false, &PHOTO);
    tb_frame far = tb_frame_pulled(&small, TB_GRIP_WHOLE, 5000, 5000, false, &PHOTO);
    assert_near(small.w_px, 0.04 * 800);
    assert_near(far.x_px + far.w_px / 2, 1000);
    assert_near(far.y_px, 400);
}

static void test_frame__keeps_its_shape(void)
{
    tb_settings settings = of_size(200, 200);
    tb_frame frame = tb_frame_of(&settings, &PHOTO);
    tb_frame pulled = tb_frame_pulled(&frame, TB_GRIP_RIGHT, -200, 0, true, &PHOTO);
    assert_near(frame.w_px, 800);
    assert_near(pulled.w_px, 600);
    assert_near(pulled.h_px, 600);
    assert_near(pulled.x_px - pulled.w_px / 2, 100); /* the side across stays */
    tb_frame_put(&settings, &pulled, &PHOTO);
    assert_near(settings.width_mm, 200);
    assert_near(settings.height_mm, 200);
}

static void test_frame__gives_a_size_that_follows(void)
{
    tb_settings settings = of_size(250, 0);
    tb_frame whole = tb_frame_of(&settings, &PHOTO);
    tb_frame upright = tb_frame_pulled(&whole, TB_GRIP_RIGHT, -600, 0, false, &PHOTO);
    double width_mm, height_mm;
    tb_frame_put(&settings, &upright, &PHOTO);
    tb_frame_size(&settings, &PHOTO, &width_mm, &height_mm);
    assert_near(height_mm, 250);
    assert_near(width_mm, 125);
    tb_frame back = tb_frame_of(&settings, &PHOTO);
    assert_near(back.x_px, upright.x_px);
    assert_near(back.w_px, 400);
}

static void test_frame__turned_by_a_quarter_shows_the_same(void)
{
    tb_settings settings = of_size(250, 0);
    tb_frame whole = tb_frame_of(&settings, &PHOTO);
    tb_frame part = tb_frame_pulled(&whole, TB_GRIP_RIGHT, -100, 0, false, &PHOTO);
    double x, y;
    tb_frame_put(&settings, &part, &PHOTO);
    for (int i = 0; i < 4; i++) {
        tb_frame_turn_quarter(&settings, &PHOTO);
        tb_frame turned = tb_frame_of(&settings, &PHOTO);
        /* The part's top left corner goes round the board's corners, clockwise. */
        tb_frame_to_board(&turned, 0, 0, &x, &y);
        assert_near(x, i == 0 || i == 1);
        assert_near(y, i == 1 || i == 2);
        tb_frame_to_photo(&turned, x, y, &x, &y);
        assert_near(x, 0);
        assert_near(y, 0);
    }
    assert_near(settings.turn_rad, 0);
    assert_near(settings.crop_w, 0.9);
}

static void test_frame__straightening_is_beside_the_quarters(void)
{
    tb_settings settings = of_size(250, 0);
    tb_frame_turn_quarter(&settings, &PHOTO);
    tb_frame_straighten(&settings, 0.1);
    assert_near(tb_frame_straightening(&settings), 0.1);
    assert_near(settings.turn_rad, G_PI / 2 + 0.1);
    tb_frame_straighten(&settings, 0);
    assert_near(settings.turn_rad, G_PI / 2);
}

/* Across 1000 pixels by 800: the height is four fifths of the width. */
static void test_frame__lets_neither_side_be_longer_than_the_longest(void)
{
    tb_settings one = of_size(250, 0), both = of_size(250, 200);
    assert_near(tb_frame_side_most(&one, &PHOTO, true), TB_FRAME_SIDE_MOST_MM);
    assert_near(tb_frame_side_most(&one, &PHOTO, false), TB_FRAME_SIDE_MOST_MM * 0.8);
    assert_near(tb_frame_side_most(&both, &PHOTO, false), TB_FRAME_SIDE_MOST_MM);
}

/* The whole board of two metres a side: fewer pixels on a millimetre, so that memory suffices. */
static void test_frame__of_a_large_board_has_no_more_pixels(void)
{
    tb_photo_view view;
    tb_settings large = of_size(2000, 2000), usual = of_size(200, 250);
    g_assert_cmpint(tb_flow_view(&view, &large, &PHOTO, NULL), ==, TB_OK);
    g_assert_cmpfloat((double)view.width_px * view.height_px, <=, 36e6);
    assert_near(view.width_px / view.px_per_mm, 2000);
    g_assert_cmpint(tb_flow_view(&view, &usual, &PHOTO, NULL), ==, TB_OK);
    assert_near(view.px_per_mm, usual.px_per_mm);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/frame/whole", test_frame__begins_with_the_whole_photograph);
    g_test_add_func("/frame/sides", test_frame__leaves_the_sides_that_are_not_pulled);
    g_test_add_func("/frame/bounds", test_frame__stays_on_the_photograph_and_keeps_a_size);
    g_test_add_func("/frame/shape", test_frame__keeps_its_shape);
    g_test_add_func("/frame/size", test_frame__gives_a_size_that_follows);
    g_test_add_func("/frame/quarter", test_frame__turned_by_a_quarter_shows_the_same);
    g_test_add_func("/frame/straightening", test_frame__straightening_is_beside_the_quarters);
    g_test_add_func("/frame/longest", test_frame__lets_neither_side_be_longer_than_the_longest);
    g_test_add_func("/frame/large", test_frame__of_a_large_board_has_no_more_pixels);
    return g_test_run();
}
