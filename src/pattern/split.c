/* pattern/split.c: see split.h. */
#include "pattern/split.h"

#include "base/alloc.h"
#include "image/label.h"
#include "image/width.h"

#include <math.h>
#include <string.h>

/* ---- split ------------------------------------------------------------------------------- */

typedef struct {
    tb_mask *mask;
    const tb_plane *tone;
    float cut_line;
    int frame_px;
} split_pass;

static void split_rows_cb(void *payload, size_t first, size_t end)
{
    const split_pass *pass = payload;
    size_t width = (size_t)pass->mask->width_px, frame = (size_t)pass->frame_px;
    for (size_t y = first; y < end; y++) {
        uint8_t *restrict to = pass->mask->px + y * width;
        const float *restrict tone = pass->tone->px + y * width;
        if (y < frame || y + frame >= (size_t)pass->mask->height_px) {
            memset(to, 1, width);
            continue;
        }
        for (size_t x = 0; x < width; x++)
            to[x] = tone[x] > pass->cut_line;
        memset(to, 1, frame);
        memset(to + width - frame, 1, frame);
    }
}

tb_status tb_split(tb_mask **out, const tb_plane *tone, double cut_line, double frame_mm,
        const tb_job *job, tb_error *err)
{
    *out = NULL;
    if (!(frame_mm >= 0))
        return tb_fail(err, TB_EINVAL, "a frame can't be narrower than 0 mm");
    double half_px = (tone->width_px < tone->height_px ? tone->width_px : tone->height_px) / 2.0;
    int frame_px = (int)ceil(fmin(frame_mm * tone->px_per_mm, half_px));
    tb_status status = tb_mask_new(out, tone->width_px, tone->height_px, tone->px_per_mm, err);
    if (status)
        return status;
    split_pass pass = {*out, tone, (float)cut_line, frame_px};
    if (2 * frame_px >= tone->width_px || 2 * frame_px >= tone->height_px)
        memset((*out)->px, 1, tb_mask_area_px(*out));
    else
        tb_job_rows(job, (size_t)tone->height_px, 64, split_rows_cb, &pass);
    return TB_OK;
}

/* ---- tidy -------------------------------------------------------------------------------- */

/* Sets the pixels of every piece that doomed[] marks. */
static void set_pieces(tb_mask *mask, const tb_labels *labels, const uint8_t *doomed, uint8_t value)
{
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        if (doomed[run->piece])
            memset(mask->px + (size_t)run->y_px * (size_t)mask->width_px + run->x_px, value,
                    (size_t)(run->end_px - run->x_px));
    }
}

static tb_status drop_specks(tb_mask *mask, double speck_mm2, const tb_job *job, tb_error *err)
{
    tb_labels *labels = NULL;
    uint8_t *doomed = NULL;
    tb_status status = tb_label_wood(&labels, mask, job, err);
    if (status)
        goto out;
    doomed = tb_calloc((size_t)labels->n_pieces, sizeof *doomed);
    if (!doomed) {
        status = tb_fail_memory(err);
        goto out;
    }
    double speck_px = speck_mm2 * mask->px_per_mm * mask->px_per_mm;
    for (int32_t i = 0; i < labels->n_pieces; i++)
        doomed[i] = !labels->pieces[i].at_edge && (double)labels->pieces[i].area_px < speck_px;
    set_pieces(mask, labels, doomed, 0);
out:
    tb_free(doomed);
    tb_labels_free(labels);
    return status;
}

static void invert(tb_mask *mask)
{
    for (size_t i = 0; i < tb_mask_area_px(mask); i++)
        mask->px[i] ^= 1;
}

/* Marks in fits[] the openings in which a pixel of the opened waste survived. */
static void mark_survivors(uint8_t *fits, const tb_labels *labels, const tb_mask *waste)
{
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        const uint8_t *row = waste->px + (size_t)run->y_px * (size_t)waste->width_px;
        if (!fits[run->piece])
            fits[run->piece] =
                    memchr(row + run->x_px, 1, (size_t)(run->end_px - run->x_px)) != NULL;
    }
}

static tb_status fill_small_openings(
        tb_mask *mask, const tb_tidy_options *options, const tb_job *job, tb_error *err)
{
    tb_labels *labels = NULL;
    tb_mask *waste = NULL, *opened = NULL;
    uint8_t *doomed = NULL;
    tb_status status = tb_label_openings(&labels, mask, job, err);
    if (!status)
        status = tb_mask_copy(&waste, mask, err);
    if (status)
        goto out;
    invert(waste);
    status = tb_open_wood(&opened, waste, options->disc_mm, true, job, err);
    if (status)
        goto out;
    doomed = tb_calloc((size_t)labels->n_pieces, sizeof *doomed);
    if (!doomed) {
        status = tb_fail_memory(err);
        goto out;
    }
    mark_survivors(doomed, labels, opened);
    double speck_px = options->opening_speck_mm2 * mask->px_per_mm * mask->px_per_mm;
    for (int32_t i = 0; i < labels->n_pieces; i++)
        doomed[i] = !doomed[i] || (double)labels->pieces[i].area_px < speck_px;
    set_pieces(mask, labels, doomed, 1);
out:
    tb_free(doomed);
    tb_mask_free(opened);
    tb_mask_free(waste);
    tb_labels_free(labels);
    return status;
}

tb_status tb_tidy(tb_mask **out, const tb_mask *mask, const tb_tidy_options *options,
        const tb_job *job, tb_error *err)
{
    tb_status status = tb_close_wood(out, mask, options->opening_mm, job, err);
    if (!status)
        status = drop_specks(*out, options->wood_speck_mm2, job, err);
    if (!status)
        status = fill_small_openings(*out, options, job, err);
    if (status) {
        tb_mask_free(*out);
        *out = NULL;
    }
    return status;
}
