/* sheet/paint.c: see paint.h. */
#include "sheet/paint.h"

/* Falls back by character to whatever the machine has, so any script comes out as text. */
static const char FAMILIES[] = "Cantarell, DejaVu Sans, sans-serif";

void tb__brush_init(tb_brush *brush, cairo_surface_t *surface, double units_per_mm)
{
    brush->cr = cairo_create(surface);
    cairo_scale(brush->cr, units_per_mm, units_per_mm);
    brush->layout = pango_cairo_create_layout(brush->cr);
    brush->font = pango_font_description_from_string(FAMILIES);
    PangoContext *context = pango_layout_get_context(brush->layout);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(context, options);
    pango_cairo_context_set_resolution(context, 72);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_language(context, pango_language_from_string("en"));
    cairo_font_options_destroy(options);
    pango_layout_context_changed(brush->layout);
}

void tb__brush_clear(tb_brush *brush)
{
    pango_font_description_free(brush->font);
    g_object_unref(brush->layout);
    cairo_destroy(brush->cr);
}

void tb__paint_path(cairo_t *cr, const tb_path *path)
{
    cairo_move_to(cr, path->start.x_mm, path->start.y_mm);
    for (size_t i = 0; i < path->n_curves; i++) {
        const tb_curve *c = &path->curves[i];
        if (c->straight)
            cairo_line_to(cr, c->to.x_mm, c->to.y_mm);
        else
            cairo_curve_to(cr, c->a.x_mm, c->a.y_mm, c->b.x_mm, c->b.y_mm, c->to.x_mm, c->to.y_mm);
    }
    cairo_close_path(cr);
}

void tb__paint_outline(cairo_t *cr, const tb_outline *outline)
{
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    for (size_t i = 0; i < outline->n_paths; i++)
        tb__paint_path(cr, &outline->paths[i]);
}

/* Leaves out pictures that no font here can draw: a box with their number says nothing. Letters
 * keep their box, so that nobody takes half a name for the whole. */
static void drop_unknown(PangoLayout *layout, const char *text)
{
    if (pango_layout_get_unknown_glyphs_count(layout) == 0)
        return;
    glong n;
    gunichar *all = g_utf8_to_ucs4_fast(text, -1, &n);
    GString *known = g_string_new(NULL);
    for (glong i = 0; i < n; i++) {
        GUnicodeType type = g_unichar_type(all[i]);
        if (type != G_UNICODE_OTHER_SYMBOL && type != G_UNICODE_UNASSIGNED)
            g_string_append_unichar(known, all[i]);
    }
    g_free(all);
    pango_layout_set_text(layout, g_strstrip(known->str), -1);
    g_string_free(known, TRUE);
}

static void set_type(tb_brush *brush, const tb_type *type, const char *text)
{
    static const PangoAlignment ALIGN[] = {PANGO_ALIGN_LEFT, PANGO_ALIGN_CENTER, PANGO_ALIGN_RIGHT};
    PangoLayout *layout = brush->layout;
    pango_font_description_set_absolute_size(brush->font, type->size_mm * PANGO_SCALE);
    pango_font_description_set_weight(
            brush->font, type->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(layout, brush->font);
    pango_layout_set_text(layout, text, -1);
    pango_layout_set_alignment(layout, ALIGN[type->side]);
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    pango_layout_set_width(layout, type->width_mm > 0 ? (int)(type->width_mm * PANGO_SCALE) : -1);
    pango_layout_set_ellipsize(layout, type->lines ? PANGO_ELLIPSIZE_END : PANGO_ELLIPSIZE_NONE);
    pango_layout_set_height(layout, type->lines ? -type->lines : -1);
    pango_layout_set_line_spacing(layout, 1.15F);
    drop_unknown(layout, text);
}

static double layout_height(PangoLayout *layout)
{
    PangoRectangle extent;
    pango_layout_get_extents(layout, NULL, &extent);
    return (double)extent.height / PANGO_SCALE;
}

/* Whether a letter of it may be a picture in colour. */
static bool has_pictures(const char *text)
{
    for (; *text; text = g_utf8_find_next_char(text, NULL))
        if (g_unichar_type(g_utf8_get_char(text)) == G_UNICODE_OTHER_SYMBOL)
            return true;
    return false;
}

/* On a screen's pixels letters would be moved to whole ones, each for itself: there their outlines
 * are filled. A file keeps them as letters. */
static void show(tb_brush *brush, const char *text)
{
    bool kept = cairo_surface_get_type(cairo_get_target(brush->cr)) == CAIRO_SURFACE_TYPE_RECORDING;
    if (!kept || has_pictures(text)) {
        pango_cairo_show_layout(brush->cr, brush->layout);
        return;
    }
    pango_cairo_layout_path(brush->cr, brush->layout);
    cairo_fill(brush->cr);
}

double tb__paint_text(
        tb_brush *brush, double x_mm, double y_mm, const tb_type *type, const char *text)
{
    set_type(brush, type, text);
    if (type->width_mm <= 0 && type->side != TB_LEFT) {
        PangoRectangle extent;
        pango_layout_get_extents(brush->layout, NULL, &extent);
        double width = (double)extent.width / PANGO_SCALE;
        x_mm -= type->side == TB_RIGHT ? width : width / 2;
    }
    cairo_move_to(brush->cr, x_mm, y_mm);
    if (type->halo) {
        pango_cairo_layout_path(brush->cr, brush->layout);
        cairo_set_source_rgb(brush->cr, 1, 1, 1);
        cairo_set_line_width(brush->cr, type->size_mm * 0.3);
        cairo_set_line_join(brush->cr, CAIRO_LINE_JOIN_ROUND);
        cairo_stroke(brush->cr);
        cairo_move_to(brush->cr, x_mm, y_mm);
    }
    cairo_set_source_rgb(brush->cr, type->grey, type->grey, type->grey);
    show(brush, text);
    return layout_height(brush->layout);
}

bool tb__reads_leftward(tb_brush *brush, const char *text)
{
    pango_layout_set_text(brush->layout, text, -1);
    return pango_layout_get_direction(brush->layout, 0) == PANGO_DIRECTION_RTL;
}

void tb__measure_text(
        tb_brush *brush, const tb_type *type, const char *text, double *width_mm, double *height_mm)
{
    PangoRectangle extent;
    set_type(brush, type, text);
    pango_layout_get_extents(brush->layout, NULL, &extent);
    *width_mm = (double)extent.width / PANGO_SCALE;
    *height_mm = (double)extent.height / PANGO_SCALE;
}

/* pixels has three bands. */
static void copy_pixels(cairo_surface_t *to, const tb_pixels *pixels)
{
    uint8_t *data = cairo_image_surface_get_data(to);
    size_t stride = (size_t)cairo_image_surface_get_stride(to);
    const uint8_t *from = pixels->px;
    for (int y = 0; data && y < pixels->height_px; y++) {
        uint32_t *row = (uint32_t *)(void *)(data + (size_t)y * stride);
        for (int x = 0; x < pixels->width_px; x++, from += 3)
            row[x] = (uint32_t)from[0] << 16 | (uint32_t)from[1] << 8 | from[2];
    }
    cairo_surface_mark_dirty(to);
}

bool tb__paint_jpeg(cairo_t *cr, const tb_bytes *jpeg, const tb_pixels *pixels, double x_mm,
        double y_mm, double w_mm)
{
    int width_px = pixels->width_px;
    cairo_surface_t *picture =
            cairo_image_surface_create(CAIRO_FORMAT_RGB24, width_px, pixels->height_px);
    copy_pixels(picture, pixels);
    unsigned char *kept = g_memdup2(jpeg->data, jpeg->n);
    bool good = cairo_surface_set_mime_data(picture, CAIRO_MIME_TYPE_JPEG, kept, jpeg->n, g_free,
                        kept) == CAIRO_STATUS_SUCCESS;
    cairo_save(cr);
    cairo_translate(cr, x_mm, y_mm);
    cairo_scale(cr, w_mm / width_px, w_mm / width_px);
    cairo_set_source_surface(cr, picture, 0, 0);
    cairo_paint(cr);
    cairo_restore(cr);
    cairo_surface_destroy(picture);
    return good;
}

void tb__paint_box(cairo_t *cr, double x_mm, double y_mm, double w_mm, double h_mm, double grey)
{
    cairo_set_source_rgb(cr, grey, grey, grey);
    cairo_rectangle(cr, x_mm, y_mm, w_mm, h_mm);
    cairo_fill(cr);
}

void tb__paint_line(cairo_t *cr, double x0_mm, double y0_mm, double x1_mm, double y1_mm,
        double width_mm, double grey)
{
    cairo_set_source_rgb(cr, grey, grey, grey);
    cairo_set_line_width(cr, width_mm);
    cairo_move_to(cr, x0_mm, y0_mm);
    cairo_line_to(cr, x1_mm, y1_mm);
    cairo_stroke(cr);
}
