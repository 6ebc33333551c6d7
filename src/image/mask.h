/* image/mask.h: a two-tone picture, 1 = wood, 0 = opening.
 *
 * Frame  as in plane.h; what lies outside the picture is not wood: the board ends there
 * Limits as in plane.h
 */
#ifndef TB_IMAGE_MASK_H
#define TB_IMAGE_MASK_H

#include "base/status.h"
#include "image/plane.h"

#include <stdint.h>

typedef struct {
    int width_px, height_px;
    double px_per_mm;
    uint8_t *px; /* [height_px][width_px], 0 or 1 and nothing else */
} tb_mask;

/* Comes all opening. TB_EINVAL for a size out of limits, TB_ENOMEM. */
TB_NODISCARD tb_status tb_mask_new(
        tb_mask **out, int width_px, int height_px, double px_per_mm, tb_error *err);
/* Of another's size; pixels are not set. */
TB_NODISCARD tb_status tb_mask_like(tb_mask **out, const tb_mask *mask, tb_error *err);
TB_NODISCARD tb_status tb_mask_copy(tb_mask **out, const tb_mask *mask, tb_error *err);
void tb_mask_free(tb_mask *mask);

/* In place, pixel by pixel; other is of the same size. */
void tb_mask_invert(tb_mask *mask);
void tb_mask_add(tb_mask *mask, const tb_mask *other);  /* wood where either is */
void tb_mask_take(tb_mask *mask, const tb_mask *other); /* no wood where other is wood */

static inline size_t tb_mask_area_px(const tb_mask *mask)
{
    return (size_t)mask->width_px * (size_t)mask->height_px;
}

#endif
