/* sheet/front-page.c: the piece as it will hang, what is known about it, and the cautions. */
#include "sheet/ink.h"
#include "sheet/pages.h"
#include "sheet/words.h"

#include <math.h>

static const char *const CAUTIONS[] = {
        "Follow your saw’s manual and the local rules first; get competent instruction before "
        "your first cut.",
        "Wear marked eye protection. Control dust at its source. Check your wood for allergy "
        "warnings.",
        "Use spray adhesive as its label directs, in fresh air and away from sparks.",
        "Unplug the saw before you change or thread a blade. Keep fingers beside the line of cut, "
        "never in front of the blade.",
        "Strength figures are estimates from clear-wood averages; they do not make a fragile part "
        "safe to force.",
};

static const double MARGIN_MM = 18, BODY_MM = 3.7, SMALL_MM = 3.0;

static double piece(tb_sheets *s, double x_mm, double y_mm, double w_mm, double h_mm)
{
    const tb_outline *o = s->content->outline;
    double scale = fmin(w_mm / o->width_mm, h_mm / o->height_mm);
    cairo_t *cr = s->brush.cr;
    cairo_save(cr);
    cairo_translate(cr, x_mm + (w_mm - o->width_mm * scale) / 2, y_mm);
    cairo_scale(cr, scale, scale);
    tb__ink_hang(cr, o);
    cairo_restore(cr);
    return o->height_mm * scale;
}

static double fact(
        tb_sheets *s, double x_mm, double y_mm, double w_mm, const char *name, const char *value)
{
    if (!*value)
        return 0;
    tb_type label = {.size_mm = SMALL_MM, .grey = 0.35};
    tb_type body = {.size_mm = BODY_MM, .width_mm = w_mm};
    double used = tb__paint_text(&s->brush, x_mm, y_mm, &label, name);
    return used + 0.3 + tb__paint_text(&s->brush, x_mm, y_mm + used + 0.2, &body, value) + 2.2;
}

static double facts(tb_sheets *s, double x_mm, double y_mm, double w_mm)
{
    const tb_sheet_content *c = s->content;
    const tb_inspection *i = c->inspection;
    tb_unit unit = s->options->unit;
    double half = w_mm / 2 - 4, left = y_mm, right = y_mm;
    char *size = tb__words_size(c->outline->width_mm, c->outline->height_mm, unit);
    left += fact(s, x_mm, left, half, "Finished size", size);
    left += fact(s, x_mm, left, half, "Stock", s->stock);
    left += fact(s, x_mm, left, half, "Blade", s->blade);
    g_free(size);
    if (i) {
        char *openings = g_strdup_printf("%zu", i->n_openings);
        char *cut = tb__words_long(i->cut_length_mm, unit);
        char *wood = tb__words_fine(i->narrowest_wood_mm, unit);
        double x = x_mm + w_mm / 2 + 4;
        right += fact(s, x, right, half, "Openings", openings);
        right += fact(s, x, right, half, "Length of cut", cut);
        right += fact(s, x, right, half, "Narrowest wood", wood);
        g_free(openings);
        g_free(cut);
        g_free(wood);
    }
    return fmax(left, right) - y_mm;
}

/* Built from the bottom up, so that the piece gets what room is left. Returns its top. */
static double cautions(tb_sheets *s, double x_mm, double bottom_mm, double w_mm)
{
    tb_type type = {.size_mm = SMALL_MM, .width_mm = w_mm - 4, .grey = 0.15};
    double heights[sizeof CAUTIONS / sizeof CAUTIONS[0]], sum = 0, width;
    size_t n = sizeof CAUTIONS / sizeof CAUTIONS[0];
    for (size_t i = 0; i < n; i++) {
        tb__measure_text(&s->brush, &type, CAUTIONS[i], &width, &heights[i]);
        sum += heights[i] + 0.8;
    }
    double top = bottom_mm - sum, y = top;
    for (size_t i = 0; i < n; i++) {
        tb__paint_text(&s->brush, x_mm, y, &type, "–");
        tb__paint_text(&s->brush, x_mm + 4, y, &type, CAUTIONS[i]);
        y += heights[i] + 0.8;
    }
    return top;
}

static double heading(tb_sheets *s, double x_mm, double y_mm, double w_mm)
{
    tb_type title = {.size_mm = 9, .bold = true, .width_mm = w_mm};
    tb_type by = {.size_mm = 4.2, .width_mm = w_mm, .grey = 0.3};
    double y = y_mm;
    y += tb__paint_text(&s->brush, x_mm, y, &title, *s->title ? s->title : "Fretwork pattern");
    if (*s->designer)
        y += tb__paint_text(&s->brush, x_mm, y + 0.5, &by, s->designer) + 0.5;
    return y - y_mm;
}

void tb__page_front(tb_sheets *s)
{
    double w = fmin(s->options->paper_w_mm, s->options->paper_h_mm);
    double h = fmax(s->options->paper_w_mm, s->options->paper_h_mm);
    double x = MARGIN_MM, inner = w - 2 * MARGIN_MM;
    tb__page_begin(s, w, h);
    double top = MARGIN_MM + heading(s, x, MARGIN_MM - 3, inner);
    double bottom = cautions(s, x, h - MARGIN_MM, inner) - 4;
    tb__paint_line(s->brush.cr, x, bottom, x + inner, bottom, 0.2, 0.5);
    double facts_h = 42;
    double used = piece(s, x, top + 3, inner, bottom - top - facts_h - 10);
    facts(s, x, top + used + 8, inner);
    tb__page_end(s);
}
