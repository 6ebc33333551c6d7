/* pattern/subject.c: see subject.h. */
#include "pattern/subject.h"

#include "base/alloc.h"
#include "image/filter.h"

#include <math.h>

static const double GRID_MM = 0.6, PLACE_MM = 3; /* sigma of "a place" */
static const double FULL_L_MOST = 12; /* L*: so much is a drawing, also beside a bright window */
static const double USUAL_EVENING = 0.5, STRAIN_PRICE = 0.15; /* evening flattens what it helps */
static const double MOTTLE_PRICE = 1.6; /* by looking at a score of photographs */

tb_status tb_subject_weight(
        tb_plane **out, int width_px, int height_px, double px_per_mm, tb_error *err)
{
    tb_status status = tb_plane_new(out, width_px, height_px, px_per_mm, err);
    if (status)
        return status;
    float *px = (*out)->px;
    for (int y = 0; y < height_px; y++) {
        double v = ((y + 0.5) / height_px - 0.45) / 0.33;
        for (int x = 0; x < width_px; x++) {
            double u = ((x + 0.5) / width_px - 0.5) / 0.30;
            *px++ = (float)(0.15 + exp(-(u * u + v * v)));
        }
    }
    return TB_OK;
}

static double spread_of(const tb_plane *plane)
{
    double sum = 0, square = 0;
    size_t n = tb_plane_area_px(plane);
    for (size_t i = 0; i < n; i++) {
        sum += plane->px[i];
        square += (double)plane->px[i] * plane->px[i];
    }
    return sqrt(fmax(square / (double)n - sum / (double)n * (sum / (double)n), 0));
}

/* How full of contrast each place is, 0..1: its spread against the picture's, less being asked of a
 * dark place, where the eye takes ratios. */
static tb_status contrast_of(
        tb_plane **out, const tb_plane *lightness, const tb_job *job, tb_error *err)
{
    tb_plane *square = NULL;
    tb_status status = tb_plane_copy(out, lightness, err);
    if (!status)
        status = tb_blur(*out, 0.6, job, err);
    if (!status)
        status = tb_plane_copy(&square, *out, err);
    if (status)
        return status;
    size_t n = tb_plane_area_px(lightness);
    double full = fmin(0.4 * spread_of(*out) + 2, FULL_L_MOST);
    for (size_t i = 0; i < n; i++)
        square->px[i] *= square->px[i];
    status = tb_blur(*out, PLACE_MM, job, err);
    if (!status)
        status = tb_blur(square, PLACE_MM, job, err);
    for (size_t i = 0; i < n; i++) {
        double mean = (*out)->px[i];
        double spread = sqrt(fmax(square->px[i] - mean * mean, 0));
        double shade = fmin(fmax(mean / 50, 0.45), 1);
        (*out)->px[i] = (float)fmin(spread / (full * shade), 1);
    }
    tb_plane_free(square);
    return status;
}

/* What a two-tone cut of the map's tone loses; the tone is overwritten. */
static tb_status loss_of(double *loss, tb_tone_map *map, const tb_plane *contrast,
        const tb_plane *weight, const tb_job *job, tb_error *err)
{
    float cut = (float)tb_otsu(map->even, weight);
    tb_plane *tone = map->tone;
    size_t n = tb_plane_area_px(tone);
    for (size_t i = 0; i < n; i++)
        tone->px[i] = tone->px[i] > cut;
    tb_status status = tb_blur(tone, PLACE_MM, job, err);
    double sum = 0, total = 0;
    for (size_t i = 0; i < n; i++) {
        double wood = tone->px[i];
        double mixed = fmin(6 * wood * (1 - wood), 1);
        double full = contrast->px[i];
        sum += weight->px[i] * (full * (1 - mixed) + MOTTLE_PRICE * (1 - full) * mixed);
        total += weight->px[i];
    }
    *loss = sum / total;
    return status;
}

static const double TRIED[] = {0.5, 0.35, 0.65, 0.2, 0.8, 1};
enum { N_TRIED = sizeof TRIED / sizeof TRIED[0] };

typedef struct {
    const tb_plane *small, *contrast, *weight;
    const tb_tone_options *options;
    const tb_job *job;
    double loss[N_TRIED];
    tb_status status[N_TRIED];
    tb_error err[N_TRIED];
} trials;

static void try_evening(void *payload, size_t i)
{
    trials *t = payload;
    tb_tone_options trial = *t->options;
    tb_tone_map *map;
    trial.evening = TRIED[i];
    t->status[i] = tb_tone_map_new(&map, t->small, &trial, t->job, &t->err[i]);
    if (!t->status[i])
        t->status[i] = loss_of(&t->loss[i], map, t->contrast, t->weight, t->job, &t->err[i]);
    double strain = trial.evening - USUAL_EVENING;
    t->loss[i] += STRAIN_PRICE * strain * strain;
    tb_tone_map_free(map);
}

/* Each trial is small, so it has a thread to itself; of equals the first is taken. */
static tb_status choose(double *evening, trials *t, const tb_job *job, tb_error *err)
{
    tb_job single = {.n_threads = 1, .stop = job ? job->stop : NULL};
    double best = INFINITY;
    t->job = &single;
    tb_job_each(job, N_TRIED, try_evening, t);
    for (size_t i = 0; i < N_TRIED; i++) {
        if (t->status[i]) {
            if (err)
                *err = t->err[i];
            return t->status[i];
        }
        if (t->loss[i] < best) {
            best = t->loss[i];
            *evening = TRIED[i];
        }
    }
    return TB_OK;
}

tb_status tb_choose_evening(double *evening, const tb_plane *lightness,
        const tb_tone_options *options, const tb_job *job, tb_error *err)
{
    tb_plane *small = NULL, *contrast = NULL, *weight = NULL;
    int factor = (int)fmax(lround(GRID_MM * lightness->px_per_mm), 1);
    *evening = TRIED[0];
    tb_status status = tb_shrink(&small, lightness, factor, job, err);
    if (!status)
        status = contrast_of(&contrast, small, job, err);
    if (!status)
        status = tb_subject_weight(
                &weight, small->width_px, small->height_px, small->px_per_mm, err);
    if (!status) {
        trials t = {.small = small, .contrast = contrast, .weight = weight, .options = options};
        status = choose(evening, &t, job, err);
    }
    tb_plane_free(small);
    tb_plane_free(contrast);
    tb_plane_free(weight);
    return status;
}
