/* sheet/lists.c: the cut list and the list of findings. */
#include "sheet/pages.h"
#include "sheet/words.h"

#include <math.h>
#include <stdio.h>

static const double MARGIN_MM = 18, ROW_MM = 5.2, TYPE_MM = 3.3, COLUMN_MM = 58;

static double head(tb_sheets *s, double w_mm, const char *title, const char *words)
{
    tb_type big = {.size_mm = 6.5, .bold = true};
    tb_type small = {.size_mm = 3.3, .grey = 0.25, .width_mm = w_mm};
    double y = MARGIN_MM - 3;
    y += tb__paint_text(&s->brush, MARGIN_MM, y, &big, title);
    y += tb__paint_text(&s->brush, MARGIN_MM, y + 0.5, &small, words) + 0.5;
    return y + 4;
}

static void cut_row(tb_sheets *s, size_t i, double x, double y)
{
    const tb_entry_hole *hole = s->labels[i].hole;
    const tb_opening *opening = &s->content->inspection->openings[hole->opening];
    tb_type number = {.size_mm = TYPE_MM, .bold = true, .side = TB_RIGHT};
    tb_type right = {.size_mm = TYPE_MM, .side = TB_RIGHT};
    char text[32];
    cairo_rectangle(s->brush.cr, x, y + 0.9, 2.6, 2.6);
    cairo_set_line_width(s->brush.cr, 0.2);
    cairo_set_source_rgb(s->brush.cr, 0.3, 0.3, 0.3);
    cairo_stroke(s->brush.cr);
    snprintf(text, sizeof text, "%zu", i + 1);
    tb__paint_text(&s->brush, x + 12, y, &number, text);
    char *bit = tb__words_bit(hole->drill_mm, s->options->unit);
    tb__paint_text(&s->brush, x + 26, y, &right, bit);
    g_free(bit);
    tb__paint_text(&s->brush, x + 44, y, &right, tb_num_fixed(opening->cut_length_mm / 10, 1).text);
}

static void cut_head(tb_sheets *s, double x, double y)
{
    tb_type type = {.size_mm = 2.8, .grey = 0.35, .side = TB_RIGHT};
    tb__paint_text(&s->brush, x + 12, y, &type, "no.");
    tb__paint_text(&s->brush, x + 26, y, &type, s->options->unit == TB_UNIT_IN ? "bit" : "bit, mm");
    tb__paint_text(&s->brush, x + 44, y, &type, "line, cm");
}

void tb__pages_cut_list(tb_sheets *s)
{
    double w = fmin(s->options->paper_w_mm, s->options->paper_h_mm);
    double h = fmax(s->options->paper_w_mm, s->options->paper_h_mm);
    double inner = w - 2 * MARGIN_MM;
    size_t n_columns = (size_t)fmax(1, floor((inner + 8) / COLUMN_MM));
    for (size_t i = 0; i < s->n_labels;) {
        tb__page_begin(s, w, h);
        double top = head(s, inner, "Cut list",
                "From the centre outward, small openings before large ones; the board’s outline "
                "last. Tick each as it is done.");
        size_t n_rows = (size_t)fmax(1, floor((h - MARGIN_MM - top - ROW_MM) / ROW_MM));
        size_t even = (s->n_labels - i + n_columns - 1) / n_columns;
        n_rows = even < n_rows ? even : n_rows;
        for (size_t column = 0; column < n_columns && i < s->n_labels; column++) {
            double x = MARGIN_MM + (double)column * (inner + 8) / (double)n_columns;
            cut_head(s, x, top);
            for (size_t row = 0; row < n_rows && i < s->n_labels; row++, i++)
                cut_row(s, i, x, top + (double)(row + 1) * ROW_MM);
        }
        tb__page_end(s);
    }
}
