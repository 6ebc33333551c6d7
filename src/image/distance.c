/* image/distance.c: see distance.h.
 *
 * First down the columns: the distance straight up or down to the nearest opening. Then along each
 * row: the least of (distance along the row)² + (distance in that column)². That is found in two
 * ways. Near: a block of pixels looks left and right only as far as its worst pixel could still
 * gain, in a loop that runs many pixels at a step. Far: a stretch of wood that holds a pixel
 * farther than NEAR_PX gets the lower envelope of all its parabolas; what lies beyond the ends of
 * a stretch is never nearer than the ends.
 */
#include "image/distance.h"

#include "base/alloc.h"
#include "base/clones.h"

#include <stdatomic.h>
#include <string.h>

enum { FAR_PX = 1 << 15, CAP_MAX_PX = 255, BLOCK = 64, LOOK = 4, STRIP = 128 };

/* The near way counts in 16 bits: (NEAR_PX + LOOK - 2)² + NEAR_PX² < 2^15. */
enum { NEAR_PX = 125 };

typedef struct {
    const tb_mask *mask;
    bool edge;
    const tb_job *job;
    int32_t *full;
    uint16_t *capped;
    int cap;
    uint8_t flip;       /* 1: the openings' distance to wood */
    atomic_bool failed; /* memory ran out in a band */
} sweep;

/* Scratch for one row at a time. */
typedef struct {
    int width, n_blocks, near, beside;
    bool edge;
    int16_t *squares;          /* [n_blocks * BLOCK], and `beside` more at either end */
    int16_t *lowest, *highest; /* [n_blocks]: least and greatest of squares */
    uint16_t *found;           /* [width] */
    /* The parabolas of a stretch: their middles, heights, and where each begins to be least. */
    int32_t *middle, *height, *begin;
    double *half_over; /* [n] = 0.5 / n: dividing is what would take the time */
    void *block;
} row_room;

/* near: how far the near way looks. All arrays lie in one block of memory. */
static bool new_room(row_room *r, int width, bool edge, int near)
{
    size_t n = (size_t)width + 2, n_blocks = ((size_t)width + BLOCK - 1) / BLOCK;
    size_t beside = (size_t)near + LOOK, n_squares = n_blocks * BLOCK + 2 * beside;
    *r = (row_room){.width = width,
            .n_blocks = (int)n_blocks,
            .near = near,
            .beside = (int)beside,
            .edge = edge};
    r->block = tb_malloc(n * (sizeof *r->half_over + 3 * sizeof *r->middle + sizeof *r->found) +
                                 (n_squares + 2 * n_blocks) * sizeof *r->squares,
            1);
    if (!r->block)
        return false;
    r->half_over = r->block;
    r->middle = (int32_t *)(r->half_over + n);
    r->height = r->middle + n;
    r->begin = r->height + n;
    r->found = (uint16_t *)(r->begin + n);
    r->lowest = (int16_t *)(r->found + n);
    r->highest = r->lowest + n_blocks;
    r->squares = r->highest + n_blocks + beside;
    for (size_t i = 1; i < n; i++)
        r->half_over[i] = 0.5 / (double)i;
    return true;
}

/* Surrounds the squares of a row, and finds the least and greatest of each block. */
static inline void survey_row(row_room *r)
{
    int16_t outside = (int16_t)(r->edge ? 0 : r->near * r->near);
    for (int x = -r->beside; x < 0; x++)
        r->squares[x] = outside;
    for (int x = r->width; x < r->n_blocks * BLOCK + r->beside; x++)
        r->squares[x] = outside;
    for (int b = 0; b < r->n_blocks; b++) {
        int16_t low = INT16_MAX, high = 0;
        for (int x = b * BLOCK; x < (b + 1) * BLOCK; x++) {
            low = r->squares[x] < low ? r->squares[x] : low;
            high = r->squares[x] > high ? r->squares[x] : high;
        }
        r->lowest[b] = low;
        r->highest[b] = high;
    }
}

/* True if no pixel of this block is nearer than r->near to an opening. */
static inline bool deep(const row_room *r, int block)
{
    int reach = (r->near + BLOCK - 1) / BLOCK;
    if (r->edge && (block < reach || block >= r->n_blocks - reach))
        return false;
    for (int b = block - reach; b <= block + reach; b++)
        if (b >= 0 && b < r->n_blocks && r->lowest[b] < r->near * r->near)
            return false;
    return true;
}

/* The least of squares[x + k] + k² over k, for one block. Looks LOOK pixels farther while its worst
 * pixel could still gain; that may be beyond r->near, which does no harm. */
static inline void least_block(uint16_t *restrict out, const row_room *r, int block)
{
    const int16_t *squares = r->squares + block * BLOCK;
    int worst = r->highest[block];
    int16_t best[BLOCK];
    memcpy(best, squares, sizeof best);
    for (int k = 1; k < r->near && k * k < worst; k += LOOK) {
        int16_t high = 0;
        for (int i = 0; i < BLOCK; i++) {
            int16_t least = best[i];
            for (int j = k; j < k + LOOK; j++) {
                int16_t left = squares[i - j], right = squares[i + j];
                int16_t there = (int16_t)((left < right ? left : right) + j * j);
                least = there < least ? there : least;
            }
            best[i] = least;
            high = least > high ? least : high;
        }
        worst = high;
    }
    int n = r->width - block * BLOCK < BLOCK ? r->width - block * BLOCK : BLOCK;
    memcpy(out + block * BLOCK, best, (size_t)n * sizeof *out);
}

/* From r->squares, none above near², to the squares of the distances, likewise. */
TB_CLONES static void near_row(uint16_t *out, row_room *r)
{
    survey_row(r);
    for (int b = 0; b < r->n_blocks; b++) {
        if (r->highest[b] == 0 || deep(r, b)) {
            int end = (b + 1) * BLOCK < r->width ? (b + 1) * BLOCK : r->width;
            for (int x = b * BLOCK; x < end; x++)
                out[x] = (uint16_t)r->highest[b];
        } else {
            least_block(out, r, b);
        }
    }
}

/* The first x at which the parabola about q is no higher than that about p < q. Where both are
 * equally high either will do, so rounding errors, far below 1 / (2 (q - p)), do no harm. */
static inline int32_t crossing(
        const row_room *r, int32_t p, int32_t p_height, int32_t q, int32_t q_height)
{
    double at = (q_height - p_height) * r->half_over[q - p] + 0.5 * (q + p);
    int32_t whole = (int32_t)at;
    return whole + (whole < at);
}

/* The far way for the stretch first … end - 1, all wood; d holds heights and gets squares. Its
 * ends are opening, except at the picture's edge where that is not. */
static void far_stretch(int32_t *d, int first, int end, row_room *r)
{
    int n = 0;
    int from = first > 0 || r->edge ? first - 1 : first;
    int to = end < r->width || r->edge ? end + 1 : end;
    for (int x = from; x < to; x++) {
        int32_t height = x < first || x >= end ? 0 : d[x];
        if (height == INT32_MAX)
            continue;
        int32_t begin = first;
        while (n > 0) {
            begin = crossing(r, r->middle[n - 1], r->height[n - 1], x, height);
            if (begin > r->begin[n - 1])
                break;
            n--;
        }
        if (n == 0)
            begin = first;
        if (begin >= end)
            continue;
        r->middle[n] = x;
        r->height[n] = height;
        r->begin[n++] = begin;
    }
    for (int i = 0; i < n; i++) {
        int stop = i + 1 < n ? r->begin[i + 1] : end;
        int32_t middle = r->middle[i], height = r->height[i];
        for (int x = r->begin[i]; x < stop; x++)
            d[x] = (x - middle) * (x - middle) + height;
    }
}

/* A whole row of d: from squares along the columns, INT32_MAX for none, to those of distances. */
static void full_row(int32_t *d, row_room *r)
{
    uint16_t most = NEAR_PX * NEAR_PX, worst = 0;
    for (int x = 0; x < r->width; x++)
        r->squares[x] = (int16_t)(d[x] < most ? d[x] : most);
    near_row(r->found, r);
    for (int x = 0; x < r->width; x++)
        worst = r->found[x] > worst ? r->found[x] : worst;
    for (int x = 0; worst == most && x < r->width;) {
        int first = x;
        bool far = false;
        for (; x < r->width && r->found[x]; x++)
            far |= r->found[x] == most;
        if (far) {
            far_stretch(d, first, x, r);
            memset(r->found + first, 0xff, (size_t)(x - first) * sizeof *r->found);
        }
        for (; x < r->width && !r->found[x]; x++)
            continue;
    }
    for (int x = 0; x < r->width; x++)
        d[x] = r->found[x] < UINT16_MAX ? r->found[x] : d[x];
}

/* Columns first … end - 1: squared distance along the column, INT32_MAX where it has no opening. */
TB_CLONES static void full_columns(void *payload, size_t first, size_t end)
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
    row_room r;
    if (!new_room(&r, s->mask->width_px, s->edge, NEAR_PX)) {
        s->failed = true;
        return;
    }
    for (size_t y = first; y < end && !tb_job_stopped(s->job); y++)
        full_row(s->full + y * (size_t)s->mask->width_px, &r);
    tb_free(r.block);
}

static tb_status outcome(const sweep *s, tb_error *err)
{
    if (s->failed)
        return tb_fail_memory(err);
    return tb_job_stopped(s->job) ? tb_fail_cancelled(err) : TB_OK;
}

tb_status tb_distance_full(
        int32_t **out, const tb_mask *mask, bool edge_is_opening, const tb_job *job, tb_error *err)
{
    *out = NULL;
    sweep s = {.mask = mask, .edge = edge_is_opening, .job = job};
    s.full = tb_malloc(tb_mask_area_px(mask), sizeof *s.full);
    if (!s.full)
        return tb_fail_memory(err);
    tb_job_rows(job, (size_t)mask->width_px, BLOCK, full_columns, &s);
    if (!s.failed)
        tb_job_rows(job, (size_t)mask->height_px, BLOCK, full_rows, &s);
    tb_status status = outcome(&s, err);
    if (status)
        tb_free(s.full);
    else
        *out = s.full;
    return status;
}

/* Distance along the columns, at most the cap, for rows first … end - 1 (at most STRIP), into rows
 * first - top … of columns. Openings farther than the cap have no say, so the sweeps begin there.
 */
TB_CLONES static void strip_columns(
        const sweep *s, uint8_t *columns, uint8_t *restrict run, int top, int first, int end)
{
    size_t width = (size_t)s->mask->width_px;
    int height = s->mask->height_px;
    uint8_t cap = (uint8_t)s->cap, flip = s->flip;
    int bottom = end + s->cap < height ? end + s->cap : height;
    memset(run, top == 0 && s->edge ? 0 : cap, width);
    for (int y = top; y < bottom; y++) {
        const uint8_t *px = s->mask->px + (size_t)y * width;
        uint8_t *restrict d = columns + (size_t)(y - top) * width;
        for (size_t x = 0; x < width; x++) {
            uint8_t next = run[x] < cap ? run[x] + 1 : cap;
            run[x] = d[x] = px[x] ^ flip ? next : 0;
        }
    }
    memset(run, bottom == height && s->edge ? 0 : cap, width);
    for (int y = bottom; y-- > first;) {
        uint8_t *restrict d = columns + (size_t)(y - top) * width;
        for (size_t x = 0; x < width; x++) {
            uint8_t next = run[x] < cap ? run[x] + 1 : cap;
            run[x] = d[x] = d[x] < next ? d[x] : next;
        }
    }
}

static void narrow_row(const uint8_t *columns, uint16_t *out, row_room *r)
{
    for (int x = 0; x < r->width; x++)
        r->squares[x] = (int16_t)(columns[x] * columns[x]);
    near_row(out, r);
}

/* For caps beyond what the near way can count. */
static void wide_row(const uint8_t *columns, int cap, uint16_t *out, int32_t *d, row_room *r)
{
    for (int x = 0; x < r->width; x++)
        d[x] = columns[x] < cap ? columns[x] * columns[x] : INT32_MAX;
    full_row(d, r);
    for (int x = 0; x < r->width; x++)
        out[x] = (uint16_t)(d[x] < cap * cap ? d[x] : cap * cap);
}

static void capped_rows(void *payload, size_t first_row, size_t end_row)
{
    sweep *s = payload;
    size_t width = (size_t)s->mask->width_px;
    bool narrow = s->cap <= NEAR_PX;
    int end = (int)end_row;
    row_room r;
    uint8_t *columns = tb_malloc(STRIP + 2 * (size_t)s->cap + 1, width);
    int32_t *d = tb_malloc(width, sizeof *d);
    if (!new_room(&r, s->mask->width_px, s->edge, narrow ? s->cap : NEAR_PX) || !columns || !d) {
        s->failed = true;
        end = 0;
    }
    for (int first = (int)first_row; first < end && !tb_job_stopped(s->job); first += STRIP) {
        int stop = first + STRIP < end ? first + STRIP : end;
        int top = first > s->cap ? first - s->cap : 0;
        strip_columns(s, columns + width, columns, top, first, stop);
        for (int y = first; y < stop; y++) {
            const uint8_t *row = columns + (size_t)(y - top + 1) * width;
            uint16_t *out = s->capped + (size_t)y * width;
            if (narrow)
                narrow_row(row, out, &r);
            else
                wide_row(row, s->cap, out, d, &r);
        }
    }
    tb_free(r.block);
    tb_free(columns);
    tb_free(d);
}

static tb_status capped(uint16_t **out, const tb_mask *mask, int cap_px, bool edge, uint8_t flip,
        const tb_job *job, tb_error *err)
{
    *out = NULL;
    if (cap_px < 1 || cap_px > CAP_MAX_PX)
        return tb_fail(err, TB_EINVAL, "a distance of %d pixels is out of limits (1 to %d)", cap_px,
                CAP_MAX_PX);
    sweep s = {.mask = mask, .edge = edge, .job = job, .cap = cap_px, .flip = flip};
    s.capped = tb_malloc(tb_mask_area_px(mask), sizeof *s.capped);
    if (!s.capped)
        return tb_fail_memory(err);
    tb_job_rows(job, (size_t)mask->height_px, STRIP, capped_rows, &s);
    tb_status status = outcome(&s, err);
    if (status)
        tb_free(s.capped);
    else
        *out = s.capped;
    return status;
}

tb_status tb_distance_capped(uint16_t **out, const tb_mask *mask, int cap_px, bool edge_is_opening,
        const tb_job *job, tb_error *err)
{
    return capped(out, mask, cap_px, edge_is_opening, 0, job, err);
}

tb_status tb_distance_in_openings(
        uint16_t **out, const tb_mask *mask, int cap_px, const tb_job *job, tb_error *err)
{
    return capped(out, mask, cap_px, true, 1, job, err);
}
