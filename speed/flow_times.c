/* Times of the flow and of the hand, one JSON object a line as speed/run reads them.
 *
 *     flow_times PHOTO
 *
 * 200 mm at 10 px/mm: 2000 x 2500 for a photograph of 4 : 5.
 */
#define _POSIX_C_SOURCE 200809L
#include "base/alloc.h"
#include "base/num.h"
#include "flow/flow.h"
#include "pattern/hand.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <threads.h>
#include <time.h>

enum { MAX_TURNS = 200, N_THREADS = 2 };

static double ms_of(clockid_t clock)
{
    struct timespec t;
    clock_gettime(clock, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static double now_ms(void)
{
    return ms_of(CLOCK_MONOTONIC);
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void say(const char *subject, const char *what, double *ms, int n, double limit_ms)
{
    qsort(ms, (size_t)n, sizeof *ms, by_size);
    printf("{\"subject\": \"%s\", \"case\": \"%s\", \"ms\": %s, \"others\": {}", subject, what,
            tb_num_of(ms[n / 2], 3).text);
    if (limit_ms > 0)
        printf(", \"limit_ms\": %s", tb_num_of(limit_ms, 1).text);
    printf("}\n");
    fflush(stdout);
}

static void must(tb_status status, const tb_error *err)
{
    if (status) {
        fprintf(stderr, "flow_times: %s\n", err->text);
        exit(1);
    }
}

typedef struct {
    tb_flow *flow;
    tb_settings settings;
    tb_drawn drawn[MAX_TURNS];
    size_t n_drawn;
} table;

static table table_of(const uint8_t *photo, size_t n_photo, double px_per_mm)
{
    tb_error err;
    table t = {.settings = TB_SETTINGS_INIT};
    t.settings.width_mm = 200;
    t.settings.px_per_mm = px_per_mm;
    must(tb_flow_new(&t.flow, photo, n_photo, &err), &err);
    return t;
}

static double update(table *t, const tb_job *job)
{
    tb_error err;
    double start = now_ms();
    must(tb_flow_set(t->flow, &t->settings, &err), &err);
    must(tb_flow_set_strokes(t->flow, t->drawn, t->n_drawn, &err), &err);
    must(tb_flow_update(t->flow, job, &err), &err);
    return now_ms() - start;
}

static double sketch(table *t, double darkness, const tb_job *job)
{
    tb_error err;
    tb_result *result;
    double start = now_ms();
    t->settings.darkness = darkness;
    must(tb_flow_set(t->flow, &t->settings, &err), &err);
    must(tb_flow_sketch(&result, t->flow, job, &err), &err);
    tb_result_release(result);
    return now_ms() - start;
}

static void add_stroke(table *t, tb_stroke_kind kind, double x, double y, double x2, double y2)
{
    tb_error err;
    tb_drawn *d = &t->drawn[t->n_drawn];
    *d = (tb_drawn){.id = (int64_t)t->n_drawn + 1, .framed = &t->settings};
    d->stroke = (tb_stroke)TB_STROKE_INIT(kind);
    must(tb_stroke_add(&d->stroke, x, y, 3, &err), &err);
    must(tb_stroke_add(&d->stroke, x2, y2, 3, &err), &err);
    t->n_drawn++;
}

static void table_clear(table *t)
{
    while (t->n_drawn > 0)
        tb_stroke_clear(&t->drawn[--t->n_drawn].stroke);
    tb_flow_free(t->flow);
}

/* A brush of 3 mm goes its way; each of its points is a dab. */
static void time_dabs(const tb_mask *pattern)
{
    double dab[MAX_TURNS], back[5];
    tb_error err;
    tb_rect dirty;
    tb_hand *hand;
    tb_stroke stroke = TB_STROKE_INIT(TB_STROKE_WOOD);
    must(tb_hand_new(&hand, pattern, 64 << 20, &err), &err);
    for (int i = 0; i < MAX_TURNS; i++) {
        must(tb_stroke_add(&stroke, 100 + 60 * cos(i * 0.1), 120 + 60 * sin(i * 0.1), 3, &err),
                &err);
        double start = now_ms();
        must(tb_hand_draw(hand, &dirty, &stroke, (size_t)i, &err), &err);
        dab[i] = now_ms() - start;
    }
    say("hand", "a dab of 3 mm to the updated mask, 2000 x 2500", dab, MAX_TURNS, 8);
    for (int i = 0; i < 5; i++) {
        double start = now_ms();
        (void)tb_hand_undo(hand, &dirty);
        back[i] = now_ms() - start;
        must(tb_hand_draw(hand, &dirty, &stroke, 0, &err), &err);
    }
    say("hand", "a stroke of 200 points taken back", back, 5, 8);
    tb_stroke_clear(&stroke);
    tb_hand_free(hand);
}

static void time_changes(table *t, const tb_job *job)
{
    enum { TURNS = 9 };
    double ms[TURNS], looked[TURNS];
    for (int i = 0; i < TURNS; i++) {
        t->settings.darkness = i % 2 ? 3 : -3;
        ms[i] = update(t, job);
    }
    say("flow", "darkness moved, to the exact pattern, 2000 x 2500", ms, TURNS, 0);
    for (int i = 0; i < TURNS; i++) {
        add_stroke(t, TB_STROKE_SAW, 60 + 5 * i, 180, 64 + 5 * i, 190);
        ms[i] = update(t, job);
        looked[i] = tb_flow_outcome(t->flow)->ms[TB_STAGE_INSPECT];
    }
    say("flow", "one more stroke, to the exact pattern", ms, TURNS, 0);
    for (int i = 0; i < TURNS; i++)
        ms[i] = looked[i];
    say("flow", "of that, looking the pattern over", ms, TURNS, 0);
    for (int i = 0; i < TURNS; i++) {
        add_stroke(t, TB_STROKE_DARKEN, 60 + 5 * i, 60, 64 + 5 * i, 70);
        ms[i] = update(t, job);
    }
    say("flow", "one more stroke on the tone, to the exact pattern", ms, TURNS, 0);
    add_stroke(t, TB_STROKE_LEAVE_OUT, 10, 10, 10, 100);
    ms[0] = update(t, job);
    say("flow", "a room left out, to the exact pattern", ms, 1, 0);
}

typedef struct {
    table *t;
    const tb_job *job;
    double ended_ms;             /* on processors */
    _Atomic(const char *) stage; /* that runs now */
} run;

static void note_stage(void *payload, const char *stage, double share)
{
    run *r = payload;
    (void)share;
    atomic_store(&r->stage, stage);
}

static int run_to_stop(void *payload)
{
    run *r = payload;
    tb_error err;
    (void)!tb_flow_update(r->t->flow, r->job, &err);
    r->ended_ms = ms_of(CLOCK_PROCESS_CPUTIME_ID);
    return 0;
}

/* Stopped at moments spread over the whole way: how much is still done until the flow lets go, at
 * worst. All threads' time on processors counts, so that a busy machine adds nothing. */
static void time_stops(table *t, double whole_ms)
{
    enum { TURNS = 40 };
    double worst = 0;
    const char *where = "";
    char what[96];
    for (int i = 0; i < TURNS; i++) {
        tb_error err;
        atomic_bool stop = false;
        tb_job job = {.n_threads = N_THREADS, .stop = &stop};
        run r = {.t = t, .job = &job};
        job.progress_cb = note_stage;
        job.payload = &r;
        thrd_t thread;
        t->settings.px_per_mm = i % 2 ? 9.9 : 10; /* everything is stale */
        must(tb_flow_set(t->flow, &t->settings, &err), &err);
        thrd_create(&thread, run_to_stop, &r);
        double wait_ms = whole_ms * (i + 0.5) / TURNS;
        thrd_sleep(&(struct timespec){.tv_sec = (time_t)(wait_ms / 1000),
                           .tv_nsec = (long)(fmod(wait_ms, 1000) * 1e6)},
                NULL);
        double told = ms_of(CLOCK_PROCESS_CPUTIME_ID);
        const char *stage = atomic_load(&r.stage);
        atomic_store(&stop, true);
        thrd_join(thread, NULL);
        if (r.ended_ms - told > worst) {
            worst = r.ended_ms - told;
            where = stage ? stage : "";
        }
    }
    snprintf(what, sizeof what, "stopped at %d moments: the most still done, in %s", TURNS, where);
    say("flow", what, &worst, 1, 20);
}

static uint8_t *read_photo(const char *path, size_t *n)
{
    tb_error err;
    uint8_t *photo;
    must(tb_file_read(&photo, n, path, (size_t)100 << 20, &err), &err);
    return photo;
}

int main(int argc, char **argv)
{
    enum { TURNS = 5 };
    double whole[TURNS], behind[TURNS];
    tb_error err;
    size_t n;
    tb_job job = {.n_threads = N_THREADS};
    tb_alloc_prepare();
    if (argc != 2)
        return 2;
    uint8_t *photo = read_photo(argv[1], &n);
    must(tb_photo_start(N_THREADS, &err), &err);
    for (int i = 0; i < TURNS; i++) {
        table t = table_of(photo, n, 10);
        whole[i] = update(&t, &job);
        behind[i] = whole[i] - tb_flow_outcome(t.flow)->ms[TB_STAGE_PHOTO];
        table_clear(&t);
    }
    say("flow", "photograph to exact pattern, 2000 x 2500", whole, TURNS, 0);
    say("flow", "decoded photograph to exact pattern, with tie", behind, TURNS, 500);
    table t = table_of(photo, n, 10), coarse = table_of(photo, n, 5);
    update(&t, &job);
    time_dabs(tb_flow_outcome(t.flow)->pattern);
    time_changes(&t, &job);
    time_stops(&t, whole[TURNS / 2]);
    update(&coarse, &job);
    for (int i = 0; i < TURNS; i++)
        whole[i] = sketch(&coarse, i % 2 ? 3 : -3, &job);
    say("flow", "darkness moved, first answer, 1000 px", whole, TURNS, 40);
    table_clear(&t);
    table_clear(&coarse);
    tb_photo_stop();
    tb_free(photo);
    return 0;
}
