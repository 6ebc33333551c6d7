/* pattern/tidy.c: the first tidying; see split.h.
 *
 * What is too narrow to saw would be filled, and with it a smile or the rim of spectacles. So a
 * long narrow line on broad wood is widened until the blade passes, and an opening too slender for
 * the drill is given a round of the drill's size at its widest place, as a sawyer would. Only what
 * is left then is filled.
 */
#include "pattern/split.h"

#include "base/alloc.h"
#include "image/distance.h"
#include "image/label.h"
#include "image/width.h"

#include <math.h>
#include <string.h>

static const double LINE_MM = 4;       /* a residue at least so long is a line */
static const double LINE_SHARE = 0.8;  /* of it that lies on broad wood */
static const double WIDEN_SHARE = 0.4; /* of the narrowest opening, on each side of a line */
static const double BROAD_MM = 4;      /* wood that can give a line room on both sides */

static uint8_t *row_of(const tb_mask *mask, int y_px)
{
    return mask->px + (size_t)y_px * (size_t)mask->width_px;
}

static void set_run(tb_mask *mask, const tb_run *run, uint8_t value)
{
    memset(row_of(mask, run->y_px) + run->x_px, value, (size_t)(run->end_px - run->x_px));
}

/* ---- specks of wood ------------------------------------------------------------------------- */

static tb_status drop_specks(tb_mask *mask, double speck_mm2, const tb_job *job, tb_error *err)
{
    tb_labels *labels;
    tb_status status = tb_label_wood(&labels, mask, job, err);
    if (status)
        return status;
    double speck_px = speck_mm2 * mask->px_per_mm * mask->px_per_mm;
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_piece *piece = &labels->pieces[labels->runs[i].piece];
        if (!piece->at_edge && (double)piece->area_px < speck_px)
            set_run(mask, &labels->runs[i], 0);
    }
    tb_labels_free(labels);
    return TB_OK;
}

/* ---- lines worth widening ------------------------------------------------------------------- */

/* All wood but where `closed` fills what was open in `mask`: the narrow lines, as openings. */
static tb_status narrow_lines(
        tb_mask **lines, const tb_mask *closed, const tb_mask *mask, tb_error *err)
{
    tb_status status = tb_mask_copy(lines, closed, err);
    if (status)
        return status;
    tb_mask_invert(*lines);
    tb_mask_add(*lines, mask);
    return TB_OK;
}

static int64_t n_wood_in(const tb_mask *mask, const tb_run *run)
{
    const uint8_t *row = row_of(mask, run->y_px);
    int64_t n = 0;
    for (int32_t x = run->x_px; x < run->end_px; x++)
        n += row[x];
    return n;
}

/* Fills the lines that are short, or that run through wood too slender to give them room. */
static tb_status keep_worthy(tb_mask *lines, const tb_mask *broad, const tb_job *job, tb_error *err)
{
    tb_labels *labels;
    tb_status status = tb_label_openings(&labels, lines, job, err);
    if (status)
        return status;
    int64_t *n_broad = tb_calloc((size_t)labels->n_pieces, sizeof *n_broad);
    if (!n_broad) {
        tb_labels_free(labels);
        return tb_fail_memory(err);
    }
    for (size_t i = 0; i < labels->n_runs; i++)
        n_broad[labels->runs[i].piece] += n_wood_in(broad, &labels->runs[i]);
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_piece *line = &labels->pieces[labels->runs[i].piece];
        double length_px = hypot(line->right_px - line->left_px, line->bottom_px - line->top_px);
        double share = (double)n_broad[labels->runs[i].piece] / (double)line->area_px;
        if (length_px < LINE_MM * lines->px_per_mm || share < LINE_SHARE)
            set_run(lines, &labels->runs[i], 1);
    }
    tb_free(n_broad);
    tb_labels_free(labels);
    return TB_OK;
}

/* Opens, in *closed, the worthy lines again, wide enough to saw. */
static tb_status widen_lines(
        tb_mask **closed, const tb_mask *mask, double opening_mm, const tb_job *job, tb_error *err)
{
    tb_mask *lines = NULL, *broad = NULL, *wide = NULL, *opened = NULL;
    tb_status status = narrow_lines(&lines, *closed, mask, err);
    if (!status)
        status = tb_open_wood(&broad, *closed, BROAD_MM, false, job, err);
    if (!status)
        status = keep_worthy(lines, broad, job, err);
    if (status || !memchr(lines->px, 0, tb_mask_area_px(lines)))
        goto out;
    tb_mask_invert(lines);
    status = tb_grow_wood(&wide, lines, WIDEN_SHARE * opening_mm, job, err);
    if (status)
        goto out;
    tb_mask_take(*closed, wide);
    status = tb_close_wood(&opened, *closed, opening_mm, job, err);
    if (!status) {
        tb_mask_free(*closed);
        *closed = opened;
    }
out:
    tb_mask_free(lines);
    tb_mask_free(broad);
    tb_mask_free(wide);
    return status;
}

/* ---- openings for the drill ----------------------------------------------------------------- */

typedef struct {
    uint16_t depth2; /* squared distance to the line, in pixels */
    int32_t x_px, y_px;
} deepest;

static void find_deepest(deepest *found, const tb_labels *labels, const uint16_t *depth2)
{
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        const uint16_t *row = depth2 + (size_t)run->y_px * (size_t)labels->width_px;
        deepest *best = &found[run->piece];
        for (int32_t x = run->x_px; x < run->end_px; x++)
            if (row[x] > best->depth2)
                *best = (deepest){row[x], x, run->y_px};
    }
}

static void open_round(tb_mask *mask, const deepest *at, double radius_px)
{
    int reach = (int)ceil(radius_px);
    for (int y = at->y_px - reach; y <= at->y_px + reach; y++)
        for (int x = at->x_px - reach; x <= at->x_px + reach; x++)
            if (x >= 0 && y >= 0 && x < mask->width_px && y < mask->height_px &&
                    hypot(x - at->x_px, y - at->y_px) <= radius_px)
                row_of(mask, y)[x] = 0;
}

/* Fills openings smaller than a speck; in the others makes room for the drill. */
static tb_status fit_drill(
        tb_mask *mask, const tb_tidy_options *options, const tb_job *job, tb_error *err)
{
    tb_labels *labels = NULL;
    tb_mask *waste = NULL;
    uint16_t *depth2 = NULL;
    deepest *found = NULL;
    double radius_px = options->disc_mm / 2 * mask->px_per_mm;
    tb_status status = tb_label_openings(&labels, mask, job, err);
    if (!status)
        status = tb_mask_copy(&waste, mask, err);
    if (status)
        goto out;
    tb_mask_invert(waste);
    status = tb_distance_capped(&depth2, waste, (int)ceil(radius_px) + 2, true, job, err);
    if (status)
        goto out;
    found = tb_calloc((size_t)labels->n_pieces, sizeof *found);
    if (!found) {
        status = tb_fail_memory(err);
        goto out;
    }
    find_deepest(found, labels, depth2);
    double speck_px = options->opening_speck_mm2 * mask->px_per_mm * mask->px_per_mm;
    for (size_t i = 0; i < labels->n_runs; i++)
        if ((double)labels->pieces[labels->runs[i].piece].area_px < speck_px)
            set_run(mask, &labels->runs[i], 1);
    for (int32_t i = 0; i < labels->n_pieces; i++)
        if ((double)labels->pieces[i].area_px >= speck_px &&
                sqrt(found[i].depth2) - 0.5 < radius_px)
            open_round(mask, &found[i], radius_px + 0.5);
out:
    tb_free(found);
    tb_free(depth2);
    tb_mask_free(waste);
    tb_labels_free(labels);
    return status;
}

tb_status tb_tidy(tb_mask **out, const tb_mask *mask, const tb_tidy_options *options,
        const tb_job *job, tb_error *err)
{
    tb_status status = tb_close_wood(out, mask, options->opening_mm, job, err);
    if (!status)
        status = widen_lines(out, mask, options->opening_mm, job, err);
    if (!status)
        status = drop_specks(*out, options->wood_speck_mm2, job, err);
    if (!status)
        status = fit_drill(*out, options, job, err);
    if (status) {
        tb_mask_free(*out);
        *out = NULL;
    }
    return status;
}
