/* pattern/split.c: see split.h. */
#include "pattern/split.h"

#include <math.h>
#include <string.h>

typedef struct {
    tb_mask *mask;
    const tb_plane *tone;
    float cut_line;
    int frame_px;
} split_pass;

static void split_rows_cb(void *payload, size_t first, size_t end)
{
    const split_pass *pass = payload;
    size_t width = (size_t)pass->mask->width_px, frame = (size_t)pass->frame_px;
    for (size_t y = first; y < end; y++) {
        uint8_t *restrict to = pass->mask->px + y * width;
        const float *restrict tone = pass->tone->px + y * width;
        if (y < frame || y + frame >= (size_t)pass->mask->height_px) {
            memset(to, 1, width);
            continue;
        }
        for (size_t x = 0; x < width; x++)
            to[x] = tone[x] > pass->cut_line;
        memset(to, 1, frame);
        memset(to + width - frame, 1, frame);
    }
}

tb_status tb_split(tb_mask **out, const tb_plane *tone, double cut_line, double frame_mm,
        const tb_job *job, tb_error *err)
{
    *out = NULL;
    if (!(frame_mm >= 0))
        return tb_fail(err, TB_EINVAL, "a frame can't be narrower than 0 mm");
    double half_px = (tone->width_px < tone->height_px ? tone->width_px : tone->height_px) / 2.0;
    int frame_px = (int)ceil(fmin(frame_mm * tone->px_per_mm, half_px));
    tb_status status = tb_mask_new(out, tone->width_px, tone->height_px, tone->px_per_mm, err);
    if (status)
        return status;
    split_pass pass = {*out, tone, (float)cut_line, frame_px};
    if (2 * frame_px >= tone->width_px || 2 * frame_px >= tone->height_px)
        memset((*out)->px, 1, tb_mask_area_px(*out));
    else
        tb_job_rows(job, (size_t)tone->height_px, 64, split_rows_cb, &pass);
    return TB_OK;
}
