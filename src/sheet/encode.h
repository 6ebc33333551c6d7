/* sheet/encode.h: pixels into PNG and JPEG files, by libvips. Internal to this folder. */
#ifndef TB_SHEET_ENCODE_H
#define TB_SHEET_ENCODE_H

#include "sheet/bytes.h"

/* Pixels [height_px][width_px][bands], 8 bit; bands 1 (grey) or 3 (sRGB). */
typedef struct {
    const uint8_t *px;
    int width_px, height_px, bands;
    double px_per_mm; /* written as the density */
} tb_pixels;

TB_NODISCARD tb_status tb__encode_png(tb_bytes *out, const tb_pixels *pixels, tb_error *err);

/* Progressive, without any metadata but the density. */
TB_NODISCARD tb_status tb__encode_jpeg(
        tb_bytes *out, const tb_pixels *pixels, int quality, tb_error *err);

#endif
