/* flow/assess.c: see assess.h. */
#include "flow/assess.h"

#include "base/alloc.h"
#include "flow/stage_limits.h"
#include "photo/photo.h"

#include <math.h>
#include <time.h>

static double now_ms(void)
{
    struct timespec t;
    timespec_get(&t, TIME_UTC);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

tb_status tb_limits_for(tb_limits *limits, const tb_settings *settings, tb_error *err)
{
    return tb__limits_of(limits, settings, err);
}

static tb_status density_of(
        double *px_per_mm, const tb_photo_info *info, const tb_settings *settings, tb_error *err)
{
    double by_width = settings->width_mm > 0 ? info->width_px / settings->width_mm : 0;
    double by_height = settings->height_mm > 0 ? info->height_px / settings->height_mm : 0;
    *px_per_mm = by_width > 0 ? by_width : by_height > 0 ? by_height : info->px_per_mm;
    if (by_width > 0 && by_height > 0 && fabs(by_width / by_height - 1) > 0.02)
        return tb_fail(err, TB_EINVAL,
                "width and height do not fit the picture's %d x %d pixels; give one of them",
                info->width_px, info->height_px);
    if (*px_per_mm > 0)
        return TB_OK;
    return tb_fail(err, TB_EINVAL,
            "the file does not say how large the pattern is; give --width or --height");
}

/* Half of white's lightness parts wood from opening. */
static tb_status read_pattern(tb_mask **out, const uint8_t *bytes, size_t n_bytes,
        const tb_settings *settings, const tb_job *job, tb_error *err)
{
    tb_photo_info info;
    tb_plane *tone;
    double px_per_mm;
    *out = NULL;
    tb_status status = tb_photo_look(&info, bytes, n_bytes, err);
    if (!status)
        status = density_of(&px_per_mm, &info, settings, err);
    if (status)
        return status;
    tb_photo_view view = {
            0, 0, info.width_px, info.height_px, 0, info.width_px, info.height_px, px_per_mm};
    status = tb_photo_tone(&tone, bytes, n_bytes, &view, job, err);
    if (status)
        return status;
    status = tb_mask_new(out, info.width_px, info.height_px, px_per_mm, err);
    for (size_t i = 0; !status && i < tb_plane_area_px(tone); i++)
        (*out)->px[i] = tone->px[i] > 50;
    tb_plane_free(tone);
    return status;
}

tb_status tb_assess(tb_assessment **out, const uint8_t *bytes, size_t n_bytes,
        const tb_settings *settings, const tb_job *job, tb_error *err)
{
    tb_assessment *a = tb_calloc(1, sizeof *a);
    *out = NULL;
    if (!a)
        return tb_fail_memory(err);
    double started = now_ms();
    tb_status status = tb_limits_for(&a->limits, settings, err);
    if (!status)
        status = read_pattern(&a->pattern, bytes, n_bytes, settings, job, err);
    a->timings[0] = (tb_timing){"read", now_ms() - started};
    started = now_ms();
    if (!status)
        status = tb_inspect(&a->inspection, a->pattern, &a->limits, job, err);
    a->timings[1] = (tb_timing){"inspect", now_ms() - started};
    if (status) {
        tb_assessment_free(a);
        return status;
    }
    a->px_per_mm = a->pattern->px_per_mm;
    a->width_mm = a->pattern->width_px / a->pattern->px_per_mm;
    a->height_mm = a->pattern->height_px / a->pattern->px_per_mm;
    *out = a;
    return TB_OK;
}

void tb_assessment_free(tb_assessment *a)
{
    if (!a)
        return;
    tb_mask_free(a->pattern);
    tb_inspection_free(a->inspection);
    tb_free(a);
}
