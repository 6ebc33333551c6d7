/* app/ui/bench-overlay.c: what lies over the picture: board's shade, grid, bridges, entry holes,
 * rings, the brush and the scale bar. State is told by shape as well as by colour: what must be
 * mended is ringed twice, what should be only once.
 */
#include "app/ui/bench-private.h"

#include "base/num.h"
#include "flow/local.h"

#include <glib/gi18n.h>
#include <math.h>

/* Red pencil and slate, as on a marked working copy. */
static const double RED[3] = {0.80, 0.16, 0.12}, SLATE[3] = {0.16, 0.36, 0.46};
/* Seen on wood and on the backer alike. */
static const double PALE[3] = {0.50, 0.74, 0.84};

static void set_colour(cairo_t *cr, const double colour[3], double alpha)
{
    cairo_set_source_rgba(cr, colour[0], colour[1], colour[2], alpha);
}

static double units_per_mm(TbBench *self)
{
    return self->px_per_mm / gtk_widget_get_scale_factor(GTK_WIDGET(self));
}

static void draw_grid(TbBench *self, cairo_t *cr)
{
    double width_mm, height_mm, x0, y0, x1, y1;
    double step_mm = tb_desk_inches(self->desk) ? 25.4 : 10;
    while (step_mm * units_per_mm(self) < 16)
        step_mm *= tb_desk_inches(self->desk) ? 2 : 5;
    tb__bench_board_size(self, &width_mm, &height_mm);
    tb__bench_to_widget(self, 0, 0, &x0, &y0);
    tb__bench_to_widget(self, width_mm, height_mm, &x1, &y1);
    cairo_set_line_width(cr, 1);
    set_colour(cr, SLATE, 0.35);
    for (double at = 0; at <= width_mm; at += step_mm) {
        double x = floor(x0 + at * units_per_mm(self)) + 0.5;
        cairo_move_to(cr, x, y0);
        cairo_line_to(cr, x, y1);
    }
    for (double at = 0; at <= height_mm; at += step_mm) {
        double y = floor(y0 + at * units_per_mm(self)) + 0.5;
        cairo_move_to(cr, x0, y);
        cairo_line_to(cr, x1, y);
    }
    cairo_stroke(cr);
}

static void draw_ring(cairo_t *cr, double x, double y, double r, bool twice)
{
    cairo_new_sub_path(cr);
    cairo_arc(cr, x, y, r, 0, 2 * G_PI);
    if (twice) {
        cairo_new_sub_path(cr);
        cairo_arc(cr, x, y, r + 3.5, 0, 2 * G_PI);
    }
    cairo_stroke(cr);
}

static void draw_label(cairo_t *cr, double x, double y, const char *text)
{
    cairo_text_extents_t e;
    cairo_set_font_size(cr, 12);
    cairo_text_extents(cr, text, &e);
    cairo_save(cr);
    cairo_set_source_rgba(cr, 1, 1, 1, 0.92);
    cairo_rectangle(cr, x - 3, y - e.height - 3, e.x_advance + 6, e.height + 6);
    cairo_fill(cr);
    cairo_restore(cr);
    cairo_move_to(cr, x, y);
    cairo_show_text(cr, text);
}

static void bridge_path(TbBench *self, cairo_t *cr, const tb_bridge *bridge)
{
    cairo_new_path(cr); /* text leaves a point behind */
    for (size_t k = 0; k < bridge->n_path; k++) {
        double x, y;
        tb__bench_to_widget(self, bridge->path[k].x_mm, bridge->path[k].y_mm, &x, &y);
        cairo_line_to(cr, x, y);
    }
}

/* Each along its middle, slate in a light seam; the chosen one broader, and numbered. */
static void draw_bridges(TbBench *self, cairo_t *cr, const tb_tie_account *tie)
{
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    for (size_t i = 0; tie && i < tie->n_bridges; i++) {
        const tb_bridge *bridge = &tie->bridges[i];
        bool chosen = (int)i == tb_desk_bridge(self->desk);
        for (int pass = 0; pass < 2; pass++) {
            cairo_set_line_width(cr, (chosen ? 4.5 : 2.2) + (pass ? 0 : 2));
            set_colour(cr, pass ? SLATE : (const double[3]){1, 1, 1}, pass ? 0.95 : 0.7);
            bridge_path(self, cr, bridge);
            cairo_stroke(cr);
        }
        if ((chosen || units_per_mm(self) > 6) && bridge->n_path > 0) {
            double x, y;
            char number[16];
            tb_point middle = bridge->path[bridge->n_path / 2];
            tb__bench_to_widget(self, middle.x_mm, middle.y_mm, &x, &y);
            g_snprintf(number, sizeof number, "%zu", i + 1);
            set_colour(cr, SLATE, 1);
            draw_label(cr, x + 9, y - 7, number);
        }
    }
}

/* Where the hand keeps an opening open: a dashed line with a bar across it. */
static void draw_kept_open(TbBench *self, cairo_t *cr)
{
    const tb_project_state *state = tb_work_state(self->work);
    const tb_photo_info *photo = tb_work_photo_info(self->work);
    double px_per_mm;
    tb_frame shown = tb__bench_frame_shown(self, &px_per_mm);
    double board_w = shown.w_px / px_per_mm, board_h = shown.h_px / px_per_mm;
    for (size_t i = 0; i < state->n_strokes; i++) {
        const tb_stroke *stroke = &state->strokes[i].stroke;
        double w, h, x = 0, y = 0, bar_x = 0, bar_y = 0;
        if (stroke->kind != TB_STROKE_KEEP_OPEN)
            continue;
        tb_frame drawn = tb_frame_of(state->strokes[i].framed, photo);
        tb_frame_size(state->strokes[i].framed, photo, &w, &h);
        set_colour(cr, RED, 0.9);
        cairo_set_line_width(cr, 2);
        cairo_set_dash(cr, (double[]){3, 4}, 2, 0);
        cairo_new_path(cr);
        for (size_t k = 0; k < stroke->n_points; k++) {
            tb_frame_to_photo(&drawn, stroke->points[k].x_um / 1e3 / w,
                    stroke->points[k].y_um / 1e3 / h, &x, &y);
            tb_frame_to_board(&shown, x, y, &x, &y);
            tb__bench_to_widget(self, x * board_w, y * board_h, &x, &y);
            cairo_line_to(cr, x, y);
            if (k == stroke->n_points / 2)
                bar_x = x, bar_y = y;
        }
        cairo_stroke(cr);
        cairo_set_dash(cr, NULL, 0, 0);
        draw_ring(cr, bar_x, bar_y, 6, false);
        cairo_move_to(cr, bar_x - 4.2, bar_y + 4.2);
        cairo_line_to(cr, bar_x + 4.2, bar_y - 4.2);
        cairo_stroke(cr);
    }
}

static void draw_holes(TbBench *self, cairo_t *cr, const tb_inspection *inspection)
{
    set_colour(cr, RED, 0.9);
    cairo_set_line_width(cr, 1.5);
    for (size_t i = 0; i < inspection->n_holes; i++) {
        double x, y;
        double r = fmax(inspection->holes[i].drill_mm / 2 * units_per_mm(self), 2.5);
        tb__bench_to_widget(self, inspection->holes[i].x_mm, inspection->holes[i].y_mm, &x, &y);
        cairo_new_sub_path(cr);
        cairo_arc(cr, x, y, r, 0, 2 * G_PI);
        cairo_move_to(cr, x - r - 2, y);
        cairo_line_to(cr, x + r + 2, y);
        cairo_move_to(cr, x, y - r - 2);
        cairo_line_to(cr, x, y + r + 2);
    }
    cairo_stroke(cr);
}

static void draw_findings(TbBench *self, cairo_t *cr, const tb_inspection *inspection)
{
    double r = fmax(7, 1.6 * units_per_mm(self));
    for (size_t i = inspection->n_findings; i-- > 0;) {
        const tb_finding *finding = &inspection->findings[i];
        bool chosen = (int)i == tb_desk_finding(self->desk);
        bool must = finding->severity == TB_MUST;
        double x, y;
        if (!must && !chosen && !(tb_desk_shown(self->desk) & TB_SHOW_KIND << finding->kind))
            continue;
        tb__bench_to_widget(self, finding->x_mm, finding->y_mm, &x, &y);
        set_colour(cr, must ? RED : SLATE, must || chosen ? 1 : 0.75);
        cairo_set_line_width(cr, chosen ? 3.5 : 1.8);
        draw_ring(cr, x, y, chosen ? r + 4 : r, must);
        if (chosen || units_per_mm(self) > 6) {
            char number[16];
            g_snprintf(number, sizeof number, "%zu", i + 1);
            draw_label(cr, x + r + 8, y - r - 2, number);
        }
    }
}

enum { NOTE_CHARS = 12, NOTE_LABEL_PX = 120 };

static double note_radius(TbBench *self, const tb_note *note)
{
    return fmax(note->radius_mm * units_per_mm(self), 8);
}

const tb_note *tb__bench_note_at(TbBench *self, double x, double y)
{
    size_t n = 0;
    const tb_note *notes = self->work ? tb_work_notes(self->work, &n) : NULL;
    for (size_t i = n; i-- > 0;) {
        double at_x, at_y, r = note_radius(self, &notes[i]);
        tb__bench_to_widget(self, notes[i].x_mm, notes[i].y_mm, &at_x, &at_y);
        bool on_label = x > at_x && x < at_x + r + NOTE_LABEL_PX && fabs(y - at_y + 5) < 12;
        if (hypot(x - at_x, y - at_y) < r || on_label)
            return &notes[i];
    }
    return NULL;
}

/* Each with its beginning: the pointer brings the whole (tb__bench_note_at()). */
static void draw_notes(TbBench *self, cairo_t *cr)
{
    size_t n;
    const tb_note *notes = tb_work_notes(self->work, &n);
    for (size_t i = 0; i < n; i++) {
        const tb_note *note = &notes[i];
        double x, y, r = note_radius(self, note);
        char start[4 * NOTE_CHARS + 1];
        tb__bench_to_widget(self, note->x_mm, note->y_mm, &x, &y);
        set_colour(cr, RED, 0.95);
        cairo_set_line_width(cr, 2.5);
        cairo_set_dash(cr, (double[]){7, 4}, 2, 0);
        draw_ring(cr, x, y, r, false);
        cairo_set_dash(cr, NULL, 0, 0);
        bool whole = g_utf8_strlen(note->text, -1) <= NOTE_CHARS;
        g_utf8_strncpy(start, note->text, whole ? NOTE_CHARS : NOTE_CHARS - 1);
        g_autofree char *label = g_strconcat(start, whole ? "" : "…", NULL);
        draw_label(cr, x + r + 4, y, label);
    }
}

/* A stroke that changes no mask shows nothing by itself until the pattern is made anew, one that
 * keeps bridges away only where it meets some. */
static bool leaves_trace(TbBench *self)
{
    tb_stroke_kind kind = self->stroke.kind;
    return self->pressed && (!tb_stroke_on_mask(kind) || kind == TB_STROKE_KEEP_OPEN);
}

static void stroke_point_to_widget(TbBench *self, size_t i, double *x, double *y)
{
    const tb_stroke_point *point = &self->stroke.points[i];
    tb__bench_to_widget(self, point->x_um / 1e3, point->y_um / 1e3, x, y);
}

bool tb__bench_brush_bounds(TbBench *self, graphene_rect_t *bounds)
{
    double x, y, x0, y0, x1, y1, room = tb_desk_brush_mm(self->desk) / 2 * units_per_mm(self) + 20;
    bool whole =
            self->pressed && (tb_desk_tool(self->desk) == TB_TOOL_BRIDGE || leaves_trace(self));
    if (!self->work || isnan(self->pointer_x_mm) || tb_desk_tool(self->desk) == TB_TOOL_MOVE ||
            tb__bench_framing(self))
        return false;
    tb__bench_to_widget(self, self->pointer_x_mm, self->pointer_y_mm, &x, &y);
    x0 = x1 = x;
    y0 = y1 = y;
    for (size_t i = 0; whole && i < self->stroke.n_points; i++) {
        stroke_point_to_widget(self, i, &x, &y);
        x0 = fmin(x0, x);
        y0 = fmin(y0, y);
        x1 = fmax(x1, x);
        y1 = fmax(y1, y);
    }
    *bounds = GRAPHENE_RECT_INIT((float)floor(x0 - room), (float)floor(y0 - room),
            (float)ceil(x1 - x0 + 2 * room + 1), (float)ceil(y1 - y0 + 2 * room + 1));
    return true;
}

/* What the brush leaves behind, seen through: wood, opening, or a mark. */
static void fill_brush(TbBench *self, cairo_t *cr, double x, double y, double r)
{
    switch (tb_desk_tool(self->desk)) {
    case TB_TOOL_WOOD:
    case TB_TOOL_LIGHTEN:
    case TB_TOOL_KEEP_IN:
        cairo_set_source_rgba(cr, 0.95, 0.84, 0.64, 0.45);
        break;
    case TB_TOOL_SAW:
    case TB_TOOL_DARKEN:
    case TB_TOOL_LEAVE_OUT:
        cairo_set_source_rgba(cr, 0.16, 0.14, 0.13, 0.45);
        break;
    default:
        return;
    }
    cairo_arc(cr, x, y, r, 0, 2 * G_PI);
    cairo_fill(cr);
}

/* As broad as the pen was pressed; in one layer, for what crosses itself is no darker there. */
static void draw_trace(TbBench *self, cairo_t *cr)
{
    double x, y;
    cairo_push_group(cr);
    set_colour(cr, PALE, 1);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    stroke_point_to_widget(self, 0, &x, &y);
    for (size_t i = 0; i < self->stroke.n_points; i++) {
        cairo_move_to(cr, x, y);
        stroke_point_to_widget(self, i, &x, &y);
        cairo_line_to(cr, x, y);
        cairo_set_line_width(cr, self->stroke.points[i].width_um / 1e3 * units_per_mm(self));
        cairo_stroke(cr);
    }
    cairo_pop_group_to_source(cr);
    cairo_paint_with_alpha(cr, 0.5);
}

/* Beside the ring, and at the very point where one is pressed: a small ring alone is lost. */
static void draw_cross(TbBench *self, cairo_t *cr, double x, double y, double r)
{
    double from = r < 7 ? r + 3 : 0, to = r < 7 ? r + 10 : 3;
    if (self->keyed)
        from = 0, to = fmax(to, 14);
    for (int i = 0; i < 4; i++) {
        double across = (i == 0) - (i == 1), down = (i == 2) - (i == 3);
        cairo_move_to(cr, x + across * from, y + down * from);
        cairo_line_to(cr, x + across * to, y + down * to);
    }
    cairo_stroke(cr);
}

void tb__bench_draw_brush(TbBench *self, cairo_t *cr)
{
    double x, y, r = tb_desk_brush_mm(self->desk) / 2 * units_per_mm(self);
    tb__bench_to_widget(self, self->pointer_x_mm, self->pointer_y_mm, &x, &y);
    if (self->pressed && tb_desk_tool(self->desk) == TB_TOOL_BRIDGE && self->stroke.n_points > 0) {
        double x0, y0;
        stroke_point_to_widget(self, 0, &x0, &y0);
        cairo_set_source_rgba(cr, 0.91, 0.80, 0.62, 0.85);
        cairo_set_line_width(cr, 2 * r);
        cairo_move_to(cr, x0, y0);
        cairo_line_to(cr, x, y);
        cairo_stroke(cr);
    }
    if (leaves_trace(self))
        draw_trace(self, cr);
    if (!self->pressed)
        fill_brush(self, cr, x, y, r);
    /* A dark line in a light one is seen on wood and on the backer. */
    for (int pass = 0; pass < 2; pass++) {
        cairo_set_source_rgba(cr, pass, pass, pass, 0.9);
        cairo_set_line_width(cr, pass ? 1 : 2.6);
        draw_ring(cr, x, y, fmax(r, 2), false);
        draw_cross(self, cr, x, y, fmax(r, 2));
    }
}

/* The longest of 1, 2, 5 × 10ⁿ that is at most 160 units long. */
static void draw_scale_bar(TbBench *self, cairo_t *cr)
{
    double unit_mm = tb_desk_inches(self->desk) ? 25.4 : 1, length = 0.001,
           most = 160 / units_per_mm(self);
    static const double STEPS[] = {2, 2.5, 2};
    for (int i = 0; length * STEPS[i % 3] * unit_mm <= most; i++)
        length *= STEPS[i % 3];
    double w = length * unit_mm * units_per_mm(self);
    double x = 16, y = gtk_widget_get_height(GTK_WIDGET(self)) - 18;
    char text[64];
    g_autofree char *number = tb_local_number(tb_num_of(length, 3).text);
    g_snprintf(text, sizeof text, tb_desk_inches(self->desk) ? _("%s in") : _("%s mm"), number);
    cairo_set_source_rgba(cr, 1, 1, 1, 0.88);
    cairo_rectangle(cr, x - 8, y - 24, fmax(w, 60) + 16, 36);
    cairo_fill(cr);
    cairo_set_source_rgb(cr, 0.13, 0.13, 0.13);
    cairo_set_line_width(cr, 2);
    cairo_move_to(cr, x, y - 4);
    cairo_line_to(cr, x, y + 4);
    cairo_line_to(cr, x + w, y + 4);
    cairo_line_to(cr, x + w, y - 4);
    cairo_stroke(cr);
    cairo_set_font_size(cr, 12);
    cairo_move_to(cr, x, y - 9);
    cairo_show_text(cr, text);
}

/* What the stripes and colours of the strength say. */
static void draw_legend(TbBench *self, cairo_t *cr, const tb_limits *limits)
{
    static const double COLOURS[3][3] = {
            {0.93, 0.90, 0.83}, {0.89, 0.64, 0.24}, {0.77, 0.24, 0.17}};
    g_autofree char *should = tb_desk_length(self->desk, limits->bridge_should_mm);
    g_autofree char *must = tb_desk_length(self->desk, limits->bridge_must_mm);
    char *texts[3] = {g_strdup(_("holds")), g_strdup_printf(_("under %s, or hangs far"), should),
            g_strdup_printf(_("under %s, or hangs too far"), must)};
    double x = 16, y = gtk_widget_get_height(GTK_WIDGET(self)) - 128, w = 0;
    cairo_text_extents_t e;
    cairo_set_font_size(cr, 12);
    for (int i = 0; i < 3; i++) {
        cairo_text_extents(cr, texts[i], &e);
        w = fmax(w, e.x_advance);
    }
    cairo_set_source_rgba(cr, 1, 1, 1, 0.92);
    cairo_rectangle(cr, x - 8, y - 8, w + 54, 84);
    cairo_fill(cr);
    for (int i = 0; i < 3; i++, y += 24) {
        cairo_save(cr);
        cairo_rectangle(cr, x, y, 28, 18);
        set_colour(cr, COLOURS[i], 1);
        cairo_fill_preserve(cr);
        cairo_clip(cr);
        cairo_set_source_rgba(cr, 0, 0, 0, 0.28);
        cairo_set_line_width(cr, i == 2 ? 2 : 1);
        for (int k = -30; i > 0 && k < 60; k += i == 2 ? 6 : 9) {
            cairo_move_to(cr, x + k, i == 2 ? y + 20 : y - 2);
            cairo_rel_line_to(cr, 22, i == 2 ? -22 : 22);
        }
        cairo_stroke(cr);
        cairo_restore(cr);
        cairo_set_source_rgb(cr, 0.13, 0.13, 0.13);
        cairo_move_to(cr, x + 38, y + 13);
        cairo_show_text(cr, texts[i]);
    }
    for (int i = 0; i < 3; i++)
        g_free(texts[i]);
}

void tb__bench_draw_marks(TbBench *self, cairo_t *cr)
{
    if (!self->work)
        return;
    const tb_work_pattern *pattern = tb_work_pattern_now(self->work);
    cairo_select_font_face(cr, "Cantarell", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_BOLD);
    if (tb__bench_framing(self))
        tb__bench_draw_frame(self, cr);
    if (tb_desk_shown(self->desk) & TB_SHOW_GRID)
        draw_grid(self, cr);
    if (pattern && tb_desk_shown(self->desk) & TB_SHOW_BRIDGES &&
            tb_desk_step(self->desk) == TB_STEP_PATTERN) {
        draw_bridges(self, cr, pattern->result->tie);
        draw_kept_open(self, cr);
    }
    if (pattern && tb_desk_shown(self->desk) & TB_SHOW_HOLES)
        draw_holes(self, cr, pattern->result->inspection);
    if (pattern && tb_desk_shown(self->desk) & TB_SHOW_FINDINGS)
        draw_findings(self, cr, pattern->result->inspection);
    if (tb_desk_shown(self->desk) & TB_SHOW_NOTES)
        draw_notes(self, cr);
    draw_scale_bar(self, cr);
    if (pattern && tb_desk_view(self->desk) == TB_VIEW_STRENGTH)
        draw_legend(self, cr, &pattern->result->limits);
}
