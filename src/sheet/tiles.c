/* sheet/tiles.c: see tiles.h. */
#include "sheet/tiles.h"

#include <math.h>
#include <stdio.h>

const double TB_MARGIN_MM = 10, TB_MARGIN_BOTTOM_MM = 13;

/* The strips hold a bar and its words. */
static const double STRIP_LEFT_MM = 9, STRIP_BOTTOM_MM = 17;
static const double PAPER_MIN_MM = 140, PAPER_MAX_MM = 3000;
enum { PAGES_MAX = 2000 };

static int n_tiles(double board_mm, double area_mm, double overlap_mm)
{
    /* A hair of slack: a board of exactly the area's size is one tile. */
    double more = board_mm - area_mm - 1e-6;
    return more <= 0 ? 1 : 1 + (int)ceil(more / (area_mm - overlap_mm));
}

static tb_tiling tile_on(
        double page_w_mm, double page_h_mm, const tb_outline *outline, const tb_sheet_options *o)
{
    tb_tiling t = {page_w_mm, page_h_mm};
    t.area_x_mm = TB_MARGIN_MM + STRIP_LEFT_MM;
    t.area_y_mm = TB_MARGIN_MM;
    t.area_w_mm = page_w_mm - t.area_x_mm - TB_MARGIN_MM;
    t.area_h_mm = page_h_mm - t.area_y_mm - TB_MARGIN_BOTTOM_MM - STRIP_BOTTOM_MM;
    t.board_w_mm = outline->width_mm * o->scale_correction;
    t.board_h_mm = outline->height_mm * o->scale_correction;
    t.step_x_mm = t.area_w_mm - o->overlap_mm;
    t.step_y_mm = t.area_h_mm - o->overlap_mm;
    t.n_columns = n_tiles(t.board_w_mm, t.area_w_mm, o->overlap_mm);
    t.n_rows = n_tiles(t.board_h_mm, t.area_h_mm, o->overlap_mm);
    if (t.n_columns == 1)
        t.shift_x_mm = (t.area_w_mm - t.board_w_mm) / 2;
    if (t.n_rows == 1)
        t.shift_y_mm = (t.area_h_mm - t.board_h_mm) / 2;
    return t;
}

static double widest_mm(double page_w_mm, double page_h_mm, double width_mm, double height_mm,
        const tb_sheet_options *options)
{
    const tb_outline shape = {.width_mm = width_mm, .height_mm = height_mm};
    tb_tiling t = tile_on(page_w_mm, page_h_mm, &shape, options);
    double times = fmin(t.area_w_mm / t.board_w_mm, t.area_h_mm / t.board_h_mm);
    return fmax(width_mm * times, 0);
}

double tb_sheet_one_page_mm(double width_mm, double height_mm, const tb_sheet_options *options)
{
    double shorter = fmin(options->paper_w_mm, options->paper_h_mm);
    double longer = fmax(options->paper_w_mm, options->paper_h_mm);
    double upright = widest_mm(shorter, longer, width_mm, height_mm, options);
    double sideways = widest_mm(longer, shorter, width_mm, height_mm, options);
    if (options->turn == TB_PAGE_AUTO)
        return fmax(upright, sideways);
    return options->turn == TB_PAGE_SIDEWAYS ? sideways : upright;
}

static tb_status check(const tb_sheet_options *o, tb_error *err)
{
    double least = fmin(o->paper_w_mm, o->paper_h_mm), most = fmax(o->paper_w_mm, o->paper_h_mm);
    if (!(least >= PAPER_MIN_MM && most <= PAPER_MAX_MM))
        return tb_fail(err, TB_EINVAL,
                "a paper of %s × %s mm is out of range; sides lie "
                "between %s and %s mm",
                tb_num_of(o->paper_w_mm, 1).text, tb_num_of(o->paper_h_mm, 1).text,
                tb_num_of(PAPER_MIN_MM, 0).text, tb_num_of(PAPER_MAX_MM, 0).text);
    if (!(o->overlap_mm >= 0 && o->overlap_mm <= 30))
        return tb_fail(err, TB_EINVAL,
                "an overlap of %s mm is out of range; it lies between 0 "
                "and 30 mm",
                tb_num_of(o->overlap_mm, 1).text);
    if (!(o->scale_correction >= 0.9 && o->scale_correction <= 1.1))
        return tb_fail(err, TB_EINVAL,
                "a scale correction of %s is out of range; it lies between "
                "0.9 and 1.1",
                tb_num_of(o->scale_correction, 4).text);
    return TB_OK;
}

tb_status tb__tile(tb_tiling *tiling, const tb_outline *outline, const tb_sheet_options *options,
        tb_error *err)
{
    tb_status status = check(options, err);
    if (status)
        return status;
    double shorter = fmin(options->paper_w_mm, options->paper_h_mm);
    double longer = fmax(options->paper_w_mm, options->paper_h_mm);
    tb_tiling upright = tile_on(shorter, longer, outline, options);
    tb_tiling sideways = tile_on(longer, shorter, outline, options);
    double n_upright = (double)upright.n_columns * upright.n_rows;
    double n_sideways = (double)sideways.n_columns * sideways.n_rows;
    bool turn = options->turn == TB_PAGE_SIDEWAYS ||
                (options->turn == TB_PAGE_AUTO && n_sideways < n_upright);
    *tiling = turn ? sideways : upright;
    if ((turn ? n_sideways : n_upright) > PAGES_MAX)
        return tb_fail(err, TB_EINVAL, "%s pages of this paper are too many; choose a larger paper",
                tb_num_of(turn ? n_sideways : n_upright, 0).text);
    return TB_OK;
}

tb_tile_name tb__tile_name(int column, int row)
{
    tb_tile_name name;
    if (column < 26)
        snprintf(name.text, sizeof name.text, "%c%d", 'A' + column, row + 1);
    else
        snprintf(name.text, sizeof name.text, "%c%c%d", 'A' + column / 26 - 1, 'A' + column % 26,
                row + 1);
    return name;
}
