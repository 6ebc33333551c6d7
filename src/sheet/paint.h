/* sheet/paint.h: drawing in millimetres on a cairo context. Internal to this folder.
 *
 * A brush holds the context and one text layout; its user space is millimetres, y down.
 */
#ifndef TB_SHEET_PAINT_H
#define TB_SHEET_PAINT_H

#include "sheet/bytes.h"
#include "sheet/encode.h"
#include "sheet/outline.h"

#include <cairo.h>
#include <pango/pangocairo.h>

typedef struct {
    cairo_t *cr;
    PangoLayout *layout;
    PangoFontDescription *font;
} tb_brush;

typedef enum { TB_LEFT, TB_MIDDLE, TB_RIGHT } tb_side;

typedef struct {
    double size_mm;  /* of the type's body */
    double grey;     /* 0 black … 1 white */
    double width_mm; /* wrapped to this; 0: one line */
    tb_side side;    /* where x lies in the line */
    bool bold;
    bool halo; /* white around the letters, so that they are read on lines */
    int lines; /* with width_mm: at most so many, the rest is "…"; 0: all */
} tb_type;

/* surface's user space is scaled by units_per_mm. */
void tb__brush_init(tb_brush *brush, cairo_surface_t *surface, double units_per_mm);
void tb__brush_clear(tb_brush *brush);

/* Adds a path, or all of them, to the context's current path. */
void tb__paint_path(cairo_t *cr, const tb_path *path);
void tb__paint_outline(cairo_t *cr, const tb_outline *outline);

/* Draws text with its first line's top at y; returns the height it took. */
double tb__paint_text(
        tb_brush *brush, double x_mm, double y_mm, const tb_type *type, const char *text);
/* The width and height it would take. */
void tb__measure_text(tb_brush *brush, const tb_type *type, const char *text, double *width_mm,
        double *height_mm);

/* Whether it begins on the right. */
bool tb__reads_leftward(tb_brush *brush, const char *text);

/* A picture, w_mm wide: a file keeps its JPEG as it is, a screen shows the pixels. */
bool tb__paint_jpeg(cairo_t *cr, const tb_bytes *jpeg, const tb_pixels *pixels, double x_mm,
        double y_mm, double w_mm);

/* A rectangle filled exactly. */
void tb__paint_box(cairo_t *cr, double x_mm, double y_mm, double w_mm, double h_mm, double grey);
void tb__paint_line(cairo_t *cr, double x0_mm, double y0_mm, double x1_mm, double y1_mm,
        double width_mm, double grey);

#endif
