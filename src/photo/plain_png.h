/* photo/plain_png.h: the quick way in for plain PNGs, of which most patterns are.
 *
 * libvips takes long to start beside what a pattern takes to decode; a plain PNG needs none of it.
 */
#ifndef TB_PHOTO_PLAIN_PNG_H
#define TB_PHOTO_PLAIN_PNG_H

#include "base/job.h"
#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct {
    uint32_t width_px, height_px;
    double px_per_mm; /* 0 when the file has none, or another across than down */
    /* Grey of 1 to 8 bits or R'G'B' of 8, not interlaced, nothing to be seen through, no turn. */
    bool plain;
} tb__png;

/* One density of two; 0 where they say nothing, or not the same. */
double tb__density(double across_px_per_mm, double down_px_per_mm);

/* Reads the chunks before the picture; false when they make no sense. */
bool tb__png_look(tb__png *png, const uint8_t *bytes, size_t n);

/* Decodes a plain PNG into grey [height_px][width_px]. TB_EREAD for a damaged one. */
tb_status tb__png_grey(uint8_t *grey, const tb__png *png, const uint8_t *bytes, size_t n,
        const tb_job *job, tb_error *err);

/* A row of 8-bit R'G'B' to grey, by Rec. 601's weights, which are made for R'G'B'. */
void tb__grey_of_rgb(uint8_t *grey, const uint8_t *rgb, size_t n);

#endif
