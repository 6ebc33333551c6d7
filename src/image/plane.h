/* image/plane.h: a picture of one float for each pixel.
 *
 * Frame  origin top left, x right, y down; row-major, no padding; pixel centres at +0.5
 * Units  px_per_mm > 0 tells how large a pixel is on the board; tone planes hold L* (0..100)
 * Limits 1 to 20,000 px a side, at most 200 million pixels in all
 */
#ifndef TB_IMAGE_PLANE_H
#define TB_IMAGE_PLANE_H

#include "base/status.h"

#include <stddef.h>

enum { TB_SIDE_MAX_PX = 20000, TB_AREA_MAX_PX = 200000000 };

typedef struct {
    int width_px, height_px;
    double px_per_mm;
    float *px; /* [height_px][width_px] */
} tb_plane;

/* Values are not set. TB_EINVAL for a size out of limits, TB_ENOMEM. */
TB_NODISCARD tb_status tb_plane_new(
        tb_plane **out, int width_px, int height_px, double px_per_mm, tb_error *err);
TB_NODISCARD tb_status tb_plane_copy(tb_plane **out, const tb_plane *plane, tb_error *err);
void tb_plane_free(tb_plane *plane);

static inline size_t tb_plane_area_px(const tb_plane *plane)
{
    return (size_t)plane->width_px * (size_t)plane->height_px;
}

/* TB_EINVAL, with a line that names the numbers, unless both sides and the area are in limits. */
TB_NODISCARD tb_status tb_size_check(int width_px, int height_px, double px_per_mm, tb_error *err);

#endif
