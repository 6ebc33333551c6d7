/* image/filter.c: see filter.h.
 *
 * Blurring is separable. The vertical pass adds whole weighted rows, the horizontal one adds a
 * padded row shifted against itself, so both are long runs of multiply and add that the compiler
 * turns into vectors, and neither depends on where a thread's band begins.
 */
#include "image/filter.h"

#include "base/alloc.h"
#include "base/clones.h"

#include <math.h>
#include <string.h>

enum {
    MAX_RADIUS = 12,      /* 3 × the largest sigma done directly */
    BAND_MIN_PX = 100000, /* less work than that isn't worth a thread */
};

static size_t band_rows(const tb_plane *plane)
{
    return BAND_MIN_PX / (size_t)plane->width_px + 1;
}

/* ---- shrinking ---------------------------------------------------------------------------- */

typedef struct {
    const tb_plane *from;
    tb_plane *to;
    int factor;
    const tb_job *job;
} shrink_pass;

/* The rows of a block are added up first, side by side, then the columns. */
static void shrink_row(const shrink_pass *pass, int row, float *restrict sums)
{
    const tb_plane *from = pass->from;
    int factor = pass->factor, width = from->width_px;
    int top = row * factor;
    int bottom = top + factor < from->height_px ? top + factor : from->height_px;
    memcpy(sums, from->px + (size_t)top * (size_t)width, (size_t)width * sizeof *sums);
    for (int y = top + 1; y < bottom; y++) {
        const float *restrict px = from->px + (size_t)y * (size_t)width;
        for (int x = 0; x < width; x++)
            sums[x] += px[x];
    }
    float *to = pass->to->px + (size_t)row * (size_t)pass->to->width_px;
    int n_whole = width / factor;
    float share = 1.0f / (float)(factor * (bottom - top));
    for (int i = 0; i < n_whole; i++) {
        float sum = sums[i * factor];
        for (int k = 1; k < factor; k++)
            sum += sums[i * factor + k];
        to[i] = sum * share;
    }
    if (n_whole < pass->to->width_px) {
        float sum = 0;
        for (int x = n_whole * factor; x < width; x++)
            sum += sums[x];
        to[n_whole] = sum / (float)((width - n_whole * factor) * (bottom - top));
    }
}

static void shrink_rows_cb(void *payload, size_t first, size_t end)
{
    const shrink_pass *pass = payload;
    float sums[TB_SIDE_MAX_PX];
    for (size_t row = first; row < end && !tb_job_stopped(pass->job); row++)
        shrink_row(pass, (int)row, sums);
}

tb_status tb_shrink(
        tb_plane **out, const tb_plane *plane, int factor, const tb_job *job, tb_error *err)
{
    *out = NULL;
    if (factor < 1)
        return tb_fail(err, TB_EINVAL, "a picture can't be shrunk %d times", factor);
    tb_status status = tb_plane_new(out, (plane->width_px + factor - 1) / factor,
            (plane->height_px + factor - 1) / factor, plane->px_per_mm / factor, err);
    if (status)
        return status;
    shrink_pass pass = {plane, *out, factor, job};
    tb_job_rows(job, (size_t)(*out)->height_px, band_rows(plane) / (size_t)factor + 1,
            shrink_rows_cb, &pass);
    if (!tb_job_stopped(job))
        return TB_OK;
    tb_plane_free(*out);
    *out = NULL;
    return tb_fail_cancelled(err);
}

/* ---- enlarging ---------------------------------------------------------------------------- */

static void mix_rows(float *restrict to, const float *restrict upper, const float *restrict lower,
        float down, int n)
{
    for (int i = 0; i < n; i++)
        to[i] = upper[i] + (lower[i] - upper[i]) * down;
}

/* From one block's centre to the next the value rises in `factor` equal steps; before the first
 * centre and behind the last it stays. */
TB_CLONES void tb_enlarge_row(
        float *out, int width_px, int y_px, const tb_plane *coarse, int factor)
{
    float blocks[TB_SIDE_MAX_PX], at = ((float)y_px + 0.5f) / (float)factor - 0.5f;
    int n = coarse->width_px, last = coarse->height_px - 1;
    int above = at <= 0 ? 0 : at >= (float)last ? last : (int)at;
    int below = above < last ? above + 1 : last;
    const float *upper = coarse->px + (size_t)above * (size_t)n;
    if (factor == 1) {
        memcpy(out, upper, (size_t)width_px * sizeof *out);
        return;
    }
    blocks[0] = upper[0]; /* there is one at least */
    mix_rows(blocks, upper, coarse->px + (size_t)below * (size_t)n, at <= 0 ? 0 : at - (float)above,
            n);
    int first = factor / 2 < width_px ? factor / 2 : width_px; /* behind the first centre */
    float step = 1.0f / (float)factor, offset = factor % 2 ? 0 : 0.5f * step;
    for (int x = 0; x < first; x++)
        out[x] = blocks[0];
    for (int k = 0; k < factor; k++) {
        float share = offset + step * (float)k, *to = out + first + k;
        int n_here = (width_px - first - k + factor - 1) / factor;
        for (int i = 0; i < n_here && i + 1 < n; i++)
            to[i * factor] = blocks[i] + (blocks[i + 1] - blocks[i]) * share;
    }
    for (int x = first + (n - 1) * factor; x < width_px; x++)
        out[x] = blocks[n - 1];
}

/* ---- blurring ----------------------------------------------------------------------------- */

typedef struct {
    const float *from;
    float *to;
    int width_px, height_px, radius;
    float weight[MAX_RADIUS + 1];
    const tb_job *job;
} blur_pass;

static void fill_weights(blur_pass *pass, double sigma_px)
{
    double sum = 0;
    pass->radius = (int)ceil(3 * sigma_px);
    if (pass->radius > MAX_RADIUS)
        pass->radius = MAX_RADIUS;
    for (int i = 0; i <= pass->radius; i++)
        sum += (i ? 2 : 1) * exp(-0.5 * i * i / (sigma_px * sigma_px));
    for (int i = 0; i <= pass->radius; i++)
        pass->weight[i] = (float)(exp(-0.5 * i * i / (sigma_px * sigma_px)) / sum);
}

static const float *row_at(const blur_pass *pass, int y)
{
    int inside = y < 0 ? 0 : y >= pass->height_px ? pass->height_px - 1 : y;
    return pass->from + (size_t)inside * (size_t)pass->width_px;
}

TB_CLONES static void blur_down_cb(void *payload, size_t first, size_t end)
{
    const blur_pass *pass = payload;
    int width = pass->width_px;
    for (size_t y = first; y < end && !tb_job_stopped(pass->job); y++) {
        float *restrict to = pass->to + y * (size_t)width;
        const float *restrict middle = row_at(pass, (int)y);
        for (int x = 0; x < width; x++)
            to[x] = middle[x] * pass->weight[0];
        for (int i = 1; i <= pass->radius; i++) {
            const float *restrict above = row_at(pass, (int)y - i);
            const float *restrict below = row_at(pass, (int)y + i);
            float weight = pass->weight[i];
            for (int x = 0; x < width; x++)
                to[x] += (above[x] + below[x]) * weight;
        }
    }
}

TB_CLONES static void blur_row_along(
        const blur_pass *pass, float *restrict row, float *restrict padded)
{
    int width = pass->width_px, radius = pass->radius;
    for (int i = 0; i < radius; i++) {
        padded[i] = row[0];
        padded[radius + width + i] = row[width - 1];
    }
    memcpy(padded + radius, row, (size_t)width * sizeof *row);
    const float *restrict middle = padded + radius;
    for (int x = 0; x < width; x++)
        row[x] = middle[x] * pass->weight[0];
    for (int i = 1; i <= radius; i++) {
        float weight = pass->weight[i];
        for (int x = 0; x < width; x++)
            row[x] += (middle[x - i] + middle[x + i]) * weight;
    }
}

TB_CLONES static void blur_along_cb(void *payload, size_t first, size_t end)
{
    const blur_pass *pass = payload;
    float padded[TB_SIDE_MAX_PX + 2 * MAX_RADIUS];
    for (size_t y = first; y < end && !tb_job_stopped(pass->job); y++)
        blur_row_along(pass, pass->to + y * (size_t)pass->width_px, padded);
}

static tb_status blur_directly(tb_plane *plane, double sigma_px, const tb_job *job, tb_error *err)
{
    float *to = tb_malloc(tb_plane_area_px(plane), sizeof *to);
    if (!to)
        return tb_fail_memory(err);
    blur_pass pass = {.from = plane->px, .to = to, plane->width_px, plane->height_px, .job = job};
    fill_weights(&pass, sigma_px);
    tb_job_rows(job, (size_t)plane->height_px, band_rows(plane), blur_down_cb, &pass);
    tb_job_rows(job, (size_t)plane->height_px, band_rows(plane), blur_along_cb, &pass);
    tb_free(plane->px);
    plane->px = to;
    return tb_job_stopped(job) ? tb_fail_cancelled(err) : TB_OK;
}

/* Block means and bilinear steps blur by themselves, each as a box of one block does. */
double tb_blur_left(double sigma_blocks)
{
    return sqrt(fmax(sigma_blocks * sigma_blocks - 2.0 / 12.0, 0));
}

typedef struct {
    const tb_plane *coarse;
    tb_plane *to;
    int factor;
} enlarge_pass;

static void enlarge_rows_cb(void *payload, size_t first, size_t end)
{
    const enlarge_pass *pass = payload;
    for (size_t y = first; y < end; y++)
        tb_enlarge_row(pass->to->px + y * (size_t)pass->to->width_px, pass->to->width_px, (int)y,
                pass->coarse, pass->factor);
}

tb_status tb_blur(tb_plane *plane, double sigma_mm, const tb_job *job, tb_error *err)
{
    double sigma_px = sigma_mm * plane->px_per_mm;
    if (!(sigma_px >= 0) || !isfinite(sigma_px))
        return tb_fail(err, TB_EINVAL, "a blur needs a size of 0 or more");
    if (sigma_px < 0.2)
        return TB_OK;
    if (sigma_px <= MAX_RADIUS / 3.0)
        return blur_directly(plane, sigma_px, job, err);

    int factor = (int)(sigma_px / 2.5);
    tb_plane *coarse;
    tb_status status = tb_shrink(&coarse, plane, factor, job, err);
    if (status)
        return status;
    status = blur_directly(coarse, tb_blur_left(sigma_px / factor), job, err);
    if (!status) {
        enlarge_pass pass = {coarse, plane, factor};
        tb_job_rows(job, (size_t)plane->height_px, band_rows(plane), enlarge_rows_cb, &pass);
    }
    tb_plane_free(coarse);
    return status;
}
