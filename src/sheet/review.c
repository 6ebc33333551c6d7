/* sheet/review.c: pages for the eye and the pen: the list of findings, and a clean copy. */
#include "sheet/ink.h"
#include "sheet/marks.h"
#include "sheet/pages.h"
#include "sheet/words.h"

#include <math.h>
#include <stdio.h>

static const double MARGIN_MM = 18, ROW_MM = 15, PEN_MARGIN_MM = 42;

static double head(tb_sheets *s, double w_mm, const char *title, const char *words)
{
    tb_type big = {.size_mm = 6.5, .bold = true, .width_mm = w_mm, .lines = 1};
    tb_type small = {.size_mm = 3.4, .grey = 0.2, .width_mm = w_mm};
    double y = MARGIN_MM - 3;
    y += tb__paint_text(&s->brush, MARGIN_MM, y, &big, title);
    y += tb__paint_text(&s->brush, MARGIN_MM, y + 0.5, &small, words) + 0.5;
    return y + 4;
}

/* Number, place, what was measured and what to do; beside it a rule to write on. */
static void row(tb_sheets *s, size_t i, double y, double w_mm)
{
    const tb_finding *f = &s->content->inspection->findings[i];
    double x = MARGIN_MM, words_w = w_mm * 0.52;
    bool must = f->severity == TB_MUST;
    char number[24];
    snprintf(number, sizeof number, "%zu", i + 1);
    tb_type bold = {.size_mm = 3.6, .bold = true};
    tb_type plain = {.size_mm = 3.2, .grey = 0.15, .width_mm = words_w - 22, .lines = 2};
    tb_type place = {.size_mm = 3.2, .grey = 0.3};
    tb__paint_text(&s->brush, x, y, &bold, number);
    tb__paint_text(&s->brush, x + 10, y + 0.3, &place,
            tb__marks_cell(f->x_mm, f->y_mm, s->options->unit).text);
    char *measure = tb__marks_measure(f);
    char *title =
            g_strdup_printf("%s%s: %s", tb__marks_kind(f->kind), must ? "" : " (advice)", measure);
    bold.size_mm = 3.3;
    bold.width_mm = words_w - 22;
    bold.lines = 1;
    bold.bold = must;
    tb__paint_text(&s->brush, x + 22, y + 0.2, &bold, title);
    tb__paint_text(&s->brush, x + 22, y + 4.6, &plain, f->advice);
    g_free(title);
    g_free(measure);
    tb__paint_line(s->brush.cr, x + words_w + 4, y + 6, x + w_mm, y + 6, 0.15, 0.6);
    tb__paint_line(s->brush.cr, x + words_w + 4, y + 12.5, x + w_mm, y + 12.5, 0.15, 0.6);
}

void tb__pages_findings(tb_sheets *s)
{
    double w = fmin(s->options->paper_w_mm, s->options->paper_h_mm);
    double h = fmax(s->options->paper_w_mm, s->options->paper_h_mm);
    size_t n = tb__marks_count(s->content->inspection);
    size_t rows = (size_t)fmax(1, floor((h - 2 * MARGIN_MM - 14) / ROW_MM));
    tb_verdict words = tb_verdict_of(s->content->inspection);
    words.text[0] = g_ascii_toupper(words.text[0]);
    char *verdict = g_strdup_printf("%s. Rings with a full line must be mended before the saw; "
                                    "dashed ones are advice. Strength figures are estimates.",
            words.text);
    for (size_t i = 0; i < n || i == 0;) {
        tb__page_begin(s, w, h);
        double y = head(s, w - 2 * MARGIN_MM, "Review", verdict);
        if (n == 0)
            break;
        for (size_t k = 0; k < rows && i < n; k++, i++)
            row(s, i, y + (double)k * ROW_MM, w - 2 * MARGIN_MM);
        if (i < n)
            tb__page_end(s);
    }
    tb__page_end(s);
    g_free(verdict);
}

void tb__page_blank(tb_sheets *s)
{
    const tb_outline *o = s->content->outline;
    double w = fmin(s->options->paper_w_mm, s->options->paper_h_mm);
    double h = fmax(s->options->paper_w_mm, s->options->paper_h_mm);
    double room_w = w - MARGIN_MM - PEN_MARGIN_MM, room_h = h - 2 * MARGIN_MM - PEN_MARGIN_MM - 8;
    double scale = fmin(1, fmin(room_w / o->width_mm, room_h / o->height_mm));
    cairo_t *cr = s->brush.cr;
    tb__page_begin(s, w, h);
    char *size = scale < 1 ? g_strdup_printf("For the red pen. Drawn at %s %% of its size.",
                                     tb_num_of(scale * 100, 0).text)
                           : g_strdup("For the red pen. Drawn in true size.");
    double top = head(s, w - 2 * MARGIN_MM, *s->title ? s->title : "Fretwork pattern", size) + 4;
    g_free(size);
    cairo_save(cr);
    cairo_translate(cr, MARGIN_MM + 4, top);
    cairo_scale(cr, scale, scale);
    cairo_save(cr);
    cairo_scale(cr, 1 / TB_POINTS_PER_MM, 1 / TB_POINTS_PER_MM);
    cairo_set_source_surface(cr, s->ink, 0, 0);
    cairo_paint(cr);
    cairo_restore(cr);
    tb_grid grid = {0, 0, o->width_mm, o->height_mm, o->width_mm, o->height_mm, 1 / scale,
            s->options->unit};
    tb__marks_grid(&s->brush, &grid);
    cairo_restore(cr);
    tb__page_end(s);
}
