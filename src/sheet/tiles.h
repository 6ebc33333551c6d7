/* sheet/tiles.h: how a board is cut up into pages. Internal to this folder.
 *
 * A page is margins, a strip for the bars along its left and one for bars and words along its
 * bottom, and the area that shows a part of the board. Tile (column, row) shows the board from
 * column × step on. All lengths are on paper; the board is as large as it will be printed.
 */
#ifndef TB_SHEET_TILES_H
#define TB_SHEET_TILES_H

#include "sheet/sheet.h"

typedef struct {
    double page_w_mm, page_h_mm;
    double area_x_mm, area_y_mm, area_w_mm, area_h_mm;
    double step_x_mm, step_y_mm;   /* from one tile to the next */
    double shift_x_mm, shift_y_mm; /* of the board within the first tile: centred if it is alone */
    double board_w_mm, board_h_mm; /* on paper */
    int n_columns, n_rows;
} tb_tiling;

/* Ordinary printers leave such an edge blank (facts: 3 to 4.2 mm, at the bottom up to 14). */
extern const double TB_MARGIN_MM, TB_MARGIN_BOTTOM_MM;

TB_NODISCARD tb_status tb__tile(tb_tiling *tiling, const tb_outline *outline,
        const tb_sheet_options *options, tb_error *err);

/* "A1": columns by letter, rows by number. */
typedef struct {
    char text[16];
} tb_tile_name;
tb_tile_name tb__tile_name(int column, int row);

#endif
