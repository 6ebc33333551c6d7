/* image/mask.c: see mask.h. */
#include "image/mask.h"

#include "base/alloc.h"

#include <string.h>

tb_status tb_mask_new(tb_mask **out, int width_px, int height_px, double px_per_mm, tb_error *err)
{
    const tb_mask shape = {width_px, height_px, px_per_mm, NULL};
    *out = NULL;
    tb_status status = tb_size_check(width_px, height_px, px_per_mm, err);
    if (!status)
        status = tb_mask_like(out, &shape, err);
    if (!status)
        memset((*out)->px, 0, tb_mask_area_px(*out));
    return status;
}

tb_status tb_mask_like(tb_mask **out, const tb_mask *mask, tb_error *err)
{
    *out = NULL;
    tb_mask *like = tb_malloc(1, sizeof *like);
    uint8_t *px = tb_malloc(tb_mask_area_px(mask), sizeof *px);
    if (!like || !px) {
        tb_free(like);
        tb_free(px);
        return tb_fail_memory(err);
    }
    *like = *mask;
    like->px = px;
    *out = like;
    return TB_OK;
}

tb_status tb_mask_copy(tb_mask **out, const tb_mask *mask, tb_error *err)
{
    tb_status status = tb_mask_like(out, mask, err);
    if (!status)
        memcpy((*out)->px, mask->px, tb_mask_area_px(mask));
    return status;
}

void tb_mask_free(tb_mask *mask)
{
    if (mask)
        tb_free(mask->px);
    tb_free(mask);
}

/* Bytes may alias anything, so the loops run over what the compiler can see does not change. */

void tb_mask_invert(tb_mask *mask)
{
    uint8_t *px = mask->px;
    for (size_t i = 0, n = tb_mask_area_px(mask); i < n; i++)
        px[i] ^= 1;
}

void tb_mask_add(tb_mask *mask, const tb_mask *other)
{
    uint8_t *px = mask->px;
    const uint8_t *more = other->px;
    for (size_t i = 0, n = tb_mask_area_px(mask); i < n; i++)
        px[i] |= more[i];
}

void tb_mask_take(tb_mask *mask, const tb_mask *other)
{
    uint8_t *px = mask->px;
    const uint8_t *less = other->px;
    for (size_t i = 0, n = tb_mask_area_px(mask); i < n; i++)
        px[i] &= less[i] ^ 1;
}
