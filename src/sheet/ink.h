/* sheet/ink.h: how the pattern lies on the paper. Internal to this folder. */
#ifndef TB_SHEET_INK_H
#define TB_SHEET_INK_H

#include "sheet/paint.h"
#include "sheet/sheet.h"

/* Draws the pattern, its top left at the origin, in millimetres. */
void tb__ink_paint(cairo_t *cr, const tb_outline *outline, tb_ink ink);

/* Draws it as it will hang, in flat wood over a dark backer; line_mm wide lines if above 0. */
void tb__ink_hang(cairo_t *cr, const tb_outline *outline);

/* Share of the board that ink covers, a grey of 20 % black counting as a fifth. */
double tb__ink_share(const tb_outline *outline, tb_ink ink);

/* The grey of marks that lie on an opening. */
double tb__ink_mark_grey(tb_ink ink);

#endif
