/* flow/flow.c: see flow.h.
 *
 * A stage is stale when a setting it reads differs from the one it was run with, or when the stage
 * before it is. tb_flow_set() finds the first stale stage; everything behind it goes when it runs.
 */
#include "flow/flow.h"

#include "base/alloc.h"
#include "flow/look.h"
#include "flow/shade.h"
#include "flow/stage_limits.h"
#include "flow/strokes.h"
#include "image/tone.h"
#include "pattern/hand.h"
#include "pattern/split.h"
#include "pattern/subject.h"

#include <math.h>
#include <string.h>
#include <time.h>

static const double CUT_PER_DARKNESS = 0.5; /* L* for each step of darkness */

enum { UNDO_BYTES = 64 << 20 }; /* of the hand's strokes, taken back without laying all again */

struct tb_flow {
    const uint8_t *photo_bytes;
    size_t n_photo_bytes;
    tb_settings settings;
    tb_stage stale; /* the first stage to run; TB_N_STAGES: none */
    tb_photo_view view;
    tb_tone_options tone_options;
    tb_outcome outcome;
    /* what the outcome borrows */
    tb_plane *lightness, *tone;
    tb_tone_map *tone_map;
    tb_mask *split, *tidy;
    tb__shade shade; /* of the tone, by hand */
    bool shade_stale, left_out_stale;
    tb_hand *hand; /* over tidy, with the first n_laid strokes laid */
    size_t n_laid;
    tb_result *result;
    tb__look look;
    tb_tie_memory *tie_memory;
    tb__strokes strokes;
};

const char *tb_stage_name(tb_stage stage)
{
    static const char *const NAMES[] = {"photo", "tone", "split", "tidy", "hand", "tie", "inspect"};
    return NAMES[stage];
}

/* Frees what this stage and those behind it made. */
static void drop_from(tb_flow *flow, tb_stage stage)
{
    if (stage <= TB_STAGE_TIE) {
        tb_result_release(flow->result);
        flow->result = NULL;
    }
    if (stage <= TB_STAGE_TIDY) {
        tb_hand_free(flow->hand);
        tb_mask_free(flow->tidy);
        flow->hand = NULL;
        flow->tidy = NULL;
        flow->n_laid = 0;
    }
    if (stage <= TB_STAGE_SPLIT) {
        tb_mask_free(flow->split);
        flow->split = NULL;
    }
    if (stage <= TB_STAGE_TONE) {
        tb__shade_drop(&flow->shade, stage <= TB_STAGE_PHOTO);
        flow->shade_stale = true;
        tb_plane_free(flow->tone);
        tb_tone_map_free(flow->tone_map);
        flow->tone = NULL;
        flow->tone_map = NULL;
    }
    if (stage <= TB_STAGE_PHOTO) {
        tb_plane_free(flow->lightness);
        flow->lightness = NULL;
    }
}

tb_status tb_flow_new(tb_flow **out, const uint8_t *photo, size_t n_photo, tb_error *err)
{
    *out = NULL;
    tb_flow *flow = tb_calloc(1, sizeof *flow);
    if (!flow)
        return tb_fail_memory(err);
    flow->photo_bytes = photo;
    flow->n_photo_bytes = n_photo;
    flow->settings = (tb_settings)TB_SETTINGS_INIT;
    tb_status status = tb_photo_look(&flow->outcome.photo, photo, n_photo, err);
    if (!status)
        status = tb__limits_of(&flow->outcome.limits, &flow->settings, err);
    if (!status)
        status = tb__view_of(&flow->view, &flow->settings, &flow->outcome.photo, err);
    if (status) {
        tb_free(flow);
        return status;
    }
    *out = flow;
    return TB_OK;
}

void tb_flow_free(tb_flow *flow)
{
    if (!flow)
        return;
    drop_from(flow, TB_STAGE_PHOTO);
    tb__strokes_clear(&flow->strokes);
    tb__look_clear(&flow->look);
    tb_tie_memory_free(flow->tie_memory);
    tb_free(flow);
}

tb_result *tb_result_hold(tb_result *result)
{
    if (result)
        atomic_fetch_add(&result->n_holders, 1);
    return result;
}

void tb_result_release(tb_result *result)
{
    if (!result || atomic_fetch_sub(&result->n_holders, 1) > 1)
        return;
    tb_mask_free(result->pattern);
    tb_mask_free(result->untied);
    tb_tie_account_free(result->tie);
    tb_inspection_free(result->inspection);
    tb_free(result);
}

tb_result *tb_flow_result(tb_flow *flow)
{
    if (!flow->result || !flow->result->inspection)
        return NULL;
    return tb_result_hold(flow->result);
}

/* ---- what a change touches ------------------------------------------------------------------ */

static bool same_frame(const tb_settings *a, const tb_settings *b)
{
    return a->width_mm == b->width_mm && a->height_mm == b->height_mm && a->crop_x == b->crop_x &&
           a->crop_y == b->crop_y && a->crop_w == b->crop_w && a->crop_h == b->crop_h &&
           a->turn_rad == b->turn_rad && a->px_per_mm == b->px_per_mm && a->drawn == b->drawn;
}

static bool same_tone(const tb_settings *a, const tb_settings *b)
{
    return a->detail == b->detail && a->evening == b->evening && a->lines == b->lines;
}

static bool same_limits(const tb_settings *a, const tb_settings *b)
{
    return strcmp(a->stock, b->stock) == 0 && strcmp(a->blade, b->blade) == 0 &&
           a->bridge_mm == b->bridge_mm && a->grain_rad == b->grain_rad &&
           a->split_line == b->split_line;
}

static tb_stage first_touched(const tb_settings *old, const tb_settings *new)
{
    if (!same_frame(old, new))
        return TB_STAGE_PHOTO;
    if (!same_tone(old, new))
        return TB_STAGE_TONE;
    if (old->darkness != new->darkness || old->frame_mm != new->frame_mm)
        return TB_STAGE_SPLIT;
    if (!same_limits(old, new))
        return TB_STAGE_TIDY;
    if (old->tie != new->tie)
        return TB_STAGE_TIE;
    return TB_N_STAGES;
}

tb_status tb_flow_set(tb_flow *flow, const tb_settings *settings, tb_error *err)
{
    tb_limits limits;
    tb_photo_view view;
    tb_status status = tb__settings_check(settings, err);
    if (!status)
        status = tb__limits_of(&limits, settings, err);
    if (!status)
        status = tb__view_of(&view, settings, &flow->outcome.photo, err);
    if (status)
        return status;
    tb_stage touched = first_touched(&flow->settings, settings);
    if (touched < flow->stale)
        flow->stale = touched;
    flow->settings = *settings;
    flow->view = view;
    flow->outcome.limits = limits;
    return TB_OK;
}

/* ---- the hand's strokes -----------------------------------------------------------------------
 */

/* Takes the strokes laid beyond the n-th off the hand again; where it has forgotten how, the hand
 * begins anew. */
static void lift_strokes(tb_flow *flow, size_t n)
{
    tb_rect dirty;
    while (flow->hand && flow->n_laid > n) {
        bool on_mask = tb_stroke_on_mask(flow->strokes.drawn[flow->n_laid - 1].kind);
        if (!on_mask || tb_hand_undo(flow->hand, &dirty)) {
            flow->n_laid--;
        } else {
            tb_hand_free(flow->hand);
            flow->hand = NULL;
            flow->n_laid = 0;
        }
    }
}

static void touch(tb_flow *flow, tb_stroke_kind kind)
{
    tb_stage stage = tb_stroke_on_mask(kind) ? TB_STAGE_HAND : TB_STAGE_SPLIT;
    if (stage < flow->stale)
        flow->stale = stage;
    flow->shade_stale = flow->shade_stale || stage == TB_STAGE_SPLIT;
    flow->left_out_stale =
            flow->left_out_stale || kind == TB_STROKE_KEEP_IN || kind == TB_STROKE_LEAVE_OUT;
}

tb_status tb_flow_set_strokes(
        tb_flow *flow, const tb_drawn *strokes, size_t n_strokes, tb_error *err)
{
    const size_t same = tb__strokes_same(&flow->strokes, strokes, n_strokes);
    tb_status status = TB_OK;
    lift_strokes(flow, same);
    for (size_t i = same; i < flow->strokes.n; i++)
        touch(flow, flow->strokes.drawn[i].kind);
    tb__strokes_forget(&flow->strokes, same);
    for (size_t i = same; i < n_strokes && !status; i++) {
        status = tb__strokes_add(&flow->strokes, &strokes[i], &flow->outcome.photo, err);
        touch(flow, strokes[i].stroke.kind);
    }
    return status;
}

/* ---- stages --------------------------------------------------------------------------------- */

/* A photograph all of one tone has nothing to part; even noise spans more than this. */
static tb_status check_contrast(const tb_plane *lightness, tb_error *err)
{
    static const float LEAST_LSTAR = 6;
    float darkest = 100, lightest = 0;
    size_t n = tb_plane_area_px(lightness);
    for (size_t i = 0; i < n && lightest - darkest < LEAST_LSTAR; i++) {
        darkest = fminf(darkest, lightness->px[i]);
        lightest = fmaxf(lightest, lightness->px[i]);
    }
    if (lightest - darkest >= LEAST_LSTAR)
        return TB_OK;
    return tb_fail(err, TB_EUNSAWABLE,
            "the photograph is all of one tone: there is no light and dark to part");
}

static tb_status run_photo(tb_flow *flow, const tb_job *job, tb_error *err)
{
    tb_status status = tb__view_of(&flow->view, &flow->settings, &flow->outcome.photo, err);
    if (status)
        return status;
    flow->outcome.px_per_mm = flow->view.px_per_mm;
    flow->outcome.width_mm = flow->view.width_px / flow->view.px_per_mm;
    flow->outcome.height_mm = flow->view.height_px / flow->view.px_per_mm;
    status = tb_photo_tone(
            &flow->lightness, flow->photo_bytes, flow->n_photo_bytes, &flow->view, job, err);
    return status ? status : check_contrast(flow->lightness, err);
}

static tb_status run_tone(tb_flow *flow, const tb_job *job, tb_error *err)
{
    if (flow->settings.drawn) { /* two tones are parted as they stand */
        flow->outcome.evening = 0;
        return TB_OK;
    }
    double shorter = fmin(flow->outcome.width_mm, flow->outcome.height_mm);
    flow->tone_options = tb__tone_options_of(&flow->settings, shorter);
    tb_status status = TB_OK;
    if (flow->settings.evening < 0)
        status = tb_choose_evening(
                &flow->tone_options.evening, flow->lightness, &flow->tone_options, job, err);
    if (!status)
        status = tb_tone_map_new(&flow->tone_map, flow->lightness, &flow->tone_options, job, err);
    if (!status)
        status = tb_tone_apply(
                &flow->tone, flow->lightness, flow->tone_map, flow->tone_options.fine_mm, job, err);
    flow->outcome.evening = flow->tone_options.evening;
    return status;
}

static const tb_plane *tone_of(const tb_flow *flow)
{
    return flow->shade.tone ? flow->shade.tone : flow->tone;
}

static tb_status shade(tb_flow *flow, const tb_job *job, tb_error *err)
{
    if (!flow->shade_stale)
        return TB_OK;
    tb__shade_drop(&flow->shade, flow->left_out_stale);
    flow->left_out_stale = false;
    tb_status status = tb__shade_update(&flow->shade, flow->tone, flow->lightness,
            flow->strokes.placed, flow->strokes.n_placed, flow->tone_options.smooth_mm, job, err);
    flow->shade_stale = status != TB_OK;
    return status;
}

/* A pattern parts half-way between its two tones. */
static tb_status split_drawn(tb_flow *flow, tb_error *err)
{
    const tb_plane *l = flow->lightness;
    size_t n = tb_plane_area_px(l);
    flow->outcome.cut_line = 50;
    tb_status status = tb_mask_new(&flow->split, l->width_px, l->height_px, l->px_per_mm, err);
    for (size_t i = 0; !status && i < n; i++)
        flow->split->px[i] = l->px[i] >= 50;
    return status;
}

static tb_status run_split(tb_flow *flow, const tb_job *job, tb_error *err)
{
    if (flow->settings.drawn)
        return split_drawn(flow, err);
    const tb_plane *even = flow->tone_map->even;
    tb_plane *weight;
    tb_status status = shade(flow, job, err);
    if (!status)
        status = tb_subject_weight(&weight, even->width_px, even->height_px, even->px_per_mm, err);
    if (status)
        return status;
    tb__shade_weigh(&flow->shade, weight);
    double cut_line = tb_otsu(even, weight) + CUT_PER_DARKNESS * flow->settings.darkness;
    flow->outcome.cut_line = fmin(fmax(cut_line, 1), 99);
    tb_plane_free(weight);
    return tb_split(
            &flow->split, tone_of(flow), flow->outcome.cut_line, flow->settings.frame_mm, job, err);
}

static tb_status run_tidy(tb_flow *flow, const tb_job *job, tb_error *err)
{
    tb_tidy_options options = tb__tidy_options_of(&flow->settings, &flow->outcome.limits);
    tb_status status = flow->settings.drawn ? tb_mask_copy(&flow->tidy, flow->split, err)
                                            : tb_tidy(&flow->tidy, flow->split, &options, job, err);
    if (!status && !flow->settings.drawn)
        tb__shade_keep(&flow->shade, flow->tidy, flow->split);
    if (!status && !memchr(flow->tidy->px, 0, tb_mask_area_px(flow->tidy)))
        status = tb_fail(err, TB_EUNSAWABLE,
                "nothing is left to saw: the photograph has too little light and dark at this "
                "size");
    return status;
}

static tb_status run_hand(tb_flow *flow, const tb_job *job, tb_error *err)
{
    tb_status status = TB_OK;
    tb_rect dirty;
    (void)job;
    if (!flow->hand)
        status = tb_hand_new(&flow->hand, flow->tidy, UNDO_BYTES, err);
    while (!status && flow->n_laid < flow->strokes.n_placed) {
        status = tb_hand_draw(flow->hand, &dirty, &flow->strokes.placed[flow->n_laid], 0, err);
        if (!status)
            flow->n_laid++;
    }
    return status;
}

static tb_status tied(tb_result *result, tb_flow *flow, const tb_job *job, tb_error *err)
{
    if (!flow->settings.tie)
        return tb_mask_copy(&result->pattern, flow->hand->mask, err);
    if (!flow->tie_memory && !(flow->tie_memory = tb_tie_memory_new()))
        return tb_fail_memory(err);
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.memory = flow->tie_memory;
    options.limits = flow->outcome.limits;
    options.tone = flow->settings.drawn ? NULL : tone_of(flow);
    options.as_drawn = flow->settings.drawn;
    options.cut_line = flow->outcome.cut_line;
    options.painted_wood = flow->strokes.n > 0 ? flow->hand->wood : NULL;
    options.painted_opening = flow->strokes.n > 0 ? flow->hand->opening : NULL;
    return tb_tie(&result->pattern, &result->tie, flow->hand->mask, &options, job, err);
}

/* With nothing but what came of the hand. */
static tb_status result_begin(tb_result **out, const tb_flow *flow, tb_error *err)
{
    tb_result *result = *out = tb_calloc(1, sizeof *result);
    if (!result)
        return tb_fail_memory(err);
    atomic_init(&result->n_holders, 1);
    result->limits = flow->outcome.limits;
    result->width_mm = flow->outcome.width_mm;
    result->height_mm = flow->outcome.height_mm;
    result->evening = flow->outcome.evening;
    return tb_mask_copy(&result->untied, flow->hand->mask, err);
}

static tb_status run_tie(tb_flow *flow, const tb_job *job, tb_error *err)
{
    tb_result *result;
    tb_status status = result_begin(&result, flow, err);
    if (!status)
        status = tied(result, flow, job, err);
    if (status)
        tb_result_release(result);
    else
        flow->result = result;
    return status;
}

/* The tie's last round has inspected what it leaves. */
static tb_status run_inspect(tb_flow *flow, const tb_job *job, tb_error *err)
{
    tb_result *result = flow->result;
    if (result->tie && result->tie->inspection) {
        result->inspection = result->tie->inspection;
        result->tie->inspection = NULL;
        return TB_OK;
    }
    return tb__look_over(&flow->look, result, job, err);
}

static void lend(tb_flow *flow)
{
    tb_outcome *outcome = &flow->outcome;
    outcome->lightness = flow->lightness;
    outcome->tone = tone_of(flow);
    outcome->split = flow->tidy;
    outcome->pattern = flow->result ? flow->result->pattern : NULL;
    outcome->tie = flow->result ? flow->result->tie : NULL;
    outcome->inspection = flow->result ? flow->result->inspection : NULL;
}

static double now_ms(void)
{
    struct timespec t;
    timespec_get(&t, TIME_UTC);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

/* Runs what is stale of the stages before end. */
static tb_status run_before(tb_flow *flow, tb_stage end, const tb_job *job, tb_error *err)
{
    static tb_status (*const RUN[])(tb_flow *, const tb_job *, tb_error *) = {
            run_photo, run_tone, run_split, run_tidy, run_hand, run_tie, run_inspect};
    tb_status status = tb__strokes_place(&flow->strokes, &flow->view, err);
    if (flow->stale < TB_N_STAGES)
        drop_from(flow, flow->stale);
    while (!status && flow->stale < end) {
        tb_job_progress(job, tb_stage_name(flow->stale), (double)flow->stale / TB_N_STAGES);
        double start = now_ms();
        status = RUN[flow->stale](flow, job, err);
        flow->outcome.ms[flow->stale] = now_ms() - start;
        if (!status)
            flow->stale++;
    }
    if (status)
        drop_from(flow, flow->stale);
    lend(flow);
    return status;
}

tb_status tb_flow_update(tb_flow *flow, const tb_job *job, tb_error *err)
{
    return run_before(flow, TB_N_STAGES, job, err);
}

tb_status tb_flow_sketch(tb_result **out, tb_flow *flow, const tb_job *job, tb_error *err)
{
    *out = NULL;
    tb_status status = run_before(flow, TB_STAGE_TIE, job, err);
    if (!status)
        status = result_begin(out, flow, err);
    if (!status)
        status = tb_mask_copy(&(*out)->pattern, flow->hand->mask, err);
    if (!status && !((*out)->inspection = tb_calloc(1, sizeof *(*out)->inspection)))
        status = tb_fail_memory(err);
    if (status) {
        tb_result_release(*out);
        *out = NULL;
    }
    return status;
}

tb_status tb_flow_view(
        tb_photo_view *view, const tb_settings *settings, const tb_photo_info *photo, tb_error *err)
{
    return tb__view_of(view, settings, photo, err);
}

const tb_outcome *tb_flow_outcome(const tb_flow *flow)
{
    return &flow->outcome;
}
