/* pattern/likeness.c: see likeness.h.
 *
 * Blurring is linear, so what picture and pattern differ by is blurred once. The difference is
 * averaged over cells of about a third of a millimetre first: half of the blur, which hides what is
 * lost by that. The averaging blurs too, by the variance of a square; so much less is left to do.
 */
#include "pattern/likeness.h"

#include "image/filter.h"
#include "pattern/cells.h"

#include <math.h>

static const double CELL_MM = 0.3;

static bool same_size(const tb_mask *mask, const tb_plane *plane)
{
    return !plane || (plane->width_px == mask->width_px && plane->height_px == mask->height_px);
}

/* The weight of all pixels of a cell. */
static double weigh(const tb_plane *weight, const tb_mask *mask, int cell_px, int cx, int cy)
{
    int left = cx * cell_px, top = cy * cell_px;
    int right = left + cell_px < mask->width_px ? left + cell_px : mask->width_px;
    int bottom = top + cell_px < mask->height_px ? top + cell_px : mask->height_px;
    if (!weight)
        return (double)(right - left) * (bottom - top);
    double sum = 0;
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++)
            sum += weight->px[(size_t)y * (size_t)weight->width_px + (size_t)x];
    return sum;
}

static double likeness_of(
        const tb_plane *difference, const tb_mask *mask, const tb_plane *weight, int cell_px)
{
    double error = 0, sum = 0;
    for (int y = 0; y < difference->height_px; y++) {
        const float *row = difference->px + (size_t)y * (size_t)difference->width_px;
        for (int x = 0; x < difference->width_px; x++) {
            double heavy = weigh(weight, mask, cell_px, x, y);
            error += heavy * row[x] * row[x];
            sum += heavy;
        }
    }
    return sum > 0 ? 1 - sqrt(error / sum) : 1;
}

tb_status tb_likeness(double *likeness, const tb_mask *mask, const tb_plane *tone, double cut_line,
        const tb_plane *weight, const tb_job *job, tb_error *err)
{
    *likeness = NAN;
    if (!same_size(mask, tone) || !same_size(mask, weight))
        return tb_fail(err, TB_EINVAL, "picture and pattern are not of one size");
    int cell_px = (int)(CELL_MM * mask->px_per_mm) > 1 ? (int)(CELL_MM * mask->px_per_mm) : 1;
    tb_plane *difference;
    tb_status status = tb_plane_new(&difference, tb__n_cells(mask->width_px, cell_px),
            tb__n_cells(mask->height_px, cell_px), mask->px_per_mm / cell_px, err);
    if (status)
        return status;
    tb__cell_means(difference->px, mask, tone, cut_line, cell_px, job);
    double cell_mm = cell_px / mask->px_per_mm;
    double left_mm = sqrt(TB_EYE_BLUR_MM * TB_EYE_BLUR_MM - cell_mm * cell_mm / 12);
    status = tb_job_stopped(job) ? tb_fail_cancelled(err) : tb_blur(difference, left_mm, job, err);
    if (!status)
        *likeness = likeness_of(difference, mask, weight, cell_px);
    tb_plane_free(difference);
    return status;
}
