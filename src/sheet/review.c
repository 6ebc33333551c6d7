/* sheet/review.c: pages for the eye and the pen: the list of findings, and a clean copy. */
#include "sheet/ink.h"
#include "sheet/marks.h"
#include "sheet/pages.h"
#include "sheet/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double PEN_MARGIN_MM = 42, TYPE_MM = 3.2;
/* What must be mended has a row of its own, with a line to write on; advice stands in columns. */
static const double MUST_ROW_MM = 11, ADVICE_ROW_MM = 4.9;
/* A column: number and place, the least room for a measure, and a gap. */
static const double ADVICE_PLACE_MM = 20, ADVICE_MEASURE_MM = 14, ADVICE_GAP_MM = 8;
static const double NOTES_LEAST_MM = 24, NOTES_ROW_MM = 8, NOTE_GAP_MM = 2;

/* Where the next row goes; rows that don't fit open a page. */
typedef struct {
    tb_sheets *s;
    double w, h, inner, y;
    const char *title, *words; /* of the next page's head */
} list;

static void begin_page(list *l)
{
    tb__page_begin(l->s, &(tb_leaf){l->w, l->h, TB_LEAF_REVIEW, ""});
    l->y = tb__page_head(l->s, l->inner, l->title, l->words);
    l->words = tb__say(&l->s->speech, "Continued.");
}

static void need(list *l, double rows_mm)
{
    if (l->y + rows_mm <= l->h - TB_PAGE_MARGIN_MM)
        return;
    tb__page_end(l->s);
    begin_page(l);
}

static const char *cell(const list *l, double x_mm, double y_mm, tb_grid_name *name)
{
    *name = tb__marks_cell(x_mm, y_mm, l->s->options->unit);
    return name->text;
}

/* Number, place, what was measured and what to do; beside it a rule to write on. */
static void must_row(list *l, size_t i)
{
    const tb_finding *f = &l->s->content->inspection->findings[i];
    tb_brush *b = &l->s->brush;
    double x = TB_PAGE_MARGIN_MM, words_w = l->inner * 0.66 - 20;
    tb_type number = {.size_mm = TYPE_MM, .bold = true, .side = TB_RIGHT};
    tb_type place = {.size_mm = TYPE_MM, .grey = 0.3};
    tb_type title = {.size_mm = TYPE_MM, .bold = true, .width_mm = words_w, .lines = 1};
    tb_type plain = {.size_mm = TYPE_MM, .grey = 0.15, .width_mm = words_w, .lines = 1};
    char text[24];
    tb_grid_name name;
    need(l, MUST_ROW_MM);
    snprintf(text, sizeof text, "%zu", i + 1);
    tb__paint_text(b, x + 6, l->y, &number, text);
    tb__paint_text(b, x + 9, l->y, &place, cell(l, f->x_mm, f->y_mm, &name));
    tb_speech *sp = &l->s->speech;
    tb__paint_text(b, x + 20, l->y, &title,
            tb__put_together(sp, "%s: %s", tb__say_kind(sp, f->kind),
                    tb__say_measure(sp, f, l->s->options->unit)));
    tb__paint_text(b, x + 20, l->y + 4.2, &plain, tb__say_advice(sp, f, l->s->options->unit));
    tb__paint_line(b->cr, x + l->inner * 0.68, l->y + 7.6, x + l->inner, l->y + 7.6, 0.15, 0.6);
    l->y += MUST_ROW_MM;
}

static const char *with_capital(tb_speech *speech, const char *text)
{
    const char *rest = g_utf8_find_next_char(text, NULL);
    char *first = g_utf8_strup(text, rest - text);
    const char *capital = tb__put_together(speech, "%s%s", first, rest);
    g_free(first);
    return capital;
}

/* What the findings first … end - 1 have in common is said once, above them. */
static void advice_head(list *l, const tb_finding *f)
{
    tb_type bold = {.size_mm = TYPE_MM, .bold = true};
    double w, h;
    tb_speech *sp = &l->s->speech;
    const char *name = tb__put_together(sp, "%s  ", tb__say_kind(sp, f->kind));
    const char *wanted = tb__say_wanted(sp, f, l->s->options->unit),
               *advice = tb__say_advice(sp, f, l->s->options->unit);
    tb__measure_text(&l->s->brush, &bold, name, &w, &h);
    tb_type plain = {.size_mm = TYPE_MM, .grey = 0.15, .width_mm = l->inner - w - 2, .lines = 1};
    tb__paint_text(&l->s->brush, TB_PAGE_MARGIN_MM, l->y, &bold, name);
    tb__paint_text(&l->s->brush, TB_PAGE_MARGIN_MM + w + 2, l->y, &plain,
            *wanted ? tb__put_together(sp, "%s. %s", with_capital(sp, wanted), advice) : advice);
    l->y += ADVICE_ROW_MM;
}

/* Number and place, and what is measured there in a column as wide as the widest needs. */
static void advice_entry(list *l, size_t i, double x, double wide)
{
    const tb_finding *f = &l->s->content->inspection->findings[i];
    tb_type number = {.size_mm = TYPE_MM, .bold = true, .side = TB_RIGHT};
    tb_type place = {.size_mm = TYPE_MM, .grey = 0.3};
    tb_type right = {.size_mm = TYPE_MM, .side = TB_RIGHT};
    tb_grid_name name;
    char text[24];
    snprintf(text, sizeof text, "%zu", i + 1);
    tb__paint_text(&l->s->brush, x + 6, l->y, &number, text);
    tb__paint_text(&l->s->brush, x + 9, l->y, &place, cell(l, f->x_mm, f->y_mm, &name));
    tb__paint_text(&l->s->brush, x + ADVICE_PLACE_MM + wide, l->y, &right,
            tb__say_measured(&l->s->speech, f, l->s->options->unit));
}

static double widest_measure(const list *l, const tb_finding *findings, size_t n)
{
    tb_type type = {.size_mm = TYPE_MM};
    double widest = 0, w, h;
    for (size_t i = 0; i < n; i++) {
        tb__measure_text(&l->s->brush, &type,
                tb__say_measured(&l->s->speech, &findings[i], l->s->options->unit), &w, &h);
        widest = fmax(widest, w);
    }
    return widest;
}

static bool alike(const tb_finding *a, const tb_finding *b)
{
    return a->kind == b->kind && a->limit == b->limit && strcmp(a->advice, b->advice) == 0;
}

/* The findings from first on that are alike; returns the one after them. */
static size_t advice_group(list *l, size_t first, size_t n)
{
    const tb_finding *f = l->s->content->inspection->findings;
    size_t end = first + 1;
    while (end < n && f[end].severity != TB_MUST && alike(&f[first], &f[end]))
        end++;
    double wide = fmax(widest_measure(l, f + first, end - first), ADVICE_MEASURE_MM);
    double column = ADVICE_PLACE_MM + wide + ADVICE_GAP_MM;
    size_t columns = (size_t)fmax(1, floor((l->inner + ADVICE_GAP_MM) / column));
    need(l, 2 * ADVICE_ROW_MM);
    advice_head(l, &f[first]);
    for (size_t i = first; i < end; l->y += ADVICE_ROW_MM) {
        need(l, ADVICE_ROW_MM);
        for (size_t k = 0; k < columns && i < end; k++, i++)
            advice_entry(l, i,
                    TB_PAGE_MARGIN_MM + (double)k * (l->inner + ADVICE_GAP_MM) / (double)columns,
                    wide);
    }
    l->y += 2.2;
    return end;
}

/* Number, place and all that was written. */
static void note_row(list *l, size_t i)
{
    const tb_sheet_note *note = &l->s->content->notes[i];
    tb_brush *b = &l->s->brush;
    double x = TB_PAGE_MARGIN_MM, w, h;
    tb_type place = {.size_mm = TYPE_MM, .grey = 0.3};
    tb_type type = {.size_mm = TYPE_MM, .width_mm = l->inner - 20};
    char *text = tb__words_clean(note->text, sizeof note->text);
    tb_grid_name name;
    type.side = tb__reads_leftward(b, text) ? TB_RIGHT : TB_LEFT;
    tb__measure_text(b, &type, text, &w, &h);
    h = fmax(h, ADVICE_ROW_MM);
    need(l, h);
    tb__marks_note_number(b, x + 4, l->y + ADVICE_ROW_MM / 2, i + 1);
    tb__paint_text(b, x + 9, l->y, &place, cell(l, note->x_mm, note->y_mm, &name));
    tb__paint_text(b, x + 20, l->y, &type, text);
    g_free(text);
    l->y += h + NOTE_GAP_MM;
}

/* What was written on the bench. */
static void notes(list *l)
{
    tb_type bold = {.size_mm = TYPE_MM, .bold = true};
    size_t n = l->s->content->n_notes;
    need(l, n > 0 ? NOTES_ROW_MM + 2 * ADVICE_ROW_MM : 0);
    tb__paint_text(
            &l->s->brush, TB_PAGE_MARGIN_MM, l->y + 2, &bold, tb__say(&l->s->speech, "Notes"));
    l->y += NOTES_ROW_MM;
    for (size_t i = 0; i < n; i++)
        note_row(l, i);
}

/* Lines to write on, down to the bottom of the page. */
static void lines(const list *l)
{
    for (double y = l->y + NOTES_ROW_MM; y <= l->h - TB_PAGE_MARGIN_MM; y += NOTES_ROW_MM)
        tb__paint_line(
                l->s->brush.cr, TB_PAGE_MARGIN_MM, y, TB_PAGE_MARGIN_MM + l->inner, y, 0.15, 0.6);
}

void tb__pages_findings(tb_sheets *s)
{
    const tb_inspection *in = s->content->inspection;
    size_t n = tb__marks_count(in);
    tb_speech *sp = &s->speech;
    const char *rest = tb__say_ringed(sp, in);
    const char *verdict = tb__put_together(sp, "%s. %s%s%s",
            with_capital(sp, tb__say_verdict(sp, in, s->options->unit)), rest, *rest ? " " : "",
            tb__say(sp, "Rings with a full line must be mended before the saw; dashed ones are "
                        "advice. Strength figures are estimates."));
    list l = {.s = s,
            .w = fmin(s->options->paper_w_mm, s->options->paper_h_mm),
            .h = fmax(s->options->paper_w_mm, s->options->paper_h_mm),
            .title = tb__say(sp, "Review"),
            .words = verdict};
    l.inner = l.w - 2 * TB_PAGE_MARGIN_MM;
    begin_page(&l);
    for (size_t i = 0; i < n;) {
        if (in->findings[i].severity == TB_MUST)
            must_row(&l, i++);
        else
            i = advice_group(&l, i, n);
    }
    if (s->content->n_notes > 0 || l.y + NOTES_LEAST_MM <= l.h - TB_PAGE_MARGIN_MM) {
        notes(&l);
        lines(&l);
    }
    tb__page_end(s);
}

/* Below the board; what has no room there goes on pages of its own. */
static void notes_below(tb_sheets *s, double w, double h, double y)
{
    const char *title = tb__say(&s->speech, "Notes");
    list l = {s, w, h, w - 2 * TB_PAGE_MARGIN_MM, y, title, tb__say(&s->speech, "Continued.")};
    if (s->content->n_notes > 0)
        notes(&l);
}

void tb__page_blank(tb_sheets *s)
{
    const tb_outline *o = s->content->outline;
    double shorter = fmin(s->options->paper_w_mm, s->options->paper_h_mm);
    double longer = fmax(s->options->paper_w_mm, s->options->paper_h_mm);
    bool sideways = o->width_mm > o->height_mm;
    double w = sideways ? longer : shorter, h = sideways ? shorter : longer;
    double room_w = w - TB_PAGE_MARGIN_MM - PEN_MARGIN_MM;
    double room_h = h - 2 * TB_PAGE_MARGIN_MM - PEN_MARGIN_MM - 8;
    double scale = fmin(1, fmin(room_w / o->width_mm, room_h / o->height_mm));
    tb__page_begin(s, &(tb_leaf){w, h, TB_LEAF_PEN, ""});
    cairo_t *cr = s->brush.cr;
    const char *size = scale < 1
                               ? tb__say(&s->speech, "For the red pen. Drawn at %s %% of its size.",
                                         tb_num_of(scale * 100, 0).text)
                               : tb__say(&s->speech, "For the red pen. Drawn in true size.");
    double top = tb__page_head(s, w - 2 * TB_PAGE_MARGIN_MM, s->name, size) + 4;
    cairo_save(cr);
    cairo_translate(cr, TB_PAGE_MARGIN_MM + 4, top);
    cairo_scale(cr, scale, scale);
    tb__ink_show(cr, s->ink);
    tb_grid grid = {0, 0, o->width_mm, o->height_mm, o->width_mm, o->height_mm, 1 / scale,
            s->options->unit};
    tb__marks_grid(&s->brush, &grid);
    tb__marks_rings(
            &s->brush, &(tb_rings){NULL, s->content->notes, s->content->n_notes, 1 / scale});
    cairo_restore(cr);
    notes_below(s, w, h, top + o->height_mm * scale + 4);
    tb__page_end(s);
}
