/* image/plane.c: see plane.h. */
#include "image/plane.h"

#include "base/alloc.h"
#include "base/num.h"

#include <math.h>
#include <string.h>

tb_status tb_size_check(int width_px, int height_px, double px_per_mm, tb_error *err)
{
    if (width_px < 1 || height_px < 1 || width_px > TB_SIDE_MAX_PX || height_px > TB_SIDE_MAX_PX ||
            (double)width_px * height_px > TB_AREA_MAX_PX)
        return tb_fail(err, TB_EINVAL,
                "a picture of %d x %d pixels is out of limits (1 to %d a side, %d million in all)",
                width_px, height_px, TB_SIDE_MAX_PX, TB_AREA_MAX_PX / 1000000);
    if (!(px_per_mm > 0) || !isfinite(px_per_mm))
        return tb_fail(err, TB_EINVAL, "%s pixels per millimetre make no picture",
                tb_num_of(px_per_mm, 3).text);
    return TB_OK;
}

tb_status tb_plane_new(tb_plane **out, int width_px, int height_px, double px_per_mm, tb_error *err)
{
    *out = NULL;
    tb_status status = tb_size_check(width_px, height_px, px_per_mm, err);
    if (status)
        return status;
    tb_plane *plane = tb_malloc(1, sizeof *plane);
    float *px = tb_malloc((size_t)width_px * (size_t)height_px, sizeof *px);
    if (!plane || !px) {
        tb_free(plane);
        tb_free(px);
        return tb_fail_memory(err);
    }
    *plane = (tb_plane){width_px, height_px, px_per_mm, px};
    *out = plane;
    return TB_OK;
}

tb_status tb_plane_copy(tb_plane **out, const tb_plane *plane, tb_error *err)
{
    tb_status status = tb_plane_new(out, plane->width_px, plane->height_px, plane->px_per_mm, err);
    if (!status)
        memcpy((*out)->px, plane->px, tb_plane_area_px(plane) * sizeof *plane->px);
    return status;
}

void tb_plane_free(tb_plane *plane)
{
    if (plane)
        tb_free(plane->px);
    tb_free(plane);
}
