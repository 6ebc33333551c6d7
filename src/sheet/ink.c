/* sheet/ink.c: see ink.h.
 *
 * Pale is light enough to see a red pen over it, with a line that is dark enough to follow.
 */
#include "sheet/ink.h"

#include <math.h>
#include <string.h>

static const struct {
    const char *name;
    double fill, line_mm, line; /* greys; fill 1: none */
    double hatch_mm;            /* from line to line; 0: none */
} INKS[] = {
        [TB_INK_PALE] = {"pale", 0.84, 0.2, 0.3, 0},
        [TB_INK_SOLID] = {"solid", 0, 0, 0, 0},
        [TB_INK_LINE] = {"line", 1, 0.25, 0, 0},
        [TB_INK_HATCH] = {"hatch", 1, 0.25, 0.1, 2},
};
static const double HATCH_LINE_MM = 0.15, HATCH_GREY = 0.35;

bool tb_ink_parse(tb_ink *ink, const char *name)
{
    for (size_t i = 0; i < sizeof INKS / sizeof INKS[0]; i++)
        if (strcmp(INKS[i].name, name) == 0) {
            *ink = (tb_ink)i;
            return true;
        }
    return false;
}

double tb__ink_mark_grey(tb_ink ink)
{
    return ink == TB_INK_SOLID ? 1 : 0;
}

/* Everything within the board's own edge: openings filled, islands not, by the even-odd rule. */
static void openings(cairo_t *cr, const tb_outline *outline)
{
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    for (size_t i = 0; i < outline->n_paths; i++)
        if (outline->paths[i].depth > 0)
            tb__paint_path(cr, &outline->paths[i]);
}

static void hatch(cairo_t *cr, const tb_outline *outline, double apart_mm)
{
    double w = outline->width_mm, h = outline->height_mm, step = apart_mm * sqrt(2);
    cairo_save(cr);
    openings(cr, outline);
    cairo_clip(cr);
    for (double at = step / 2; at < w + h; at += step) {
        cairo_move_to(cr, at, 0);
        cairo_line_to(cr, at - h, h);
    }
    cairo_set_line_width(cr, HATCH_LINE_MM);
    cairo_set_source_rgb(cr, HATCH_GREY, HATCH_GREY, HATCH_GREY);
    cairo_stroke(cr);
    cairo_restore(cr);
}

/* The board's edge is drawn even where the openings carry no line. */
static void board_edge(cairo_t *cr, const tb_outline *outline, double line_mm, double grey)
{
    for (size_t i = 0; i < outline->n_paths; i++)
        if (outline->paths[i].depth == 0)
            tb__paint_path(cr, &outline->paths[i]);
    cairo_set_line_width(cr, line_mm);
    cairo_set_source_rgb(cr, grey, grey, grey);
    cairo_stroke(cr);
}

void tb__ink_paint(cairo_t *cr, const tb_outline *outline, tb_ink ink)
{
    double fill = INKS[ink].fill, line = INKS[ink].line;
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    if (INKS[ink].hatch_mm > 0)
        hatch(cr, outline, INKS[ink].hatch_mm);
    openings(cr, outline);
    if (fill < 1) {
        cairo_set_source_rgb(cr, fill, fill, fill);
        if (INKS[ink].line_mm > 0)
            cairo_fill_preserve(cr);
        else
            cairo_fill(cr);
    }
    if (INKS[ink].line_mm > 0) {
        cairo_set_source_rgb(cr, line, line, line);
        cairo_set_line_width(cr, INKS[ink].line_mm);
        cairo_stroke(cr);
    }
    board_edge(cr, outline, 0.25, line);
}

void tb__ink_hang(cairo_t *cr, const tb_outline *outline)
{
    cairo_set_source_rgb(cr, 0.16, 0.14, 0.13);
    cairo_rectangle(cr, 0, 0, outline->width_mm, outline->height_mm);
    cairo_fill(cr);
    cairo_set_source_rgb(cr, 0.925, 0.82, 0.655);
    tb__paint_outline(cr, outline);
    cairo_fill(cr);
}

double tb__ink_share(const tb_outline *outline, tb_ink ink)
{
    double area = 0, length = 0, board = outline->width_mm * outline->height_mm;
    for (size_t i = 0; i < outline->n_paths; i++) {
        const tb_path *path = &outline->paths[i];
        if (path->depth > 0)
            area += path->depth % 2 ? path->area_mm2 : -path->area_mm2;
        length += tb_path_length_mm(path);
    }
    double covered =
            area * (1 - INKS[ink].fill) + length * INKS[ink].line_mm * (1 - INKS[ink].line);
    if (INKS[ink].hatch_mm > 0)
        covered += area / INKS[ink].hatch_mm * HATCH_LINE_MM * (1 - HATCH_GREY);
    return board > 0 ? fmin(1, covered / board) : 0;
}
