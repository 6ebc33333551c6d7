/* flow/stage_limits.c: see stage_limits.h. */
#include "flow/stage_limits.h"

#include "base/num.h"
#include "facts/practice.h"

#include <math.h>

static const double PX_PER_MM_MIN = 4, PX_PER_MM_MAX = 24;
/* A pattern that comes of a photograph gains nothing from more pixels, and each costs some 60 bytes
 * on the way: of a large board a millimetre has fewer. */
static const double VIEW_AREA_MAX_PX = 36e6, VIEW_PX_PER_MM_MIN = 2;
static const double SIDE_MIN_MM = 20, DEFAULT_WIDTH_MM = 200;

static tb_status check_range(const char *name, double value, double low, double high, tb_error *err)
{
    if (value >= low && value <= high)
        return TB_OK;
    return tb_fail(err, TB_EINVAL, "%s is %s; it lies between %s and %s", name,
            tb_num_of(value, 2).text, tb_num_of(low, 2).text, tb_num_of(high, 2).text);
}

/* Turned by a quarter or three, give or take the straightening: width and height change places. */
static bool on_its_side(double turn_rad)
{
    return fabs(sin(turn_rad)) > fabs(cos(turn_rad));
}

/* On its side a part is held to the photograph by its middle here; what reaches beyond is seen
 * where the photograph's own size is known. */
static bool crop_fits(const tb_settings *s)
{
    if (s->crop_w <= 0 && s->crop_h <= 0)
        return true;
    if (on_its_side(s->turn_rad)) {
        double x = s->crop_x + s->crop_w / 2, y = s->crop_y + s->crop_h / 2;
        return s->crop_w > 0 && s->crop_h > 0 && x >= 0 && x <= 1 && y >= 0 && y <= 1;
    }
    return s->crop_x >= 0 && s->crop_y >= 0 && s->crop_w > 0 && s->crop_h > 0 &&
           s->crop_x + s->crop_w <= 1 + 1e-9 && s->crop_y + s->crop_h <= 1 + 1e-9;
}

static tb_status check_side(const char *name, double side_mm, tb_error *err)
{
    if (side_mm == 0)
        return TB_OK;
    return check_range(name, side_mm, SIDE_MIN_MM, 4000, err);
}

tb_status tb__settings_check(const tb_settings *s, tb_error *err)
{
    tb_status status = check_side("the width in mm", s->width_mm, err);
    if (!status)
        status = check_side("the height in mm", s->height_mm, err);
    if (!status)
        status = check_range("darkness", s->darkness, -50, 50, err);
    if (!status)
        status = check_range("evening", s->evening, -1, 1, err);
    if (!status)
        status = check_range("line emphasis", s->lines, 0, 2, err);
    if (!status)
        status = check_range("the bridge width in mm", s->bridge_mm, 0.5, 20, err);
    if (!status)
        status = check_range("the frame's width in mm", s->frame_mm, 0, 200, err);
    if (!status)
        status = check_range("pixels per mm", s->px_per_mm, PX_PER_MM_MIN, PX_PER_MM_MAX, err);
    if (!status && !crop_fits(s))
        status = tb_fail(err, TB_EINVAL, "the crop reaches beyond the photograph");
    return status;
}

static double usual(const char *key)
{
    return tb_practice_find(key)->value;
}

tb_status tb__tools_of(
        tb_stock *stock, const tb_blade **blade, const tb_settings *settings, tb_error *err)
{
    *blade = tb_blade_find(settings->blade);
    tb_status status = tb_stock_find(stock, settings->stock, err);
    if (!status && !*blade)
        status = tb_fail(err, TB_EINVAL,
                "no blade is called '%.40s'; usual ones are 2/0, 0, 1, 3 and 5", settings->blade);
    return status;
}

tb_status tb__limits_of(tb_limits *limits, const tb_settings *settings, tb_error *err)
{
    tb_stock stock;
    const tb_blade *blade;
    tb_status status = tb__tools_of(&stock, &blade, settings, err);
    if (status)
        return status;
    *limits = (tb_limits)TB_LIMITS_INIT;
    limits->bridge_must_mm = settings->bridge_mm;
    limits->bridge_should_mm = fmax(usual("bridge_should_mm"), settings->bridge_mm);
    limits->bridge_across_mm =
            stock.plywood ? 0 : usual("bridge_across_share") * stock.thickness_mm;
    limits->kerf_mm = tb_blade_kerf_mm(blade);
    limits->drill_mm = tb_blade_drill(blade, TB_DRILL_NUMBER)->diameter_mm;
    limits->turn_radius_mm = tb_blade_turn_mm(blade);
    limits->frame_mm = settings->frame_mm;
    limits->split_kerf_mm = settings->split_line ? limits->kerf_mm : 0;
    limits->thickness_mm = stock.thickness_mm;
    limits->strength_along_mpa = stock.strength_along_mpa;
    limits->strength_across_mpa = stock.strength_across_mpa;
    limits->grain_rad = settings->grain_rad;
    limits->safety = stock.safety;
    return TB_OK;
}

/* Crops the view about its middle to width : height. */
static void crop_to_shape(tb_photo_view *view, double width, double height)
{
    double w = fmin(view->w, view->h * width / height);
    double h = fmin(view->h, view->w * height / width);
    view->x += (view->w - w) / 2;
    view->y += (view->h - h) / 2;
    view->w = w;
    view->h = h;
}

tb_status tb__view_of(
        tb_photo_view *view, const tb_settings *settings, const tb_photo_info *photo, tb_error *err)
{
    double width_px = photo->width_px, height_px = photo->height_px;
    *view = (tb_photo_view){0, 0, width_px, height_px, settings->turn_rad, 0, 0, 0};
    if (on_its_side(settings->turn_rad))
        *view = (tb_photo_view){(width_px - height_px) / 2, (height_px - width_px) / 2, height_px,
                width_px, settings->turn_rad, 0, 0, 0};
    if (settings->crop_w > 0)
        *view = (tb_photo_view){settings->crop_x * width_px, settings->crop_y * height_px,
                settings->crop_w * width_px, settings->crop_h * height_px, settings->turn_rad, 0, 0,
                0};
    double width = settings->width_mm, height = settings->height_mm;
    if (width == 0 && height == 0)
        width = DEFAULT_WIDTH_MM;
    if (width > 0 && height > 0)
        crop_to_shape(view, width, height);
    else if (width > 0)
        height = width * view->h / view->w;
    else
        width = height * view->w / view->h;
    if (!(width >= SIDE_MIN_MM && height >= SIDE_MIN_MM))
        return tb_fail(err, TB_EINVAL, "the board would be %s x %s mm; both sides need %s or more",
                tb_num_of(width, 1).text, tb_num_of(height, 1).text,
                tb_num_of(SIDE_MIN_MM, 0).text);
    double fits = fmin(fmin(TB_SIDE_MAX_PX / width, TB_SIDE_MAX_PX / height),
            sqrt(VIEW_AREA_MAX_PX / (width * height)));
    view->px_per_mm = fmin(settings->px_per_mm, floor(fits * 10) / 10);
    if (view->px_per_mm < VIEW_PX_PER_MM_MIN)
        return tb_fail(err, TB_EINVAL, "a board of %s x %s mm is too large for this tool",
                tb_num_of(width, 0).text, tb_num_of(height, 0).text);
    view->width_px = (int)lround(width * view->px_per_mm);
    view->height_px = (int)lround(height * view->px_per_mm);
    return TB_OK;
}

/* Sizes for fine, medium and bold; in mm. */
static const struct {
    double smooth_mm, fine_mm, line_mm, opening_mm, speck_mm2;
} BY_DETAIL[] = {
        [TB_DETAIL_FINE] = {1.2, 0.15, 0.45, 0.8, 2},
        [TB_DETAIL_MEDIUM] = {2.0, 0.25, 0.6, 0.8, 3},
        [TB_DETAIL_BOLD] = {4.0, 0.6, 1.0, 1.2, 8},
};

tb_tone_options tb__tone_options_of(const tb_settings *settings, double shorter_side_mm)
{
    tb_tone_options options = TB_TONE_OPTIONS_INIT;
    options.smooth_mm = BY_DETAIL[settings->detail].smooth_mm;
    options.fine_mm = BY_DETAIL[settings->detail].fine_mm;
    options.line_mm = BY_DETAIL[settings->detail].line_mm;
    options.lines = settings->lines;
    options.evening = settings->evening >= 0 ? settings->evening : 0.5;
    options.surround_mm = 0.12 * shorter_side_mm;
    return options;
}

tb_tidy_options tb__tidy_options_of(const tb_settings *settings, const tb_limits *limits)
{
    tb_tidy_options options = TB_TIDY_OPTIONS_INIT;
    options.opening_mm = fmax(
            BY_DETAIL[settings->detail].opening_mm, limits->slot_should_kerfs * limits->kerf_mm);
    options.disc_mm = limits->drill_mm + limits->drill_room_mm;
    options.opening_speck_mm2 = fmax(limits->speck_mm2, BY_DETAIL[settings->detail].speck_mm2);
    options.wood_speck_mm2 = options.opening_speck_mm2;
    return options;
}
