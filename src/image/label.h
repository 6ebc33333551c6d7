/* image/label.h: connected pieces of a mask, as runs.
 *
 * Wood hangs together by its sides (4-connectivity: contact at a corner does not hold), openings
 * by sides and corners (8-connectivity).
 *
 * Order  pieces are numbered from 0 in the order of their first pixel, row by row; runs stand row
 *        by row, left to right; both are the same at any thread count
 * Errors TB_EINVAL for more than TB_RUNS_MAX runs, which no pattern has, only a fine texture;
 *        TB_ENOMEM, TB_ECANCELLED; *out is NULL then
 * Cost   one bit a pixel and what is given back; union-find over runs, not pixels
 */
#ifndef TB_IMAGE_LABEL_H
#define TB_IMAGE_LABEL_H

#include "base/job.h"
#include "image/mask.h"

#include <stdbool.h>

enum { TB_RUNS_MAX = 1 << 23 };

typedef struct {
    int32_t y_px, x_px, end_px; /* pixels x_px … end_px - 1 of row y_px */
    int32_t piece;
} tb_run;

typedef struct {
    int64_t area_px;
    int32_t left_px, top_px, right_px, bottom_px; /* bounding box, ends exclusive */
    double x_px, y_px;                            /* centre of area */
    int32_t first_run;                            /* index of its first run */
    bool at_edge;                                 /* has a pixel in the outermost row or column */
} tb_piece;

typedef struct {
    int width_px, height_px;
    double px_per_mm;
    tb_run *runs;
    size_t n_runs;
    size_t *row_runs; /* [height_px + 1]: runs of row y are row_runs[y] … row_runs[y + 1] - 1 */
    tb_piece *pieces;
    int32_t n_pieces;
} tb_labels;

TB_NODISCARD tb_status tb_label_wood(
        tb_labels **out, const tb_mask *mask, const tb_job *job, tb_error *err);
TB_NODISCARD tb_status tb_label_openings(
        tb_labels **out, const tb_mask *mask, const tb_job *job, tb_error *err);

/* What a closing filled: wood of `closed` that the mask leaves open, by sides and corners. */
TB_NODISCARD tb_status tb_label_filled(tb_labels **out, const tb_mask *mask, const tb_mask *closed,
        const tb_job *job, tb_error *err);

/* The pixels of a map of the mask's size that hold a level, by sides; only the size is read. */
TB_NODISCARD tb_status tb_label_level(tb_labels **out, const tb_mask *mask, const uint16_t *height,
        uint16_t level, const tb_job *job, tb_error *err);
void tb_labels_free(tb_labels *labels);

/* The piece at a pixel, -1 where there is none (or outside). Cost: a search in one row's runs. */
int32_t tb_labels_at(const tb_labels *labels, int x_px, int y_px);

/* The largest piece at the picture's edge, or, where none reaches it, the largest of all; -1: there
 * is none. The first in order where equal. */
int32_t tb_labels_mainland(const tb_labels *labels);

/* Writes the number of its piece into every pixel of map [height_px][width_px], -1 elsewhere. */
void tb_labels_paint(const tb_labels *labels, int32_t *map);

#endif
