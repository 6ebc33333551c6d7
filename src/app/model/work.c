/* app/model/work.c: see work.h.
 *
 * The worker owns both flows while it runs; the main thread never touches them then. What it hands
 * over is held by count and does not change any more.
 */
#include "app/model/work.h"

#include "app/model/errors.h"
#include "app/model/strength.h"
#include "base/alloc.h"
#include "flow/local.h"
#include "flow/notes.h"

#include <glib/gi18n.h>
#include <glib/gstdio.h>
#include <string.h>

static const double COARSE_PX_PER_MM = 4;
enum { SETTLE_MS = 330 };
/* What is overtaken is shown if it is done by then: whoever draws on without a rest sees something.
 */
enum { OVERTAKEN_MS = 400 };
enum { MOMENT_US = 30000 }; /* of the main loop: nobody notices */

typedef struct {
    tb_flow *exact, *coarse; /* these fields belong to the worker while one runs */
    atomic_bool stop;        /* for good */
    atomic_bool overtaken;   /* what runs now */
    atomic_int permille;     /* of what runs now, as far as it is */
} flows;

struct _TbWork {
    GObject parent_instance;

    tb_project *project;
    tb_photo_info photo_info;
    tb_note *notes; /* as they lie now; NULL: not asked for since the last change */
    flows flows;

    tb_work_pattern pattern;
    tb_picture *photo_picture, *whole_photo;
    tb_picture *strength;   /* of strength_of */
    tb_result *strength_of; /* held */
    bool weighing;
    char trouble[2 * sizeof((tb_error *)0)->text]; /* in the user's language */

    bool running;
    int64_t started_us;
    guint overtaking;
    unsigned halted; /* number of the state that was not wanted any more */
    /* Serial numbers of states: the newest; the last answered, if only coarsely; the last exactly.
     */
    unsigned wanted, answered, shown;
    bool dragging;
    unsigned drag;   /* number of the last drag */
    bool begun;      /* the project was made here and now */
    bool refused;    /* no pattern can be made of it as it is */
    size_t n_undone; /* as last seen */
    guint settle;
};

G_DEFINE_FINAL_TYPE(TbWork, tb_work, G_TYPE_OBJECT)

enum { CHANGED, PATTERN, PHOTO, BUSY, SET_ASIDE, TROUBLE, N_SIGNALS };
static guint signals[N_SIGNALS];

/* ---- the worker ----------------------------------------------------------------------------- */

typedef struct {
    tb_flow *flow; /* borrowed: exact or coarse */
    flows *flows;
    bool coarse;
    unsigned serial;
    tb_settings settings;
    tb_drawn *strokes;
    tb_settings *framed; /* one for each stroke */
    size_t n_strokes;
    /* what came of it */
    tb_work_pattern pattern;
    tb_picture *photo_picture;
    bool want_photo;
    tb_error err;
} request;

static void request_free(request *r)
{
    for (size_t i = 0; i < r->n_strokes; i++)
        tb_stroke_clear(&r->strokes[i].stroke);
    g_free(r->strokes);
    g_free(r->framed);
    tb_result_release(r->pattern.result);
    tb_picture_free(r->pattern.picture);
    tb_picture_free(r->photo_picture);
    g_free(r);
}

/* About where each stage begins, of a picture of some megapixels. The tie tells of its rounds. */
static void progress_cb(void *payload, const char *stage, double share)
{
    static const int BEGINS[TB_N_STAGES + 1] = {0, 150, 300, 350, 450, 450, 900, 1000};
    flows *f = payload;
    int at = 0;
    for (int i = 0; i < TB_N_STAGES; i++)
        if (g_str_equal(stage, tb_stage_name((tb_stage)i)))
            at = BEGINS[i];
    if (at == BEGINS[TB_STAGE_TIE] && share != (double)TB_STAGE_TIE / TB_N_STAGES)
        at += (int)(share * (BEGINS[TB_STAGE_TIE + 1] - BEGINS[TB_STAGE_TIE]));
    if (at > atomic_load(&f->permille))
        atomic_store(&f->permille, at);
}

static void run_request(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    request *r = payload;
    tb_job job = {.n_threads = MIN((int)g_get_num_processors(), 8),
            .stop = &r->flows->overtaken,
            .progress_cb = progress_cb,
            .payload = r->flows};
    (void)source;
    (void)cancellable;
    tb_status status = tb_flow_set(r->flow, &r->settings, &r->err);
    if (!status)
        status = tb_flow_set_strokes(r->flow, r->strokes, r->n_strokes, &r->err);
    if (!status && r->coarse)
        status = tb_flow_sketch(&r->pattern.result, r->flow, &job, &r->err);
    else if (!status)
        status = tb_flow_update(r->flow, &job, &r->err);
    const tb_outcome *outcome = tb_flow_outcome(r->flow);
    if (r->want_photo && outcome->lightness)
        r->photo_picture = tb_picture_of_lightness(outcome->lightness);
    if (!status) {
        if (!r->coarse)
            r->pattern.result = tb_flow_result(r->flow);
        r->pattern.picture = tb_picture_of_mask(r->pattern.result->pattern);
        r->pattern.settings = r->settings;
        r->pattern.coarse = r->coarse;
    }
    g_task_return_boolean(task, TRUE);
}

static void start_next(TbWork *self);

static void set_running(TbWork *self, bool running)
{
    if (self->running == running)
        return;
    self->running = running;
    g_signal_emit(self, signals[BUSY], 0);
}

static void show_trouble(TbWork *self, request *r, const char *text)
{
    g_strlcpy(self->trouble, text, sizeof self->trouble);
    self->answered = self->shown = r->serial;
    g_signal_emit(self, signals[TROUBLE], 0, text);
}

static void show_pattern(TbWork *self, request *r)
{
    tb_result_release(self->pattern.result);
    tb_picture_free(self->pattern.picture);
    self->pattern = r->pattern;
    r->pattern = (tb_work_pattern){0};
    self->trouble[0] = '\0';
    self->answered = r->serial;
    self->shown = r->coarse ? self->shown : r->serial;
    g_signal_emit(self, signals[PATTERN], 0);
}

static void request_done_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    TbWork *self = TB_WORK(source);
    request *r = g_task_get_task_data(G_TASK(result));
    (void)payload;
    self->running = false;
    g_clear_handle_id(&self->overtaking, g_source_remove);
    /* The bench lays both over each other: none without the other, unless there is nothing yet. */
    if (r->photo_picture && (r->pattern.picture || !self->pattern.result)) {
        tb_picture_free(self->photo_picture);
        self->photo_picture = g_steal_pointer(&r->photo_picture);
        g_signal_emit(self, signals[PHOTO], 0);
    }
    if (r->pattern.picture) {
        show_pattern(self, r);
    } else if (r->err.code != TB_ECANCELLED) {
        g_autofree char *text = tb_local(r->err.text);
        self->refused = r->err.code != TB_ENOMEM;
        show_trouble(self, r, text);
    } else if (self->halted == self->wanted && !atomic_load(&self->flows.stop)) {
        r->serial = self->wanted;
        show_trouble(self, r, _("stopped: there is no pattern of the last change"));
    }
    start_next(self);
    if (!self->running)
        g_signal_emit(self, signals[BUSY], 0);
}

/* The pattern of a large board is coarse by itself: another grid would save nothing, and take as
 * much memory again. */
static bool finer_than_coarse(TbWork *self, const tb_settings *settings)
{
    tb_photo_view view;
    return tb_flow_view(&view, settings, &self->photo_info, NULL) ||
           view.px_per_mm > 1.5 * COARSE_PX_PER_MM;
}

static request *request_new(TbWork *self)
{
    const tb_project_state *state = tb_project_state_now(self->project);
    request *r = g_new0(request, 1);
    bool coarsened = self->dragging && finer_than_coarse(self, &state->settings);
    r->coarse = self->dragging;
    r->flow = coarsened ? self->flows.coarse : self->flows.exact;
    r->flows = &self->flows;
    r->serial = self->wanted;
    r->settings = state->settings;
    if (coarsened)
        r->settings.px_per_mm = MIN(COARSE_PX_PER_MM, r->settings.px_per_mm);
    r->strokes = g_new0(tb_drawn, MAX(state->n_strokes, 1));
    r->framed = g_new(tb_settings, MAX(state->n_strokes, 1));
    for (size_t i = 0; i < state->n_strokes; i++) {
        r->framed[i] = *state->strokes[i].framed;
        r->strokes[i].id = state->strokes[i].id;
        r->strokes[i].framed = &r->framed[i];
        if (tb_stroke_copy(&r->strokes[i].stroke, &state->strokes[i].stroke, NULL))
            break;
        r->n_strokes++;
    }
    r->want_photo = true;
    return r;
}

static void start_next(TbWork *self)
{
    unsigned known = self->dragging ? self->answered : self->shown;
    if (self->running || self->wanted == known || atomic_load(&self->flows.stop))
        return;
    request *r = request_new(self);
    GTask *task = g_task_new(self, NULL, request_done_cb, NULL);
    g_task_set_task_data(task, r, (GDestroyNotify)request_free);
    self->started_us = g_get_monotonic_time();
    atomic_store(&self->flows.overtaken, false);
    atomic_store(&self->flows.permille, 0);
    set_running(self, true);
    g_task_run_in_thread(task, run_request);
    g_object_unref(task);
}

static gboolean overtaken_cb(gpointer payload)
{
    TbWork *self = payload;
    self->overtaking = 0;
    atomic_store(&self->flows.overtaken, true);
    return G_SOURCE_REMOVE;
}

/* Another state is wanted: what runs for the one before has only moments left. */
static void run_newest(TbWork *self)
{
    self->wanted++;
    int64_t ran_ms = (g_get_monotonic_time() - self->started_us) / 1000;
    if (self->running && !self->overtaking)
        self->overtaking = g_timeout_add(
                (guint)CLAMP(OVERTAKEN_MS - ran_ms, 0, OVERTAKEN_MS), overtaken_cb, self);
    start_next(self);
}

/* ---- the whole photograph, beside the flow ----------------------------------------------------
 */

enum { WHOLE_MOST_PX = 1600 };

typedef struct {
    const uint8_t *bytes; /* the project's */
    size_t n_bytes;
    tb_photo_view view;
} whole_look;

static void look_at_whole(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    const whole_look *look = payload;
    tb_job job = {.n_threads = 1};
    tb_plane *lightness;
    (void)source;
    (void)cancellable;
    if (tb_photo_tone(&lightness, look->bytes, look->n_bytes, &look->view, &job, NULL) != TB_OK) {
        g_task_return_pointer(task, NULL, NULL);
        return;
    }
    g_task_return_pointer(
            task, tb_picture_of_lightness(lightness), (GDestroyNotify)tb_picture_free);
    tb_plane_free(lightness);
}

static void whole_seen_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    TbWork *self = TB_WORK(source);
    (void)payload;
    self->whole_photo = g_task_propagate_pointer(G_TASK(result), NULL);
    if (self->whole_photo)
        g_signal_emit(self, signals[PHOTO], 0);
}

static void start_look(TbWork *self, const uint8_t *bytes, size_t n_bytes)
{
    GTask *task = g_task_new(self, NULL, whole_seen_cb, NULL);
    whole_look *look = g_new(whole_look, 1);
    double w = self->photo_info.width_px, h = self->photo_info.height_px;
    double share = MIN(1, WHOLE_MOST_PX / MAX(w, h));
    *look = (whole_look){bytes, n_bytes,
            {0, 0, w, h, 0, (int)MAX(1, w * share), (int)MAX(1, h * share), COARSE_PX_PER_MM}};
    g_task_set_task_data(task, look, g_free);
    g_task_run_in_thread(task, look_at_whole);
    g_object_unref(task);
}

/* ---- strength, when somebody looks at it ------------------------------------------------------
 */

typedef struct {
    tb_result *result;
    atomic_bool *stop;
} weighing;

static void weighing_free(gpointer payload)
{
    weighing *w = payload;
    tb_result_release(w->result);
    g_free(w);
}

static void weigh(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    weighing *w = payload;
    tb_job job = {.n_threads = MIN((int)g_get_num_processors(), 8), .stop = w->stop};
    (void)source;
    (void)cancellable;
    g_task_return_pointer(task,
            tb_picture_of_strength(
                    w->result->pattern, w->result->inspection, &w->result->limits, &job),
            (GDestroyNotify)tb_picture_free);
}

static void weighed_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    TbWork *self = TB_WORK(source);
    weighing *w = g_task_get_task_data(G_TASK(result));
    tb_picture *strength = g_task_propagate_pointer(G_TASK(result), NULL);
    (void)payload;
    self->weighing = false;
    if (!strength)
        return;
    tb_picture_free(self->strength);
    tb_result_release(self->strength_of);
    self->strength = strength;
    self->strength_of = g_steal_pointer(&w->result);
    g_signal_emit(self, signals[PHOTO], 0);
}

const tb_picture *tb_work_strength(TbWork *self)
{
    tb_result *result = self->pattern.result;
    if (result && self->strength_of == result)
        return self->strength;
    if (!result || self->pattern.coarse || self->weighing || atomic_load(&self->flows.stop))
        return NULL;
    GTask *task = g_task_new(self, NULL, weighed_cb, NULL);
    weighing *w = g_new(weighing, 1);
    *w = (weighing){tb_result_hold(result), &self->flows.stop};
    self->weighing = true;
    g_task_set_task_data(task, w, weighing_free);
    g_task_run_in_thread(task, weigh);
    g_object_unref(task);
    return NULL;
}

/* Nothing was ever seen of it, and nothing was done to it. */
static bool is_futile(TbWork *self)
{
    const tb_project_state *state = tb_work_state(self);
    return self->begun && self->refused && !self->pattern.result && state->n_actions == 0 &&
           state->n_undone == 0;
}

void tb_work_stop(TbWork *self)
{
    if (is_futile(self))
        g_remove(tb_project_path(self->project));
    atomic_store(&self->flows.stop, true);
    atomic_store(&self->flows.overtaken, true);
}

double tb_work_progress(TbWork *self)
{
    return atomic_load(&self->flows.permille) / 1000.0;
}

static void state_changed(TbWork *self)
{
    run_newest(self);
    g_signal_emit(self, signals[CHANGED], 0);
}

/* ---- a project on the bench ------------------------------------------------------------------ */

static bool take_project(TbWork *self, GError **error)
{
    const uint8_t *bytes;
    size_t n_bytes;
    tb_error err = {0};
    tb_status status = tb_project_photo(self->project, &bytes, &n_bytes, NULL, &err);
    if (!status)
        status = tb_photo_look(&self->photo_info, bytes, n_bytes, &err);
    if (!status)
        status = tb_flow_new(&self->flows.exact, bytes, n_bytes, &err);
    if (!status)
        status = tb_flow_new(&self->flows.coarse, bytes, n_bytes, &err);
    if (status) {
        tb_work_error_set(error, &err);
        return false;
    }
    start_look(self, bytes, n_bytes);
    self->n_undone = tb_work_state(self)->n_undone;
    self->wanted = 1;
    start_next(self);
    return true;
}

TbWork *tb_work_open(const char *project_path, GError **error)
{
    g_autoptr(TbWork) self = g_object_new(TB_TYPE_WORK, NULL);
    tb_error err = {0};
    if (tb_project_open(&self->project, project_path, true, &err)) {
        tb_work_error_set(error, &err);
        return NULL;
    }
    return take_project(self, error) ? g_steal_pointer(&self) : NULL;
}

TbWork *tb_work_new_from_bytes(const char *name, const uint8_t *bytes, size_t n_bytes,
        const char *project_path, const tb_settings *settings, GError **error)
{
    g_autoptr(TbWork) self = g_object_new(TB_TYPE_WORK, NULL);
    tb_error err = {0};
    tb_project_start start = {.photo = bytes,
            .n_photo = n_bytes,
            .photo_name = name,
            .settings = settings ? *settings : (tb_settings)TB_SETTINGS_INIT};
    tb_photo_info info;
    /* A piece is called as its photograph is, until it is given a better name. */
    const char *dot = strrchr(name, '.');
    g_autofree char *stem = g_strndup(name, dot ? (size_t)(dot - name) : strlen(name));
    g_strlcpy(start.words.title, stem, sizeof start.words.title);
    tb_status status = tb_photo_look(&info, bytes, n_bytes, &err);
    if (!status)
        status = tb_project_create(&self->project, project_path, false, &start, &err);
    self->begun = !status;
    if (status) {
        tb_work_error_set(error, &err);
        return NULL;
    }
    return take_project(self, error) ? g_steal_pointer(&self) : NULL;
}

TbWork *tb_work_new_from_photo(const char *photo_path, const char *project_path,
        const tb_settings *settings, GError **error)
{
    g_autofree char *name = g_path_get_basename(photo_path);
    tb_error err = {0};
    uint8_t *bytes = NULL;
    size_t n_bytes;
    if (tb_file_read(&bytes, &n_bytes, photo_path, TB_PHOTO_MAX_BYTES, &err)) {
        tb_work_error_set(error, &err);
        return NULL;
    }
    TbWork *self = tb_work_new_from_bytes(name, bytes, n_bytes, project_path, settings, error);
    tb_free(bytes);
    return self;
}

const tb_project_state *tb_work_state(TbWork *self)
{
    return tb_project_state_now(self->project);
}

const tb_note *tb_work_notes(TbWork *self, size_t *n)
{
    const tb_project_state *state = tb_work_state(self);
    if (!self->notes && tb_notes_place(&self->notes, state, &self->photo_info, NULL))
        self->notes = NULL;
    *n = self->notes ? state->n_notes : 0;
    return self->notes;
}

tb_project *tb_work_project(TbWork *self)
{
    return self->project;
}

const tb_photo_info *tb_work_photo_info(TbWork *self)
{
    return &self->photo_info;
}

const tb_work_pattern *tb_work_pattern_now(TbWork *self)
{
    return self->pattern.result ? &self->pattern : NULL;
}

const tb_picture *tb_work_photo_picture(TbWork *self)
{
    return self->photo_picture;
}

const tb_picture *tb_work_whole_photo(TbWork *self)
{
    return self->whole_photo;
}

bool tb_work_busy(TbWork *self)
{
    return self->running;
}

bool tb_work_settled(TbWork *self)
{
    return !self->running && self->wanted == self->shown;
}

const char *tb_work_trouble(TbWork *self)
{
    return self->trouble;
}

const char *tb_work_remedy(TbWork *self)
{
    if (!*self->trouble)
        return "";
    return tb_work_state(self)->n_actions > 0
                   ? _("Undo the last change, or change something else.")
                   : _("Take another photograph, or another part of this one.");
}

/* ---- actions --------------------------------------------------------------------------------- */

/* Tells what came of an action; true when the project has another state. */
static bool acted(TbWork *self, tb_status status, const tb_error *err)
{
    g_clear_pointer(&self->notes, tb_free); /* after a failure too: the disk may have taken it */
    if (status) {
        g_autofree char *text = tb_local(err->text);
        g_signal_emit(self, signals[TROUBLE], 0, text);
        return false;
    }
    /* One redo brings back one: all at once they are left only by another change. */
    size_t n_undone = self->n_undone;
    self->n_undone = tb_work_state(self)->n_undone;
    if (n_undone > 1 && self->n_undone == 0)
        g_signal_emit(self, signals[SET_ASIDE], 0, (int)n_undone);
    state_changed(self);
    return true;
}

static void end_slide(TbWork *self)
{
    g_clear_handle_id(&self->settle, g_source_remove);
    self->dragging = false;
}

static gboolean settle_cb(gpointer payload)
{
    TbWork *self = payload;
    self->settle = 0;
    self->dragging = false;
    run_newest(self);
    return G_SOURCE_REMOVE;
}

void tb_work_halt(TbWork *self)
{
    if (!self->running)
        return;
    end_slide(self);
    self->halted = self->wanted;
    atomic_store(&self->flows.overtaken, true);
}

void tb_work_set(TbWork *self, const tb_settings *settings)
{
    tb_error err = {0};
    end_slide(self);
    acted(self, tb_project_set(self->project, settings, 0, &err), &err);
}

void tb_work_slide(TbWork *self, const tb_settings *settings)
{
    tb_error err = {0};
    if (!self->dragging)
        self->drag++;
    self->dragging = true;
    g_clear_handle_id(&self->settle, g_source_remove);
    self->settle = g_timeout_add(SETTLE_MS, settle_cb, self);
    acted(self, tb_project_set(self->project, settings, self->drag, &err), &err);
}

void tb_work_draw(TbWork *self, const tb_stroke *stroke)
{
    tb_error err = {0};
    acted(self, tb_project_draw(self->project, stroke, &err), &err);
}

tb_result *tb_work_inspected(TbWork *self)
{
    return self->pattern.coarse || *self->trouble ? NULL : self->pattern.result;
}

tb_result *tb_work_inspected_hold(TbWork *self)
{
    return tb_result_hold(tb_work_inspected(self));
}

/* Strokes that came since leave the finding where it was; settings may lay the board otherwise. */
static bool at_hand(TbWork *self, const tb_result *inspected, size_t finding)
{
    const tb_settings *asked = &tb_work_state(self)->settings;
    return inspected && inspected == tb_work_inspected(self) &&
           finding < inspected->inspection->n_findings &&
           (tb_work_settled(self) || memcmp(asked, &self->pattern.settings, sizeof *asked) == 0);
}

bool tb_work_mend(TbWork *self, const tb_result *inspected, size_t finding, const tb_stroke *stroke)
{
    tb_error err = {0};
    if (!at_hand(self, inspected, finding)) {
        g_signal_emit(self, signals[TROUBLE], 0,
                _("The pattern is another one now: wait until it has been looked over"));
        return false;
    }
    return acted(self, tb_project_draw(self->project, stroke, &err), &err);
}

int tb_work_draw_some(TbWork *self, const tb_stroke *strokes, size_t n)
{
    tb_error err = {0};
    tb_status status = TB_OK;
    int64_t end_us = g_get_monotonic_time() + MOMENT_US;
    size_t i = 0;
    for (; i < n && !status && (i == 0 || g_get_monotonic_time() < end_us); i++)
        status = tb_project_draw(self->project, &strokes[i], &err);
    if (status || i == n)
        acted(self, status, &err);
    return status ? 0 : (int)i;
}

void tb_work_take_back(TbWork *self, int n)
{
    tb_error err = {0};
    tb_status status = TB_OK;
    for (int i = 0; !status && i < n && tb_work_state(self)->n_actions > 0; i++)
        status = tb_project_undo(self->project, &err);
    acted(self, status, &err);
}

void tb_work_refuse(TbWork *self, const tb_bridge *bridge)
{
    /* Wide enough that what comes instead is another way, not the same one beside itself. */
    const double width_mm = MAX(3 * bridge->width_mm, 6);
    tb_error err = {0};
    tb_stroke stroke = TB_STROKE_INIT(TB_STROKE_KEEP_OPEN);
    tb_status status = TB_OK;
    for (size_t i = 0; !status && i < bridge->n_path; i++)
        status = tb_stroke_add(&stroke, bridge->path[i].x_mm, bridge->path[i].y_mm, width_mm, &err);
    if (!status)
        status = tb_project_draw(self->project, &stroke, &err);
    tb_stroke_clear(&stroke);
    acted(self, status, &err);
}

void tb_work_ring(TbWork *self, tb_note *note)
{
    tb_error err = {0};
    if (*note->text)
        acted(self, tb_project_ring(self->project, note, &err), &err);
    else if (note->id)
        tb_work_unring(self, note->id);
}

void tb_work_unring(TbWork *self, int64_t note_id)
{
    tb_error err = {0};
    acted(self, tb_project_unring(self->project, note_id, &err), &err);
}

void tb_work_write(TbWork *self, const tb_words *words)
{
    tb_error err = {0};
    acted(self, tb_project_write(self->project, words, &err), &err);
}

void tb_work_undo(TbWork *self)
{
    tb_error err = {0};
    if (tb_work_state(self)->n_actions > 0)
        acted(self, tb_project_undo(self->project, &err), &err);
}

void tb_work_redo(TbWork *self)
{
    tb_error err = {0};
    if (tb_work_state(self)->n_undone > 0)
        acted(self, tb_project_redo(self->project, &err), &err);
}

void tb_work_snapshot(TbWork *self, const char *name)
{
    tb_error err = {0};
    acted(self, tb_project_snapshot(self->project, name, &err), &err);
}

void tb_work_restore(TbWork *self, const char *name)
{
    tb_error err = {0};
    acted(self, tb_project_restore(self->project, name, &err), &err);
}

void tb_work_take_up(TbWork *self, int64_t action, const char *name)
{
    tb_error err = {0};
    acted(self, tb_project_take_up(self->project, action, name, &err), &err);
}

/* ---- GObject --------------------------------------------------------------------------------- */

/* Weak pointers are cleared when this has chained up: who sees one cleared may open the project. */
static void tb_work_dispose(GObject *object)
{
    TbWork *self = TB_WORK(object);
    g_clear_handle_id(&self->settle, g_source_remove);
    g_clear_handle_id(&self->overtaking, g_source_remove);
    g_clear_pointer(&self->project, tb_project_close);
    G_OBJECT_CLASS(tb_work_parent_class)->dispose(object);
}

static void tb_work_finalize(GObject *object)
{
    TbWork *self = TB_WORK(object);
    tb_result_release(self->pattern.result);
    tb_picture_free(self->pattern.picture);
    tb_picture_free(self->photo_picture);
    tb_picture_free(self->whole_photo);
    tb_picture_free(self->strength);
    tb_result_release(self->strength_of);
    tb_flow_free(self->flows.exact);
    tb_flow_free(self->flows.coarse);
    tb_free(self->notes);
    G_OBJECT_CLASS(tb_work_parent_class)->finalize(object);
}

static void tb_work_class_init(TbWorkClass *klass)
{
    GType type = G_TYPE_FROM_CLASS(klass);
    G_OBJECT_CLASS(klass)->dispose = tb_work_dispose;
    G_OBJECT_CLASS(klass)->finalize = tb_work_finalize;
    signals[CHANGED] = g_signal_new("changed", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
    signals[PATTERN] = g_signal_new("pattern", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
    signals[PHOTO] = g_signal_new("photo", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
    signals[BUSY] = g_signal_new("busy", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
    signals[SET_ASIDE] =
            g_signal_new("set-aside", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_INT);
    signals[TROUBLE] =
            g_signal_new("trouble", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void tb_work_init(TbWork *self)
{
    atomic_init(&self->flows.stop, false);
    atomic_init(&self->flows.overtaken, false);
    atomic_init(&self->flows.permille, 0);
}
