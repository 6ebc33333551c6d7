/* app/model/mends.c: see mends.h.
 *
 * One trial is one task; between two the main thread takes up what came of it. The mender belongs
 * to the worker while one runs.
 */
#include "app/model/mends.h"

/* One mend of one finding. */
typedef struct {
    enum { UNASKED, WAITS, RUNS, KNOWN } state;
    tb_proposal proposal;
} entry;

struct _TbMends {
    GObject parent_instance;

    TbWork *work;
    tb_mender *mender; /* these two belong to the worker while one runs */
    tb_result *seen;   /* held: what the mender has seen last */
    atomic_bool stop;  /* for good */

    tb_result *result; /* held: whose mends these are */
    entry *entries;    /* [findings][TB_MENDS_MOST] */
    size_t n_entries;
    GQueue queue; /* entries that wait, by number */
    bool running;

    bool all, gives_way;
    size_t at;       /* finding that mending all has come to */
    GArray *strokes; /* of tb_stroke: what it has chosen */
    GArray *kinds;   /* of tb_mend: what each of them does */
    guint n_laid;    /* of these, drawn */
    guint drawing;
    tb_mending account;
};

enum { LARGE_PX = 16000000 };

G_DEFINE_FINAL_TYPE(TbMends, tb_mends, G_TYPE_OBJECT)

enum { TRIED, MENDED, N_SIGNALS };
static guint signals[N_SIGNALS];

/* ---- the worker ------------------------------------------------------------------------------ */

typedef struct {
    TbMends *mends;    /* lives as long as the task */
    tb_result *result; /* held */
    size_t entry;
    tb_proposal proposal;
    tb_status status;
} trial;

static void trial_free(gpointer payload)
{
    trial *t = payload;
    tb_proposal_clear(&t->proposal);
    tb_result_release(t->result);
    g_free(t);
}

static tb_status see(TbMends *self, tb_result *result, const tb_job *job)
{
    if (self->seen == result)
        return TB_OK;
    tb_status status = tb_mender_see(self->mender, result->pattern, &result->limits, job, NULL);
    tb_result_release(self->seen);
    self->seen = status ? NULL : tb_result_hold(result);
    return status;
}

static void run_trial(GTask *task, gpointer source, gpointer payload, GCancellable *cancellable)
{
    trial *t = payload;
    TbMends *self = t->mends;
    tb_job job = {.n_threads = MIN((int)g_get_num_processors(), 2), .stop = &self->stop};
    const tb_finding *finding = &t->result->inspection->findings[t->entry / TB_MENDS_MOST];
    tb_mend mends[TB_MENDS_MOST];
    (void)source;
    (void)cancellable;
    tb_mends_of(mends, finding->kind);
    if (!self->mender)
        self->mender = tb_mender_new();
    t->status = self->mender ? see(self, t->result, &job) : TB_ENOMEM;
    if (!t->status)
        t->status = tb_mender_try(
                &t->proposal, self->mender, finding, mends[t->entry % TB_MENDS_MOST], &job, NULL);
    g_task_return_boolean(task, TRUE);
}

static void start_next(TbMends *self);
static void go_on(TbMends *self);

/* What could not be tried is not offered. */
static void tried_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    TbMends *self = TB_MENDS(source);
    trial *t = g_task_get_task_data(G_TASK(result));
    (void)payload;
    self->running = false;
    if (t->result == self->result) {
        entry *e = &self->entries[t->entry];
        e->state = KNOWN;
        e->proposal = t->proposal;
        t->proposal = (tb_proposal)TB_PROPOSAL_INIT;
        if (t->status)
            e->proposal.hindrance = TB_MEND_NO_WAY;
        g_signal_emit(self, signals[TRIED], 0, (guint)(t->entry / TB_MENDS_MOST));
    }
    go_on(self);
    start_next(self);
}

/* What the mender keeps of a large board is given back when nothing is to be tried. */
static void rest(TbMends *self)
{
    if (!self->seen || tb_mask_area_px(self->seen->pattern) < LARGE_PX)
        return;
    g_clear_pointer(&self->mender, tb_mender_free);
    g_clear_pointer(&self->seen, tb_result_release);
}

/* Of a pattern that is another by now, or about to be, only mending all goes on. */
static void start_next(TbMends *self)
{
    if (self->running || atomic_load(&self->stop))
        return;
    bool fresh = self->result && self->result == tb_work_inspected(self->work);
    if (g_queue_is_empty(&self->queue) || !fresh || !(self->all || tb_work_settled(self->work))) {
        rest(self);
        return;
    }
    trial *t = g_new0(trial, 1);
    *t = (trial){.mends = self,
            .result = tb_result_hold(self->result),
            .entry = GPOINTER_TO_SIZE(g_queue_pop_head(&self->queue)),
            .proposal = TB_PROPOSAL_INIT};
    self->entries[t->entry].state = RUNS;
    GTask *task = g_task_new(self, NULL, tried_cb, NULL);
    g_task_set_task_data(task, t, trial_free);
    self->running = true;
    g_task_run_in_thread(task, run_trial);
    g_object_unref(task);
}

/* ---- what is asked for ----------------------------------------------------------------------- */

static void clear_entries(TbMends *self)
{
    for (size_t i = 0; i < self->n_entries; i++)
        tb_proposal_clear(&self->entries[i].proposal);
    g_clear_pointer(&self->entries, g_free);
    self->n_entries = 0;
    g_queue_clear(&self->queue);
    g_clear_pointer(&self->result, tb_result_release);
}

static void turn_to(TbMends *self, tb_result *result)
{
    if (self->result == result)
        return;
    clear_entries(self);
    self->result = tb_result_hold(result);
    self->n_entries = result->inspection->n_findings * TB_MENDS_MOST;
    self->entries = g_new0(entry, self->n_entries);
}

/* Before all that waits, or behind it. */
static const tb_proposal *ask(TbMends *self, size_t finding, int n, bool first)
{
    size_t i = finding * TB_MENDS_MOST + (size_t)n;
    entry *e = &self->entries[i];
    if (e->state == WAITS && first)
        g_queue_remove(&self->queue, GSIZE_TO_POINTER(i));
    if (first && (e->state == UNASKED || e->state == WAITS))
        g_queue_push_head(&self->queue, GSIZE_TO_POINTER(i));
    else if (e->state == UNASKED)
        g_queue_push_tail(&self->queue, GSIZE_TO_POINTER(i));
    e->state = MAX(e->state, WAITS);
    start_next(self);
    return e->state == KNOWN ? &e->proposal : NULL;
}

const tb_proposal *tb_mends_ask(TbMends *self, tb_result *inspected, size_t finding, int n)
{
    turn_to(self, inspected);
    return ask(self, finding, n, false);
}

bool tb_mends_draw(TbMends *self, tb_result *inspected, size_t finding, int n)
{
    if (self->result != inspected)
        return tb_work_mend(self->work, NULL, 0, NULL);
    const entry *e = &self->entries[finding * TB_MENDS_MOST + (size_t)n];
    return e->state == KNOWN && e->proposal.hindrance == TB_MEND_WORKS &&
           tb_work_mend(self->work, inspected, finding, &e->proposal.stroke);
}

/* ---- mending all ----------------------------------------------------------------------------- */

static void stroke_clear(void *payload)
{
    tb_stroke_clear(payload);
}

static void end_all(TbMends *self)
{
    if (!self->all)
        return;
    self->all = false;
    g_clear_handle_id(&self->drawing, g_source_remove);
    g_array_set_size(self->strokes, 0);
    g_array_set_size(self->kinds, 0);
    g_signal_emit(self, signals[MENDED], 0);
}

/* A moment's worth at a time: each is a transaction of the file. */
static gboolean draw_cb(gpointer payload)
{
    TbMends *self = payload;
    const tb_stroke *strokes = (const tb_stroke *)(const void *)self->strokes->data;
    int n = tb_work_draw_some(
            self->work, strokes + self->n_laid, (size_t)(self->strokes->len - self->n_laid));
    for (int i = 0; i < n; i++)
        self->account.n_by[g_array_index(self->kinds, tb_mend, self->n_laid + (guint)i)]++;
    self->account.n_drawn += n;
    self->n_laid += (guint)n;
    if (n > 0 && self->n_laid < self->strokes->len)
        return G_SOURCE_CONTINUE;
    self->drawing = 0;
    end_all(self);
    return G_SOURCE_REMOVE;
}

/* An island is tied although that weakens another place: that is mended in its turn. It is only
 * taken out when it gives way. */
static bool may_draw(TbMends *self, size_t finding, tb_mend mend, const tb_proposal *p)
{
    bool island = self->result->inspection->findings[finding].kind == TB_FINDING_ISLAND;
    if (island && mend == TB_MEND_TRIM && !self->gives_way)
        return false;
    return p->hindrance == TB_MEND_WORKS ||
           (island && mend == TB_MEND_TIE && p->hindrance == TB_MEND_BRINGS);
}

/* True once the finding's mends are known as far as need be; the good one is chosen. */
static bool choose(TbMends *self, size_t finding)
{
    tb_mend mends[TB_MENDS_MOST];
    int n = tb_mends_of(mends, self->result->inspection->findings[finding].kind);
    for (int i = 0; i < n; i++) {
        int k = self->gives_way ? n - 1 - i : i;
        const tb_proposal *p = ask(self, finding, k, true);
        tb_stroke stroke = {0};
        if (!p)
            return false;
        if (!may_draw(self, finding, mends[k], p) || tb_stroke_copy(&stroke, &p->stroke, NULL))
            continue;
        g_array_append_val(self->strokes, stroke);
        g_array_append_val(self->kinds, mends[k]);
        return true;
    }
    self->account.n_left++;
    return true;
}

/* As far as what is known leads; then all of it is drawn, if the pattern is the same still. */
static void go_on(TbMends *self)
{
    if (!self->all || self->drawing)
        return;
    if (self->result != tb_work_inspected(self->work)) {
        self->account.n_left = 0; /* nobody knows of the new one */
        end_all(self);
        return;
    }
    const tb_inspection *inspection = self->result->inspection;
    for (; self->at < inspection->n_findings; self->at++)
        if (inspection->findings[self->at].severity == TB_MUST && !choose(self, self->at))
            return;
    if (self->strokes->len > 0)
        self->drawing = g_idle_add(draw_cb, self);
    else
        end_all(self);
}

void tb_mends_all(TbMends *self, bool gives_way)
{
    tb_result *inspected = tb_work_inspected(self->work);
    if (self->all)
        return;
    self->account = (tb_mending){0};
    self->all = true;
    self->gives_way = gives_way;
    self->at = 0;
    self->n_laid = 0;
    if (inspected) {
        turn_to(self, inspected);
        go_on(self);
    } else {
        end_all(self);
    }
}

bool tb_mends_busy(TbMends *self)
{
    return self->all;
}

/* Those that must be mended come first. */
double tb_mends_progress(TbMends *self)
{
    int n_must = self->all ? self->result->inspection->n_must : 0;
    return n_must > 0 ? MIN((double)self->at / n_must, 1) : 0;
}

const tb_mending *tb_mends_account(TbMends *self)
{
    return &self->account;
}

void tb_mends_halt(TbMends *self)
{
    end_all(self);
}

void tb_mends_stop(TbMends *self)
{
    atomic_store(&self->stop, true);
    g_clear_handle_id(&self->drawing, g_source_remove);
    self->all = false;
}

/* ---- GObject --------------------------------------------------------------------------------- */

static void tb_mends_finalize(GObject *object)
{
    TbMends *self = TB_MENDS(object);
    clear_entries(self);
    tb_mender_free(self->mender);
    tb_result_release(self->seen);
    g_array_unref(self->strokes);
    g_array_unref(self->kinds);
    g_object_unref(self->work);
    G_OBJECT_CLASS(tb_mends_parent_class)->finalize(object);
}

static void tb_mends_class_init(TbMendsClass *klass)
{
    GType type = G_TYPE_FROM_CLASS(klass);
    G_OBJECT_CLASS(klass)->finalize = tb_mends_finalize;
    signals[TRIED] =
            g_signal_new("tried", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_UINT);
    signals[MENDED] = g_signal_new("mended", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static void tb_mends_init(TbMends *self)
{
    self->strokes = g_array_new(FALSE, FALSE, sizeof(tb_stroke));
    self->kinds = g_array_new(FALSE, FALSE, sizeof(tb_mend));
    g_array_set_clear_func(self->strokes, stroke_clear);
    g_queue_init(&self->queue);
    atomic_init(&self->stop, false);
}

TbMends *tb_mends_new(TbWork *work)
{
    TbMends *self = g_object_new(TB_TYPE_MENDS, NULL);
    self->work = g_object_ref(work);
    return self;
}
