/* photo/sample.h: from encoded rows to a plane of lightness; private to src/photo.
 *
 * Shrinking adds up linear light, as the eye does from afar, over the exact area of each pixel;
 * enlarging and turning interpolate L* by Catmull & Rom's cubic, which rings the same on both
 * sides of an edge. Both give the same bytes at any thread count.
 */
#ifndef TB_PHOTO_SAMPLE_H
#define TB_PHOTO_SAMPLE_H

#include "base/job.h"
#include "image/plane.h"

#include <stdint.h>

typedef struct tb__shrink tb__shrink;

/* A part of a picture of bands × bits (1 or 3 bands, sRGB, 8 or 16 bits), to be given row by row,
 * becomes plane (borrowed, filled as rows come). x, y, w, h may be fractions, inside the rows. */
typedef struct {
    double x, y, w, h;
    int bands, bits;
    int row_px, n_rows;  /* size of what will be given */
    const double *light; /* [3][256] of each band's values, for 8 bits; NULL: sRGB */
} tb__shrink_options;

TB_NODISCARD tb_status tb__shrink_new(
        tb__shrink **out, tb_plane *plane, const tb__shrink_options *options, tb_error *err);
void tb__shrink_row(tb__shrink *shrink, const void *row);
void tb__shrink_free(tb__shrink *shrink);

/* Exif's orientation 1 … 8: applied to a plane, and to the place of a point. */
typedef struct {
    bool swap, flip_x, flip_y; /* stored x is upright y where swap; then mirrored where flip_x */
} tb__turn;

tb__turn tb__turn_of(int orientation);
TB_NODISCARD tb_status tb__turn_upright(
        tb_plane **out, const tb_plane *stored, tb__turn turn, const tb_job *job, tb_error *err);

/* Where the centre of out's first pixel lies in the other plane, and one step right and down. */
typedef struct {
    double x, y, right_x, right_y, down_x, down_y;
} tb__grid;

/* Beyond the edge lies what is at the edge. TB_ENOMEM, TB_ECANCELLED. */
TB_NODISCARD tb_status tb__resample(
        tb_plane *out, const tb_plane *plane, tb__grid grid, const tb_job *job, tb_error *err);

#endif
