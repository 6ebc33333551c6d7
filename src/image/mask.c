/* image/mask.c: see mask.h. */
#include "image/mask.h"

#include "base/alloc.h"

#include <string.h>

tb_status tb_mask_new(tb_mask **out, int width_px, int height_px, double px_per_mm, tb_error *err)
{
    *out = NULL;
    tb_status status = tb_size_check(width_px, height_px, px_per_mm, err);
    if (status)
        return status;
    tb_mask *mask = tb_malloc(1, sizeof *mask);
    uint8_t *px = tb_calloc((size_t)width_px * (size_t)height_px, sizeof *px);
    if (!mask || !px) {
        tb_free(mask);
        tb_free(px);
        return tb_fail_memory(err);
    }
    *mask = (tb_mask){width_px, height_px, px_per_mm, px};
    *out = mask;
    return TB_OK;
}

tb_status tb_mask_copy(tb_mask **out, const tb_mask *mask, tb_error *err)
{
    tb_status status = tb_mask_new(out, mask->width_px, mask->height_px, mask->px_per_mm, err);
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
