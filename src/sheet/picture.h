/* sheet/picture.h: the pattern as pictures to store, to send and to fall for.
 *
 * libvips must have been started (photo/photo.h).
 *
 * Errors TB_EINVAL, TB_ENOMEM, TB_ECANCELLED, TB_EWRITE (the encoder refused; its words);
 *        out stays empty then
 */
#ifndef TB_SHEET_PICTURE_H
#define TB_SHEET_PICTURE_H

#include "sheet/sheet.h"

/* The pattern itself: 8-bit grey PNG, 255 wood, 0 opening, density set. */
TB_NODISCARD tb_status tb_picture_png(tb_bytes *out, const tb_mask *mask, tb_error *err);

typedef enum { TB_SHARE_JPEG, TB_SHARE_PNG, TB_SHARE_SVG, TB_SHARE_PDF } tb_share_kind;

typedef struct {
    tb_share_kind kind;
    int longest_px;     /* longer side, credit line included; 0: 1600 */
    int quality;        /* 1 … 100 */
    size_t max_bytes;   /* 0: no cap; else the quality is lowered to fit, at last the size */
    const char *credit; /* drawn below the pattern, never over it; NULL or "": none */
} tb_share_options;

#define TB_SHARE_OPTIONS_INIT                                                                      \
    {                                                                                              \
        .longest_px = 1600, .quality = 85                                                          \
    }

/* As they came out; quality is 0 but for JPEG, the sizes are 0 for SVG and PDF. */
typedef struct {
    int quality, width_px, height_px;
} tb_share_account;

/* "jpg", "jpeg", "png", "svg", "pdf", in capitals or not; false when it is none of them. */
bool tb_share_kind_parse(tb_share_kind *kind, const char *name);

/* JPEG is progressive, sRGB and without metadata. SVG and PDF are true to size. account may be
 * NULL. TB_EINVAL too when max_bytes can't be kept. */
TB_NODISCARD tb_status tb_share(tb_bytes *out, tb_share_account *account,
        const tb_sheet_content *content, const tb_share_options *options, const tb_job *job,
        tb_error *err);

/* The piece as it will hang: wood of its species, thickness and shadow, dark backer, on a wall.
 * PNG; longest_px 64 … 4096, 0: 1200. */
TB_NODISCARD tb_status tb_preview_png(tb_bytes *out, const tb_sheet_content *content,
        int longest_px, const tb_job *job, tb_error *err);

/* The same as pixels: RGB, 8 bit, [*height_px][*width_px][3], to be freed by tb_free(). */
TB_NODISCARD tb_status tb_preview_rgb(uint8_t **rgb, int *width_px, int *height_px,
        const tb_sheet_content *content, int longest_px, const tb_job *job, tb_error *err);

#endif
