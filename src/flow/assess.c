/* flow/assess.c: see assess.h. */
#include "flow/assess.h"

#include "base/alloc.h"
#include "flow/notes.h"
#include "flow/sawing.h"
#include "flow/stage_limits.h"
#include "flow/title.h"
#include "project/project.h"

#include <math.h>
#include <string.h>
#include <time.h>

enum { MAX_FILE_BYTES = 512000000 };

static double now_ms(void)
{
    struct timespec t;
    timespec_get(&t, TIME_UTC);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static void note_time(tb_assessment *a, const char *name, double started)
{
    a->timings[a->n_timings++] = (tb_timing){name, now_ms() - started};
}

static tb_status set_name(char to[TB_NAME_ROOM], const char *what, const char *name, tb_error *err)
{
    if (!name)
        return TB_OK;
    if (strlen(name) >= TB_NAME_ROOM)
        return tb_fail(err, TB_EINVAL, "there is no %s '%.60s…'", what, name);
    strcpy(to, name);
    return TB_OK;
}

tb_status tb_wish(tb_settings *settings, tb_limits *limits, const tb_wishes *wishes, tb_error *err)
{
    tb_status status = set_name(settings->stock, "stock", wishes->stock, err);
    if (!status)
        status = set_name(settings->blade, "blade", wishes->blade, err);
    if (wishes->bridge_mm > 0)
        settings->bridge_mm = wishes->bridge_mm;
    if (wishes->has_grain)
        settings->grain_rad = wishes->grain_rad;
    if (wishes->split_line)
        settings->split_line = 1;
    if (wishes->has_order)
        settings->saw_order = wishes->order;
    if (!status)
        status = tb__settings_check(settings, err);
    return status ? status : tb__limits_of(limits, settings, err);
}

/* ---- pictures ------------------------------------------------------------------------------- */

static tb_status inspect(tb_assessment *a, const tb_job *job, tb_error *err)
{
    double started = now_ms();
    tb_status status = tb_inspect(&a->own_inspection, a->pattern, &a->limits, job, err);
    a->inspection = a->own_inspection;
    note_time(a, "inspect", started);
    return status;
}

static tb_status assess_picture(tb_assessment *a, const uint8_t *bytes, size_t n_bytes,
        const tb_wishes *wishes, const tb_job *job, tb_error *err)
{
    a->settings = (tb_settings)TB_SETTINGS_INIT;
    double started = now_ms();
    tb_status status = tb_wish(&a->settings, &a->limits, wishes, err);
    tb_picture_options options = {wishes->width_mm, wishes->height_mm, wishes->wood};
    if (!status)
        status = tb_picture_read(&a->own_pattern, &a->picture, bytes, n_bytes, &options, job, err);
    note_time(a, "read", started);
    if (!status && a->picture.at_angle)
        status = tb_fail(err, TB_EINVAL,
                "this picture was taken at an angle: give both --width and --height, so that it "
                "can be "
                "set square, or scan it");
    else if (!status && a->picture.wood_in_doubt)
        status = tb_fail(err, TB_EINVAL,
                "dark or light may be the wood here: say which, as --wood dark or --wood light");
    if (status)
        return status;
    a->pattern = a->own_pattern;
    a->px_per_mm = a->pattern->px_per_mm;
    a->width_mm = a->settings.width_mm = a->pattern->width_px / a->px_per_mm;
    a->height_mm = a->settings.height_mm = a->pattern->height_px / a->px_per_mm;
    return inspect(a, job, err);
}

/* ---- projects ------------------------------------------------------------------------------- */

bool tb_is_project(const uint8_t *bytes, size_t n_bytes)
{
    static const char MAGIC[] = "SQLite format 3";
    return n_bytes >= sizeof MAGIC && memcmp(bytes, MAGIC, sizeof MAGIC) == 0;
}

static void take_outcome(tb_assessment *a, tb_flow *flow)
{
    const tb_outcome *outcome = tb_flow_outcome(flow);
    a->result = tb_flow_result(flow);
    a->pattern = a->result->pattern;
    a->inspection = a->result->inspection;
    a->tie = a->result->tie;
    a->limits = a->result->limits;
    a->px_per_mm = a->pattern->px_per_mm;
    a->width_mm = a->result->width_mm;
    a->height_mm = a->result->height_mm;
    for (int i = 0; i < TB_N_STAGES; i++)
        a->timings[a->n_timings++] = (tb_timing){tb_stage_name(i), outcome->ms[i]};
}

static tb_status run_flow(tb_assessment *a, tb_project *project, const tb_job *job, tb_error *err)
{
    const tb_project_state *state = tb_project_state_now(project);
    const uint8_t *photo;
    const char *photo_name = NULL;
    size_t n_photo;
    tb_flow *flow = NULL;
    a->settings = state->settings;
    a->words = state->words;
    tb_status status = tb_project_photo(project, &photo, &n_photo, &photo_name, err);
    tb_title_of(a->title, a->words.title, photo_name);
    if (!status)
        status = tb_flow_new(&flow, photo, n_photo, err);
    if (!status)
        status = tb_flow_set(flow, &state->settings, err);
    if (!status)
        status = tb_flow_set_strokes(flow, state->strokes, state->n_strokes, err);
    if (!status)
        status = tb_flow_update(flow, job, err);
    if (!status)
        status = tb_notes_for_sheets(
                &a->notes, &a->n_notes, state, &tb_flow_outcome(flow)->photo, err);
    if (!status)
        take_outcome(a, flow);
    tb_flow_free(flow);
    return status;
}

/* What wishes can change of them. */
static bool same_measures(const tb_settings *a, const tb_settings *b)
{
    return strcmp(a->stock, b->stock) == 0 && strcmp(a->blade, b->blade) == 0 &&
           a->bridge_mm == b->bridge_mm && a->grain_rad == b->grain_rad &&
           a->split_line == b->split_line;
}

/* Wishes change what the pattern is measured against, not the pattern. */
static tb_status measure_anew(
        tb_assessment *a, const tb_wishes *wishes, const tb_job *job, tb_error *err)
{
    tb_settings settings = a->settings;
    tb_status status = tb_wish(&settings, &a->limits, wishes, err);
    bool same = same_measures(&settings, &a->settings);
    a->settings = settings;
    if (status || same)
        return status;
    a->n_timings--;
    return inspect(a, job, err);
}

static tb_status assess_project(tb_assessment *a, const char *path, const tb_wishes *wishes,
        const tb_job *job, tb_error *err)
{
    tb_project *project;
    a->is_project = true;
    double started = now_ms();
    tb_status status = tb_project_open(&project, path, false, err);
    note_time(a, "read", started);
    if (status)
        return status;
    status = run_flow(a, project, job, err);
    tb_project_close(project);
    return status ? status : measure_anew(a, wishes, job, err);
}

/* ---- both ----------------------------------------------------------------------------------- */

tb_status tb_assess(tb_assessment **out, const char *path, const tb_wishes *wishes,
        const tb_job *job, tb_error *err)
{
    uint8_t *bytes = NULL;
    size_t n_bytes;
    tb_assessment *a = tb_calloc(1, sizeof *a);
    *out = NULL;
    if (!a)
        return tb_fail_memory(err);
    tb_status status = tb_file_read(&bytes, &n_bytes, path, MAX_FILE_BYTES, err);
    if (!status && tb_is_project(bytes, n_bytes)) {
        tb_free(bytes);
        bytes = NULL;
        status = assess_project(a, path, wishes, job, err);
    } else if (!status) {
        status = assess_picture(a, bytes, n_bytes, wishes, job, err);
    }
    if (!status && !*a->title)
        tb_title_of(a->title, NULL, path);
    if (!status)
        status = tb_sawing_plan(&a->plan, a->inspection, a->pattern, &a->settings, job, err);
    tb_free(bytes);
    if (status)
        tb_assessment_free(a);
    else
        *out = a;
    return status;
}

void tb_assessment_free(tb_assessment *a)
{
    if (!a)
        return;
    tb_mask_free(a->own_pattern);
    tb_inspection_free(a->own_inspection);
    tb_plan_free(a->plan);
    tb_free(a->notes);
    if (a->result)
        tb_result_release(a->result);
    tb_free(a);
}

void tb_assessment_forget(tb_assessment *a)
{
    tb_mask_free(a->own_pattern);
    a->own_pattern = NULL;
    a->pattern = NULL;
}

tb_report tb_assessment_report(const tb_assessment *a, const char *file)
{
    return (tb_report){.file = file,
            .width_mm = a->width_mm,
            .height_mm = a->height_mm,
            .px_per_mm = a->px_per_mm,
            .stock = a->settings.stock,
            .blade = a->settings.blade,
            .limits = &a->limits,
            .inspection = a->inspection,
            .tie = a->tie,
            .plan = a->plan,
            .remark = tb_sawing_remark(a->plan->fit, &a->settings, TB_UNIT_MM),
            .has_photo = a->is_project,
            .photo_mm = {0, 0, a->width_mm, a->height_mm},
            .timings = a->timings,
            .n_timings = a->n_timings};
}
