/* sheet/front-page.c: the piece as it will hang, what is known about it, and the cautions. */
#include "facts/caution.h"
#include "sheet/ink.h"
#include "sheet/pages.h"
#include "sheet/words.h"

#include <math.h>

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

/* A name and its value below it; nothing where there is no value. Returns the height it takes. */
static double fact(tb_sheets *s, double x_mm, double y_mm, double w_mm, const char *name,
        const char *value, bool draw)
{
    tb_type label = {.size_mm = SMALL_MM, .grey = 0.35};
    tb_type body = {.size_mm = BODY_MM, .width_mm = w_mm, .lines = 3};
    double width, label_h, body_h;
    if (!*value)
        return 0;
    tb__measure_text(&s->brush, &label, name, &width, &label_h);
    tb__measure_text(&s->brush, &body, value, &width, &body_h);
    if (draw) {
        tb__paint_text(&s->brush, x_mm, y_mm, &label, name);
        tb__paint_text(&s->brush, x_mm, y_mm + label_h + 0.2, &body, value);
    }
    return label_h + body_h + 2.4;
}

/* Returns the height; draws nothing when it is only to be measured. */
static double facts(tb_sheets *s, double x_mm, double y_mm, double w_mm, bool draw)
{
    const tb_sheet_content *c = s->content;
    const tb_inspection *i = c->inspection;
    tb_unit unit = s->options->unit;
    double half = w_mm / 2 - 4;
    char *size = tb__words_size(c->outline->width_mm, c->outline->height_mm, unit);
    char *blade = g_strdup_printf("%s%s", g_ascii_isdigit(*s->blade) ? "No. " : "", s->blade);
    char *openings = i ? g_strdup_printf("%zu", i->n_openings) : g_strdup("");
    char *cut = i ? tb__words_long(i->cut_length_mm, unit) : g_strdup("");
    char *wood = i ? tb__words_fine(i->narrowest_wood_mm, unit) : g_strdup("");
    const struct {
        const char *name, *value;
    } COLUMNS[2][4] = {
            {{"Finished size", size}, {"Stock", s->stock}, {"Blade", blade}, {"Credit", s->credit}},
            {{"Openings", openings}, {"Length of cut", cut}, {"Narrowest wood", wood},
                    {"Permission", s->permission}}};
    double tallest = 0;
    for (int column = 0; column < 2; column++) {
        double y = y_mm, x = x_mm + column * (w_mm / 2 + 4);
        for (int row = 0; row < 4; row++)
            y += fact(s, x, y, half, COLUMNS[column][row].name, COLUMNS[column][row].value, draw);
        tallest = fmax(tallest, y - y_mm);
    }
    g_free(size);
    g_free(blade);
    g_free(openings);
    g_free(cut);
    g_free(wood);
    return tallest;
}

/* The cautions as one text, so that they take little room and are read in their order. */
static char *all_cautions(void)
{
    GString *text = g_string_new(NULL);
    const char *caution;
    for (int i = 0; (caution = tb_caution_at(i)); i++)
        g_string_append_printf(text, "%s%s", i > 0 ? " " : "", caution);
    return g_string_free(text, FALSE);
}

/* Built from the bottom up, so that the piece gets what room is left. Returns its top. */
static double cautions(tb_sheets *s, double x_mm, double bottom_mm, double w_mm)
{
    tb_type head = {.size_mm = SMALL_MM, .bold = true};
    tb_type type = {.size_mm = SMALL_MM, .width_mm = w_mm, .grey = 0.15};
    const char *rights = tb_caution_permission();
    char *text = all_cautions();
    double width, safety_h, rights_h;
    tb__measure_text(&s->brush, &type, text, &width, &safety_h);
    tb__measure_text(&s->brush, &type, rights, &width, &rights_h);
    double y = bottom_mm - safety_h - rights_h - 2 * 5.2 - 2;
    double top = y;
    y += 0.6 + tb__paint_text(&s->brush, x_mm, y, &head, "Before you saw");
    y += 2 + tb__paint_text(&s->brush, x_mm, y, &type, text);
    y += 0.6 + tb__paint_text(&s->brush, x_mm, y, &head, "Whose picture it is");
    tb__paint_text(&s->brush, x_mm, y, &type, rights);
    g_free(text);
    return top;
}

static double heading(tb_sheets *s, double x_mm, double y_mm, double w_mm)
{
    tb_type title = {.size_mm = 9, .bold = true, .width_mm = w_mm, .lines = 2};
    tb_type by = {.size_mm = 4.2, .width_mm = w_mm, .grey = 0.3, .lines = 1};
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
    double facts_h = facts(s, x, 0, inner, false);
    double used = piece(s, x, top + 3, inner, fmax(20, bottom - top - facts_h - 9));
    facts(s, x, top + used + 8, inner, true);
    tb__page_end(s);
}
