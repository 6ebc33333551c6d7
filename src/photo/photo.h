/* photo/photo.h: photographs in.
 *
 * JPEG, PNG, TIFF, WebP and HEIC, told by their first bytes and never by their name; every other
 * loader is blocked. The size a header claims is checked before anything is decoded. EXIF turns 1
 * to 8 are applied, an embedded profile is honoured (L* is that of the colour it means; without one
 * it is sRGB), alpha lies over white. Shrinking averages linear light, enlarging is cubic in L*.
 *
 * In     bytes: the file, borrowed; at most 512 MB, 200 million pixels, 16 to 20,000 px a side
 * Out    tone: L* (CIE 1976, D65), 0..100, of the wanted part at the wanted size
 * Errors TB_EREAD: not of these kinds, damaged, cut off, out of limits; TB_EINVAL: the part lies
 *        outside; TB_ENOMEM; TB_ECANCELLED
 * Source IEC 61966-2-1 (sRGB), CIE 15 (L*), Exif 2.3 (turns)
 */
#ifndef TB_PHOTO_PHOTO_H
#define TB_PHOTO_PHOTO_H

#include "base/job.h"
#include "image/plane.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct {
    int width_px, height_px; /* upright, that is after the EXIF turn */
    double px_per_mm;        /* density written in the file; 0 when there is none, or two */
    char format[8];          /* "jpeg", "png", "tiff", "webp", "heic" */
    bool light_on_clear;     /* told by tb_photo_grey() alone */
} tb_photo_info;

typedef struct {
    double x, y, w, h;       /* the part wanted, in upright pixels, whole or not */
    double turn_rad;         /* turned clockwise about the part's middle first; where that
                              * reaches beyond the photograph, its edge goes on */
    int width_px, height_px; /* of the plane wanted; the part is stretched to it */
    double px_per_mm;        /* written into the plane */
} tb_photo_view;

/* Once before the first call of the others, and once at the end; not thread-safe themselves. The
 * library behind it starts with the first picture that needs it. */
TB_NODISCARD tb_status tb_photo_start(int n_threads, tb_error *err);
void tb_photo_stop(void);

/* Reads a whole file into memory (tb_free()). TB_EREAD names what is wrong with it. */
TB_NODISCARD tb_status tb_file_read(
        uint8_t **bytes, size_t *n_bytes, const char *path, size_t max_bytes, tb_error *err);

TB_NODISCARD tb_status tb_photo_look(
        tb_photo_info *info, const uint8_t *bytes, size_t n_bytes, tb_error *err);

/* The whole picture, upright, as 8-bit grey [height_px][width_px] (tb_free()), weighed from R'G'B'
 * as it stands: enough to tell two tones apart, and the fastest way in. What is clear is black here
 * where the opaque beside it is light, else white: so it is told apart. */
TB_NODISCARD tb_status tb_photo_grey(uint8_t **grey, tb_photo_info *info, const uint8_t *bytes,
        size_t n_bytes, const tb_job *job, tb_error *err);

/* L* of a part, at the size wanted. */
TB_NODISCARD tb_status tb_photo_tone(tb_plane **tone, const uint8_t *bytes, size_t n_bytes,
        const tb_photo_view *view, const tb_job *job, tb_error *err);

/* A card of the photograph, upright and in its colours: 8-bit sRGB [height_px][width_px][3]
 * (tb_free()). It is filled; of what juts out the sides are cut off alike, above a third of what
 * is cut off below, for heads are there. */
TB_NODISCARD tb_status tb_photo_card(uint8_t **rgb, const uint8_t *bytes, size_t n_bytes,
        int width_px, int height_px, tb_error *err);

#endif
