/* sheet/marks.c: see marks.h. */
#include "sheet/marks.h"

#include "base/num.h"

#include <glib.h>
#include <math.h>
#include <stdio.h>

static const char *const KINDS[TB_N_FINDING_KINDS] = {
        [TB_FINDING_ISLAND] = "Island",
        [TB_FINDING_THIN_BRIDGE] = "Thin bridge",
        [TB_FINDING_WEAK_PENINSULA] = "Weak peninsula",
        [TB_FINDING_TIGHT_OPENING] = "Tight opening",
        [TB_FINDING_NARROW_SLOT] = "Narrow slot",
        [TB_FINDING_TIGHT_TURN] = "Tight turn",
        [TB_FINDING_CROWDED_HOLE] = "Crowded hole",
        [TB_FINDING_THIN_FRAME] = "Thin frame",
        [TB_FINDING_SPECK] = "Speck",
};

static const double RING_LEAST_MM = 3.5, RING_MOST_MM = 14, BADGE_MM = 2.1;

size_t tb__marks_count(const tb_inspection *inspection)
{
    if (!inspection)
        return 0;
    return inspection->n_findings < TB_MARKS_MAX ? inspection->n_findings : TB_MARKS_MAX;
}

const char *tb__marks_kind(tb_finding_kind kind)
{
    return kind < TB_N_FINDING_KINDS && KINDS[kind] ? KINDS[kind] : "Finding";
}

char *tb__marks_measure(const tb_finding *f)
{
    const char *unit = f->unit ? f->unit : "";
    if (f->kind == TB_FINDING_ISLAND)
        return g_strdup_printf(
                "%s%s%s loose", tb_num_of(f->measured, 1).text, *unit ? " " : "", unit);
    return g_strdup_printf("%s%s%s, wanted %s%s%s", tb_num_fixed(f->measured, 2).text,
            *unit ? " " : "", unit, tb_num_fixed(f->limit, 2).text, *unit ? " " : "", unit);
}

static double ring_radius(const tb_finding *f)
{
    double reach = 0;
    for (size_t i = 0; i < f->n_extent; i++)
        reach = fmax(reach, hypot(f->extent[i].x_mm - f->x_mm, f->extent[i].y_mm - f->y_mm));
    return fmin(RING_MOST_MM, fmax(RING_LEAST_MM, reach + 1.2));
}

static void ring(tb_brush *b, const tb_finding *f, double radius, double size)
{
    const double dashes[] = {1.6 * size, 1.2 * size};
    cairo_t *cr = b->cr;
    cairo_save(cr);
    /* A white band beneath, so that the ring is seen on any ink. */
    cairo_new_path(cr);
    cairo_arc(cr, f->x_mm, f->y_mm, radius, 0, 2 * G_PI);
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_set_line_width(cr, 1.1 * size);
    cairo_stroke_preserve(cr);
    if (f->severity != TB_MUST)
        cairo_set_dash(cr, dashes, 2, 0);
    cairo_set_source_rgb(cr, 0, 0, 0);
    cairo_set_line_width(cr, (f->severity == TB_MUST ? 0.55 : 0.4) * size);
    cairo_stroke(cr);
    cairo_restore(cr);
}

/* The number on a disc at the ring's upper right: white on black for what must be mended. */
static void badge(tb_brush *b, const tb_finding *f, double radius, double size, size_t number)
{
    bool must = f->severity == TB_MUST;
    double x = f->x_mm + radius * 0.75, y = f->y_mm - radius * 0.75;
    char text[24];
    snprintf(text, sizeof text, "%zu", number);
    double r = (number > 99 ? BADGE_MM * 1.25 : BADGE_MM) * size;
    cairo_t *cr = b->cr;
    cairo_new_path(cr);
    cairo_arc(cr, x, y, r, 0, 2 * G_PI);
    cairo_set_source_rgb(cr, must ? 0 : 1, must ? 0 : 1, must ? 0 : 1);
    cairo_fill_preserve(cr);
    cairo_set_source_rgb(cr, 0, 0, 0);
    cairo_set_line_width(cr, 0.3 * size);
    cairo_stroke(cr);
    tb_type type = {.size_mm = 2.7 * size, .bold = true, .side = TB_MIDDLE, .grey = must ? 1 : 0};
    double w, h;
    tb__measure_text(b, &type, text, &w, &h);
    tb__paint_text(b, x, y - h / 2, &type, text);
}

void tb__marks_rings(tb_brush *brush, const tb_inspection *inspection, double size)
{
    size_t n = tb__marks_count(inspection);
    for (size_t i = 0; i < n; i++)
        ring(brush, &inspection->findings[i], ring_radius(&inspection->findings[i]), size);
    /* Numbers lie over all rings. The first is the worst, so it is drawn last. */
    for (size_t i = n; i-- > 0;)
        badge(brush, &inspection->findings[i], ring_radius(&inspection->findings[i]), size, i + 1);
}

static double cell_mm(tb_unit unit)
{
    return unit == TB_UNIT_IN ? 25.4 : 25;
}

static void column_name(char *text, size_t room, int column)
{
    if (column < 26)
        snprintf(text, room, "%c", 'a' + column);
    else
        snprintf(text, room, "%c%c", 'a' + (column / 26 - 1) % 26, 'a' + column % 26);
}

tb_grid_name tb__marks_cell(double x_mm, double y_mm, tb_unit unit)
{
    tb_grid_name name;
    char column[4];
    column_name(column, sizeof column, (int)fmax(0, x_mm / cell_mm(unit)));
    snprintf(name.text, sizeof name.text, "%s%d", column,
            1 + (int)fmax(0, y_mm / cell_mm(unit)) % 10000);
    return name;
}

/* Along the top: ticks where cells meet and letters between. */
static void letters(tb_brush *b, const tb_grid *g)
{
    double cell = cell_mm(g->unit), y = fmax(0, g->top_mm);
    tb_type type = {.size_mm = 2.8 * g->size, .side = TB_MIDDLE, .grey = 0.2};
    for (int i = (int)fmax(0, g->left_mm / cell); i * cell < fmin(g->right_mm, g->board_w_mm);
            i++) {
        double at = i * cell, middle = (at + fmin(at + cell, g->board_w_mm)) / 2;
        char text[4];
        column_name(text, sizeof text, i);
        if (at >= g->left_mm)
            tb__paint_line(b->cr, at, y - 1.8 * g->size, at, y, 0.2 * g->size, 0.35);
        if (middle >= g->left_mm && middle <= g->right_mm)
            tb__paint_text(b, middle, y - 4.3 * g->size, &type, text);
    }
}

/* Down the left: the same with numbers. */
static void numbers(tb_brush *b, const tb_grid *g)
{
    double cell = cell_mm(g->unit), x = fmax(0, g->left_mm);
    tb_type type = {.size_mm = 2.8 * g->size, .side = TB_RIGHT, .grey = 0.2};
    for (int i = (int)fmax(0, g->top_mm / cell); i * cell < fmin(g->bottom_mm, g->board_h_mm);
            i++) {
        double at = i * cell, middle = (at + fmin(at + cell, g->board_h_mm)) / 2;
        char text[16];
        snprintf(text, sizeof text, "%d", i + 1);
        if (at >= g->top_mm)
            tb__paint_line(b->cr, x - 1.8 * g->size, at, x, at, 0.2 * g->size, 0.35);
        if (middle >= g->top_mm && middle <= g->bottom_mm)
            tb__paint_text(b, x - 1.2 * g->size, middle - 1.9 * g->size, &type, text);
    }
}

void tb__marks_grid(tb_brush *brush, const tb_grid *grid)
{
    letters(brush, grid);
    numbers(brush, grid);
}
