/* sheet/tile-page.c: a page that shows a part of the pattern in full size.
 *
 * The area, with the bars along its left and its bottom; below them the words, the page's name and
 * the map. Where pages meet, the middle of what they share is dashed, and diamonds lie on it: cut
 * one page along the dashes, lay it over the other, and the halves make whole diamonds.
 */
#include "sheet/ink.h"
#include "sheet/marks.h"
#include "sheet/pages.h"
#include "sheet/words.h"

#include <math.h>
#include <stdio.h>

/* A bar, the gap to the next, and the width that both take with their names. */
static const double BAR_H_MM = 1.4, BAR_GAP_MM = 0.8, BARS_MM = 115;
static const double SMALL_MM = 2.7, HAIR_MM = 0.15;

/* A bar along +x from the origin, exactly length_mm long to the outer edges of its end marks. */
static void bar(tb_brush *b, double y_mm, double length_mm, int n_cells, const char *words)
{
    double cell = length_mm / n_cells, tick = 0.25;
    for (int i = 0; i < n_cells; i += 2)
        tb__paint_box(b->cr, i * cell, y_mm, cell, BAR_H_MM, 0);
    tb__paint_box(b->cr, 0, y_mm, length_mm, HAIR_MM, 0);
    tb__paint_box(b->cr, 0, y_mm + BAR_H_MM - HAIR_MM, length_mm, HAIR_MM, 0);
    tb__paint_box(b->cr, 0, y_mm, tick, BAR_H_MM, 0);
    tb__paint_box(b->cr, length_mm - tick, y_mm, tick, BAR_H_MM, 0);
    tb_type type = {.size_mm = 2.4};
    tb__paint_text(b, length_mm + 1, y_mm - 0.85, &type, words);
}

/* Both bars; the user space's unit is a millimetre as it will come out of the printer. */
static void bars(tb_sheets *s)
{
    bar(&s->brush, 0, 100, 10, tb__say(&s->speech, "%s mm", "100"));
    bar(&s->brush, BAR_H_MM + BAR_GAP_MM, 101.6, 8, tb__say(&s->speech, "%s in", "4"));
}

static void both_axes(tb_sheets *s)
{
    const tb_tiling *t = &s->tiling;
    cairo_t *cr = s->brush.cr;
    double c = s->options->scale_correction;
    cairo_save(cr);
    cairo_translate(cr, t->area_x_mm, t->area_y_mm + t->area_h_mm + 3);
    cairo_scale(cr, c, c);
    bars(s);
    cairo_restore(cr);
    cairo_save(cr);
    cairo_translate(cr, TB_MARGIN_MM, t->area_y_mm + t->area_h_mm);
    cairo_rotate(cr, -G_PI / 2);
    cairo_scale(cr, c, c);
    cairo_translate(cr, 0, 1);
    bars(s);
    cairo_restore(cr);
}

static void map(tb_sheets *s, double right_mm, double top_mm, double most_h_mm, int column, int row)
{
    const tb_tiling *t = &s->tiling;
    cairo_t *cr = s->brush.cr;
    double aspect = t->area_h_mm / t->area_w_mm;
    double cell = fmin(fmin(most_h_mm / (t->n_rows * aspect), 22.0 / t->n_columns), 7);
    double left = right_mm - cell * t->n_columns;
    for (int i = 0; i < t->n_columns * t->n_rows; i++) {
        int x = i % t->n_columns, y = i / t->n_columns;
        bool here = x == column && y == row;
        cairo_rectangle(cr, left + x * cell, top_mm + y * cell * aspect, cell, cell * aspect);
        cairo_set_source_rgb(cr, here ? 0.25 : 1, here ? 0.25 : 1, here ? 0.25 : 1);
        cairo_fill_preserve(cr);
        cairo_set_source_rgb(cr, 0.25, 0.25, 0.25);
        cairo_set_line_width(cr, HAIR_MM);
        cairo_stroke(cr);
    }
}

/* The bit, where it is the same for all. */
static const char *holes_words(tb_sheets *s)
{
    tb_speech *sp = &s->speech;
    if (s->n_labels == 0 || !s->one_bit)
        return "";
    const char *bit = tb__say_bit(sp, s->labels[0].hole->drill_mm, s->options->unit);
    return tb__put_together(sp, "  ·  %s",
            s->options->unit == TB_UNIT_IN ? tb__say(sp, "entry holes %s", bit)
                                           : tb__say(sp, "entry holes %s mm", bit));
}

static void words(tb_sheets *s, int column, int row)
{
    const tb_tiling *t = &s->tiling;
    tb_brush *b = &s->brush;
    bool many = t->n_columns * t->n_rows > 1;
    double left = t->area_x_mm, right = t->page_w_mm - TB_MARGIN_MM;
    double top = t->area_y_mm + t->area_h_mm;
    double map_w = many ? 24 : 0, name_w = many ? 14 : 0;
    tb_type rule = {.size_mm = SMALL_MM,
            .bold = true,
            .width_mm = right - left - map_w - name_w,
            .lines = 1};
    tb_type plain = rule;
    plain.bold = false;
    tb_speech *sp = &s->speech;
    const tb_outline *o = s->content->outline;
    tb__paint_text(b, left, top + 8, &rule,
            tb__say(sp, "Print at 100 %%, no fitting. Check both bars with a rule."));
    const char *size = tb__say_size(sp, o->width_mm, o->height_mm, s->options->unit);
    tb__paint_text(b, left, top + 12, &plain,
            tb__put_together(
                    sp, "%s%s%s%s", s->title, *s->title ? "  ·  " : "", size, holes_words(s)));
    if (!many)
        return;
    /* Beside the bars where there is room, else beside the words. */
    bool beside_bars = t->area_w_mm > BARS_MM * s->options->scale_correction + map_w + name_w;
    double y = beside_bars ? top + 3 : top + 8.5;
    tb_type name = {.size_mm = beside_bars ? 9 : 6, .bold = true, .side = TB_RIGHT};
    tb__paint_text(b, right - map_w - 2, y, &name, tb__tile_name(column, row).text);
    map(s, right, y, beside_bars ? 13 : 7.5, column, row);
}

static void diamond(cairo_t *cr, double x_mm, double y_mm)
{
    cairo_move_to(cr, x_mm, y_mm - 2);
    cairo_line_to(cr, x_mm + 2, y_mm);
    cairo_line_to(cr, x_mm, y_mm + 2);
    cairo_line_to(cr, x_mm - 2, y_mm);
    cairo_close_path(cr);
    cairo_set_line_width(cr, HAIR_MM);
    cairo_set_source_rgb(cr, 0.35, 0.35, 0.35);
    cairo_stroke(cr);
}

/* The join along +y of the user space, n_mm long, at x; marks cross it in the margins too. */
static void join(cairo_t *cr, double x_mm, double from_mm, double to_mm)
{
    const double dash[] = {2, 2};
    cairo_save(cr);
    cairo_set_dash(cr, dash, 2, 0);
    tb__paint_line(cr, x_mm, from_mm, x_mm, to_mm, HAIR_MM, 0.55);
    cairo_restore(cr);
    tb__paint_line(cr, x_mm, from_mm - 3, x_mm, from_mm - 0.5, HAIR_MM, 0);
    tb__paint_line(cr, x_mm, to_mm + 0.5, x_mm, to_mm + 2.5, HAIR_MM, 0);
    diamond(cr, x_mm, from_mm + (to_mm - from_mm) * 0.25);
    diamond(cr, x_mm, from_mm + (to_mm - from_mm) * 0.75);
}

static void joins(tb_sheets *s, int column, int row)
{
    const tb_tiling *t = &s->tiling;
    cairo_t *cr = s->brush.cr;
    double half = s->options->overlap_mm / 2;
    double left = t->area_x_mm, top = t->area_y_mm;
    double right = left + t->area_w_mm, bottom = top + t->area_h_mm;
    if (column > 0)
        join(cr, left + half, top, bottom);
    if (column + 1 < t->n_columns)
        join(cr, right - half, top, bottom);
    /* The same turned on its side: x and y change places. */
    cairo_save(cr);
    cairo_transform(cr, &(cairo_matrix_t){0, 1, 1, 0, 0, 0});
    if (row > 0)
        join(cr, top + half, left, right);
    if (row + 1 < t->n_rows)
        join(cr, bottom - half, left, right);
    cairo_restore(cr);
}

static void cross(cairo_t *cr, const tb_entry_hole *hole, double grey)
{
    double arm = tb__cross_mm(hole);
    tb__paint_line(cr, hole->x_mm - arm, hole->y_mm, hole->x_mm + arm, hole->y_mm, 0.18, grey);
    tb__paint_line(cr, hole->x_mm, hole->y_mm - arm, hole->x_mm, hole->y_mm + arm, 0.18, grey);
}

static void holes(tb_sheets *s, double left_mm, double top_mm, double w_mm, double h_mm)
{
    double grey = tb__ink_mark_grey(s->options->ink);
    for (size_t i = 0; i < s->n_labels; i++) {
        const tb_hole_label *label = &s->labels[i];
        const tb_entry_hole *hole = label->hole;
        if (hole->x_mm < left_mm - 12 || hole->x_mm > left_mm + w_mm + 12 ||
                hole->y_mm < top_mm - 12 || hole->y_mm > top_mm + h_mm + 12)
            continue;
        cross(s->brush.cr, hole, grey);
        tb_type type = {.size_mm = 2.2, .grey = label->grey, .halo = label->halo};
        tb__paint_text(&s->brush, label->x_mm + 0.2, label->y_mm - 0.3, &type, label->text);
    }
}

static void pattern(tb_sheets *s, int column, int row)
{
    const tb_tiling *t = &s->tiling;
    cairo_t *cr = s->brush.cr;
    double c = s->options->scale_correction;
    double left = (column * t->step_x_mm - t->shift_x_mm) / c;
    double top = (row * t->step_y_mm - t->shift_y_mm) / c;
    cairo_save(cr);
    cairo_rectangle(cr, t->area_x_mm, t->area_y_mm, t->area_w_mm, t->area_h_mm);
    cairo_clip(cr);
    cairo_translate(cr, t->area_x_mm, t->area_y_mm);
    cairo_scale(cr, c, c);
    cairo_translate(cr, -left, -top);
    tb__ink_show(cr, s->ink);
    if (s->options->marks == TB_MARKS_FINDINGS)
        tb__marks_rings(&s->brush,
                &(tb_rings){s->content->inspection, s->content->notes, s->content->n_notes, 1});
    else
        holes(s, left, top, t->area_w_mm / c, t->area_h_mm / c);
    if (s->options->marks == TB_MARKS_FINDINGS) {
        cairo_reset_clip(cr);
        tb_grid grid = {left, top, left + t->area_w_mm / c, top + t->area_h_mm / c,
                s->content->outline->width_mm, s->content->outline->height_mm, 1, s->options->unit};
        tb__marks_grid(&s->brush, &grid);
    }
    cairo_restore(cr);
}

void tb__page_tile(tb_sheets *s, int column, int row)
{
    tb_leaf leaf = {s->tiling.page_w_mm, s->tiling.page_h_mm, TB_LEAF_PATTERN, ""};
    snprintf(leaf.name, sizeof leaf.name, "%s", tb__tile_name(column, row).text);
    tb__page_begin(s, &leaf);
    pattern(s, column, row);
    joins(s, column, row);
    both_axes(s);
    words(s, column, row);
    tb__page_end(s);
}
