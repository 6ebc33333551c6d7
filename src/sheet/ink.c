/* sheet/ink.c: see ink.h.
 *
 * Pale is light enough to see a red pen over it, with a line that is dark enough to follow.
 */
#include "sheet/ink.h"

#include "sheet/pdf.h"

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

cairo_surface_t *tb__ink_record(const tb_outline *outline, tb_ink ink)
{
    const double k = TB_POINTS_PER_MM;
    cairo_rectangle_t extent = {-k, -k, (outline->width_mm + 2) * k, (outline->height_mm + 2) * k};
    cairo_surface_t *recorded = cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, &extent);
    cairo_t *cr = cairo_create(recorded);
    cairo_scale(cr, k, k);
    tb__ink_paint(cr, outline, ink);
    cairo_destroy(cr);
    return recorded;
}

void tb__ink_show(cairo_t *cr, cairo_surface_t *recorded)
{
    cairo_save(cr);
    cairo_scale(cr, 1 / TB_POINTS_PER_MM, 1 / TB_POINTS_PER_MM);
    cairo_set_source_surface(cr, recorded, 0, 0);
    cairo_paint(cr);
    cairo_restore(cr);
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
