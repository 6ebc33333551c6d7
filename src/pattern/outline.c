/* pattern/outline.c: see outline.h.
 *
 * A step along the top of a pixel of wood is marked when it is taken, and every outline has such a
 * step, so a search for unmarked ones finds each outline once.
 *
 * The polygon grows by a cone: seen from its last corner, every middle passed must lie within half
 * a pixel, which leaves a sector of directions; when the next middle falls out of the sector, the
 * one before becomes a corner (Sklansky & Gonzalez 1980, Pattern Recognition 12:327; from memory).
 */
#include "pattern/outline.h"

#include "base/alloc.h"
#include "base/array.h"

#include <math.h>
#include <string.h>

static bool wood_at(const tb_mask *mask, int x, int y)
{
    return x >= 0 && y >= 0 && x < mask->width_px && y < mask->height_px &&
           mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x];
}

typedef struct {
    const tb_mask *mask;
    uint64_t *taken; /* a bit for each pixel: the step along its top */
    uint8_t *steps;
    size_t n, room;
} walker;

/* Pixel ahead on the left of a vertex, by direction. */
static const int LEFT_X[4] = {0, 0, -1, -1}, LEFT_Y[4] = {-1, 0, 0, -1};

/* The way on from a vertex that `direction` led to: by the right around the wood's own pixel. */
static int turn_on(const tb_mask *mask, int x, int y, int direction)
{
    if (!wood_at(mask, x + TB_RIGHT_X[direction], y + TB_RIGHT_Y[direction]))
        return (direction + 1) & 3;
    if (wood_at(mask, x + LEFT_X[direction], y + LEFT_Y[direction]))
        return (direction + 3) & 3;
    return direction;
}

static bool follow(walker *w, int x, int y)
{
    int first_x = x, first_y = y, direction = 0;
    w->n = 0;
    do {
        if (!tb_array_reserve(&w->steps, &w->room, w->n, 1))
            return false;
        if (direction == 0) {
            size_t px = (size_t)y * (size_t)w->mask->width_px + (size_t)x;
            w->taken[px / 64] |= UINT64_C(1) << (px % 64);
        }
        w->steps[w->n++] = (uint8_t)direction;
        x += TB_STEP_X[direction];
        y += TB_STEP_Y[direction];
        direction = turn_on(w->mask, x, y, direction);
    } while (x != first_x || y != first_y || direction != 0);
    return true;
}

static tb_status walk_row(
        walker *w, int y, const uint8_t *above, tb_outline_cb *outline_cb, void *payload)
{
    size_t width = (size_t)w->mask->width_px;
    const uint8_t *row = w->mask->px + (size_t)y * width;
    for (size_t x = 0; x < width; x++) {
        uint64_t wood, over;
        while (x + 8 <= width &&
                (memcpy(&wood, row + x, 8), memcpy(&over, above + x, 8), !(wood & ~over)))
            x += 8;
        if (x == width)
            break;
        size_t px = (size_t)y * width + x;
        if (!row[x] || above[x] || (w->taken[px / 64] >> (px % 64) & 1))
            continue;
        if (!follow(w, (int)x, y))
            return TB_ENOMEM;
        tb_outline outline = {(int)x, y, w->steps, w->n};
        tb_status status = outline_cb(payload, &outline);
        if (status)
            return status;
    }
    return TB_OK;
}

tb_status tb_outlines_walk(const tb_mask *mask, tb_outline_cb *outline_cb, void *payload,
        const tb_job *job, tb_error *err)
{
    walker w = {.mask = mask};
    w.taken = tb_calloc(tb_mask_area_px(mask) / 64 + 1, sizeof *w.taken);
    uint8_t *nothing = tb_calloc((size_t)mask->width_px, 1);
    tb_status status = w.taken && nothing ? TB_OK : tb_fail_memory(err);
    for (int y = 0; y < mask->height_px && !status; y++) {
        const uint8_t *above = y ? mask->px + ((size_t)y - 1) * (size_t)mask->width_px : nothing;
        status = walk_row(&w, y, above, outline_cb, payload);
        if (status == TB_ENOMEM)
            tb_fail_memory(err);
        if (!status && tb_job_stopped(job))
            status = tb_fail_cancelled(err);
    }
    tb_free(nothing);
    tb_free(w.taken);
    tb_free(w.steps);
    return status;
}

bool tb_outline_begin(
        tb_outline_walk *walk, const tb_mask *mask, int x, int y, double to_x, double to_y)
{
    /* With the wood below, a step along this pixel's lower side goes right, and so on round. */
    static const int WOOD_X[4] = {0, -1, 0, 1}, WOOD_Y[4] = {1, 0, -1, 0};
    static const int VERTEX_X[4] = {0, 0, 1, 1}, VERTEX_Y[4] = {1, 0, 0, 1};
    int best = -1;
    double most = 0;
    for (int k = 0; k < 4; k++) {
        double along = WOOD_X[k] * to_x + WOOD_Y[k] * to_y;
        if (along > most && wood_at(mask, x + WOOD_X[k], y + WOOD_Y[k])) {
            most = along;
            best = k;
        }
    }
    if (best < 0)
        return false;
    int at_x = x + VERTEX_X[best], at_y = y + VERTEX_Y[best];
    *walk = (tb_outline_walk){at_x, at_y, best, at_x, at_y, best};
    return true;
}

bool tb_outline_step(tb_outline_walk *walk, const tb_mask *mask)
{
    walk->x += TB_STEP_X[walk->direction];
    walk->y += TB_STEP_Y[walk->direction];
    walk->direction = turn_on(mask, walk->x, walk->y, walk->direction);
    return walk->x != walk->first_x || walk->y != walk->first_y ||
           walk->direction != walk->first_direction;
}

void tb_outline_left_px(const tb_outline_walk *walk, int *x, int *y)
{
    *x = walk->x + LEFT_X[walk->direction];
    *y = walk->y + LEFT_Y[walk->direction];
}

typedef struct {
    double x, y;            /* the last corner */
    double low[2], high[2]; /* the sector's sides; all of it is less than half a turn */
    bool open;              /* no sector yet: any direction will do */
} cone;

static double cross(const double a[2], const double b[2])
{
    return a[0] * b[1] - a[1] * b[0];
}

/* hypot() guards against numbers far larger than a picture, and takes its time. */
static double length_of(double x, double y)
{
    return sqrt(x * x + y * y);
}

/* True if (x, y) lies in the sector, which then shrinks to what sees it within the tolerance. */
static bool cone_takes(cone *c, double x, double y)
{
    const double tolerance = 0.5;
    double to[2] = {x - c->x, y - c->y}, far = length_of(to[0], to[1]);
    if (far <= tolerance)
        return true;
    if (!c->open && (cross(c->low, to) < 0 || cross(to, c->high) < 0))
        return false;
    double s = tolerance / far, k = sqrt(1 - s * s);
    double low[2] = {k * to[0] + s * to[1], k * to[1] - s * to[0]};
    double high[2] = {k * to[0] - s * to[1], k * to[1] + s * to[0]};
    if (c->open || cross(c->low, low) > 0)
        memcpy(c->low, low, sizeof low);
    if (c->open || cross(high, c->high) > 0)
        memcpy(c->high, high, sizeof high);
    c->open = false;
    return true;
}

double tb_outline_length_px(const tb_outline *outline)
{
    double x = outline->x_px + 0.5, y = outline->y_px, length = 0;
    cone c = {.x = x, .y = y, .open = true};
    double last_x = x, last_y = y;
    for (size_t i = 0; i < outline->n_steps; i++) {
        int here = outline->step[i], next = outline->step[i + 1 < outline->n_steps ? i + 1 : 0];
        x += 0.5 * (TB_STEP_X[here] + TB_STEP_X[next]);
        y += 0.5 * (TB_STEP_Y[here] + TB_STEP_Y[next]);
        if (!cone_takes(&c, x, y)) {
            length += length_of(last_x - c.x, last_y - c.y);
            c = (cone){.x = last_x, .y = last_y, .open = true};
            cone_takes(&c, x, y);
        }
        last_x = x;
        last_y = y;
    }
    return length + length_of(last_x - c.x, last_y - c.y);
}
