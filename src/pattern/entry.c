/* pattern/entry.c: see entry.h.
 *
 * Small discs are read off the capped distance map; where an opening is about as wide for a while,
 * the widest place is told between pixels. For an opening that reaches the cap, a map of squares of
 * pixels gives where to begin, good to about a square; from there steps that halve climb on exact
 * distances, each read off the runs: in every row the nearest wood is at an end of the run that the
 * centre's column falls in.
 */
#include "pattern/entry.h"

#include "base/alloc.h"
#include "base/array.h"
#include "image/distance.h"
#include "image/rect.h"
#include "pattern/breadth.h"
#include "pattern/places.h"

#include <math.h>
#include <string.h>

static bool run_at(tb_run *out, const tb_labels *labels, int x, int y)
{
    size_t low = labels->row_runs[y], high = labels->row_runs[y + 1], end = high;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (labels->runs[middle].end_px <= x)
            low = middle + 1;
        else
            high = middle;
    }
    if (low == end || labels->runs[low].x_px > x)
        return false;
    *out = labels->runs[low];
    return true;
}

/* Squared distance from the nearest wood in row y; 0 where (x, y) itself is not opening. */
static int64_t row_distance(const tb_labels *openings, int x, int y)
{
    tb_run run;
    if (y < 0 || y >= openings->height_px || !run_at(&run, openings, x, y))
        return 0;
    int64_t left = x - run.x_px + 1, right = run.end_px - x, nearer = left < right ? left : right;
    return nearer * nearer;
}

typedef struct {
    int x, y;
    int64_t d2;
    int row; /* from there to the row where the nearest wood lies */
    bool known;
} centre;

/* Measures c->d2, or gives up as soon as that can't be more than `floor`: it then says no more.
 * Where wood is near one pixel it is near its neighbours, so c->row as it comes is tried first. */
static void measure(centre *c, const tb_labels *openings, int64_t floor)
{
    bool outside = c->x < 0 || c->x >= openings->width_px;
    int64_t first = (int64_t)c->row * c->row;
    c->d2 = outside ? 0 : first + row_distance(openings, c->x, c->y + c->row);
    if (c->d2 <= floor)
        return;
    int64_t here = row_distance(openings, c->x, c->y);
    if (here < c->d2) {
        c->d2 = here;
        c->row = 0;
    }
    for (int k = 1; (int64_t)k * k < c->d2 && c->d2 > floor; k++)
        for (int side = -1; side <= 1; side += 2) {
            int64_t there = (int64_t)k * k + row_distance(openings, c->x, c->y + side * k);
            if (there < c->d2) {
                c->d2 = there;
                c->row = side * k;
            }
        }
}

/* A piece that reaches the map's cap. */
typedef struct {
    bool deep;
    int n_starts;
    int32_t most; /* in the squares' map */
} deep_piece;

static void climb(centre *c, const tb_labels *openings, int step)
{
    c->row = 0;
    measure(c, openings, 0);
    for (; step > 0; step /= 2)
        for (bool moved = true; moved;) {
            centre best = *c;
            for (int dy = -2; dy <= 2; dy++)
                for (int dx = -2; dx <= 2; dx++) {
                    centre next = {c->x + dx * step, c->y + dy * step, 0, best.row, false};
                    if (dx == 0 && dy == 0)
                        continue;
                    measure(&next, openings, best.d2);
                    if (next.d2 > best.d2)
                        best = next;
                }
            moved = best.d2 > c->d2;
            *c = best;
        }
}

/* Largest capped distance in each piece, the first in order where equal. */
static void read_map(centre *best, const tb_labels *openings, const uint16_t *d2, int64_t cap_d2)
{
    for (size_t i = 0; i < openings->n_runs; i++) {
        tb_run run = openings->runs[i];
        if (best[run.piece].known || best[run.piece].d2 == cap_d2)
            continue;
        const uint16_t *row = d2 + (size_t)run.y_px * (size_t)openings->width_px;
        centre *c = &best[run.piece];
        uint16_t most = 0;
        for (int x = run.x_px; x < run.end_px; x++)
            most = row[x] > most ? row[x] : most;
        if (most <= c->d2)
            continue;
        int x = run.x_px;
        while (row[x] != most)
            x++;
        *c = (centre){x, run.y_px, most, 0, false};
    }
}

/* Where the unknown pieces that reach the cap lie, in squares, one more all round. */
static tb_rect deep_squares(const centre *best, const tb_labels *openings, int64_t cap_d2, int side)
{
    tb_rect all = {0, 0, 0, 0};
    for (int32_t i = 0; i < openings->n_pieces; i++) {
        const tb_piece *p = &openings->pieces[i];
        tb_rect box = {p->left_px / side - 1, p->top_px / side - 1, p->right_px / side + 2,
                p->bottom_px / side + 2};
        if (!best[i].known && best[i].d2 >= cap_d2)
            all = tb_rect_join(all, box);
    }
    tb_rect whole = {0, 0, openings->width_px / side, openings->height_px / side};
    return tb_rect_meet(all, whole);
}

/* A mask of squares: opening where all of a square is. */
static tb_status squares_of(
        tb_mask **out, const tb_mask *mask, tb_rect squares, int side, tb_error *err)
{
    int width = squares.right_px - squares.left_px, height = squares.bottom_px - squares.top_px;
    size_t n = (size_t)width * (size_t)side, stride = (size_t)mask->width_px;
    uint8_t *wood = tb_malloc(n, 1); /* in any row of the square */
    tb_status status = tb_mask_new(out, width, height, mask->px_per_mm / side, err);
    if (!status && !wood)
        status = tb_fail_memory(err);
    for (int y = 0; y < height && !status; y++) {
        const uint8_t *px = mask->px + (size_t)((squares.top_px + y) * side) * stride +
                            (size_t)(squares.left_px * side);
        uint8_t *row = (*out)->px + (size_t)y * (size_t)width;
        memcpy(wood, px, n);
        for (int k = 1; k < side; k++)
            for (size_t x = 0; x < n; x++)
                wood[x] |= px[(size_t)k * stride + x];
        for (int x = 0; x < width; x++)
            row[x] = !memchr(wood + x * side, 1, (size_t)side);
    }
    tb_free(wood);
    return status;
}

/* The squares' map: squared distances in squares, of those in `at`. */
typedef struct {
    tb_rect at;
    int side;
    int32_t *d2;
} coarse;

static int32_t coarse_at(const coarse *c, int x, int y)
{
    const tb_rect *r = &c->at;
    bool inside = x >= r->left_px && x < r->right_px && y >= r->top_px && y < r->bottom_px;
    return inside ? c->d2[(size_t)(y - r->top_px) * (size_t)(r->right_px - r->left_px) +
                            (size_t)(x - r->left_px)]
                  : 0;
}

static bool coarse_summit(const coarse *c, int x, int y)
{
    int32_t here = coarse_at(c, x, y);
    for (int dy = -1; dy <= 1; dy++)
        for (int dx = -1; dx <= 1; dx++)
            if (coarse_at(c, x + dx, y + dy) >= here + (dy < 0 || (dy == 0 && dx <= 0)))
                return false;
    return true;
}

typedef void square_cb(void *payload, const coarse *c, int32_t piece, int x, int y);

/* Calls for each square whose middle lies in a deep piece. */
static void for_squares(const coarse *c, const tb_labels *openings, const deep_piece *deep,
        square_cb *call, void *payload)
{
    int side = c->side;
    for (int y = c->at.top_px; y < c->at.bottom_px; y++) {
        int row = y * side + side / 2;
        for (size_t i = openings->row_runs[row]; i < openings->row_runs[row + 1]; i++) {
            tb_run run = openings->runs[i];
            if (!deep[run.piece].deep)
                continue;
            int x = run.x_px / side;
            for (x = x < c->at.left_px ? c->at.left_px : x; x < c->at.right_px; x++) {
                int middle = x * side + side / 2;
                if (middle >= run.end_px)
                    break;
                if (middle >= run.x_px)
                    call(payload, c, run.piece, x, y);
            }
        }
    }
}

static void deepest_cb(void *payload, const coarse *c, int32_t piece, int x, int y)
{
    deep_piece *deep = payload;
    int32_t d2 = coarse_at(c, x, y);
    deep[piece].most = d2 > deep[piece].most ? d2 : deep[piece].most;
}

enum { STARTS_MAX = 6 };

/* Where a climb in a piece begins, and later where it ends. */
typedef struct {
    int32_t piece;
    centre at;
} start;

typedef struct {
    deep_piece *deep;
    start *starts;
    size_t n, room;
    bool failed;
    const tb_labels *openings;
    int step;
} ascent;

/* Every summit of the squares' map that is not clearly lower than the highest is a start. */
static void start_cb(void *payload, const coarse *c, int32_t piece, int x, int y)
{
    ascent *a = payload;
    deep_piece *deep = &a->deep[piece];
    if (a->failed || deep->n_starts == STARTS_MAX ||
            sqrt(coarse_at(c, x, y)) < sqrt(deep->most) - 1.5 || !coarse_summit(c, x, y))
        return;
    a->failed = !tb_array_reserve(&a->starts, &a->room, a->n, 1);
    if (a->failed)
        return;
    deep->n_starts++;
    centre from = {x * c->side + c->side / 2, y * c->side + c->side / 2, 0, 0, false};
    a->starts[a->n++] = (start){piece, from};
}

static void climb_one(void *payload, size_t i)
{
    const ascent *a = payload;
    climb(&a->starts[i].at, a->openings, a->step);
}

static tb_status ascend(centre *best, deep_piece *deep, const coarse *c, const tb_labels *openings,
        const tb_job *job, tb_error *err)
{
    ascent a = {.deep = deep, .openings = openings, .step = c->side / 2 > 1 ? c->side / 2 : 1};
    for_squares(c, openings, deep, deepest_cb, deep);
    for_squares(c, openings, deep, start_cb, &a);
    if (!a.failed)
        tb_job_each(job, a.n, climb_one, &a);
    for (size_t i = 0; i < a.n; i++)
        if (a.starts[i].at.d2 > best[a.starts[i].piece].d2)
            best[a.starts[i].piece] = a.starts[i].at;
    tb_free(a.starts);
    return a.failed ? tb_fail_memory(err) : TB_OK;
}

static tb_status measure_deep(centre *best, deep_piece *deep, const tb_labels *openings,
        const tb_mask *mask, int64_t cap_d2, int side, const tb_job *job, tb_error *err)
{
    coarse c = {deep_squares(best, openings, cap_d2, side), side, NULL};
    if (tb_rect_empty(c.at))
        return TB_OK;
    for (int32_t i = 0; i < openings->n_pieces; i++)
        deep[i].deep = !best[i].known && best[i].d2 >= cap_d2;
    tb_mask *squares = NULL;
    tb_status status = squares_of(&squares, mask, c.at, side, err);
    if (!status)
        status = tb_distance_full(&c.d2, squares, true, job, err);
    if (!status)
        status = ascend(best, deep, &c, openings, job, err);
    tb_free(c.d2);
    tb_mask_free(squares);
    return status;
}

enum { REFINED_MIN_PX = 2, REFINED_MAX_PX = 255 };

typedef struct {
    tb_disc *discs;
    centre *best;
    const deep_piece *deep;
    const tb_labels *openings;
    const tb_mask *mask;
    int side;
    tb_disc_care care;
    const tb_job *job;
    tb__places *rivals, **rivals_of; /* of each piece, NULL where there are none */
} refining;

/* far: from the pixel to the nearest of wood, to about a pixel. */
static tb_disc disc_at(const refining *r, int x, int y, double far)
{
    tb_disc disc = {x + 0.5, y + 0.5, far - 0.5};
    if (r->care != TB_DISCS_BY_PIXEL && disc.radius_px > REFINED_MIN_PX &&
            disc.radius_px < REFINED_MAX_PX)
        disc.radius_px =
                tb_breadth_disc(r->mask, 0, false, &disc.x_px, &disc.y_px, disc.radius_px + 0.5);
    return disc;
}

static bool is_small(const refining *r, size_t i)
{
    return !r->best[i].known && !r->deep[i].deep &&
           r->best[i].d2 >= REFINED_MIN_PX * REFINED_MIN_PX;
}

/* In small pieces, a few of the pixels that are hardly nearer to the line than the best. */
static tb_status find_rivals(refining *r, const uint16_t *d2, tb_error *err)
{
    enum { TRIED = 6 };
    const tb_labels *openings = r->openings;
    size_t n = (size_t)openings->n_pieces, n_small = 0;
    for (size_t i = 0; i < n; i++)
        n_small += is_small(r, i);
    if (n_small == 0)
        return TB_OK;
    r->rivals = tb_calloc(n_small, sizeof *r->rivals);
    r->rivals_of = tb_calloc(n, sizeof *r->rivals_of);
    if (!r->rivals || !r->rivals_of)
        return tb_fail_memory(err);
    for (size_t i = 0, k = 0; i < n; i++) {
        if (!is_small(r, i))
            continue;
        r->rivals[k] = (tb__places){.most = TRIED, .every = 1};
        r->rivals_of[i] = &r->rivals[k++];
    }
    for (size_t i = 0; i < openings->n_runs; i++) {
        tb_run run = openings->runs[i];
        if (!r->rivals_of[run.piece])
            continue;
        const uint16_t *row = d2 + (size_t)run.y_px * (size_t)openings->width_px;
        double least = sqrt((double)r->best[run.piece].d2) - 0.75;
        for (int x = run.x_px; x < run.end_px; x++)
            if (row[x] >= least * least)
                tb__places_take(r->rivals_of[run.piece], x, run.y_px);
    }
    return TB_OK;
}

static void refine(void *payload, size_t i)
{
    const refining *r = payload;
    centre *best = &r->best[i];
    tb_disc *disc = &r->discs[i];
    if (best->known || tb_job_stopped(r->job))
        return;
    if (r->deep[i].deep && r->deep[i].n_starts == 0)
        climb(best, r->openings, r->side);
    *disc = disc_at(r, best->x, best->y, sqrt((double)best->d2));
    const tb__places *rivals = r->rivals_of ? r->rivals_of[i] : NULL;
    for (int k = 0; rivals && k < rivals->n; k++) {
        tb_disc rival = disc_at(r, rivals->x[k], rivals->y[k], sqrt((double)best->d2));
        if (rival.radius_px > disc->radius_px)
            *disc = rival;
    }
}

tb_disc_care tb_discs_care(const tb_labels *openings)
{
    enum { FINEST = 200, FINE = 4000, LEAST_AREA_PX = 16 };
    int n = 0;
    for (int32_t i = 0; i < openings->n_pieces; i++)
        n += openings->pieces[i].area_px >= LEAST_AREA_PX;
    return n > FINE ? TB_DISCS_BY_PIXEL : n > FINEST ? TB_DISCS_FINE : TB_DISCS_FINEST;
}

tb_status tb_discs_find(tb_disc *discs, const tb_labels *openings, const tb_mask *mask,
        const uint16_t *d2, int cap_px, const tb_job *job, tb_error *err)
{
    size_t n = (size_t)openings->n_pieces;
    int64_t cap_d2 = (int64_t)cap_px * cap_px;
    int side = cap_px / 3 > 1 ? cap_px / 3 : 1;
    centre *best = tb_calloc(n, sizeof *best);
    deep_piece *deep = tb_calloc(n, sizeof *deep);
    if (!best || !deep) {
        tb_free(best);
        tb_free(deep);
        return tb_fail_memory(err);
    }
    for (size_t i = 0; i < n; i++)
        best[i].known = discs[i].radius_px != TB_DISC_UNKNOWN;
    read_map(best, openings, d2, cap_d2);
    tb_status status = measure_deep(best, deep, openings, mask, cap_d2, side, job, err);
    refining r = {
            discs, best, deep, openings, mask, side, tb_discs_care(openings), job, NULL, NULL};
    if (!status && r.care == TB_DISCS_FINEST)
        status = find_rivals(&r, d2, err);
    if (!status) {
        tb_job_each(job, n, refine, &r);
        status = tb_job_stopped(job) ? tb_fail_cancelled(err) : TB_OK;
    }
    tb_free(r.rivals);
    tb_free(r.rivals_of);
    tb_free(best);
    tb_free(deep);
    return status;
}
