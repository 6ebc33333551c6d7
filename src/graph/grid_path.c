/* graph/grid_path.c: see grid_path.h.
 *
 * Dijkstra's algorithm with a circular row of buckets, one for each cost: no step costs more than
 * the row is long, so a cost modulo the length names its bucket without doubt. A bucket is a doubly
 * linked list through two arrays of cells, so that a cell which gets cheaper moves without leaving
 * a stale entry behind.
 */
#include "graph/grid_path.h"

#include "base/alloc.h"

#include <stdbool.h>
#include <string.h>

static const int DX[8] = {1, 1, 0, -1, -1, -1, 0, 1};
static const int DY[8] = {0, 1, 1, 1, 0, -1, -1, -1};

typedef struct {
    const tb_grid *grid;
    tb_grid_paths *paths;
    int32_t *next, *back; /* neighbours in the bucket, -1 at its ends */
    int32_t *bucket;      /* [n_buckets] first cell, -1 when empty */
    uint32_t n_buckets;
    size_t n_waiting;
} wave;

static void push(wave *w, int32_t cell, uint32_t cost)
{
    int32_t *head = &w->bucket[cost % w->n_buckets];
    w->next[cell] = *head;
    w->back[cell] = -1;
    if (*head >= 0)
        w->back[*head] = cell;
    *head = cell;
    w->n_waiting++;
}

static void take_out(wave *w, int32_t cell, uint32_t cost)
{
    if (w->back[cell] >= 0)
        w->next[w->back[cell]] = w->next[cell];
    else
        w->bucket[cost % w->n_buckets] = w->next[cell];
    if (w->next[cell] >= 0)
        w->back[w->next[cell]] = w->back[cell];
    w->n_waiting--;
}

static uint32_t standing_price(const tb_grid *grid, int32_t cell)
{
    return grid->source[cell] >= 0 ? 0 : grid->price[cell];
}

/* Offers a neighbour the way through a settled cell. Sources cost 0 and take no offer. */
static inline void offer(wave *w, int32_t from, int32_t to, int d, uint32_t price, uint32_t limit)
{
    tb_grid_paths *paths = w->paths;
    uint32_t there = w->grid->price[to], old = paths->cost[to];
    uint32_t cost = paths->cost[from] + tb_grid_step(price, there, DX[d], DY[d]);
    if (there == TB_GRID_BLOCKED || cost >= old || cost > limit)
        return;
    if (old != TB_GRID_FAR)
        take_out(w, to, old);
    paths->cost[to] = cost;
    paths->source[to] = paths->source[from];
    paths->from[to] = (int8_t)((d + 4) & 7);
    push(w, to, cost);
}

/* Offers all its neighbours the way through a settled cell. */
static void spread(wave *w, int32_t cell)
{
    const tb_grid *grid = w->grid;
    int32_t width = grid->width, x = cell % width, y = cell / width;
    uint32_t price = standing_price(grid, cell),
             limit = grid->limit ? grid->limit : TB_GRID_FAR - 1;
    if (x > 0 && y > 0 && x + 1 < width && y + 1 < grid->height) {
        for (int d = 0; d < 8; d++)
            offer(w, cell, cell + DY[d] * width + DX[d], d, price, limit);
        return;
    }
    for (int d = 0; d < 8; d++) {
        int32_t nx = x + DX[d], ny = y + DY[d];
        if (nx >= 0 && ny >= 0 && nx < width && ny < grid->height)
            offer(w, cell, ny * width + nx, d, price, limit);
    }
}

/* A source cell with nothing but sources around it has nobody to offer a way to. */
static bool is_inland(const tb_grid *grid, int32_t cell)
{
    int32_t x = cell % grid->width, y = cell / grid->width;
    if (x == 0 || y == 0 || x + 1 == grid->width || y + 1 == grid->height)
        return false;
    const int32_t *here = grid->source + cell, *above = here - grid->width,
                  *below = here + grid->width;
    return (above[-1] | above[0] | above[1] | here[-1] | here[1] | below[-1] | below[0] |
                   below[1]) >= 0;
}

/* Sources are settled from the start: their neighbours are offered a way before any bucket is
 * opened, so the inside of a large source costs one look and no place in the queue. */
static tb_status start(wave *w, tb_error *err)
{
    const tb_grid *grid = w->grid;
    int32_t n_cells = grid->width * grid->height;
    uint16_t dearest = 0;
    for (int32_t i = 0; i < n_cells; i++) {
        uint16_t price = grid->price[i];
        if (price != TB_GRID_BLOCKED && price > dearest)
            dearest = price;
        bool is_source = grid->source[i] >= 0;
        w->paths->cost[i] = is_source ? 0 : TB_GRID_FAR;
        w->paths->source[i] = is_source ? grid->source[i] : -1;
        w->paths->from[i] = -1;
    }
    if (dearest > TB_GRID_PRICE_MAX)
        return tb_fail(err, TB_EINVAL, "a grid price of %u is over %d", dearest, TB_GRID_PRICE_MAX);
    w->n_buckets = 14u * dearest + 1;
    w->bucket = tb_malloc(w->n_buckets, sizeof *w->bucket);
    if (!w->bucket)
        return tb_fail_memory(err);
    memset(w->bucket, -1, w->n_buckets * sizeof *w->bucket);
    for (int32_t i = 0; i < n_cells; i++)
        if (grid->source[i] >= 0 && !is_inland(grid, i))
            spread(w, i);
    return TB_OK;
}

static tb_status run(wave *w, const tb_job *job, tb_error *err)
{
    for (uint32_t cost = 0; w->n_waiting > 0; cost++) {
        if (cost % 256 == 0 && tb_job_stopped(job))
            return tb_fail_cancelled(err);
        int32_t *head = &w->bucket[cost % w->n_buckets];
        while (*head >= 0) {
            int32_t cell = *head;
            take_out(w, cell, cost);
            spread(w, cell);
        }
    }
    return TB_OK;
}

static tb_grid_paths *paths_new(int32_t width, int32_t height)
{
    size_t n = (size_t)width * (size_t)height;
    tb_grid_paths *paths = tb_calloc(1, sizeof *paths);
    if (!paths)
        return NULL;
    paths->width = width;
    paths->height = height;
    paths->cost = tb_malloc(n, sizeof *paths->cost);
    paths->source = tb_malloc(n, sizeof *paths->source);
    paths->from = tb_malloc(n, sizeof *paths->from);
    if (paths->cost && paths->source && paths->from)
        return paths;
    tb_grid_paths_free(paths);
    return NULL;
}

tb_status tb_grid_paths_find(
        tb_grid_paths **out, const tb_grid *grid, const tb_job *job, tb_error *err)
{
    *out = NULL;
    if (grid->width < 1 || grid->height < 1 || grid->height > INT32_MAX / grid->width)
        return tb_fail(err, TB_EINVAL, "a grid of %d × %d cells", grid->width, grid->height);
    size_t n = (size_t)grid->width * (size_t)grid->height;
    wave w = {.grid = grid, .paths = paths_new(grid->width, grid->height)};
    w.next = tb_malloc(n, sizeof *w.next);
    w.back = tb_malloc(n, sizeof *w.back);
    tb_status status = TB_OK;
    if (!w.paths || !w.next || !w.back)
        status = tb_fail_memory(err);
    if (!status)
        status = start(&w, err);
    if (!status)
        status = run(&w, job, err);
    if (!status) {
        *out = w.paths;
        w.paths = NULL;
    }
    tb_grid_paths_free(w.paths);
    tb_free(w.bucket);
    tb_free(w.next);
    tb_free(w.back);
    return status;
}

void tb_grid_paths_free(tb_grid_paths *paths)
{
    if (!paths)
        return;
    tb_free(paths->cost);
    tb_free(paths->source);
    tb_free(paths->from);
    tb_free(paths);
}

int32_t tb_grid_paths_back(const tb_grid_paths *paths, int32_t cell)
{
    int d = paths->from[cell];
    return d < 0 ? cell : cell + DY[d] * paths->width + DX[d];
}
