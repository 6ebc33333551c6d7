/* sheet/ink.h: how the pattern lies on the paper. Internal to this folder. */
#ifndef TB_SHEET_INK_H
#define TB_SHEET_INK_H

#include "sheet/paint.h"
#include "sheet/sheet.h"

/* Draws the pattern, its top left at the origin, in millimetres. */
void tb__ink_paint(cairo_t *cr, const tb_outline *outline, tb_ink ink);

/* Records that once, in points, to be shown on many pages; and shows it. */
cairo_surface_t *tb__ink_record(const tb_outline *outline, tb_ink ink);
void tb__ink_show(cairo_t *cr, cairo_surface_t *recorded);

/* Share of the board that ink covers, a grey of 20 % black counting as a fifth. */
double tb__ink_share(const tb_outline *outline, tb_ink ink);

/* The grey of marks that lie on an opening. */
double tb__ink_mark_grey(tb_ink ink);

#endif
