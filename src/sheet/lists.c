/* sheet/lists.c: the cut list. */
#include "sheet/pages.h"
#include "sheet/words.h"

#include <math.h>
#include <stdio.h>

static const double ROW_MM = 5.2, TYPE_MM = 3.3, COLUMN_MM = 58;
/* Where things stand in a column. */
static const double BOX_MM = 2.6, NUMBER_MM = 11.5, PAGE_MM = 15, BIT_MM = 34, LINE_MM = 49;

/* The page that shows a place; where pages overlap, the one it stays on when they are cut. */
static tb_tile_name page_of(const tb_sheets *s, double x_mm, double y_mm)
{
    const tb_tiling *t = &s->tiling;
    double c = s->options->scale_correction, half = s->options->overlap_mm / 2;
    double column = fmax(0, floor((x_mm * c - half) / t->step_x_mm));
    double row = fmax(0, floor((y_mm * c - half) / t->step_y_mm));
    return tb__tile_name((int)fmin(column, t->n_columns - 1), (int)fmin(row, t->n_rows - 1));
}

static const char *length(tb_sheets *s, double mm)
{
    double value = s->options->unit == TB_UNIT_IN ? mm / 25.4 : mm / 10;
    return tb__say(&s->speech, "%s", tb_num_fixed(value, 1).text);
}

static void box(tb_sheets *s, double x, double y)
{
    cairo_rectangle(s->brush.cr, x, y + 0.9, BOX_MM, BOX_MM);
    cairo_set_line_width(s->brush.cr, 0.2);
    cairo_set_source_rgb(s->brush.cr, 0.3, 0.3, 0.3);
    cairo_stroke(s->brush.cr);
}

static void opening_row(tb_sheets *s, size_t i, double x, double y)
{
    const tb_entry_hole *hole = s->labels[i].hole;
    tb_type number = {.size_mm = TYPE_MM, .bold = true, .side = TB_RIGHT};
    tb_type left = {.size_mm = TYPE_MM, .grey = 0.3};
    tb_type right = {.size_mm = TYPE_MM, .side = TB_RIGHT};
    char text[32];
    box(s, x, y);
    snprintf(text, sizeof text, "%zu", i + 1);
    tb__paint_text(&s->brush, x + NUMBER_MM, y, &number, text);
    if (s->tiling.n_columns * s->tiling.n_rows > 1)
        tb__paint_text(&s->brush, x + PAGE_MM, y, &left, page_of(s, hole->x_mm, hole->y_mm).text);
    tb__paint_text(&s->brush, x + BIT_MM, y, &right,
            tb__say_bit(&s->speech, hole->drill_mm, s->options->unit));
    tb__paint_text(&s->brush, x + LINE_MM, y, &right, length(s, s->labels[i].cut_mm));
}

/* The board itself is sawn last. */
static void outline_row(tb_sheets *s, double x, double y)
{
    tb_type bold = {.size_mm = TYPE_MM, .bold = true};
    tb_type right = {.size_mm = TYPE_MM, .side = TB_RIGHT};
    box(s, x, y);
    tb__paint_text(&s->brush, x + BOX_MM + 2.4, y, &bold, tb__say(&s->speech, "the outline"));
    tb__paint_text(&s->brush, x + LINE_MM, y, &right, length(s, s->plan->outline_mm));
}

static void column_head(tb_sheets *s, double x, double y)
{
    bool inches = s->options->unit == TB_UNIT_IN;
    tb_type right = {.size_mm = 2.8, .grey = 0.35, .side = TB_RIGHT};
    tb_type left = {.size_mm = 2.8, .grey = 0.35};
    tb_speech *sp = &s->speech;
    tb__paint_text(&s->brush, x + NUMBER_MM, y, &right, tb__say(sp, "no."));
    if (s->tiling.n_columns * s->tiling.n_rows > 1)
        tb__paint_text(&s->brush, x + PAGE_MM, y, &left, tb__say(sp, "page"));
    tb__paint_text(
            &s->brush, x + BIT_MM, y, &right, inches ? tb__say(sp, "bit") : tb__say(sp, "bit, mm"));
    tb__paint_text(&s->brush, x + LINE_MM, y, &right,
            inches ? tb__say(sp, "cut, in") : tb__say(sp, "cut, cm"));
    tb__paint_line(s->brush.cr, x, y + 4.4, x + LINE_MM, y + 4.4, 0.15, 0.6);
}

/* What the order is, and how long all of it takes. */
static const char *order_words(tb_sheets *s)
{
    static const char *const ORDERS[TB_N_ORDERS] = {
            TB__SAID("From the centre outward, small openings before large ones; the board’s "
                     "outline at the very end."),
            TB__SAID("What lies beside weak wood first, while the board is whole; then from the "
                     "centre outward, small openings before large ones; the board’s outline at "
                     "the very end."),
            TB__SAID("What lies beside weak wood last, so that it is handled least; before that "
                     "from the centre outward, small openings before large ones; the board’s "
                     "outline at the very end."),
    };
    tb_speech *sp = &s->speech;
    const char *order = tb__say(sp, "%s", ORDERS[s->plan->order]);
    const char *tick = tb__say(sp, "Tick each as it is done.");
    if (!s->content->plan)
        return tb__put_together(sp, "%s %s", order, tick);
    const char *time = tb__say(sp,
            "It takes %s, as far as one can tell: 2½ minutes an opening as is common, long lines "
            "more.",
            tb__say(sp, "%s", tb_plan_about(s->plan->minutes).text));
    return tb__put_together(sp, "%s %s %s", order, tick, time);
}

void tb__pages_cut_list(tb_sheets *s)
{
    const char *words = order_words(s);
    double w = fmin(s->options->paper_w_mm, s->options->paper_h_mm);
    double h = fmax(s->options->paper_w_mm, s->options->paper_h_mm);
    double inner = w - 2 * TB_PAGE_MARGIN_MM;
    size_t n_columns = (size_t)fmax(1, floor((inner + COLUMN_MM - LINE_MM) / COLUMN_MM));
    size_t n = s->n_labels + 1;
    for (size_t i = 0; i < n;) {
        tb__page_begin(s, &(tb_leaf){w, h, TB_LEAF_CUT_LIST, ""});
        double top = tb__page_head(s, inner, tb__say(&s->speech, "Cut list"), words);
        size_t n_rows = (size_t)fmax(1, floor((h - TB_PAGE_MARGIN_MM - top - ROW_MM) / ROW_MM));
        size_t even = (n - i + n_columns - 1) / n_columns;
        n_rows = even < n_rows ? even : n_rows;
        for (size_t column = 0; column < n_columns && i < n; column++) {
            double x = TB_PAGE_MARGIN_MM +
                       (double)column * (inner + COLUMN_MM - LINE_MM) / (double)n_columns;
            column_head(s, x, top);
            for (size_t row = 0; row < n_rows && i < n; row++, i++) {
                double y = top + (double)(row + 1) * ROW_MM + 0.4;
                if (i < s->n_labels)
                    opening_row(s, i, x, y);
                else
                    outline_row(s, x, y);
            }
        }
        tb__page_end(s);
    }
}
