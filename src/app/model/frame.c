/* app/model/frame.c: see frame.h.
 *
 * A frame that may be asked for is found between one that is allowed and the one wished for: what
 * is allowed is convex, so the farthest point of the way that still is lies where the first of the
 * bounds is met.
 */
#include "app/model/frame.h"

#include "flow/flow.h"

#include <math.h>

static const double QUARTER_RAD = 1.5707963267948966, LEAST_SHARE = 0.04;

static int quarters(double turn_rad)
{
    return (int)lround(turn_rad / QUARTER_RAD);
}

static bool on_its_side(double turn_rad)
{
    return quarters(turn_rad) % 2 != 0;
}

/* A place on the board from one on the photograph, both from the frame's middle; turn below 0: the
 * other way. */
static void turned(double x, double y, double turn_rad, double *x_out, double *y_out)
{
    double c = cos(turn_rad), s = sin(turn_rad);
    *x_out = x * c - y * s;
    *y_out = x * s + y * c;
}

tb_frame tb_frame_of(const tb_settings *settings, const tb_photo_info *photo)
{
    tb_photo_view view;
    if (tb_flow_view(&view, settings, photo, NULL))
        return (tb_frame){photo->width_px / 2.0, photo->height_px / 2.0, photo->width_px,
                photo->height_px, settings->turn_rad};
    return (tb_frame){view.x + view.w / 2, view.y + view.h / 2, view.w, view.h, settings->turn_rad};
}

void tb_frame_size(const tb_settings *settings, const tb_photo_info *photo, double *width_mm,
        double *height_mm)
{
    tb_frame frame = tb_frame_of(settings, photo);
    *width_mm = settings->width_mm    ? settings->width_mm
                : settings->height_mm ? settings->height_mm * frame.w_px / frame.h_px
                                      : 200;
    *height_mm = settings->height_mm ? settings->height_mm : *width_mm * frame.h_px / frame.w_px;
}

double tb_frame_side_most(const tb_settings *settings, const tb_photo_info *photo, bool across)
{
    double width_mm, height_mm;
    tb_frame_size(settings, photo, &width_mm, &height_mm);
    double this_mm = across ? width_mm : height_mm, other_mm = across ? height_mm : width_mm;
    if (tb_frame_keeps_shape(settings))
        return TB_FRAME_SIDE_MOST_MM;
    return TB_FRAME_SIDE_MOST_MM * fmin(1, this_mm / other_mm);
}

bool tb_frame_keeps_shape(const tb_settings *settings)
{
    return settings->width_mm > 0 && settings->height_mm > 0;
}

void tb_frame_put(tb_settings *settings, const tb_frame *frame, const tb_photo_info *photo)
{
    double width_mm, height_mm;
    tb_frame_size(settings, photo, &width_mm, &height_mm);
    settings->crop_x = (frame->x_px - frame->w_px / 2) / photo->width_px;
    settings->crop_y = (frame->y_px - frame->h_px / 2) / photo->height_px;
    settings->crop_w = frame->w_px / photo->width_px;
    settings->crop_h = frame->h_px / photo->height_px;
    settings->turn_rad = frame->turn_rad;
    if (!on_its_side(frame->turn_rad)) {
        settings->crop_w = fmin(settings->crop_w, 1);
        settings->crop_h = fmin(settings->crop_h, 1);
        settings->crop_x = fmin(fmax(settings->crop_x, 0), 1 - settings->crop_w);
        settings->crop_y = fmin(fmax(settings->crop_y, 0), 1 - settings->crop_h);
    }
    if (tb_frame_keeps_shape(settings))
        return;
    double longer_mm = fmax(width_mm, height_mm);
    settings->width_mm = frame->w_px >= frame->h_px ? longer_mm : 0;
    settings->height_mm = frame->w_px >= frame->h_px ? 0 : longer_mm;
}

void tb_frame_put_whole(tb_settings *settings, const tb_photo_info *photo)
{
    tb_settings whole = *settings;
    whole.crop_x = whole.crop_y = whole.crop_w = whole.crop_h = 0;
    tb_frame frame = tb_frame_of(&whole, photo);
    tb_frame_put(settings, &frame, photo);
    settings->crop_x = settings->crop_y = settings->crop_w = settings->crop_h = 0;
}

/* How far a frame is within each of its bounds; below 0 beyond. */
enum { N_BOUNDS = 6 };

static void bounds_of(double bounds[N_BOUNDS], const tb_frame *f, const tb_photo_info *photo)
{
    bool side = on_its_side(f->turn_rad);
    double across = (side ? f->h_px : f->w_px) / 2, down = (side ? f->w_px : f->h_px) / 2;
    double least = LEAST_SHARE * fmin(photo->width_px, photo->height_px);
    bounds[0] = f->x_px - across;
    bounds[1] = photo->width_px - f->x_px - across;
    bounds[2] = f->y_px - down;
    bounds[3] = photo->height_px - f->y_px - down;
    bounds[4] = f->w_px - least;
    bounds[5] = f->h_px - least;
}

static tb_frame toward(const tb_frame *from, const tb_frame *to, const tb_photo_info *photo)
{
    double before[N_BOUNDS], after[N_BOUNDS], t = 1;
    bounds_of(before, from, photo);
    bounds_of(after, to, photo);
    for (int i = 0; i < N_BOUNDS; i++)
        if (after[i] < 0 && after[i] < before[i])
            t = fmin(t, fmax(before[i], 0) / (fmax(before[i], 0) - after[i]));
    return (tb_frame){from->x_px + t * (to->x_px - from->x_px),
            from->y_px + t * (to->y_px - from->y_px), from->w_px + t * (to->w_px - from->w_px),
            from->h_px + t * (to->h_px - from->h_px), from->turn_rad};
}

/* The frame with its sides moved by so much, right and down. */
static tb_frame with_sides(const tb_frame *f, double left, double top, double right, double bottom)
{
    tb_frame to = *f;
    double x, y;
    turned((left + right) / 2, (top + bottom) / 2, -f->turn_rad, &x, &y);
    to.x_px += x;
    to.y_px += y;
    to.w_px += right - left;
    to.h_px += bottom - top;
    return to;
}

/* Larger or smaller in its shape, the sides across from the grip where they are. */
static tb_frame scaled(const tb_frame *f, unsigned grip, double right, double down)
{
    double across = grip & TB_GRIP_RIGHT ? right : grip & TB_GRIP_LEFT ? -right : 0;
    double along = grip & TB_GRIP_BOTTOM ? down : grip & TB_GRIP_TOP ? -down : 0;
    double by = fabs(across / f->w_px) > fabs(along / f->h_px) ? across / f->w_px : along / f->h_px;
    double w = by * f->w_px, h = by * f->h_px;
    double left = grip & TB_GRIP_LEFT ? 1 : grip & TB_GRIP_RIGHT ? 0 : 0.5;
    double top = grip & TB_GRIP_TOP ? 1 : grip & TB_GRIP_BOTTOM ? 0 : 0.5;
    return with_sides(f, -left * w, -top * h, (1 - left) * w, (1 - top) * h);
}

tb_frame tb_frame_pulled(const tb_frame *frame, unsigned grip, double right_px, double down_px,
        bool keeps_shape, const tb_photo_info *photo)
{
    tb_frame first = *frame, second;
    if (grip == TB_GRIP_WHOLE) {
        double x, y;
        turned(right_px, down_px, -frame->turn_rad, &x, &y);
        first.x_px += x;
        first = toward(frame, &first, photo);
        second = first;
        second.y_px += y;
        return toward(&first, &second, photo);
    }
    if (keeps_shape) {
        first = scaled(frame, grip, right_px, down_px);
        return toward(frame, &first, photo);
    }
    first = with_sides(
            frame, grip & TB_GRIP_LEFT ? right_px : 0, 0, grip & TB_GRIP_RIGHT ? right_px : 0, 0);
    first = toward(frame, &first, photo);
    second = with_sides(
            &first, 0, grip & TB_GRIP_TOP ? down_px : 0, 0, grip & TB_GRIP_BOTTOM ? down_px : 0);
    return toward(&first, &second, photo);
}

void tb_frame_turn_quarter(tb_settings *settings, const tb_photo_info *photo)
{
    tb_frame frame = tb_frame_of(settings, photo);
    bool whole = settings->crop_w == 0;
    double w = frame.w_px, width_mm = settings->width_mm;
    frame.w_px = frame.h_px;
    frame.h_px = w;
    frame.turn_rad += QUARTER_RAD;
    if (quarters(frame.turn_rad) > 2)
        frame.turn_rad -= 4 * QUARTER_RAD;
    settings->width_mm = settings->height_mm;
    settings->height_mm = width_mm;
    settings->crop_x = (frame.x_px - frame.w_px / 2) / photo->width_px;
    settings->crop_y = (frame.y_px - frame.h_px / 2) / photo->height_px;
    settings->crop_w = frame.w_px / photo->width_px;
    settings->crop_h = frame.h_px / photo->height_px;
    settings->turn_rad = frame.turn_rad;
    if (whole)
        settings->crop_x = settings->crop_y = settings->crop_w = settings->crop_h = 0;
}

double tb_frame_straightening(const tb_settings *settings)
{
    return settings->turn_rad - quarters(settings->turn_rad) * QUARTER_RAD;
}

void tb_frame_straighten(tb_settings *settings, double turn_rad)
{
    settings->turn_rad = quarters(settings->turn_rad) * QUARTER_RAD + turn_rad;
}

void tb_frame_to_board(const tb_frame *frame, double x_px, double y_px, double *x, double *y)
{
    turned(x_px - frame->x_px, y_px - frame->y_px, frame->turn_rad, x, y);
    *x = *x / frame->w_px + 0.5;
    *y = *y / frame->h_px + 0.5;
}

void tb_frame_to_photo(const tb_frame *frame, double x, double y, double *x_px, double *y_px)
{
    turned((x - 0.5) * frame->w_px, (y - 0.5) * frame->h_px, -frame->turn_rad, x_px, y_px);
    *x_px += frame->x_px;
    *y_px += frame->y_px;
}
