/* app/model/papers.c: see papers.h. */
#include "app/model/papers.h"

#include "app/model/errors.h"
#include "app/model/library.h"
#include "base/alloc.h"
#include "facts/stock.h"
#include "flow/deliver.h"
#include "flow/local.h"
#include "flow/notes.h"
#include "flow/output.h"
#include "flow/sawing.h"
#include "flow/title.h"

#include <glib/gi18n.h>
#include <string.h>

typedef struct {
    tb_papers_wish wish;
    tb_result *result;
    tb_settings settings;
    tb_words words;
    tb_language language;
    tb_stock stock;
    tb_sheet_account account;
    tb_plan *plan;
    tb_sheet_note *notes;
    size_t n_notes;
    char title[TB_WORDS_ROOM];
    bool look;
    tb_leaves *leaves;        /* of a look */
    tb_photo_info photo_info; /* of a set */
    const uint8_t *photo;     /* the project's */
    size_t n_photo;
} making;

static void making_free(making *m)
{
    tb_result_release(m->result);
    tb_plan_free(m->plan);
    tb_leaves_free(m->leaves);
    tb_free(m->notes);
    g_free(m->wish.path);
    g_free(m);
}

static tb_status draw(tb_bytes *bytes, making *m, const tb_outline *outline, tb_error *err)
{
    tb_job job = {.n_threads = (int)MIN(g_get_num_processors(), 8)};
    tb_status status = tb_sawing_plan(
            &m->plan, m->result->inspection, m->result->pattern, &m->settings, &job, err);
    if (status)
        return status;
    tb_remark remark = tb_sawing_remark(m->plan->fit, &m->settings, m->wish.sheet.unit);
    tb_sheet_content content = {.mask = m->result->pattern,
            .language = m->language.tag,
            .local = tb_local,
            .outline = outline,
            .inspection = m->result->inspection,
            .plan = m->plan,
            .notes = m->notes,
            .n_notes = m->n_notes,
            .remark = remark.text,
            .title = m->title,
            .designer = m->words.designer,
            .credit = m->words.credit,
            .permission = m->words.permission,
            .stock = m->stock.title,
            .blade = m->settings.blade,
            .species = m->stock.name,
            .thickness_mm = m->stock.thickness_mm,
            .grain_rad = m->settings.grain_rad};
    if (m->look)
        return tb_leaves_draw(&m->leaves, &m->account, &content, &m->wish.sheet, &job, err);
    if (!m->wish.share)
        return tb_sheets_pdf(bytes, &m->account, &content, &m->wish.sheet, &job, err);
    const char *dot = strrchr(m->wish.path, '.');
    m->wish.copy.credit = m->words.credit;
    if (!dot || !tb_share_kind_parse(&m->wish.copy.kind, dot + 1))
        return tb_fail(err, TB_EINVAL, "the name ends in none of .jpg, .png, .svg and .pdf");
    return tb_share(bytes, NULL, &content, &m->wish.copy, &job, err);
}

/* What the flow would say came of it, as far as the files ask. */
static tb_outcome outcome_of(const making *m)
{
    const tb_result *r = m->result;
    return (tb_outcome){.photo = m->photo_info,
            .width_mm = r->width_mm,
            .height_mm = r->height_mm,
            .px_per_mm = r->pattern->px_per_mm,
            .evening = r->evening,
            .limits = r->limits,
            .split = r->untied,
            .pattern = r->pattern,
            .tie = r->tie,
            .inspection = r->inspection};
}

static tb_status make_set(making *m, tb_error *err)
{
    tb_job job = {.n_threads = (int)MIN(g_get_num_processors(), 8)};
    tb_outcome outcome = outcome_of(m);
    tb_project_start start = {
            .photo = m->photo, .n_photo = m->n_photo, .settings = m->settings, .words = m->words};
    tb_delivery delivery = {&outcome, &start, m->wish.sheet.unit};
    tb_outputs *set;
    json_t *report = NULL;
    tb_status status = tb_outputs_new(&set, false, err);
    if (status)
        return status;
    status = tb_outputs_folder(set, m->wish.path, err);
    if (!status)
        status = tb_deliver(&report, set, m->wish.path, &delivery, &job, err);
    if (!status)
        status = tb_outputs_commit(set, err);
    json_decref(report);
    tb_outputs_free(set);
    return status;
}

/* A folder that is not there yet: "keeper", "keeper 2". */
static char *new_folder(const char *parent, TbWork *work)
{
    g_autofree char *base = tb_library_name(tb_project_path(tb_work_project(work)));
    for (int i = 1;; i++) {
        g_autofree char *name = i == 1 ? g_strdup(base) : g_strdup_printf("%s %d", base, i);
        g_autofree char *path = g_build_filename(parent, name, NULL);
        if (!g_file_test(path, G_FILE_TEST_EXISTS))
            return g_steal_pointer(&path);
    }
}

static void make_cb(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    making *m = payload;
    tb_error err = {0};
    tb_bytes bytes = {0};
    tb_outline *outline = NULL;
    tb_outline_options options = TB_OUTLINE_OPTIONS_INIT;
    tb_job job = {.n_threads = (int)MIN(g_get_num_processors(), 8)};
    (void)source;
    (void)cancellable;
    options.turn_mm = m->result->limits.turn_radius_mm;
    tb_status status = tb_stock_find(&m->stock, m->settings.stock, &err);
    if (m->wish.set)
        status = status ? status : make_set(m, &err);
    else if (!status)
        status = tb_outline_trace(&outline, m->result->pattern, &options, &job, &err);
    if (!status && !m->wish.set)
        status = draw(&bytes, m, outline, &err);
    if (!status && !m->look && !m->wish.set)
        status = tb_outputs_replace(m->wish.path, bytes.data, bytes.n, &err);
    tb_bytes_clear(&bytes);
    tb_outline_free(outline);
    if (status) {
        GError *error = NULL;
        tb_work_error_set(&error, &err);
        g_task_return_error(task, error);
    } else {
        g_task_return_boolean(task, TRUE);
    }
}

static void start(TbWork *work, const tb_papers_wish *wish, bool look, GAsyncReadyCallback done_cb,
        gpointer payload)
{
    GTask *task = g_task_new(work, NULL, done_cb, payload);
    const tb_work_pattern *pattern = tb_work_pattern_now(work);
    making *m = g_new0(making, 1);
    m->wish = *wish;
    m->look = look;
    m->language = tb_local_language();
    m->wish.path = wish->set ? new_folder(wish->path, work) : g_strdup(wish->path);
    m->settings = tb_work_state(work)->settings;
    m->words = tb_work_state(work)->words;
    m->photo_info = *tb_work_photo_info(work);
    const char *name = NULL;
    bool photo = !tb_project_photo(tb_work_project(work), &m->photo, &m->n_photo, &name, NULL);
    bool notes =
            !tb_notes_for_sheets(&m->notes, &m->n_notes, tb_work_state(work), &m->photo_info, NULL);
    tb_title_of(m->title, m->words.title, name);
    g_task_set_task_data(task, m, (GDestroyNotify)making_free);
    if (*tb_work_trouble(work)) {
        g_task_return_new_error(task, TB_WORK_ERROR, TB_EUNSAWABLE, "%s", tb_work_trouble(work));
    } else if (!pattern || pattern->coarse || !photo || !notes) {
        g_task_return_new_error(
                task, TB_WORK_ERROR, TB_EINVAL, _("the pattern is still being worked out"));
    } else {
        m->result = tb_result_hold(pattern->result);
        g_task_run_in_thread(task, make_cb);
    }
    g_object_unref(task);
}

void tb_papers_make_async(
        TbWork *work, const tb_papers_wish *wish, GAsyncReadyCallback done_cb, gpointer payload)
{
    start(work, wish, false, done_cb, payload);
}

void tb_papers_look_async(
        TbWork *work, const tb_papers_wish *wish, GAsyncReadyCallback done_cb, gpointer payload)
{
    start(work, wish, true, done_cb, payload);
}

TbPages *tb_papers_look_finish(TbWork *work, GAsyncResult *result, GError **error)
{
    making *m = g_task_get_task_data(G_TASK(result));
    (void)work;
    if (!g_task_propagate_boolean(G_TASK(result), error))
        return NULL;
    return tb_pages_new_take(g_steal_pointer(&m->leaves), &m->account);
}

bool tb_papers_make_finish(
        TbWork *work, GAsyncResult *result, tb_sheet_account *account, GError **error)
{
    making *m = g_task_get_task_data(G_TASK(result));
    *account = m->account;
    if (!g_task_propagate_boolean(G_TASK(result), error))
        return false;
    if (!m->wish.set)
        return true;
    /* The set's project is this one, with every stroke and its history. */
    g_autofree char *path = g_build_filename(m->wish.path, "project.tombolo", NULL);
    tb_error err = {0};
    if (tb_project_copy(tb_work_project(work), path, true, &err) == TB_OK)
        return true;
    tb_work_error_set(error, &err);
    return false;
}

const char *tb_papers_path(GAsyncResult *result)
{
    const making *m = g_task_get_task_data(G_TASK(result));
    return m->wish.path;
}
