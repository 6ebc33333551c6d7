/* photo/plain_png.c: see plain_png.h. */
#include "photo/plain_png.h"

#include "base/alloc.h"

#include <math.h>
#include <png.h>
#include <setjmp.h>
#include <string.h>

enum { HEAD = 8, CHUNK = 12, IHDR = 13, GREY = 0, RGB = 2 };

static uint32_t big_endian(const uint8_t *bytes)
{
    return (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 | bytes[3];
}

double tb__density(double across_px_per_mm, double down_px_per_mm)
{
    bool same = fabs(across_px_per_mm - down_px_per_mm) <= 0.01 * across_px_per_mm;
    return across_px_per_mm > 0 && isfinite(across_px_per_mm) && same ? across_px_per_mm : 0;
}

bool tb__png_look(tb__png *png, const uint8_t *bytes, size_t n)
{
    *png = (tb__png){0};
    if (n < HEAD + CHUNK + IHDR || memcmp(bytes + 12, "IHDR", 4) != 0 ||
            big_endian(bytes + HEAD) != IHDR)
        return false;
    const uint8_t *head = bytes + HEAD + 8;
    png->width_px = big_endian(head);
    png->height_px = big_endian(head + 4);
    png->plain = ((head[9] == GREY && head[8] <= 8) || (head[9] == RGB && head[8] == 8)) &&
                 head[12] == 0;
    for (size_t at = HEAD; at + CHUNK <= n;) {
        const uint8_t *name = bytes + at + 4, *data = bytes + at + 8;
        size_t length = big_endian(bytes + at);
        if (length > n - at - CHUNK || memcmp(name, "IDAT", 4) == 0)
            break;
        if (memcmp(name, "tRNS", 4) == 0 || memcmp(name, "eXIf", 4) == 0)
            png->plain = false;
        if (memcmp(name, "pHYs", 4) == 0 && length == 9 && data[8] == 1)
            png->px_per_mm = tb__density(big_endian(data) / 1000.0, big_endian(data + 4) / 1000.0);
        at += length + CHUNK;
    }
    return true;
}

void tb__grey_of_rgb(uint8_t *grey, const uint8_t *rgb, size_t n)
{
    for (size_t i = 0; i < n; i++)
        grey[i] = (uint8_t)((77 * rgb[3 * i] + 150 * rgb[3 * i + 1] + 29 * rgb[3 * i + 2]) >> 8);
}

typedef struct {
    const uint8_t *bytes;
    size_t n, at;
} source;

static void read_cb(png_structp reader, png_bytep to, png_size_t n)
{
    source *from = png_get_io_ptr(reader);
    if (n > from->n - from->at)
        png_error(reader, "cut off");
    memcpy(to, from->bytes + from->at, n);
    from->at += n;
}

static void error_cb(png_structp reader, png_const_charp text)
{
    (void)text;
    png_longjmp(reader, 1);
}

static void warning_cb(png_structp reader, png_const_charp text)
{
    (void)reader;
    (void)text;
}

/* All that may leave by longjmp; nothing here is freed by it. */
static bool read_rows(png_structp reader, png_infop info, uint8_t *grey, const tb__png *png,
        uint8_t *rgb, const tb_job *job)
{
    if (setjmp(png_jmpbuf(reader)))
        return false;
    png_read_info(reader, info);
    png_set_expand_gray_1_2_4_to_8(reader);
    png_read_update_info(reader, info);
    for (uint32_t y = 0; y < png->height_px && !tb_job_stopped(job); y++) {
        uint8_t *row = grey + (size_t)y * png->width_px;
        png_read_row(reader, rgb ? rgb : row, NULL);
        if (rgb)
            tb__grey_of_rgb(row, rgb, png->width_px);
    }
    return true;
}

tb_status tb__png_grey(uint8_t *grey, const tb__png *png, const uint8_t *bytes, size_t n,
        const tb_job *job, tb_error *err)
{
    source from = {bytes, n, 0};
    png_infop info = NULL;
    uint8_t *rgb = NULL;
    tb_status status = TB_OK;
    bool coloured = bytes[HEAD + 8 + 9] == RGB;
    png_structp reader = png_create_read_struct(PNG_LIBPNG_VER_STRING, NULL, error_cb, warning_cb);
    if (reader)
        info = png_create_info_struct(reader);
    if (coloured)
        rgb = tb_malloc(png->width_px, 3);
    if (!info || (coloured && !rgb)) {
        status = tb_fail_memory(err);
        goto out;
    }
    png_set_read_fn(reader, &from, read_cb);
    if (!read_rows(reader, info, grey, png, rgb, job))
        status = tb_fail(err, TB_EREAD, "this PNG file is damaged or cut off; get a fresh copy");
    else if (tb_job_stopped(job))
        status = tb_fail_cancelled(err);
out:
    png_destroy_read_struct(&reader, &info, NULL);
    tb_free(rgb);
    return status;
}
