/* pattern/likeness.c: see likeness.h.
 *
 * Blurring is linear, so what picture and pattern differ by is blurred once. The difference is
 * averaged over cells of about a fifth of a millimetre first: a third of the blur, which hides what
 * is lost by that.
 */
#include "pattern/likeness.h"

#include "base/alloc.h"
#include "image/filter.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

static const double CELL_MM = 0.2;

typedef struct {
    const tb_mask *mask;
    const tb_plane *tone, *weight;
    float cut_line;
    int cell_px;
    const tb_job *job;
    tb_plane *difference, *heavy; /* means of pattern less picture, and sums of weight, by cells */
} cells;

/* One row of pixels into its row of cells. */
static void add_row(const cells *c, float *restrict sums, float *restrict weights, size_t row)
{
    const uint8_t *restrict wood = c->mask->px + row;
    const float *restrict tone = c->tone->px + row;
    const float *restrict weight = c->weight ? c->weight->px + row : NULL;
    int x = 0, width = c->mask->width_px;
    for (int cx = 0; cx < c->difference->width_px; cx++) {
        int end = x + c->cell_px < width ? x + c->cell_px : width;
        for (; x < end; x++) {
            sums[cx] += wood[x] - tb_likeness_want(tone[x], c->cut_line);
            weights[cx] += weight ? weight[x] : 1;
        }
    }
}

static void average_rows(void *payload, size_t first, size_t end)
{
    const cells *c = payload;
    size_t width = (size_t)c->difference->width_px;
    for (size_t cy = first; cy < end && !tb_job_stopped(c->job); cy++) {
        float *sums = c->difference->px + cy * width, *weights = c->heavy->px + cy * width;
        memset(sums, 0, width * sizeof *sums);
        memset(weights, 0, width * sizeof *weights);
        int top = (int)cy * c->cell_px, bottom = top + c->cell_px;
        bottom = bottom < c->mask->height_px ? bottom : c->mask->height_px;
        for (int y = top; y < bottom; y++)
            add_row(c, sums, weights, (size_t)y * (size_t)c->mask->width_px);
        for (int cx = 0; cx < (int)width; cx++) {
            int right = (cx + 1) * c->cell_px;
            right = right < c->mask->width_px ? right : c->mask->width_px;
            sums[cx] /= (float)((right - cx * c->cell_px) * (bottom - top));
        }
    }
}

static bool same_size(const tb_mask *mask, const tb_plane *plane)
{
    return !plane || (plane->width_px == mask->width_px && plane->height_px == mask->height_px);
}

static double likeness_of(const cells *c)
{
    double error = 0, sum = 0;
    for (size_t i = 0; i < tb_plane_area_px(c->difference); i++) {
        double weight = c->heavy->px[i], d = c->difference->px[i];
        error += weight * d * d;
        sum += weight;
    }
    return sum > 0 ? 1 - sqrt(error / sum) : 1;
}

tb_status tb_likeness(double *likeness, const tb_mask *mask, const tb_plane *tone, double cut_line,
        const tb_plane *weight, const tb_job *job, tb_error *err)
{
    *likeness = NAN;
    if (!same_size(mask, tone) || !same_size(mask, weight))
        return tb_fail(err, TB_EINVAL, "picture and pattern are not of one size");
    cells c = {
            .mask = mask, .tone = tone, .weight = weight, .cut_line = (float)cut_line, .job = job};
    c.cell_px = (int)(CELL_MM * mask->px_per_mm) > 1 ? (int)(CELL_MM * mask->px_per_mm) : 1;
    int width = (mask->width_px + c.cell_px - 1) / c.cell_px;
    int height = (mask->height_px + c.cell_px - 1) / c.cell_px;
    double scale = mask->px_per_mm / c.cell_px;
    tb_status status = tb_plane_new(&c.difference, width, height, scale, err);
    if (!status)
        status = tb_plane_new(&c.heavy, width, height, scale, err);
    if (status)
        goto out;
    tb_job_rows(job, (size_t)height, 16, average_rows, &c);
    status = tb_job_stopped(job) ? tb_fail_cancelled(err)
                                 : tb_blur(c.difference, TB_EYE_BLUR_MM, job, err);
    if (!status)
        *likeness = likeness_of(&c);
out:
    tb_plane_free(c.difference);
    tb_plane_free(c.heavy);
    return status;
}
