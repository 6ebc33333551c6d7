/* tests/flow/scene.c: see scene.h. A PNG is a signature and chunks of length, name, data and CRC
 * (W3C PNG, 2003); its pixels are deflated rows with a filter byte of 0 before each. */
#include "scene.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

static void put_be(uint8_t *at, uint32_t value)
{
    for (int i = 0; i < 4; i++)
        at[i] = (uint8_t)(value >> (24 - 8 * i));
}

static size_t put_chunk(uint8_t *at, const char *name, const uint8_t *data, size_t n)
{
    put_be(at, (uint32_t)n);
    memcpy(at + 4, name, 4);
    if (n > 0)
        memcpy(at + 8, data, n);
    put_be(at + 8 + n, (uint32_t)crc32_z(0, at + 4, n + 4));
    return n + 12;
}

uint8_t *scene_png(size_t *n_bytes, const uint8_t *grey, int width_px, int height_px)
{
    const size_t w = (size_t)width_px, h = (size_t)height_px, n_raw = (w + 1) * h;
    uLongf n_packed = compressBound(n_raw);
    uint8_t *raw = malloc(n_raw), *packed = malloc(n_packed), *png = malloc(n_packed + 100);
    if (!raw || !packed || !png)
        abort();
    for (size_t y = 0; y < h; y++) {
        raw[y * (w + 1)] = 0;
        memcpy(raw + y * (w + 1) + 1, grey + y * w, w);
    }
    if (compress2(packed, &n_packed, raw, n_raw, 1) != Z_OK)
        abort();
    uint8_t header[13] = {0};
    put_be(header, (uint32_t)width_px);
    put_be(header + 4, (uint32_t)height_px);
    header[8] = 8; /* bits, and all else 0: grey */
    memcpy(png, "\x89PNG\r\n\x1a\n", 8);
    size_t n = 8;
    n += put_chunk(png + n, "IHDR", header, sizeof header);
    n += put_chunk(png + n, "IDAT", packed, n_packed);
    n += put_chunk(png + n, "IEND", NULL, 0);
    free(raw);
    free(packed);
    *n_bytes = n;
    return png;
}

/* In shares of the picture: is (x, y) in an ellipse? */
static int in(double x, double y, double cx, double cy, double rx, double ry)
{
    return (x - cx) * (x - cx) / (rx * rx) + (y - cy) * (y - cy) / (ry * ry) < 1;
}

static double light_at(double x, double y)
{
    double light = 150 + 60 * x; /* the wall */
    if (in(x, y, 0.86, 0.15, 0.08, 0.08))
        light = 40; /* the lamp */
    if (in(x, y, 0.5, 1.05, 0.42, 0.3))
        light = 60; /* the coat */
    if (in(x, y, 0.5, 0.98, 0.1, 0.2))
        light = 215; /* the collar */
    if (in(x, y, 0.5, 0.4, 0.27, 0.32))
        light = 35; /* hair and beard */
    if (in(x, y, 0.5, 0.42, 0.2, 0.22))
        light = 205 - 90 * (x > 0.52) * fmin(1, (x - 0.52) * 8); /* the face, lit from one side */
    for (int eye = -1; eye <= 1; eye += 2)
        if (in(x, y, 0.5 + 0.09 * eye, 0.36, 0.045, 0.025))
            light = in(x, y, 0.5 + 0.09 * eye, 0.36, 0.018, 0.018) ? 20 : 90;
    if (in(x, y, 0.5, 0.53, 0.07, 0.02))
        light = 70; /* the mouth */
    return light;
}

uint8_t *scene_head(size_t *n_bytes, int width_px, int height_px)
{
    uint8_t *grey = malloc((size_t)width_px * (size_t)height_px);
    if (!grey)
        abort();
    uint32_t grain = 1;
    for (int y = 0; y < height_px; y++)
        for (int x = 0; x < width_px; x++) {
            grain = grain * 1664525u + 1013904223u;
            double light = light_at((x + 0.5) / width_px, (y + 0.5) / height_px);
            grey[(size_t)y * (size_t)width_px + (size_t)x] =
                    (uint8_t)(light + (double)(grain >> 24) / 32);
        }
    uint8_t *png = scene_png(n_bytes, grey, width_px, height_px);
    free(grey);
    return png;
}
