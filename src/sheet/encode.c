/* sheet/encode.c: see encode.h. */
#include "sheet/encode.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>
#include <vips/vips.h>

static VipsImage *wrap(const tb_pixels *pixels)
{
    size_t n = (size_t)pixels->width_px * (size_t)pixels->height_px * (size_t)pixels->bands;
    VipsImage *image = vips_image_new_from_memory(
            pixels->px, n, pixels->width_px, pixels->height_px, pixels->bands, VIPS_FORMAT_UCHAR);
    VipsImage *dense = NULL;
    if (!image)
        return NULL;
    if (vips_copy(image, &dense, "xres", pixels->px_per_mm, "yres", pixels->px_per_mm,
                "interpretation",
                pixels->bands == 1 ? VIPS_INTERPRETATION_B_W : VIPS_INTERPRETATION_sRGB, NULL))
        dense = NULL;
    g_object_unref(image);
    return dense;
}

/* Takes what the encoder made; failed tells that it did not. */
static tb_status finish(tb_bytes *out, bool failed, void *buffer, size_t n, tb_error *err)
{
    tb_status status = TB_OK;
    *out = (tb_bytes){0};
    if (failed) {
        char words[160];
        g_strlcpy(words, vips_error_buffer(), sizeof words);
        vips_error_clear();
        status = tb_fail(err, TB_EWRITE, "the picture could not be encoded: %s",
                g_strdelimit(g_strchomp(words), "\n", ' '));
    } else if (!tb_bytes_add(out, buffer, n)) {
        status = tb_fail_memory(err);
    }
    g_free(buffer);
    return status;
}

/* Filters cost more time than they save: masks are flat, and wood is all noise. */
tb_status tb__encode_png(tb_bytes *out, const tb_pixels *pixels, tb_error *err)
{
    void *buffer = NULL;
    size_t n = 0;
    VipsImage *image = wrap(pixels);
    bool failed = !image || vips_pngsave_buffer(image, &buffer, &n, "compression", 1, "filter",
                                    VIPS_FOREIGN_PNG_FILTER_NONE, "strip", TRUE, NULL);
    if (image)
        g_object_unref(image);
    return finish(out, failed, buffer, n, err);
}

/* A JFIF segment with the density, per inch or per centimetre, whichever whole number is nearer the
 * truth. The encoder would write it into EXIF, of which there shall be none. */
static void jfif(uint8_t to[18], double px_per_mm)
{
    static const uint8_t HEAD[18] = {0xff, 0xe0, 0, 16, 'J', 'F', 'I', 'F', 0, 1, 2};
    double inch = px_per_mm * 25.4, cm = px_per_mm * 10;
    bool by_cm = fabs(round(cm) / cm - 1) < fabs(round(inch) / inch - 1);
    int density = (int)fmin(65535, fmax(1, round(by_cm ? cm : inch)));
    memcpy(to, HEAD, sizeof HEAD);
    to[11] = by_cm ? 2 : 1;
    to[12] = to[14] = (uint8_t)(density >> 8);
    to[13] = to[15] = (uint8_t)density;
}

/* Behind the two bytes that begin every JPEG. */
static tb_status add_density(tb_bytes *jpeg, double px_per_mm, tb_error *err)
{
    uint8_t segment[18];
    tb_bytes whole = {0};
    jfif(segment, px_per_mm);
    bool good = tb_bytes_add(&whole, jpeg->data, 2) &&
                tb_bytes_add(&whole, segment, sizeof segment) &&
                tb_bytes_add(&whole, jpeg->data + 2, jpeg->n - 2);
    tb_bytes_clear(jpeg);
    *jpeg = whole;
    if (good)
        return TB_OK;
    tb_bytes_clear(jpeg);
    return tb_fail_memory(err);
}

tb_status tb__encode_jpeg(tb_bytes *out, const tb_pixels *pixels, int quality, tb_error *err)
{
    void *buffer = NULL;
    size_t n = 0;
    VipsImage *plain = wrap(pixels), *image = NULL;
    if (plain && vips_colourspace(plain, &image, VIPS_INTERPRETATION_sRGB, NULL))
        image = NULL;
    if (plain)
        g_object_unref(plain);
    bool failed = !image || vips_jpegsave_buffer(image, &buffer, &n, "Q", quality, "interlace",
                                    TRUE, "optimize_coding", TRUE, "strip", TRUE, NULL);
    if (image)
        g_object_unref(image);
    tb_status status = finish(out, failed, buffer, n, err);
    return status ? status : add_density(out, pixels->px_per_mm, err);
}
