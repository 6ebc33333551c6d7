/* flow/deliver.c: see deliver.h.
 *
 * The outline is traced on all threads, and what needs none is made beside it; after it every
 * file is made on a thread of its own, the longest first. Everything but the project is made in
 * memory and written at the end, so that a file system that is slow or full is met once.
 */
#define _POSIX_C_SOURCE 200809L
#include "flow/deliver.h"

#include "base/alloc.h"
#include "facts/paper.h"
#include "facts/stock.h"
#include "flow/local.h"
#include "flow/sawing.h"
#include "flow/title.h"
#include "project/history.h"
#include "sheet/picture.h"
#include "sheet/sheet.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { MAX_TIMINGS = TB_N_STAGES + 8 };

typedef struct {
    const tb_delivery *delivery;
    const char *project_path;
    tb_outline *outline;
    tb_stock stock;
    tb_plan *plan;
    tb_remark remark;
    tb_language language;
    char title[TB_WORDS_ROOM];
    tb_sheet_content content;
    tb_sheet_options sheet_options;
} bench;

typedef tb_status task_cb(tb_bytes *out, bench *b, const tb_job *job, tb_error *err);

typedef struct {
    const char *name, *file; /* of its timing; in the folder, NULL: it writes none */
    task_cb *task_cb;
    tb_bytes bytes;
    double ms;
    tb_status status;
    tb_error err;
} task;

static double now_ms(void)
{
    struct timespec t;
    timespec_get(&t, TIME_UTC);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static tb_status pattern_png(tb_bytes *out, bench *b, const tb_job *job, tb_error *err)
{
    (void)job;
    return tb_picture_png(out, b->content.mask, err);
}

static tb_status project(tb_bytes *out, bench *b, const tb_job *job, tb_error *err)
{
    enum { SMALL_PX = 320 };
    tb_project *made;
    tb_bytes small = {0};
    (void)out;
    tb_status status = tb_project_new(&made, b->delivery->project, err);
    if (!status)
        status = tb_preview_png(&small, &b->content, SMALL_PX, job, err);
    if (!status)
        status = tb_project_set_preview(made, small.data, small.n, err);
    if (!status)
        status = tb_project_copy(made, b->project_path, true, err);
    tb_bytes_clear(&small);
    tb_project_close(made);
    return status;
}

static tb_status sheets(tb_bytes *out, bench *b, const tb_job *job, tb_error *err)
{
    return tb_sheets_pdf(out, NULL, &b->content, &b->sheet_options, job, err);
}

static tb_status preview(tb_bytes *out, bench *b, const tb_job *job, tb_error *err)
{
    return tb_preview_png(out, &b->content, 0, job, err);
}

static tb_status share(tb_bytes *out, bench *b, const tb_job *job, tb_error *err)
{
    tb_share_options options = TB_SHARE_OPTIONS_INIT;
    options.credit = b->content.credit;
    return tb_share(out, NULL, &b->content, &options, job, err);
}

static tb_status svg(tb_bytes *out, bench *b, const tb_job *job, tb_error *err)
{
    (void)job;
    return tb_sheet_svg(out, &b->content, err);
}

static tb_status outline(tb_bytes *out, bench *b, const tb_job *job, tb_error *err)
{
    tb_outline_options options = TB_OUTLINE_OPTIONS_INIT;
    options.turn_mm = b->delivery->outcome->limits.turn_radius_mm;
    (void)out;
    tb_status status = tb_outline_trace(&b->outline, b->content.mask, &options, job, err);
    b->content.outline = b->outline;
    return status;
}

/* In the order in which they are begun: what takes longest first. The first few need no outline. */
static const task TASKS[] = {{.name = "outline", .task_cb = outline},
        {.name = "pattern_png", .file = "pattern.png", .task_cb = pattern_png},
        {.name = "project", .task_cb = project},
        {.name = "preview", .file = "preview.png", .task_cb = preview},
        {.name = "sheets", .file = "sheets.pdf", .task_cb = sheets},
        {.name = "share", .file = "share.jpg", .task_cb = share},
        {.name = "svg", .file = "pattern.svg", .task_cb = svg}};
enum { N_TASKS = sizeof TASKS / sizeof *TASKS, N_EARLY = 2 };
/* Written in ways of their own. */
static const char *const OTHERS[] = {"project.tombolo", "report.json"};

typedef struct {
    bench *bench;
    task *tasks;
    tb_job job; /* within a task: nobody is told how far it is */
} shift;

static void work(void *payload, size_t i)
{
    shift *s = payload;
    task *t = &s->tasks[i];
    double started = now_ms();
    t->status = t->task_cb(&t->bytes, s->bench, &s->job, &t->err);
    t->ms = now_ms() - started;
}

static tb_status run_tasks(
        bench *b, task *tasks, size_t n, int n_side_by_side, tb_job within, tb_error *err)
{
    tb_job outer = {.n_threads = n_side_by_side};
    shift s = {b, tasks, within};
    tb_job_each(&outer, n, work, &s);
    for (size_t i = 0; i < n; i++)
        if (tasks[i].status) {
            if (err)
                *err = tasks[i].err;
            return tasks[i].status;
        }
    return TB_OK;
}

/* One thread more than there are to calculate: the project's waits for the disk. */
static tb_status run_all(bench *b, task *tasks, const tb_job *job, tb_error *err)
{
    int n_threads = job ? job->n_threads : 1;
    tb_job quiet = {.n_threads = n_threads, .stop = job ? job->stop : NULL};
    tb_status status = run_tasks(b, tasks, N_EARLY, n_threads, quiet, err);
    quiet.n_threads = 1;
    if (!status)
        status = run_tasks(b, tasks + N_EARLY, N_TASKS - N_EARLY, n_threads + 1, quiet, err);
    return status;
}

static void path_in(char path[PATH_MAX], const char *folder, const char *file)
{
    size_t n = strlen(folder);
    snprintf(path, PATH_MAX, "%s%s%s", folder, n > 0 && folder[n - 1] == '/' ? "" : "/", file);
}

static tb_status add(tb_outputs *set, const char *folder, const task *t, tb_error *err)
{
    char path[PATH_MAX];
    if (!t->file)
        return TB_OK;
    path_in(path, folder, t->file);
    return tb_outputs_add(set, path, t->bytes.data, t->bytes.n, err);
}

static tb_status check(const tb_outputs *set, const char *folder, const char *file, tb_error *err)
{
    char path[PATH_MAX];
    if (!file)
        return TB_OK;
    path_in(path, folder, file);
    return tb_outputs_check(set, path, err);
}

tb_status tb_deliver_check(const tb_outputs *set, const char *folder, tb_error *err)
{
    tb_status status = TB_OK;
    for (int i = 0; i < N_TASKS && !status; i++)
        status = check(set, folder, TASKS[i].file, err);
    for (size_t i = 0; i < sizeof OTHERS / sizeof *OTHERS && !status; i++)
        status = check(set, folder, OTHERS[i], err);
    return status;
}

static tb_status lay_out(bench *b, const tb_delivery *delivery, tb_error *err)
{
    const tb_outcome *outcome = delivery->outcome;
    const tb_project_start *start = delivery->project;
    const tb_paper *paper = tb_paper_find(start->settings.paper);
    if (!paper)
        return tb_fail(err, TB_EINVAL, "there is no paper '%.40s'", start->settings.paper);
    tb_status status = tb_stock_find(&b->stock, start->settings.stock, err);
    if (status)
        return status;
    status = tb_sawing_plan(
            &b->plan, outcome->inspection, outcome->pattern, &start->settings, NULL, err);
    if (status)
        return status;
    b->delivery = delivery;
    tb_title_of(b->title, start->words.title, start->photo_name);
    b->remark = tb_sawing_remark(b->plan->fit, &start->settings, delivery->unit);
    b->language = tb_local_language();
    b->content = (tb_sheet_content){.mask = outcome->pattern,
            .language = b->language.tag,
            .local = tb_local,
            .inspection = outcome->inspection,
            .plan = b->plan,
            .remark = b->remark.text,
            .title = b->title,
            .designer = start->words.designer,
            .credit = start->words.credit,
            .permission = start->words.permission,
            .stock = b->stock.title,
            .blade = start->settings.blade,
            .species = b->stock.name,
            .thickness_mm = b->stock.thickness_mm,
            .grain_rad = start->settings.grain_rad};
    b->sheet_options = (tb_sheet_options)TB_SHEET_OPTIONS_INIT;
    b->sheet_options.paper_w_mm = paper->width_mm;
    b->sheet_options.paper_h_mm = paper->height_mm;
    b->sheet_options.unit = delivery->unit;
    return TB_OK;
}

static tb_status report_of(json_t **out, const bench *b, const task *tasks, tb_error *err)
{
    const tb_outcome *o = b->delivery->outcome;
    tb_timing timings[MAX_TIMINGS];
    size_t n = 0;
    for (int i = 0; i < TB_N_STAGES; i++)
        timings[n++] = (tb_timing){tb_stage_name(i), o->ms[i]};
    for (int i = 0; i < N_TASKS; i++)
        timings[n++] = (tb_timing){tasks[i].name, tasks[i].ms};
    tb_report report = {.width_mm = o->width_mm,
            .height_mm = o->height_mm,
            .px_per_mm = o->px_per_mm,
            .stock = b->delivery->project->settings.stock,
            .blade = b->delivery->project->settings.blade,
            .limits = &o->limits,
            .inspection = o->inspection,
            .tie = o->tie,
            .plan = b->plan,
            .remark = tb_sawing_remark(b->plan->fit, &b->delivery->project->settings, TB_UNIT_MM),
            .has_photo = true,
            .photo_mm = {0, 0, o->width_mm, o->height_mm},
            .timings = timings,
            .n_timings = n};
    return tb_report_json(out, &report, err);
}

static tb_status add_report(
        tb_outputs *set, const char *folder, const json_t *report, tb_error *err)
{
    char path[PATH_MAX], *text;
    path_in(path, folder, "report.json");
    tb_status status = tb_json_text(&text, report, false, err);
    if (!status)
        status = tb_outputs_add(set, path, text, strlen(text), err);
    free(text);
    return status;
}

tb_status tb_deliver(json_t **report, tb_outputs *set, const char *folder,
        const tb_delivery *delivery, const tb_job *job, tb_error *err)
{
    bench b = {0};
    task tasks[N_TASKS];
    char path[PATH_MAX];
    memcpy(tasks, TASKS, sizeof TASKS);
    *report = NULL;
    path_in(path, folder, "project.tombolo");
    tb_status status = lay_out(&b, delivery, err);
    if (!status)
        status = tb_outputs_reserve(set, path, &b.project_path, err);
    if (!status)
        status = run_all(&b, tasks, job, err);
    for (int i = 0; i < N_TASKS && !status; i++)
        status = add(set, folder, &tasks[i], err);
    if (!status)
        status = report_of(report, &b, tasks, err);
    if (!status)
        status = add_report(set, folder, *report, err);
    for (int i = 0; i < N_TASKS; i++)
        tb_bytes_clear(&tasks[i].bytes);
    tb_outline_free(b.outline);
    tb_plan_free(b.plan);
    if (status) {
        json_decref(*report);
        *report = NULL;
    }
    return status;
}
