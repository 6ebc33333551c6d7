/* flow/shade.c: see shade.h. */
#include "flow/shade.h"

#include "pattern/geodesic.h"
#include "pattern/touch.h"

static const float PLAIN_WOOD = 100; /* L* of what is left out: nothing is sawn there */

void tb__shade_drop(tb__shade *shade, bool with_left_out)
{
    tb_plane_free(shade->tone);
    tb_plane_free(shade->detail);
    shade->tone = shade->detail = NULL;
    if (with_left_out) {
        tb_mask_free(shade->left_out);
        shade->left_out = NULL;
    }
}

static bool any_on_tone(const tb_stroke *strokes, size_t n_strokes)
{
    for (size_t i = 0; i < n_strokes; i++)
        if (!tb_stroke_on_mask(strokes[i].kind) && strokes[i].kind != TB_STROKE_KEEP_IN)
            return true;
    return false;
}

tb_status tb__shade_update(tb__shade *shade, const tb_plane *tone, const tb_plane *lightness,
        const tb_stroke *strokes, size_t n_strokes, double fine_mm, const tb_job *job,
        tb_error *err)
{
    tb__shade_drop(shade, false);
    if (!any_on_tone(strokes, n_strokes))
        return TB_OK;
    tb_status status = tb_plane_copy(&shade->tone, tone, err);
    if (!status)
        status = tb_touch_weight(
                &shade->detail, tone, TB_STROKE_KEEP_DETAIL, strokes, n_strokes, job, err);
    if (!status && shade->detail)
        status = tb_touch_detail(shade->tone, lightness, shade->detail, fine_mm, job, err);
    if (!status)
        status = tb_touch_shade(shade->tone, NULL, strokes, n_strokes, job, err);
    if (!status && !shade->left_out)
        status = tb_leave_out(&shade->left_out, lightness, strokes, n_strokes, job, err);
    if (status) {
        tb__shade_drop(shade, false);
        return status;
    }
    if (shade->left_out)
        for (size_t i = 0; i < tb_plane_area_px(tone); i++)
            if (shade->left_out->px[i])
                shade->tone->px[i] = PLAIN_WOOD;
    return TB_OK;
}

void tb__shade_weigh(const tb__shade *shade, tb_plane *weight)
{
    const tb_mask *out = shade->left_out;
    if (!out)
        return;
    const double step = out->px_per_mm / weight->px_per_mm;
    for (int y = 0; y < weight->height_px; y++)
        for (int x = 0; x < weight->width_px; x++) {
            int ox = (int)((x + 0.5) * step), oy = (int)((y + 0.5) * step);
            ox = ox < out->width_px ? ox : out->width_px - 1;
            oy = oy < out->height_px ? oy : out->height_px - 1;
            if (out->px[(size_t)oy * (size_t)out->width_px + (size_t)ox])
                weight->px[(size_t)y * (size_t)weight->width_px + (size_t)x] = 0;
        }
}

void tb__shade_keep(const tb__shade *shade, tb_mask *tidy, const tb_mask *split)
{
    if (!shade->detail)
        return;
    for (size_t i = 0; i < tb_mask_area_px(tidy); i++)
        if (shade->detail->px[i] > 0.5f)
            tidy->px[i] = split->px[i];
}
