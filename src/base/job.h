/* base/job.h: a long piece of work that can be watched, stopped and shared out.
 *
 * A tb_job is borrowed by every long function; NULL means one thread, nobody watching. Long
 * loops poll tb_job_stopped() once a row or an iteration and leave with TB_ECANCELLED.
 *
 * tb_job_rows() cuts 0..n into bands and runs them on up to job->n_threads threads. A band may
 * write only to what belongs to its rows, and what it writes may not depend on where bands begin:
 * that is what makes the same input give the same bytes at any thread count.
 */
#ifndef TB_BASE_JOB_H
#define TB_BASE_JOB_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

typedef struct tb_job {
    int n_threads;           /* 1 to 64 */
    const atomic_bool *stop; /* set by anybody, at any time; NULL: never */
    void (*progress_cb)(void *payload, const char *stage, double share); /* 0..1; may be NULL */
    void *payload;
} tb_job;

static inline bool tb_job_stopped(const tb_job *job)
{
    return job && job->stop && atomic_load_explicit(job->stop, memory_order_relaxed);
}

/* Tells whoever watches how far the named stage is; called from the job's own thread only. */
void tb_job_progress(const tb_job *job, const char *stage, double share);

typedef void tb_rows_cb(void *payload, size_t first, size_t end);

/* Runs rows_cb over 0..n in bands of at least min_rows; returns when all are done. Where no thread
 * can be had, the caller's does the work. */
void tb_job_rows(const tb_job *job, size_t n, size_t min_rows, tb_rows_cb *rows_cb, void *payload);

typedef void tb_each_cb(void *payload, size_t i);

/* Runs each_cb for every one of 0..n, on as many threads: whoever is free takes the next. For a few
 * items, or such as differ much in what they cost; what was said of bands holds for each of them.
 */
void tb_job_each(const tb_job *job, size_t n, tb_each_cb *each_cb, void *payload);

#endif
