/* pattern/likeness.c: see likeness.h.
 *
 * Blurring is linear, so what picture and pattern differ by is blurred once. The difference is
 * averaged over cells of about a fifth of a millimetre first: a third of the blur, which hides what
 * is lost by that.
 */
#include "pattern/likeness.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>

static const double CELL_MM = 0.2;
enum { MOST_REACH = 64 };

typedef struct {
    const tb_mask *mask;
    const tb_plane *tone, *weight;
    double cut_line;
    int cell_px, width, height;
    float *difference, *across, *cell_weight; /* [height][width] */
    int reach;
    float kernel[MOST_REACH + 1]; /* half of it, middle first */
    double *row_error, *row_weight;
} blur;

static void average_cells(void *payload, size_t first, size_t end)
{
    const blur *b = payload;
    for (size_t cy = first; cy < end; cy++)
        for (int cx = 0; cx < b->width; cx++) {
            int left = cx * b->cell_px, top = (int)cy * b->cell_px;
            int right = left + b->cell_px, bottom = top + b->cell_px;
            right = right < b->mask->width_px ? right : b->mask->width_px;
            bottom = bottom < b->mask->height_px ? bottom : b->mask->height_px;
            double sum = 0, weight = 0;
            for (int y = top; y < bottom; y++)
                for (int x = left; x < right; x++) {
                    size_t px = (size_t)y * (size_t)b->mask->width_px + (size_t)x;
                    sum += b->mask->px[px] - tb_likeness_want(b->tone->px[px], b->cut_line);
                    weight += b->weight ? b->weight->px[px] : 1;
                }
            size_t cell = cy * (size_t)b->width + (size_t)cx;
            b->difference[cell] = (float)(sum / ((right - left) * (bottom - top)));
            b->cell_weight[cell] = (float)weight;
        }
}

/* Along a row of n cells, `step` apart; the outermost cell goes on beyond the edge. */
static float blurred(const blur *b, const float *at, int i, int n, size_t step)
{
    float sum = b->kernel[0] * at[(size_t)i * step];
    for (int k = 1; k <= b->reach; k++) {
        int before = i - k < 0 ? 0 : i - k, behind = i + k >= n ? n - 1 : i + k;
        sum += b->kernel[k] * (at[(size_t)before * step] + at[(size_t)behind * step]);
    }
    return sum;
}

static void blur_across(void *payload, size_t first, size_t end)
{
    const blur *b = payload;
    for (size_t y = first; y < end; y++)
        for (int x = 0; x < b->width; x++)
            b->across[y * (size_t)b->width + (size_t)x] =
                    blurred(b, b->difference + y * (size_t)b->width, x, b->width, 1);
}

static void blur_down_and_sum(void *payload, size_t first, size_t end)
{
    const blur *b = payload;
    for (size_t y = first; y < end; y++) {
        b->row_error[y] = b->row_weight[y] = 0;
        for (size_t x = 0; x < (size_t)b->width; x++) {
            double d = blurred(b, b->across + x, (int)y, b->height, (size_t)b->width);
            double weight = b->cell_weight[y * (size_t)b->width + x];
            b->row_error[y] += weight * d * d;
            b->row_weight[y] += weight;
        }
    }
}

static void make_kernel(blur *b, double sigma)
{
    b->reach = (int)ceil(3 * sigma);
    b->reach = b->reach < MOST_REACH ? b->reach : MOST_REACH;
    double sum = 0;
    for (int k = -b->reach; k <= b->reach; k++)
        sum += exp(-k * k / (2 * sigma * sigma));
    for (int k = 0; k <= b->reach; k++)
        b->kernel[k] = (float)(exp(-k * k / (2 * sigma * sigma)) / sum);
}

static bool same_size(const tb_mask *mask, const tb_plane *plane)
{
    return !plane || (plane->width_px == mask->width_px && plane->height_px == mask->height_px);
}

tb_status tb_likeness(double *likeness, const tb_mask *mask, const tb_plane *tone, double cut_line,
        const tb_plane *weight, const tb_job *job, tb_error *err)
{
    *likeness = NAN;
    if (!same_size(mask, tone) || !same_size(mask, weight))
        return tb_fail(err, TB_EINVAL, "picture and pattern are not of one size");
    blur b = {.mask = mask, .tone = tone, .weight = weight, .cut_line = cut_line};
    b.cell_px = (int)(CELL_MM * mask->px_per_mm) > 1 ? (int)(CELL_MM * mask->px_per_mm) : 1;
    b.width = (mask->width_px + b.cell_px - 1) / b.cell_px;
    b.height = (mask->height_px + b.cell_px - 1) / b.cell_px;
    make_kernel(&b, TB_EYE_BLUR_MM * mask->px_per_mm / b.cell_px);
    size_t n = (size_t)b.width * (size_t)b.height, rows = (size_t)b.height;
    b.difference = tb_malloc(n, sizeof *b.difference);
    b.across = tb_malloc(n, sizeof *b.across);
    b.cell_weight = tb_malloc(n, sizeof *b.cell_weight);
    b.row_error = tb_malloc(rows, sizeof *b.row_error);
    b.row_weight = tb_malloc(rows, sizeof *b.row_weight);
    tb_status status = TB_OK;
    if (!b.difference || !b.across || !b.cell_weight || !b.row_error || !b.row_weight) {
        status = tb_fail_memory(err);
        goto out;
    }
    tb_job_rows(job, rows, 16, average_cells, &b);
    tb_job_rows(job, rows, 16, blur_across, &b);
    tb_job_rows(job, rows, 16, blur_down_and_sum, &b);
    if (tb_job_stopped(job)) {
        status = tb_fail_cancelled(err);
        goto out;
    }
    double error = 0, sum = 0;
    for (size_t y = 0; y < rows; y++) {
        error += b.row_error[y];
        sum += b.row_weight[y];
    }
    *likeness = sum > 0 ? 1 - sqrt(error / sum) : 1;
out:
    tb_free(b.difference);
    tb_free(b.across);
    tb_free(b.cell_weight);
    tb_free(b.row_error);
    tb_free(b.row_weight);
    return status;
}
