/* app/ui/bench-frame.c: the photo step's bench: the whole photograph, and on it the frame of what
 * becomes the board, which can be pulled by its corners and sides or moved as it is.
 *
 * The photograph is drawn in the frame of the board that is shown; the frame that is asked for may
 * be another already, until its board has been made.
 */
#include "app/ui/bench-private.h"

#include <adwaita.h>
#include <math.h>

static const double GRIP_REACH = 22, KEY_SHARE = 0.01;

bool tb__bench_framing(TbBench *self)
{
    return self->work && tb_desk_step(self->desk) == TB_STEP_PHOTO;
}

static const tb_photo_info *photo_of(TbBench *self)
{
    return tb_work_photo_info(self->work);
}

static const tb_settings *settings_of(TbBench *self)
{
    return &tb_work_state(self->work)->settings;
}

tb_frame tb__bench_frame_shown(TbBench *self, double *px_per_mm)
{
    const tb_work_pattern *pattern = tb_work_pattern_now(self->work);
    double width_mm, height_mm;
    tb_frame frame = tb_frame_of(pattern ? &pattern->settings : settings_of(self), photo_of(self));
    tb__bench_board_size(self, &width_mm, &height_mm);
    *px_per_mm = frame.w_px / width_mm;
    return frame;
}

static tb_frame wanted(TbBench *self)
{
    return self->grip ? self->frame : tb_frame_of(settings_of(self), photo_of(self));
}

/* Sets cr so that it draws in the photograph's pixels. */
static void in_photo(TbBench *self, cairo_t *cr)
{
    double px_per_mm, x, y;
    tb_frame shown = tb__bench_frame_shown(self, &px_per_mm);
    double units = self->px_per_mm / px_per_mm / gtk_widget_get_scale_factor(GTK_WIDGET(self));
    tb__bench_to_widget(self, shown.w_px / 2 / px_per_mm, shown.h_px / 2 / px_per_mm, &x, &y);
    cairo_translate(cr, x, y);
    cairo_rotate(cr, shown.turn_rad);
    cairo_scale(cr, units, units);
    cairo_translate(cr, -shown.x_px, -shown.y_px);
}

void tb__bench_frame_extent(
        TbBench *self, double *left_mm, double *top_mm, double *right_mm, double *bottom_mm)
{
    double px_per_mm;
    tb_frame shown = tb__bench_frame_shown(self, &px_per_mm);
    double w = shown.w_px / px_per_mm, h = shown.h_px / px_per_mm;
    *left_mm = *top_mm = 0;
    *right_mm = w;
    *bottom_mm = h;
    for (int i = 0; i < 4; i++) {
        double x, y;
        tb_frame_to_board(&shown, i % 2 ? photo_of(self)->width_px : 0,
                i / 2 ? photo_of(self)->height_px : 0, &x, &y);
        *left_mm = fmin(*left_mm, x * w);
        *right_mm = fmax(*right_mm, x * w);
        *top_mm = fmin(*top_mm, y * h);
        *bottom_mm = fmax(*bottom_mm, y * h);
    }
}

void tb__bench_frame_follow(TbBench *self, const tb_frame *before, double before_px_per_mm)
{
    double px_per_mm, x, y;
    tb_frame now = tb__bench_frame_shown(self, &px_per_mm);
    double scale = self->px_per_mm / before_px_per_mm; /* device pixels on one of the photograph */
    tb_frame_to_board(before, now.x_px, now.y_px, &x, &y);
    double middle_x = self->left_px + x * before->w_px * scale;
    double middle_y = self->top_px + y * before->h_px * scale;
    self->px_per_mm = scale * px_per_mm;
    self->left_px = (int)lround(middle_x - now.w_px / 2 * scale);
    self->top_px = (int)lround(middle_y - now.h_px / 2 * scale);
}

/* ---- drawing ----------------------------------------------------------------------------------
 */

static cairo_surface_t *surface_of(const tb_level *level)
{
    cairo_surface_t *surface =
            cairo_image_surface_create(CAIRO_FORMAT_RGB24, level->width_px, level->height_px);
    unsigned char *data = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface);
    cairo_surface_flush(surface);
    for (int y = 0; data && y < level->height_px; y++) {
        const uint8_t *grey = level->px + (size_t)y * (size_t)level->width_px;
        uint32_t *row = (uint32_t *)(void *)(data + (size_t)y * (size_t)stride);
        for (int x = 0; x < level->width_px; x++)
            row[x] = grey[x] * 0x010101u;
    }
    cairo_surface_mark_dirty(surface);
    return surface;
}

/* The photograph's coarsest level that is still as fine as the screen, as a surface that is kept.
 */
static cairo_surface_t *photo_surface(TbBench *self, const tb_picture *whole)
{
    double px_per_mm;
    tb__bench_frame_shown(self, &px_per_mm);
    double shrunk = photo_of(self)->width_px / (double)whole->levels[0].width_px;
    double wanted_px = self->px_per_mm / px_per_mm * shrunk; /* on a pixel of level 0 */
    int i = 0;
    while (i + 1 < whole->n_levels && wanted_px <= 0.5) {
        wanted_px *= 2;
        i++;
    }
    if (self->photo_level != &whole->levels[i]) {
        g_clear_pointer(&self->photo_surface, cairo_surface_destroy);
        self->photo_surface = surface_of(&whole->levels[i]);
        self->photo_level = &whole->levels[i];
    }
    return self->photo_surface;
}

void tb__bench_draw_photo(TbBench *self, cairo_t *cr)
{
    const tb_picture *whole = tb_work_whole_photo(self->work);
    if (!whole)
        return;
    cairo_surface_t *surface = photo_surface(self, whole);
    cairo_save(cr);
    in_photo(self, cr);
    cairo_scale(cr, photo_of(self)->width_px / (double)cairo_image_surface_get_width(surface),
            photo_of(self)->height_px / (double)cairo_image_surface_get_height(surface));
    cairo_set_source_surface(cr, surface, 0, 0);
    cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_BILINEAR);
    cairo_paint(cr);
    cairo_restore(cr);
}

/* The frame's corners in the widget, clockwise from the top left. */
static void corners_of(TbBench *self, const tb_frame *frame, double x[4], double y[4])
{
    double px_per_mm;
    tb_frame shown = tb__bench_frame_shown(self, &px_per_mm);
    for (int i = 0; i < 4; i++) {
        double px, py;
        tb_frame_to_photo(frame, i == 1 || i == 2, i >= 2, &px, &py);
        tb_frame_to_board(&shown, px, py, &px, &py);
        tb__bench_to_widget(
                self, px * shown.w_px / px_per_mm, py * shown.h_px / px_per_mm, &x[i], &y[i]);
    }
}

static void frame_path(cairo_t *cr, const double x[4], const double y[4])
{
    for (int i = 0; i < 4; i++)
        cairo_line_to(cr, x[i], y[i]);
    cairo_close_path(cr);
}

/* What falls away is seen through a veil of the bench's own colour. */
static void draw_veil(TbBench *self, cairo_t *cr, const double x[4], const double y[4])
{
    bool dark = adw_style_manager_get_dark(adw_style_manager_get_default());
    cairo_rectangle(cr, 0, 0, gtk_widget_get_width(GTK_WIDGET(self)),
            gtk_widget_get_height(GTK_WIDGET(self)));
    cairo_new_sub_path(cr);
    frame_path(cr, x, y);
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    if (dark)
        cairo_set_source_rgba(cr, 0.21, 0.19, 0.17, 0.72);
    else
        cairo_set_source_rgba(cr, 0.89, 0.87, 0.82, 0.72);
    cairo_fill(cr);
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_WINDING);
}

/* Corners as the two laths of a frame that meet there; sides as one piece of lath. */
static void draw_grips(cairo_t *cr, const double x[4], const double y[4])
{
    const double arm = 20;
    for (int i = 0; i < 4; i++) {
        int next = (i + 1) % 4, last = (i + 3) % 4;
        double ax = x[next] - x[i], ay = y[next] - y[i], a = hypot(ax, ay);
        double bx = x[last] - x[i], by = y[last] - y[i], b = hypot(bx, by);
        if (a < 3 * arm || b < 3 * arm)
            continue;
        cairo_move_to(cr, x[i] + ax / a * arm, y[i] + ay / a * arm);
        cairo_line_to(cr, x[i], y[i]);
        cairo_line_to(cr, x[i] + bx / b * arm, y[i] + by / b * arm);
        cairo_move_to(cr, x[i] + ax / 2 - ax / a * arm / 2, y[i] + ay / 2 - ay / a * arm / 2);
        cairo_line_to(cr, x[i] + ax / 2 + ax / a * arm / 2, y[i] + ay / 2 + ay / a * arm / 2);
    }
}

/* The finished size that the frame would have, under it while it is pulled. */
static void draw_size(TbBench *self, cairo_t *cr, double x, double y)
{
    tb_settings settings = *settings_of(self);
    double width_mm, height_mm;
    cairo_text_extents_t e;
    tb_frame_put(&settings, &self->frame, photo_of(self));
    tb_frame_size(&settings, photo_of(self), &width_mm, &height_mm);
    g_autofree char *width = tb_desk_length(self->desk, width_mm);
    g_autofree char *height = tb_desk_length(self->desk, height_mm);
    g_autofree char *text = g_strdup_printf("%s × %s", width, height);
    cairo_set_font_size(cr, 14);
    cairo_text_extents(cr, text, &e);
    cairo_set_source_rgba(cr, 1, 1, 1, 0.94);
    cairo_rectangle(cr, x - e.x_advance / 2 - 8, y - 34, e.x_advance + 16, 26);
    cairo_fill(cr);
    cairo_set_source_rgb(cr, 0.13, 0.13, 0.13);
    cairo_move_to(cr, x - e.x_advance / 2, y - 16);
    cairo_show_text(cr, text);
}

void tb__bench_draw_frame(TbBench *self, cairo_t *cr)
{
    double x[4], y[4];
    tb_frame frame = wanted(self);
    corners_of(self, &frame, x, y);
    draw_veil(self, cr, x, y);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_MITER);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);
    for (int pass = 0; pass < 2; pass++) {
        cairo_set_source_rgb(cr, pass ? 0.91 : 0.16, pass ? 0.80 : 0.13, pass ? 0.62 : 0.10);
        cairo_set_line_width(cr, pass ? 1.5 : 3.5);
        frame_path(cr, x, y);
        cairo_stroke(cr);
        cairo_set_line_width(cr, pass ? 5 : 8);
        draw_grips(cr, x, y);
        cairo_stroke(cr);
    }
    if (self->grip)
        draw_size(self, cr, (x[2] + x[3]) / 2, (y[2] + y[3]) / 2);
}

/* ---- taking hold ------------------------------------------------------------------------------
 */

unsigned tb__bench_grip_at(TbBench *self, double x, double y)
{
    double cx[4], cy[4];
    tb_frame frame = wanted(self);
    corners_of(self, &frame, cx, cy);
    /* Along and across the frame, from its top left corner. */
    double w = hypot(cx[1] - cx[0], cy[1] - cy[0]), h = hypot(cx[3] - cx[0], cy[3] - cy[0]);
    double u = ((x - cx[0]) * (cx[1] - cx[0]) + (y - cy[0]) * (cy[1] - cy[0])) / fmax(w, 1);
    double v = ((x - cx[0]) * (cx[3] - cx[0]) + (y - cy[0]) * (cy[3] - cy[0])) / fmax(h, 1);
    double reach_x = fmin(GRIP_REACH, w / 4), reach_y = fmin(GRIP_REACH, h / 4);
    unsigned grip = TB_GRIP_NONE;
    if (u < -GRIP_REACH || v < -GRIP_REACH || u > w + GRIP_REACH || v > h + GRIP_REACH)
        return TB_GRIP_NONE;
    grip |= u < reach_x ? TB_GRIP_LEFT : u > w - reach_x ? TB_GRIP_RIGHT : 0;
    grip |= v < reach_y ? TB_GRIP_TOP : v > h - reach_y ? TB_GRIP_BOTTOM : 0;
    return grip ? grip : TB_GRIP_WHOLE;
}

const char *tb__bench_grip_cursor(unsigned grip)
{
    switch (grip) {
    case TB_GRIP_LEFT:
    case TB_GRIP_RIGHT:
        return "ew-resize";
    case TB_GRIP_TOP:
    case TB_GRIP_BOTTOM:
        return "ns-resize";
    case TB_GRIP_LEFT | TB_GRIP_TOP:
    case TB_GRIP_RIGHT | TB_GRIP_BOTTOM:
        return "nwse-resize";
    case TB_GRIP_RIGHT | TB_GRIP_TOP:
    case TB_GRIP_LEFT | TB_GRIP_BOTTOM:
        return "nesw-resize";
    case TB_GRIP_WHOLE:
        return "move";
    default:
        return "grab";
    }
}

void tb__bench_frame_take(TbBench *self, unsigned grip)
{
    self->frame = self->frame_before = wanted(self);
    self->grip = grip;
}

void tb__bench_frame_pull(TbBench *self, double dx, double dy)
{
    double px_per_mm;
    tb__bench_frame_shown(self, &px_per_mm);
    double px = px_per_mm / self->px_per_mm * gtk_widget_get_scale_factor(GTK_WIDGET(self));
    self->frame = tb_frame_pulled(&self->frame_before, self->grip, dx * px, dy * px,
            tb_frame_keeps_shape(settings_of(self)), photo_of(self));
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

static bool same(const tb_frame *a, const tb_frame *b)
{
    return a->x_px == b->x_px && a->y_px == b->y_px && a->w_px == b->w_px && a->h_px == b->h_px;
}

void tb__bench_frame_release(TbBench *self)
{
    tb_settings settings = *settings_of(self);
    self->grip = TB_GRIP_NONE;
    if (same(&self->frame, &self->frame_before))
        return;
    tb_frame_put(&settings, &self->frame, photo_of(self));
    tb_work_set(self->work, &settings);
}

void tb__bench_frame_step(TbBench *self, int right, int down, bool grows)
{
    tb_settings settings = *settings_of(self);
    tb_frame before = tb_frame_of(&settings, photo_of(self));
    double step = KEY_SHARE * fmax(photo_of(self)->width_px, photo_of(self)->height_px);
    unsigned grip = !grows ? TB_GRIP_WHOLE : right ? TB_GRIP_RIGHT : TB_GRIP_BOTTOM;
    tb_frame frame = tb_frame_pulled(&before, grip, right * step, down * step,
            tb_frame_keeps_shape(&settings), photo_of(self));
    if (same(&frame, &before))
        return;
    tb_frame_put(&settings, &frame, photo_of(self));
    tb_work_slide(self->work, &settings);
}
