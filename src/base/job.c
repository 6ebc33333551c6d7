/* base/job.c: see job.h. */
#include "base/job.h"

#include <threads.h>

enum { MAX_THREADS = 64 };

typedef struct {
    tb_rows_cb *rows_cb;
    void *payload;
    size_t first, end;
} band;

static int run_band(void *payload)
{
    band *b = payload;
    b->rows_cb(b->payload, b->first, b->end);
    return 0;
}

void tb_job_progress(const tb_job *job, const char *stage, double share)
{
    if (job && job->progress_cb)
        job->progress_cb(job->payload, stage, share);
}

void tb_job_rows(const tb_job *job, size_t n, size_t min_rows, tb_rows_cb *rows_cb, void *payload)
{
    size_t n_bands = job && job->n_threads > 1 ? (size_t)job->n_threads : 1;
    if (n_bands > MAX_THREADS)
        n_bands = MAX_THREADS;
    if (min_rows > 0 && n / min_rows < n_bands)
        n_bands = n / min_rows;
    if (n_bands <= 1) {
        rows_cb(payload, 0, n);
        return;
    }
    band bands[MAX_THREADS];
    thrd_t threads[MAX_THREADS];
    bool started[MAX_THREADS] = {false};
    for (size_t i = 0; i < n_bands; i++) {
        bands[i] = (band){rows_cb, payload, n * i / n_bands, n * (i + 1) / n_bands};
        if (i > 0)
            started[i] = thrd_create(&threads[i], run_band, &bands[i]) == thrd_success;
    }
    run_band(&bands[0]);
    for (size_t i = 1; i < n_bands; i++)
        if (started[i])
            thrd_join(threads[i], NULL);
        else
            run_band(&bands[i]);
}

typedef struct {
    tb_each_cb *each_cb;
    void *payload;
    size_t n;
    atomic_size_t next;
} queue;

/* Each band is a worker. */
static void serve(void *payload, size_t first, size_t end)
{
    queue *q = payload;
    (void)first;
    (void)end;
    for (size_t i; (i = atomic_fetch_add(&q->next, 1)) < q->n;)
        q->each_cb(q->payload, i);
}

void tb_job_each(const tb_job *job, size_t n, tb_each_cb *each_cb, void *payload)
{
    queue q = {.each_cb = each_cb, .payload = payload, .n = n};
    tb_job_rows(job, n, 1, serve, &q);
}
