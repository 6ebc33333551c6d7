/* sheet/shade.c: see shade.h. */
#include "sheet/shade.h"

#include "base/alloc.h"

#include <string.h>

static void reach_row(uint8_t *to, const uint8_t *above, const uint8_t *wood, int n)
{
    for (int x = 0; x < n; x++) {
        uint8_t next = (uint8_t)(above[x] == 255 ? 255 : above[x] + 1);
        to[x] = wood[x] >= 128 ? 0 : next;
    }
}

void tb__shade_reach(
        uint8_t *to, const uint8_t *from, int stride, int width, int height, double slope)
{
    for (int x = 0; x < width; x++)
        to[x] = from[x] >= 128 ? 0 : 255;
    for (int y = 1; y < height; y++) {
        const uint8_t *wood = from + (size_t)y * (size_t)stride;
        uint8_t *row = to + (size_t)y * (size_t)width;
        /* Whole steps aside, spread over the rows. */
        int aside = (int)(slope * (y + 1)) - (int)(slope * y);
        if (aside > 0)
            row[0] = wood[0] >= 128 ? 0 : 255;
        reach_row(row + aside, row - width, wood + aside, width - aside);
    }
}

/* 2^16 / width, rounded up: a sum of width bytes times this, shifted back, is their mean. */
static uint32_t mean_of(int width)
{
    return 65536 / (uint32_t)width + 1;
}

static void blur_row(uint8_t *row, uint8_t *old, int n, int radius)
{
    uint32_t sum = 0, mean = mean_of(2 * radius + 1);
    memcpy(old, row, (size_t)n);
    for (int i = 0; i < radius && i < n; i++)
        sum += old[i];
    for (int i = 0; i < n; i++) {
        sum += i + radius < n ? old[i + radius] : 0;
        row[i] = (uint8_t)(sum * mean >> 16);
        sum -= i - radius >= 0 ? old[i - radius] : 0;
    }
}

static void add_row(uint32_t *sums, const uint8_t *row, int n, uint32_t sign)
{
    for (int x = 0; x < n; x++)
        sums[x] += sign * row[x];
}

/* A running sum of whole rows, so that memory is walked along. */
static void blur_down(uint8_t *px, const uint8_t *old, uint32_t *sums, int w, int h, int radius)
{
    uint32_t mean = mean_of(2 * radius + 1);
    memset(sums, 0, (size_t)w * sizeof *sums);
    for (int y = -radius; y < h; y++) {
        if (y + radius < h)
            add_row(sums, old + (size_t)(y + radius) * (size_t)w, w, 1);
        for (int x = 0; x < w && y >= 0; x++)
            px[(size_t)y * (size_t)w + (size_t)x] = (uint8_t)(sums[x] * mean >> 16);
        if (y - radius >= 0)
            add_row(sums, old + (size_t)(y - radius) * (size_t)w, w, UINT32_MAX);
    }
}

/* Two passes of a box, which is near enough to a bell. */
bool tb__shade_blur(uint8_t *px, int width, int height, int radius)
{
    size_t n = (size_t)width * (size_t)height;
    uint8_t *old = tb_malloc(n, 1);
    uint32_t *sums = tb_malloc((size_t)width, sizeof *sums);
    for (int pass = 0; old && sums && pass < 2 && radius > 0; pass++) {
        for (int y = 0; y < height; y++)
            blur_row(px + (size_t)y * (size_t)width, old, width, radius);
        memcpy(old, px, n);
        blur_down(px, old, sums, width, height, radius);
    }
    bool good = old && sums;
    tb_free(old);
    tb_free(sums);
    return good;
}
