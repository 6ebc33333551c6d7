/* pattern/touch.c: see touch.h. */
#include "pattern/touch.h"

#include "base/alloc.h"
#include "image/filter.h"

#include <math.h>
#include <string.h>

typedef struct {
    double x, y, r, dx, dy, dr;
} stretch;

static stretch stretch_of(tb_stroke_point a, tb_stroke_point b, double px_per_mm)
{
    const double px = px_per_mm / 1000;
    return (stretch){a.x_um * px, a.y_um * px, a.width_um * px / 2, (b.x_um - a.x_um) * px,
            (b.y_um - a.y_um) * px, (b.width_um - a.width_um) * px / 2};
}

/* 1 over the inner half, then down to 0 at the side without a corner at either. */
static float fade(double share)
{
    double t = 2 * (1 - share);
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return (float)(t * t * (3 - 2 * t));
}

static float strength(const stretch *s, double x, double y)
{
    double length2 = s->dx * s->dx + s->dy * s->dy;
    double t = length2 > 0 ? ((x - s->x) * s->dx + (y - s->y) * s->dy) / length2 : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    double r = s->r + t * s->dr, ex = x - s->x - t * s->dx, ey = y - s->y - t * s->dy;
    double d2 = ex * ex + ey * ey;
    return d2 < r * r ? fade(sqrt(d2) / r) : 0;
}

static int within(double px, int end_px)
{
    return (int)fmin(fmax(px, 0), end_px);
}

static tb_rect reach(const stretch *s, const tb_plane *plane)
{
    double r = fmax(s->r, s->r + s->dr);
    return (tb_rect){within(floor(fmin(s->x, s->x + s->dx) - r), plane->width_px),
            within(floor(fmin(s->y, s->y + s->dy) - r), plane->height_px),
            within(ceil(fmax(s->x, s->x + s->dx) + r), plane->width_px),
            within(ceil(fmax(s->y, s->y + s->dy) + r), plane->height_px)};
}

/* The stretch that ends in point i; the only point is a stretch of its own. */
static stretch stretch_at(const tb_stroke *stroke, size_t i, double px_per_mm)
{
    const tb_stroke_point *p = stroke->points;
    return stretch_of(p[i > 0 ? i - 1 : 0], p[i], px_per_mm);
}

static tb_rect stroke_reach(const tb_stroke *stroke, const tb_plane *plane)
{
    tb_rect all = {0, 0, 0, 0};
    for (size_t i = stroke->n_points > 1; i < stroke->n_points; i++) {
        stretch s = stretch_at(stroke, i, plane->px_per_mm);
        all = tb_rect_join(all, reach(&s, plane));
    }
    return all;
}

/* How much each pixel of the rectangle lies under the stroke. */
static void lay(float *layer, tb_rect rect, const tb_stroke *stroke, const tb_plane *plane)
{
    const size_t width = (size_t)(rect.right_px - rect.left_px);
    for (size_t i = stroke->n_points > 1; i < stroke->n_points; i++) {
        stretch s = stretch_at(stroke, i, plane->px_per_mm);
        tb_rect r = reach(&s, plane);
        for (int y = r.top_px; y < r.bottom_px; y++) {
            float *row = layer + (size_t)(y - rect.top_px) * width - rect.left_px;
            for (int x = r.left_px; x < r.right_px; x++)
                row[x] = fmaxf(row[x], strength(&s, x + 0.5, y + 0.5));
        }
    }
}

/* Adds the stroke's layer times amount; where `most` says so the larger is taken instead. */
static tb_status blend(tb_plane *plane, tb_rect rect, const tb_stroke *stroke, float amount,
        bool most, tb_error *err)
{
    const size_t width = (size_t)(rect.right_px - rect.left_px);
    float *layer = tb_calloc(width * (size_t)(rect.bottom_px - rect.top_px), sizeof *layer);
    if (!layer)
        return tb_fail_memory(err);
    lay(layer, rect, stroke, plane);
    for (int y = rect.top_px; y < rect.bottom_px; y++) {
        float *to = plane->px + (size_t)y * (size_t)plane->width_px + rect.left_px;
        const float *from = layer + (size_t)(y - rect.top_px) * width;
        for (size_t x = 0; x < width; x++)
            to[x] = most ? fmaxf(to[x], from[x]) : to[x] + amount * from[x];
    }
    tb_free(layer);
    return TB_OK;
}

tb_status tb_touch_shade(tb_plane *tone, tb_rect *dirty, const tb_stroke *strokes, size_t n_strokes,
        const tb_job *job, tb_error *err)
{
    tb_status status = TB_OK;
    tb_rect all = {0, 0, 0, 0};
    for (size_t i = 0; i < n_strokes && !status; i++) {
        const tb_stroke *s = &strokes[i];
        if (s->kind != TB_STROKE_LIGHTEN && s->kind != TB_STROKE_DARKEN)
            continue;
        status = tb_job_stopped(job) ? tb_fail_cancelled(err) : tb_stroke_check(s, err);
        tb_rect rect = status ? all : stroke_reach(s, tone);
        if (status || tb_rect_empty(rect))
            continue;
        float amount = (float)s->amount / (s->kind == TB_STROKE_LIGHTEN ? 100 : -100);
        status = blend(tone, rect, s, amount, false, err);
        all = tb_rect_join(all, rect);
    }
    if (dirty)
        *dirty = all;
    return status;
}

tb_status tb_touch_weight(tb_plane **out, const tb_plane *like, tb_stroke_kind kind,
        const tb_stroke *strokes, size_t n_strokes, const tb_job *job, tb_error *err)
{
    *out = NULL;
    tb_status status = TB_OK;
    for (size_t i = 0; i < n_strokes && !status; i++) {
        const tb_stroke *s = &strokes[i];
        if (s->kind != kind)
            continue;
        status = tb_job_stopped(job) ? tb_fail_cancelled(err) : tb_stroke_check(s, err);
        if (!status && !*out) {
            status = tb_plane_new(out, like->width_px, like->height_px, like->px_per_mm, err);
            if (!status)
                memset((*out)->px, 0, tb_plane_area_px(like) * sizeof *(*out)->px);
        }
        tb_rect rect = {0, 0, 0, 0};
        if (!status)
            rect = stroke_reach(s, like);
        if (!tb_rect_empty(rect))
            status = blend(*out, rect, s, 1, true, err);
    }
    if (status) {
        tb_plane_free(*out);
        *out = NULL;
    }
    return status;
}

tb_status tb_touch_detail(tb_plane *tone, const tb_plane *lightness, const tb_plane *weight,
        double fine_mm, const tb_job *job, tb_error *err)
{
    tb_plane *coarse;
    tb_status status = tb_plane_copy(&coarse, lightness, err);
    if (!status)
        status = tb_blur(coarse, fine_mm, job, err);
    for (size_t i = 0; i < tb_plane_area_px(tone) && !status; i++)
        tone->px[i] += weight->px[i] * (lightness->px[i] - coarse->px[i]);
    tb_plane_free(coarse);
    return status;
}
