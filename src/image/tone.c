/* image/tone.c: see tone.h.
 *
 * With l the lightness and means taken under a Gaussian window:
 *   smooth   s = a·l + b,  a = var l / (var l + eps²), b = mean l − a·mean l, both averaged again
 *   even     e = (s − m)·r + M,  r = S / (σ + 0.35·S + 2) with m, σ the mean and spread of the
 *            surroundings and M, S those of the whole picture
 *   tone     (1 − evening)·s + evening·e + lines·weight·DoG
 * which is  gain·l + shift  with  gain = a·q,  shift = b·q + evening·(M − m·r) + lines,
 * q = 1 − evening + evening·r.
 */
#include "image/tone.h"

#include "base/alloc.h"
#include "image/filter.h"

#include <math.h>
#include <string.h>

static const double BLOCK_MM = 0.3;   /* of the coarse grid; finer than any size used on it */
static const double SPREAD_FLOOR = 2; /* L*: flat grounds are not blown up into mottle */
static const double SPREAD_SHARE = 0.35;
static const double DOG_RATIO = 1.6; /* Marr & Hildreth 1980 */
static const double DARK_LINES = 2.5, LIGHT_LINES = 1.0;
/* Two sizes of line: a wrinkle's, and that of a lip or the side of a nose. By looking. */
static const struct {
    double sizes, weight;
} LINES[] = {{1, 1}, {2.5, 2}};

typedef struct {
    const tb_plane *l;
    const tb_tone_options *options;
    const tb_job *job;
    tb_error *err;
} tone_work;

/* product = a·b, pixel by pixel; a new plane. */
static tb_status multiplied(tb_plane **out, const tb_plane *a, const tb_plane *b, tb_error *err)
{
    tb_status status = tb_plane_copy(out, a, err);
    if (status)
        return status;
    float *restrict px = (*out)->px;
    const float *by = b->px;
    size_t n = tb_plane_area_px(a);
    for (size_t i = 0; i < n; i++)
        px[i] *= by[i];
    return TB_OK;
}

/* Mean of plane and mean of its square under a Gaussian of sigma_mm. */
static tb_status moments(
        tb_plane **mean, tb_plane **square, const tb_plane *plane, double sigma_mm, tone_work *work)
{
    *square = NULL;
    tb_status status = tb_plane_copy(mean, plane, work->err);
    if (!status)
        status = multiplied(square, plane, plane, work->err);
    if (!status)
        status = tb_blur(*mean, sigma_mm, work->job, work->err);
    if (!status)
        status = tb_blur(*square, sigma_mm, work->job, work->err);
    return status;
}

/* a and b of the guided filter, the guide being the picture itself. */
static tb_status smooth_coefficients(tb_plane **a, tb_plane **b, tone_work *work)
{
    double sigma_mm = work->options->smooth_mm / sqrt(12); /* a box of that size spreads as far */
    float eps = (float)(work->options->smooth_l * work->options->smooth_l);
    tb_status status = moments(b, a, work->l, sigma_mm, work);
    if (status)
        return status;
    float *restrict gain = (*a)->px, *restrict shift = (*b)->px;
    size_t n = tb_plane_area_px(work->l);
    for (size_t i = 0; i < n; i++) {
        float mean = shift[i];
        float variance = gain[i] - mean * mean;
        variance = variance > 0 ? variance : 0;
        gain[i] = variance / (variance + eps);
        shift[i] = mean - gain[i] * mean;
    }
    status = tb_blur(*a, sigma_mm, work->job, work->err);
    if (!status)
        status = tb_blur(*b, sigma_mm, work->job, work->err);
    return status;
}

static void whole_moments(double *mean, double *spread, const tb_plane *plane)
{
    double sum = 0, square = 0;
    size_t n = tb_plane_area_px(plane);
    for (size_t i = 0; i < n; i++) {
        sum += plane->px[i];
        square += (double)plane->px[i] * plane->px[i];
    }
    *mean = sum / (double)n;
    *spread = sqrt(fmax(square / (double)n - *mean * *mean, 0));
}

typedef struct {
    float evening, mean, spread, floor; /* of the whole picture */
} evened;

static void apply_evening(float *restrict gain, float *restrict shift, const float *restrict mean,
        const float *restrict square, size_t n, const evened *e)
{
    for (size_t i = 0; i < n; i++) {
        float variance = square[i] - mean[i] * mean[i];
        float r = e->spread / (sqrtf(variance > 0 ? variance : 0) + e->floor);
        float q = 1 - e->evening + e->evening * r;
        gain[i] *= q;
        shift[i] = shift[i] * q + e->evening * (e->mean - mean[i] * r);
    }
}

/* Turns a, b (smoothing) into gain, shift (smoothing and evening) in place. */
static tb_status even(tb_plane *a, tb_plane *b, tone_work *work)
{
    tb_plane *smooth = NULL, *mean = NULL, *square = NULL;
    size_t n = tb_plane_area_px(a);
    tb_status status = multiplied(&smooth, a, work->l, work->err);
    if (status)
        goto out;
    for (size_t i = 0; i < n; i++)
        smooth->px[i] += b->px[i];
    status = moments(&mean, &square, smooth, work->options->surround_mm, work);
    if (status)
        goto out;
    double whole_mean, whole_spread;
    whole_moments(&whole_mean, &whole_spread, smooth);
    apply_evening(a->px, b->px, mean->px, square->px, n,
            &(evened){(float)work->options->evening, (float)whole_mean,
                    (float)(whole_spread + SPREAD_FLOOR),
                    (float)(SPREAD_SHARE * whole_spread + SPREAD_FLOOR)});
out:
    tb_plane_free(smooth);
    tb_plane_free(mean);
    tb_plane_free(square);
    return status;
}

static tb_status add_lines(tb_plane *shift, double sigma_mm, double weight, tone_work *work)
{
    tb_plane *narrow = NULL, *wide = NULL;
    tb_status status = tb_plane_copy(&narrow, work->l, work->err);
    if (!status)
        status = tb_plane_copy(&wide, work->l, work->err);
    if (!status)
        status = tb_blur(narrow, sigma_mm, work->job, work->err);
    if (!status)
        status = tb_blur(wide, sigma_mm * DOG_RATIO, work->job, work->err);
    if (!status) {
        float dark = (float)(weight * DARK_LINES);
        float light = (float)(weight * LIGHT_LINES);
        size_t n = tb_plane_area_px(shift);
        float *restrict px = shift->px;
        const float *near = narrow->px, *far = wide->px;
        for (size_t i = 0; i < n; i++) {
            float line = near[i] - far[i];
            px[i] += line * (line < 0 ? dark : light);
        }
    }
    tb_plane_free(narrow);
    tb_plane_free(wide);
    return status;
}

static tb_status check_options(const tb_tone_options *o, tb_error *err)
{
    if (!(o->smooth_mm >= 0 && o->smooth_mm <= 50 && o->smooth_l > 0 && o->evening >= 0 &&
                o->evening <= 1 && o->surround_mm > 0 && o->surround_mm <= 10000 &&
                o->line_mm >= 0 && o->line_mm <= 50 && o->lines >= 0 && o->lines <= 10 &&
                o->fine_mm >= 0 && o->fine_mm <= 10))
        return tb_fail(err, TB_EINVAL, "a setting of the tone is out of range");
    return TB_OK;
}

/* gain × blocks + shift, as far as the map has got. */
static tb_status drawn(
        tb_plane **out, const tb_tone_map *map, const tb_plane *blocks, tb_error *err)
{
    tb_status status = multiplied(out, map->gain, blocks, err);
    if (!status)
        for (size_t i = 0; i < tb_plane_area_px(blocks); i++)
            (*out)->px[i] += map->shift->px[i];
    return status;
}

tb_status tb_tone_map_new(tb_tone_map **out, const tb_plane *lightness,
        const tb_tone_options *options, const tb_job *job, tb_error *err)
{
    *out = NULL;
    tb_plane *blocks = NULL;
    tb_status status = check_options(options, err);
    if (status)
        return status;
    tb_tone_map *map = tb_calloc(1, sizeof *map);
    if (!map)
        return tb_fail_memory(err);
    map->factor = (int)lround(BLOCK_MM * lightness->px_per_mm);
    if (map->factor < 1)
        map->factor = 1;
    status = tb_shrink(&blocks, lightness, map->factor, job, err);
    tone_work work = {blocks, options, job, err};
    if (!status)
        status = smooth_coefficients(&map->gain, &map->shift, &work);
    if (!status)
        status = even(map->gain, map->shift, &work);
    if (!status)
        status = drawn(&map->even, map, blocks, err);
    for (size_t i = 0; !status && i < sizeof LINES / sizeof LINES[0]; i++)
        status = add_lines(map->shift, LINES[i].sizes * options->line_mm,
                LINES[i].weight * options->lines, &work);
    if (!status)
        status = drawn(&map->tone, map, blocks, err);
    tb_plane_free(blocks);
    if (status) {
        tb_tone_map_free(map);
        return status;
    }
    *out = map;
    return TB_OK;
}

void tb_tone_map_free(tb_tone_map *map)
{
    if (!map)
        return;
    tb_plane_free(map->gain);
    tb_plane_free(map->shift);
    tb_plane_free(map->even);
    tb_plane_free(map->tone);
    tb_free(map);
}

/* ---- the full grid ------------------------------------------------------------------------- */

typedef struct {
    tb_plane *tone;
    const tb_plane *fine; /* the lightness without its grain, on blocks of fine_factor */
    int fine_factor;
    const tb_tone_map *map;
    const tb_job *job;
} apply_pass;

static void apply_rows_cb(void *payload, size_t first, size_t end)
{
    const apply_pass *pass = payload;
    int width = pass->tone->width_px;
    float gain[TB_SIDE_MAX_PX], shift[TB_SIDE_MAX_PX];
    for (size_t y = first; y < end && !tb_job_stopped(pass->job); y++) {
        float *restrict px = pass->tone->px + y * (size_t)width;
        tb_enlarge_row(px, width, (int)y, pass->fine, pass->fine_factor);
        tb_enlarge_row(gain, width, (int)y, pass->map->gain, pass->map->factor);
        tb_enlarge_row(shift, width, (int)y, pass->map->shift, pass->map->factor);
        for (int x = 0; x < width; x++)
            px[x] = px[x] * gain[x] + shift[x];
    }
}

/* The grain is taken out on the coarsest grid that still draws what is left. */
tb_status tb_tone_apply(tb_plane **out, const tb_plane *lightness, const tb_tone_map *map,
        double fine_mm, const tb_job *job, tb_error *err)
{
    *out = NULL;
    tb_plane *fine;
    double sigma_px = fine_mm * lightness->px_per_mm;
    int factor = sigma_px >= 2 ? (int)sigma_px : 1;
    tb_status status = tb_shrink(&fine, lightness, factor, job, err);
    if (!status)
        status = tb_blur(fine,
                (factor > 1 ? tb_blur_left(sigma_px / factor) : sigma_px) / fine->px_per_mm, job,
                err);
    if (!status)
        status = tb_plane_new(
                out, lightness->width_px, lightness->height_px, lightness->px_per_mm, err);
    if (!status) {
        apply_pass pass = {*out, fine, factor, map, job};
        tb_job_rows(job, (size_t)lightness->height_px, 64, apply_rows_cb, &pass);
        if (tb_job_stopped(job))
            status = tb_fail_cancelled(err);
    }
    tb_plane_free(fine);
    if (status) {
        tb_plane_free(*out);
        *out = NULL;
    }
    return status;
}
