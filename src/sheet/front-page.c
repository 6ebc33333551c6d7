/* sheet/front-page.c: the piece as it will hang, what is known about it, and the cautions. */
#include "base/alloc.h"
#include "facts/caution.h"
#include "sheet/ink.h"
#include "sheet/pages.h"
#include "sheet/preview.h"
#include "sheet/words.h"

#include <math.h>

static const double BODY_MM = 3.7, SMALL_MM = 3.0, GAP_MM = 8, MAP_MM = 46;
/* Of the picture: as fine as an ordinary printer shows it, and small in the file. */
enum { PICTURE_PX = 680, PICTURE_QUALITY = 78 };

/* The piece as it will hang, the board w_mm by h_mm at most; returns the height it took. Its shadow
 * falls beyond that. */
static double piece(tb_sheets *s, double x_mm, double y_mm, double w_mm, double h_mm)
{
    const tb_outline *o = s->content->outline;
    double scale = fmin(w_mm / o->width_mm, h_mm / o->height_mm);
    double border = TB_PREVIEW_BORDER_SHARE * fmax(o->width_mm, o->height_mm) * scale;
    double left = x_mm + (w_mm - o->width_mm * scale) / 2;
    uint8_t *rgb;
    tb_pixels pixels;
    tb_bytes jpeg = {0};
    s->status = tb__preview(&rgb, &pixels, s->content, PICTURE_PX, true, s->job, s->err);
    if (!s->status)
        s->status = tb__encode_jpeg(&jpeg, &pixels, PICTURE_QUALITY, s->err);
    if (!s->status && !tb__paint_jpeg(s->brush.cr, &jpeg, &pixels, left - border, y_mm - border,
                              o->width_mm * scale + 2 * border))
        s->status = tb_fail_memory(s->err);
    tb_free(rgb);
    tb_bytes_clear(&jpeg);
    return o->height_mm * scale;
}

/* Where the i-th of n joins lies on the board, 0 … n: its edges, and the middles of overlaps. */
static double join_mm(int i, int n, double step_mm, double overlap_mm, double board_mm)
{
    return i == 0 ? 0 : i == n ? board_mm : i * step_mm + overlap_mm / 2;
}

static void map_lines(tb_sheets *s, double left, double top, double scale)
{
    const tb_tiling *t = &s->tiling;
    double overlap = s->options->overlap_mm;
    for (int i = 0; i <= t->n_columns; i++) {
        double x = left + scale * join_mm(i, t->n_columns, t->step_x_mm, overlap, t->board_w_mm);
        tb__paint_line(s->brush.cr, x, top, x, top + scale * t->board_h_mm, 0.2, 0);
    }
    for (int i = 0; i <= t->n_rows; i++) {
        double y = top + scale * join_mm(i, t->n_rows, t->step_y_mm, overlap, t->board_h_mm);
        tb__paint_line(s->brush.cr, left, y, left + scale * t->board_w_mm, y, 0.2, 0);
    }
}

static void map_names(tb_sheets *s, double left, double top, double scale)
{
    const tb_tiling *t = &s->tiling;
    double overlap = s->options->overlap_mm;
    for (int i = 0; i < t->n_columns * t->n_rows; i++) {
        int column = i % t->n_columns, row = i / t->n_columns;
        double x0 = join_mm(column, t->n_columns, t->step_x_mm, overlap, t->board_w_mm);
        double x1 = join_mm(column + 1, t->n_columns, t->step_x_mm, overlap, t->board_w_mm);
        double y0 = join_mm(row, t->n_rows, t->step_y_mm, overlap, t->board_h_mm);
        double y1 = join_mm(row + 1, t->n_rows, t->step_y_mm, overlap, t->board_h_mm);
        double size = fmin(4, 0.6 * scale * fmin(x1 - x0, 1.4 * (y1 - y0)));
        tb_type type = {.size_mm = size, .bold = true, .side = TB_MIDDLE, .halo = true};
        double w, h;
        tb__measure_text(&s->brush, &type, tb__tile_name(column, row).text, &w, &h);
        tb__paint_text(&s->brush, left + scale * (x0 + x1) / 2, top + scale * (y0 + y1) / 2 - h / 2,
                &type, tb__tile_name(column, row).text);
    }
}

/* How the pages go together: the pattern, cut where they join, with their names. */
static void map(tb_sheets *s, double right_mm, double y_mm, double h_mm)
{
    const tb_tiling *t = &s->tiling;
    double label_h = 5, scale = fmin(MAP_MM / t->board_w_mm, (h_mm - label_h - 2) / t->board_h_mm);
    double left = right_mm - MAP_MM, top = y_mm + label_h;
    tb_type label = {.size_mm = SMALL_MM, .grey = 0.35, .width_mm = MAP_MM, .lines = 1};
    cairo_t *cr = s->brush.cr;
    tb__paint_text(&s->brush, left, y_mm, &label, tb__say(&s->speech, "How the pages go together"));
    cairo_save(cr);
    cairo_translate(cr, left, top);
    cairo_scale(cr, scale * s->options->scale_correction, scale * s->options->scale_correction);
    tb__ink_show(cr, s->ink);
    cairo_restore(cr);
    map_lines(s, left, top, scale);
    map_names(s, left, top, scale);
}

/* Draws text if it is to be drawn; returns its height. */
static double text(
        tb_sheets *s, double x_mm, double y_mm, const tb_type *type, const char *words, bool draw)
{
    double w, h;
    if (draw)
        return tb__paint_text(&s->brush, x_mm, y_mm, type, words);
    tb__measure_text(&s->brush, type, words, &w, &h);
    return h;
}

/* A name and its value below it; nothing where there is no value. Returns the height it takes. */
static double fact(tb_sheets *s, double x_mm, double y_mm, double w_mm, const char *name,
        const char *value, bool draw)
{
    tb_type label = {.size_mm = SMALL_MM, .grey = 0.35};
    /* In its column to the left, whichever way it is read. */
    bool leftward = tb__reads_leftward(&s->brush, value);
    tb_type body = {.size_mm = BODY_MM,
            .width_mm = w_mm,
            .lines = 3,
            .side = leftward ? TB_RIGHT : TB_LEFT};
    if (!*value)
        return 0;
    double y = y_mm + 0.2 + text(s, x_mm, y_mm, &label, name, draw);
    return y + text(s, x_mm, y, &body, value, draw) + 2.4 - y_mm;
}

static const char *blade_words(tb_sheets *s)
{
    tb_speech *sp = &s->speech;
    const char *blade =
            g_ascii_isdigit(*s->blade) ? tb__say(sp, "No. %s", s->blade) : (const char *)s->blade;
    return *s->remark ? tb__put_together(sp, "%s. %s", blade, tb__say(sp, "%s", s->remark)) : blade;
}

/* Returns the height; draws nothing when it is only to be measured. */
static double facts(tb_sheets *s, double x_mm, double y_mm, double w_mm, bool draw)
{
    enum { ROWS = 5 };
    const tb_sheet_content *c = s->content;
    const tb_inspection *i = c->inspection;
    tb_unit unit = s->options->unit;
    double half = (w_mm - GAP_MM) / 2;
    tb_speech *sp = &s->speech;
    const char *stack = c->plan && c->plan->stack_most > 1
                                ? tb__say(sp, "up to %d boards", c->plan->stack_most)
                                : "";
    const struct {
        const char *name, *value;
    } COLUMNS[2][ROWS] = {
            {{tb__say(sp, "Finished size"),
                     tb__say_size(sp, c->outline->width_mm, c->outline->height_mm, unit)},
                    {tb__say(sp, "Stock"), tb__say(sp, "%s", s->stock)},
                    {tb__say(sp, "Stacked"), stack}, {tb__say(sp, "Blade"), blade_words(s)},
                    {tb__say(sp, "Credit"), s->credit}},
            {{tb__say(sp, "Openings"), i ? tb__put_together(sp, "%zu", i->n_openings) : ""},
                    {tb__say(sp, "Length of cut"),
                            i ? tb__say_long(sp, i->cut_length_mm, unit) : ""},
                    {tb__say(sp, "Time at the saw"),
                            c->plan ? tb__say(sp, "%s", tb_plan_about(c->plan->minutes).text) : ""},
                    {tb__say(sp, "Narrowest wood"),
                            i ? tb__say_fine(sp, i->narrowest_wood_mm, unit) : ""},
                    {tb__say(sp, "Permission"), s->permission}}};
    double tallest = 0;
    for (int column = 0; column < 2; column++) {
        double y = y_mm, x = x_mm + column * (half + GAP_MM);
        for (int row = 0; row < ROWS; row++)
            y += fact(s, x, y, half, COLUMNS[column][row].name, COLUMNS[column][row].value, draw);
        tallest = fmax(tallest, y - y_mm);
    }
    return tallest;
}

/* The cautions as one text, so that they take little room and are read in their order. */
static const char *all_cautions(tb_sheets *s)
{
    const char *text = "", *caution;
    for (int i = 0; (caution = tb_caution_at(i)); i++)
        text = tb__put_together(
                &s->speech, "%s%s%s", text, *text ? " " : "", tb__say(&s->speech, "%s", caution));
    return text;
}

static double cautions(tb_sheets *s, double x_mm, double y_mm, double w_mm, bool draw)
{
    tb_type head = {.size_mm = SMALL_MM, .bold = true};
    tb_type type = {.size_mm = SMALL_MM, .width_mm = w_mm, .grey = 0.15};
    tb_speech *sp = &s->speech;
    double y = y_mm;
    y += 0.6 + text(s, x_mm, y, &head, tb__say(sp, "Before you saw"), draw);
    y += 2 + text(s, x_mm, y, &type, all_cautions(s), draw);
    y += 0.6 + text(s, x_mm, y, &head, tb__say(sp, "Whose picture it is"), draw);
    y += text(s, x_mm, y, &type, tb__say(sp, "%s", tb_caution_permission()), draw);
    return y - y_mm;
}

static double heading(tb_sheets *s, double x_mm, double y_mm, double w_mm, bool draw)
{
    tb_type title = {.size_mm = 9, .bold = true, .width_mm = w_mm, .lines = 2};
    tb_type by = {.size_mm = 4.2, .width_mm = w_mm, .grey = 0.3, .lines = 1};
    double y = y_mm;
    y += text(s, x_mm, y, &title, s->name, draw);
    if (*s->designer)
        y += 0.5 + text(s, x_mm, y + 0.5, &by, s->designer, draw);
    return y - y_mm;
}

/* Laid out for A4, and the same smaller or larger on other papers. */
void tb__page_front(tb_sheets *s)
{
    double paper_w = fmin(s->options->paper_w_mm, s->options->paper_h_mm);
    double paper_h = fmax(s->options->paper_w_mm, s->options->paper_h_mm);
    double scale = fmin(1.4, fmax(0.7, paper_w / 210)), w = paper_w / scale, h = paper_h / scale;
    double x = TB_PAGE_MARGIN_MM, inner = w - 2 * TB_PAGE_MARGIN_MM;
    bool many = s->tiling.n_columns * s->tiling.n_rows > 1;
    double facts_w = many ? inner - MAP_MM - GAP_MM : inner;
    tb__page_begin(s, &(tb_leaf){paper_w, paper_h, TB_LEAF_FRONT, ""});
    cairo_save(s->brush.cr);
    cairo_scale(s->brush.cr, scale, scale);
    double top = TB_PAGE_MARGIN_MM + 1 + heading(s, x, TB_PAGE_MARGIN_MM - 3, inner, false);
    double bottom = h - TB_PAGE_MARGIN_MM - cautions(s, x, 0, inner, false);
    double facts_h = facts(s, x, 0, facts_w, false);
    double y = top + piece(s, x, top, inner, fmax(20, bottom - top - facts_h - 16)) + 10;
    /* The picture's margin is white, so all else is drawn over it. */
    heading(s, x, TB_PAGE_MARGIN_MM - 3, inner, true);
    facts(s, x, y, facts_w, true);
    if (many)
        map(s, x + inner, y, bottom - y - 4);
    tb__paint_line(s->brush.cr, x, bottom - 1, x + inner, bottom - 1, 0.2, 0.5);
    cautions(s, x, bottom + 3, inner, true);
    cairo_restore(s->brush.cr);
    tb__page_end(s);
}
