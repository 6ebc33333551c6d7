/* image/distance.c: see distance.h.
 *
 * First down the columns: the distance straight up or down to the nearest opening. Then along each
 * row: the least of (distance along the row)² + (distance in that column)². In full, that is the
 * lower envelope of parabolas, one stretch of wood at a time, for what lies beyond its ends is
 * never nearer than the ends. Capped, a block of pixels looks left and right only as far as its
 * worst pixel could still gain, which is a loop that runs eight pixels at a time.
 */
#include "image/distance.h"

#include "base/alloc.h"

#include <stdatomic.h>
#include <string.h>

enum { FAR_PX = 1 << 15, CAP_MAX_PX = 255, NARROW_CAP_PX = 127, BLOCK = 64, STRIP = 128 };

typedef struct {
    const tb_mask *mask;
    bool edge;
    const tb_job *job;
    int32_t *full;
    uint16_t *capped;
    int cap;
    atomic_bool failed; /* memory ran out in a band */
} sweep;

/* Room for the parabolas of one row: their middles, heights, and where each begins to be least. */
typedef struct {
    int32_t *middle, *height, *begin;
} envelope;

static bool new_envelope(envelope *e, int width_px)
{
    size_t n = (size_t)width_px + 2;
    e->middle = tb_malloc(3 * n, sizeof *e->middle);
    e->height = e->middle ? e->middle + n : NULL;
    e->begin = e->middle ? e->middle + 2 * n : NULL;
    return e->middle;
}

/* The first x at which the parabola about q is no higher than that about p < q. Where both are
 * equally high either will do, so rounding errors, far below 1 / (2 (q - p)), do no harm. */
static int32_t crossing(int32_t p, int32_t p_height, int32_t q, int32_t q_height)
{
    double at = 0.5 * ((double)(q_height - p_height) / (q - p) + (q + p));
    int32_t whole = (int32_t)at;
    return whole + (whole < at);
}

/* Distances of the stretch first … end - 1 of a row, all wood; d holds heights and gets squares.
 * Its ends are opening, except at the picture's edge where that is not. */
static void stretch(int32_t *d, int first, int end, bool left_end, bool right_end, envelope *e)
{
    int n = 0;
    for (int x = left_end ? first - 1 : first; x < end + right_end; x++) {
        int32_t height = x < first || x >= end ? 0 : d[x];
        if (height == INT32_MAX)
            continue;
        int32_t begin = first;
        while (n > 0) {
            begin = crossing(e->middle[n - 1], e->height[n - 1], x, height);
            if (begin > e->begin[n - 1])
                break;
            n--;
        }
        if (n == 0)
            begin = first;
        if (begin >= end)
            continue;
        e->middle[n] = x;
        e->height[n] = height;
        e->begin[n++] = begin;
    }
    for (int i = 0; i < n; i++) {
        int stop = i + 1 < n ? e->begin[i + 1] : end;
        int32_t middle = e->middle[i], height = e->height[i];
        for (int x = e->begin[i]; x < stop; x++)
            d[x] = (x - middle) * (x - middle) + height;
    }
}

/* Squares of a whole row; d holds squared heights, 0 for opening, INT32_MAX for "none". */
static void finish_row(int32_t *d, int width, bool edge, envelope *e)
{
    for (int x = 0; x < width;) {
        if (d[x] == 0) {
            x++;
            continue;
        }
        int first = x;
        while (x < width && d[x])
            x++;
        stretch(d, first, x, first > 0 || edge, x < width || edge, e);
    }
}

/* Columns first … end - 1: squared distance along the column, INT32_MAX where it has no opening. */
static void full_columns(void *payload, size_t first, size_t end)
{
    sweep *s = payload;
    size_t width = (size_t)s->mask->width_px, height = (size_t)s->mask->height_px;
    size_t n = end - first;
    int32_t *run = tb_malloc(n, sizeof *run);
    if (!run) {
        s->failed = true;
        return;
    }
    for (size_t x = 0; x < n; x++)
        run[x] = s->edge ? 0 : FAR_PX;
    for (size_t y = 0; y < height && !tb_job_stopped(s->job); y++) {
        const uint8_t *px = s->mask->px + y * width + first;
        int32_t *d = s->full + y * width + first;
        for (size_t x = 0; x < n; x++)
            d[x] = run[x] = px[x] ? run[x] + 1 : 0;
    }
    for (size_t x = 0; x < n; x++)
        run[x] = s->edge ? 0 : FAR_PX;
    for (size_t y = height; y-- > 0 && !tb_job_stopped(s->job);) {
        int32_t *d = s->full + y * width + first;
        for (size_t x = 0; x < n; x++) {
            run[x] = d[x] ? run[x] + 1 : 0;
            int32_t nearest = d[x] < run[x] ? d[x] : run[x];
            d[x] = nearest >= FAR_PX ? INT32_MAX : nearest * nearest;
        }
    }
    tb_free(run);
}

static void full_rows(void *payload, size_t first, size_t end)
{
    sweep *s = payload;
    envelope e;
    if (!new_envelope(&e, s->mask->width_px)) {
        s->failed = true;
        return;
    }
    for (size_t y = first; y < end && !tb_job_stopped(s->job); y++)
        finish_row(s->full + y * (size_t)s->mask->width_px, s->mask->width_px, s->edge, &e);
    tb_free(e.middle);
}

tb_status tb_distance_full(
        int32_t **out, const tb_mask *mask, bool edge_is_opening, const tb_job *job, tb_error *err)
{
    *out = NULL;
    sweep s = {mask, edge_is_opening, job, NULL, NULL, 0, false};
    s.full = tb_malloc(tb_mask_area_px(mask), sizeof *s.full);
    if (!s.full)
        return tb_fail_memory(err);
    tb_job_rows(job, (size_t)mask->width_px, BLOCK, full_columns, &s);
    if (!s.failed)
        tb_job_rows(job, (size_t)mask->height_px, BLOCK, full_rows, &s);
    tb_status status = TB_OK;
    if (s.failed)
        status = tb_fail_memory(err);
    else if (tb_job_stopped(job))
        status = tb_fail_cancelled(err);
    if (status)
        tb_free(s.full);
    else
        *out = s.full;
    return status;
}

/* Scratch of a band of the capped distance. */
typedef struct {
    uint8_t *columns; /* [STRIP + 2 cap][width]: distance along the column, at most cap */
    uint8_t *run;     /* [width]: the sweep's row before */
    int16_t *squares; /* [cap + width, to whole blocks, + cap] */
    int16_t *lowest;  /* [blocks]: least square of each block */
    int32_t *wide;    /* [width]: for caps too large for int16_t */
    envelope e;
} strip;

static bool new_strip(strip *t, int width_px, int cap)
{
    size_t width = (size_t)width_px;
    size_t blocks = (width + BLOCK - 1) / BLOCK;
    *t = (strip){0};
    t->columns = tb_malloc(STRIP + 2 * (size_t)cap, width);
    t->run = tb_malloc(width, 1);
    t->squares = tb_malloc(blocks * BLOCK + 2 * (size_t)cap, sizeof *t->squares);
    t->lowest = tb_malloc(blocks, sizeof *t->lowest);
    t->wide = tb_malloc(width, sizeof *t->wide);
    return new_envelope(&t->e, width_px) && t->columns && t->run && t->squares && t->lowest &&
           t->wide;
}

static void free_strip(strip *t)
{
    tb_free(t->columns);
    tb_free(t->run);
    tb_free(t->squares);
    tb_free(t->lowest);
    tb_free(t->wide);
    tb_free(t->e.middle);
}

/* Distance along the columns for rows first … end - 1 (at most STRIP), into t->columns. Rows
 * farther than the cap have no say, so the sweeps begin there, or at the edge. */
static void strip_columns(const sweep *s, strip *t, int first, int end)
{
    int width = s->mask->width_px, height = s->mask->height_px;
    uint8_t cap = (uint8_t)s->cap;
    int top = first > s->cap ? first - s->cap : 0;
    int bottom = end + s->cap < height ? end + s->cap : height;
    memset(t->run, top == 0 && s->edge ? 0 : cap, (size_t)width);
    for (int y = top; y < bottom; y++) {
        const uint8_t *px = s->mask->px + (size_t)y * (size_t)width;
        uint8_t *restrict run = t->run, *restrict d =
                                                t->columns + (size_t)(y - top) * (size_t)width;
        for (int x = 0; x < width; x++) {
            uint8_t next = run[x] < cap ? run[x] + 1 : cap;
            run[x] = d[x] = px[x] ? next : 0;
        }
    }
    memset(t->run, bottom == height && s->edge ? 0 : cap, (size_t)width);
    for (int y = bottom; y-- > first;) {
        uint8_t *restrict run = t->run, *restrict d =
                                                t->columns + (size_t)(y - top) * (size_t)width;
        for (int x = 0; x < width; x++) {
            uint8_t next = run[x] < cap ? run[x] + 1 : cap;
            run[x] = d[x] < next ? d[x] : next;
            d[x] = run[x];
        }
    }
}

/* Fills squares (which has cap more values at either end) and the least square of each block. */
static void square_row(const sweep *s, strip *t, const uint8_t *columns)
{
    int width = s->mask->width_px, cap = s->cap;
    int16_t outside = (int16_t)(s->edge ? 0 : cap * cap);
    int16_t *squares = t->squares + cap;
    for (int x = 0; x < width; x++)
        squares[x] = (int16_t)(columns[x] * columns[x]);
    int whole = (width + BLOCK - 1) / BLOCK * BLOCK;
    for (int x = 0; x < cap; x++)
        t->squares[x] = outside;
    for (int x = width; x < whole + cap; x++)
        squares[x] = outside;
    for (int b = 0; b * BLOCK < width; b++) {
        int16_t low = INT16_MAX;
        for (int x = b * BLOCK; x < (b + 1) * BLOCK; x++)
            low = squares[x] < low ? squares[x] : low;
        t->lowest[b] = low;
    }
}

static int16_t greatest(const int16_t *block)
{
    int16_t high = 0;
    for (int i = 0; i < BLOCK; i++)
        high = block[i] > high ? block[i] : high;
    return high;
}

/* The least of squares[x + k] + k² over k, for one block; looks farther while any pixel can gain.
 */
static void least_block(int16_t *restrict best, const int16_t *restrict squares, int cap)
{
    memcpy(best, squares, BLOCK * sizeof *best);
    int16_t worst = greatest(best);
    for (int k = 1; k < cap && k * k < worst; k++) {
        int16_t far = (int16_t)(k * k);
        for (int i = 0; i < BLOCK; i++) {
            int16_t left = squares[i - k], right = squares[i + k];
            int16_t there = (int16_t)((left < right ? left : right) + far);
            best[i] = there < best[i] ? there : best[i];
        }
        if (k % 4 == 0)
            worst = greatest(best);
    }
}

/* True if no pixel within the cap of this block is nearer than the cap to an opening. */
static bool deep(const strip *t, int block, int n_blocks, int cap, bool edge)
{
    int reach = (cap + BLOCK - 1) / BLOCK;
    if (edge && (block < reach || block >= n_blocks - reach))
        return false;
    for (int b = block - reach; b <= block + reach; b++)
        if (b >= 0 && b < n_blocks && t->lowest[b] < cap * cap)
            return false;
    return true;
}

static void narrow_row(const sweep *s, strip *t, const uint8_t *columns, uint16_t *out)
{
    int width = s->mask->width_px, cap = s->cap;
    int n_blocks = (width + BLOCK - 1) / BLOCK;
    int16_t best[BLOCK];
    square_row(s, t, columns);
    for (int b = 0; b < n_blocks; b++) {
        int n = width - b * BLOCK < BLOCK ? width - b * BLOCK : BLOCK;
        if (deep(t, b, n_blocks, cap, s->edge))
            for (int i = 0; i < BLOCK; i++)
                best[i] = (int16_t)(cap * cap);
        else
            least_block(best, t->squares + cap + b * BLOCK, cap);
        memcpy(out + b * BLOCK, best, (size_t)n * sizeof *out);
    }
}

static void wide_row(const sweep *s, strip *t, const uint8_t *columns, uint16_t *out)
{
    int width = s->mask->width_px, cap = s->cap;
    for (int x = 0; x < width; x++)
        t->wide[x] = columns[x] < cap ? columns[x] * columns[x] : INT32_MAX;
    finish_row(t->wide, width, s->edge, &t->e);
    for (int x = 0; x < width; x++)
        out[x] = (uint16_t)(t->wide[x] < cap * cap ? t->wide[x] : cap * cap);
}

static void capped_rows(void *payload, size_t first_row, size_t end_row)
{
    sweep *s = payload;
    size_t width = (size_t)s->mask->width_px;
    int end = (int)end_row;
    strip t;
    if (!new_strip(&t, s->mask->width_px, s->cap)) {
        s->failed = true;
        end = (int)first_row;
    }
    for (int first = (int)first_row; first < end && !tb_job_stopped(s->job); first += STRIP) {
        int stop = first + STRIP < end ? first + STRIP : end;
        int top = first > s->cap ? first - s->cap : 0;
        strip_columns(s, &t, first, stop);
        for (int y = first; y < stop; y++) {
            const uint8_t *columns = t.columns + (size_t)(y - top) * width;
            uint16_t *out = s->capped + (size_t)y * width;
            if (s->cap <= NARROW_CAP_PX)
                narrow_row(s, &t, columns, out);
            else
                wide_row(s, &t, columns, out);
        }
    }
    free_strip(&t);
}

tb_status tb_distance_capped(uint16_t **out, const tb_mask *mask, int cap_px, bool edge_is_opening,
        const tb_job *job, tb_error *err)
{
    *out = NULL;
    if (cap_px < 1 || cap_px > CAP_MAX_PX)
        return tb_fail(err, TB_EINVAL, "a distance of %d pixels is out of limits (1 to %d)", cap_px,
                CAP_MAX_PX);
    sweep s = {mask, edge_is_opening, job, NULL, NULL, cap_px, false};
    s.capped = tb_malloc(tb_mask_area_px(mask), sizeof *s.capped);
    if (!s.capped)
        return tb_fail_memory(err);
    tb_job_rows(job, (size_t)mask->height_px, STRIP, capped_rows, &s);
    tb_status status = TB_OK;
    if (s.failed)
        status = tb_fail_memory(err);
    else if (tb_job_stopped(job))
        status = tb_fail_cancelled(err);
    if (status)
        tb_free(s.capped);
    else
        *out = s.capped;
    return status;
}
