/* pattern/cells.c: see cells.h.
 *
 * The rows of a row of cells are added up column by column first, a stretch at a time, which is
 * work for vectors; only then are the columns of each cell.
 */
#include "pattern/cells.h"

#include "base/clones.h"
#include "pattern/likeness.h"

#include <assert.h>
#include <string.h>

enum { STRETCH_PX = 1024 };

typedef struct {
    const tb_mask *mask;
    const tb_plane *tone;
    float cut_line;
    int width_px, height_px, cell_px;
    float *means;
    const tb_job *job;
} averaging;

static void add_wood(uint8_t *restrict sums, const uint8_t *restrict wood, int n)
{
    for (int x = 0; x < n; x++)
        sums[x] += wood[x];
}

static void take_want(float *restrict sums, const float *restrict tone, int n, float cut_line)
{
    for (int x = 0; x < n; x++)
        sums[x] -= tb_likeness_want(tone[x], cut_line);
}

/* A cell is never so high that its wood is more than a byte holds. */
enum { MOST_CELL_PX = 255 };

/* The means of the cells that hold n pixels from (x, top) on, of rows top … bottom - 1. */
TB_CLONES static void average_stretch(
        const averaging *a, float *means, int x, int n, int top, int bottom)
{
    float sums[STRETCH_PX] = {0};
    uint8_t wood[STRETCH_PX] = {0};
    for (int y = top; y < bottom; y++) {
        size_t at = (size_t)y * (size_t)a->width_px + (size_t)x;
        if (a->mask)
            add_wood(wood, a->mask->px + at, n);
        if (a->tone)
            take_want(sums, a->tone->px + at, n, a->cut_line);
    }
    for (int i = 0; i < n; i++)
        sums[i] += wood[i];
    for (int left = 0; left < n; left += a->cell_px) {
        int right = left + a->cell_px < n ? left + a->cell_px : n;
        float sum = 0;
        for (int i = left; i < right; i++)
            sum += sums[i];
        *means++ = sum / (float)((right - left) * (bottom - top));
    }
}

static void average_rows(void *payload, size_t first, size_t end)
{
    const averaging *a = payload;
    int stretch = STRETCH_PX / a->cell_px * a->cell_px;
    for (int cy = (int)first; cy < (int)end && !tb_job_stopped(a->job); cy++) {
        float *means = a->means + (size_t)cy * (size_t)tb__n_cells(a->width_px, a->cell_px);
        int top = cy * a->cell_px, bottom = top + a->cell_px;
        bottom = bottom < a->height_px ? bottom : a->height_px;
        for (int x = 0; x < a->width_px; x += stretch) {
            int n = x + stretch < a->width_px ? stretch : a->width_px - x;
            average_stretch(a, means + x / a->cell_px, x, n, top, bottom);
        }
    }
}

void tb__cell_means(float *means, const tb_mask *mask, const tb_plane *tone, double cut_line,
        int cell_px, const tb_job *job)
{
    assert(cell_px <= MOST_CELL_PX);
    averaging a = {.mask = mask,
            .tone = tone,
            .cut_line = (float)cut_line,
            .width_px = mask ? mask->width_px : tone->width_px,
            .height_px = mask ? mask->height_px : tone->height_px,
            .cell_px = cell_px,
            .means = means,
            .job = job};
    tb_job_rows(job, (size_t)tb__n_cells(a.height_px, cell_px), 16, average_rows, &a);
}
