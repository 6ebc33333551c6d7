/* photo/sample.c: see sample.h.
 *
 * A row is turned to linear light by tables and summed up as it goes, in whole numbers, so that
 * the light over any stretch of it is the difference of two sums. Rows are then weighted by how
 * much of them lies in the row being made. L* comes from a table of 4096 steps, interpolated:
 * within 0.001 of CIE's formula, and exact in its straight part.
 */
#include "photo/sample.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>

enum { LSTAR_STEPS = 4096, TILE = 64, MIN_ROWS = 32 };

static const double LIGHT_ONE = 1 << 24; /* full light in the running sums */

struct tb__shrink {
    tb_plane *plane;
    tb__shrink_options options;
    uint32_t *light[3]; /* encoded value to weighted linear light; [1] and [2] only with 3 bands */
    uint64_t *sums;     /* [row_px + 2] */
    int32_t *edge_px;   /* [width_px + 1]: whole and broken part of each column's left edge */
    float *edge_part;
    float *row;      /* light of the row just given, at the plane's columns */
    int y_in, y_out; /* rows given and made so far */
    float lstar[LSTAR_STEPS + 2];
};

/* IEC 61966-2-1. */
static double linear_of(double encoded)
{
    return encoded <= 0.04045 ? encoded / 12.92 : pow((encoded + 0.055) / 1.055, 2.4);
}

/* CIE 15, with the exact fractions (6/29)³ and (29/3)³ in place of 0.008856 and 903.3. */
static double lstar_of(double y)
{
    return y > 216.0 / 24389.0 ? 116 * cbrt(y) - 16 : y * 24389.0 / 27.0;
}

static float lstar_at(const float *table, float y)
{
    float at = y * LSTAR_STEPS;
    int k = (int)at;
    return table[k] + (at - (float)k) * (table[k + 1] - table[k]);
}

static void fill_light(tb__shrink *s)
{
    static const double WEIGHTS[3] = {0.2126, 0.7152, 0.0722}; /* Rec. 709 */
    int n = 1 << s->options.bits;
    for (int band = 0; s->options.light && band < 3; band++)
        for (int i = 0; i < n; i++)
            s->light[band][i] = (uint32_t)(s->options.light[band * n + i] * LIGHT_ONE + 0.5);
    for (int i = 0; !s->options.light && i < n; i++) {
        double light = linear_of((double)i / (n - 1)) * LIGHT_ONE;
        for (int band = 0; band < s->options.bands; band++)
            s->light[band][i] =
                    (uint32_t)(light * (s->options.bands == 1 ? 1 : WEIGHTS[band]) + 0.5);
    }
}

static void fill_edges(tb__shrink *s)
{
    const tb__shrink_options *o = &s->options;
    for (int i = 0; i <= s->plane->width_px; i++) {
        double at = o->x + o->w * i / s->plane->width_px;
        at = fmin(fmax(at, 0), o->row_px);
        s->edge_px[i] = (int32_t)at;
        s->edge_part[i] = (float)(at - floor(at));
    }
}

tb_status tb__shrink_new(
        tb__shrink **out, tb_plane *plane, const tb__shrink_options *options, tb_error *err)
{
    *out = NULL;
    tb__shrink *s = tb_calloc(1, sizeof *s);
    if (!s)
        return tb_fail_memory(err);
    size_t columns = (size_t)plane->width_px;
    s->plane = plane;
    s->options = *options;
    s->sums = tb_calloc((size_t)options->row_px + 2, sizeof *s->sums);
    s->edge_px = tb_malloc(columns + 1, sizeof *s->edge_px);
    s->edge_part = tb_malloc(columns + 1, sizeof *s->edge_part);
    s->row = tb_malloc(columns, sizeof *s->row);
    bool good = s->sums && s->edge_px && s->edge_part && s->row;
    for (int band = 0; band < options->bands; band++) {
        s->light[band] = tb_malloc((size_t)1 << options->bits, sizeof *s->light[band]);
        good = good && s->light[band];
    }
    if (!good) {
        tb__shrink_free(s);
        return tb_fail_memory(err);
    }
    fill_light(s);
    fill_edges(s);
    for (int i = 0; i <= LSTAR_STEPS + 1; i++)
        s->lstar[i] = (float)lstar_of((double)i / LSTAR_STEPS);
    memset(plane->px, 0, columns * sizeof *plane->px);
    *out = s;
    return TB_OK;
}

void tb__shrink_free(tb__shrink *s)
{
    if (!s)
        return;
    for (int band = 0; band < 3; band++)
        tb_free(s->light[band]);
    tb_free(s->sums);
    tb_free(s->edge_px);
    tb_free(s->edge_part);
    tb_free(s->row);
    tb_free(s);
}

#define SUM_ROW(type)                                                                              \
    do {                                                                                           \
        const type *px = row;                                                                      \
        if (s->options.bands == 1)                                                                 \
            for (int x = 0; x < n; x++)                                                            \
                sums[x + 1] = sum += s->light[0][px[x]];                                           \
        else                                                                                       \
            for (int x = 0; x < n; x++, px += 3)                                                   \
                sums[x + 1] = sum += s->light[0][px[0]] + s->light[1][px[1]] + s->light[2][px[2]]; \
    } while (0)

static void sum_row(tb__shrink *s, const void *row)
{
    int n = s->options.row_px;
    uint64_t sum = 0, *sums = s->sums;
    if (s->options.bits == 8)
        SUM_ROW(uint8_t);
    else
        SUM_ROW(uint16_t);
    sums[n + 1] = sum;
}

static double sum_at(const tb__shrink *s, int i)
{
    const uint64_t *sums = s->sums + s->edge_px[i];
    return (double)sums[0] + (double)s->edge_part[i] * (double)(sums[1] - sums[0]);
}

static void gather_columns(tb__shrink *s)
{
    double scale = s->plane->width_px / (s->options.w * LIGHT_ONE);
    double left = sum_at(s, 0);
    for (int i = 0; i < s->plane->width_px; i++) {
        double right = sum_at(s, i + 1);
        s->row[i] = (float)((right - left) * scale);
        left = right;
    }
}

/* The row being made is whole: from light to L*. Its neighbour starts dark. */
static void finish_row(tb__shrink *s)
{
    size_t columns = (size_t)s->plane->width_px;
    float *out = s->plane->px + (size_t)s->y_out * columns;
    float scale = (float)(s->plane->height_px / s->options.h);
    for (size_t i = 0; i < columns; i++) {
        float y = out[i] * scale;
        out[i] = lstar_at(s->lstar, y < 1 ? y : 1);
    }
    if (++s->y_out < s->plane->height_px)
        memset(out + columns, 0, columns * sizeof *out);
}

static double row_end(const tb__shrink *s, int y_out)
{
    return s->options.y + s->options.h * (y_out + 1) / s->plane->height_px;
}

void tb__shrink_row(tb__shrink *s, const void *row)
{
    size_t columns = (size_t)s->plane->width_px;
    bool last = s->y_in + 1 == s->options.n_rows;
    double from = fmax(s->y_in, s->options.y), end = s->y_in + 1;
    s->y_in++;
    if (s->y_out == s->plane->height_px || (end <= s->options.y && !last))
        return;
    sum_row(s, row);
    gather_columns(s);
    while (s->y_out < s->plane->height_px) {
        double made = row_end(s, s->y_out);
        float share = (float)fmax(0, fmin(end, made) - from);
        float *out = s->plane->px + (size_t)s->y_out * columns;
        for (size_t i = 0; i < columns; i++)
            out[i] += share * s->row[i];
        if (made > end && !last)
            return;
        finish_row(s);
        from = made;
        if (made >= end && !last)
            return;
    }
}

tb__turn tb__turn_of(int orientation)
{
    static const tb__turn TURNS[9] = {{0}, {0}, {.flip_x = true}, {.flip_x = true, .flip_y = true},
            {.flip_y = true}, {.swap = true}, {.swap = true, .flip_y = true},
            {.swap = true, .flip_x = true, .flip_y = true}, {.swap = true, .flip_x = true}};
    return TURNS[orientation >= 1 && orientation <= 8 ? orientation : 1];
}

typedef struct {
    tb_plane *out;
    const tb_plane *in;
    tb__turn turn;
    tb__grid grid;
    const tb_job *job;
    const float *taps; /* resampling without turning: four weights and a place for each column */
    const int32_t *places;
    atomic_bool *no_memory;
} piece;

static size_t stored_at(const piece *p, int u, int v)
{
    int x = p->turn.swap ? v : u, y = p->turn.swap ? u : v;
    if (p->turn.flip_x)
        x = p->in->width_px - 1 - x;
    if (p->turn.flip_y)
        y = p->in->height_px - 1 - y;
    return (size_t)y * (size_t)p->in->width_px + (size_t)x;
}

/* Tile by tile, so that both planes stay in the cache when rows become columns. */
static void turn_tiles(void *payload, size_t first, size_t end)
{
    const piece *p = payload;
    int width = p->out->width_px, height = p->out->height_px;
    for (int top = (int)first * TILE; top < (int)end * TILE && top < height; top += TILE)
        for (int left = 0; left < width; left += TILE)
            for (int v = top; v < top + TILE && v < height; v++)
                for (int u = left; u < left + TILE && u < width; u++)
                    p->out->px[(size_t)v * (size_t)width + (size_t)u] =
                            p->in->px[stored_at(p, u, v)];
}

tb_status tb__turn_upright(
        tb_plane **out, const tb_plane *stored, tb__turn turn, const tb_job *job, tb_error *err)
{
    int width = turn.swap ? stored->height_px : stored->width_px;
    int height = turn.swap ? stored->width_px : stored->height_px;
    tb_status status = tb_plane_new(out, width, height, stored->px_per_mm, err);
    if (status)
        return status;
    piece p = {.out = *out, .in = stored, .turn = turn};
    tb_job_rows(job, ((size_t)height + TILE - 1) / TILE, 2, turn_tiles, &p);
    return TB_OK;
}

/* Catmull & Rom 1974: the weights of four neighbours at part (0..1) behind the second. */
static void cubic(float weights[4], float part)
{
    float p = part, p2 = p * p, p3 = p2 * p;
    weights[0] = 0.5f * (-p3 + 2 * p2 - p);
    weights[1] = 0.5f * (3 * p3 - 5 * p2 + 2);
    weights[2] = 0.5f * (-3 * p3 + 4 * p2 + p);
    weights[3] = 0.5f * (p3 - p2);
}

static int clamp(int value, int n)
{
    return value < 0 ? 0 : value < n ? value : n - 1;
}

static float in_range(float lstar)
{
    return lstar < 0 ? 0 : lstar > 100 ? 100 : lstar;
}

/* Splits a place, in pixels with centres at +0.5, into the second of its four neighbours and the
 * part behind it. Far outside is as good as just outside. */
static int split(double at, int n, float *part)
{
    at = fmin(fmax(at - 0.5, -2), n + 1);
    double whole = floor(at);
    *part = (float)(at - whole);
    return (int)whole;
}

static float sample(const tb_plane *in, double x, double y)
{
    float part_x, part_y, across[4], down[4], sum = 0;
    int left = split(x, in->width_px, &part_x) - 1, top = split(y, in->height_px, &part_y) - 1;
    cubic(across, part_x);
    cubic(down, part_y);
    for (int j = 0; j < 4; j++) {
        const float *row = in->px + (size_t)clamp(top + j, in->height_px) * (size_t)in->width_px;
        float line = 0;
        for (int i = 0; i < 4; i++)
            line += across[i] * row[clamp(left + i, in->width_px)];
        sum += down[j] * line;
    }
    return in_range(sum);
}

static void resample_turned(void *payload, size_t first, size_t end)
{
    const piece *p = payload;
    const tb__grid *g = &p->grid;
    size_t width = (size_t)p->out->width_px;
    for (size_t y = first; y < end && !tb_job_stopped(p->job); y++) {
        double at_x = g->x + (double)y * g->down_x, at_y = g->y + (double)y * g->down_y;
        for (size_t x = 0; x < width; x++)
            p->out->px[y * width + x] =
                    sample(p->in, at_x + (double)x * g->right_x, at_y + (double)x * g->right_y);
    }
}

static void stretch_row(const piece *p, float *out, int y)
{
    const float *in = p->in->px + (size_t)clamp(y, p->in->height_px) * (size_t)p->in->width_px;
    int last = p->in->width_px - 1;
    for (int x = 0; x < p->out->width_px; x++) {
        const float *w = p->taps + 4 * (size_t)x;
        int left = p->places[x] - 1;
        if (left >= 0 && left + 3 <= last)
            out[x] = w[0] * in[left] + w[1] * in[left + 1] + w[2] * in[left + 2] +
                     w[3] * in[left + 3];
        else
            out[x] = w[0] * in[clamp(left, last + 1)] + w[1] * in[clamp(left + 1, last + 1)] +
                     w[2] * in[clamp(left + 2, last + 1)] + w[3] * in[clamp(left + 3, last + 1)];
    }
}

/* Without a turn, columns and rows part: each row of the source is stretched once and kept while
 * it is among the four that a row of the result needs. */
static void resample_straight(void *payload, size_t first, size_t end)
{
    const piece *p = payload;
    size_t width = (size_t)p->out->width_px;
    float *lines = tb_malloc(4 * width, sizeof *lines);
    int held[4] = {-9, -9, -9, -9};
    if (!lines) {
        atomic_store(p->no_memory, true);
        return;
    }
    for (size_t y = first; y < end && !tb_job_stopped(p->job); y++) {
        float part, w[4];
        int top = split(p->grid.y + (double)y * p->grid.down_y, p->in->height_px, &part) - 1;
        cubic(w, part);
        const float *line[4];
        for (int j = 0; j < 4; j++) {
            int slot = (top + j + 4) & 3;
            if (held[slot] != top + j)
                stretch_row(p, lines + (size_t)slot * width, top + j);
            held[slot] = top + j;
            line[j] = lines + (size_t)slot * width;
        }
        float *out = p->out->px + y * width;
        for (size_t x = 0; x < width; x++)
            out[x] = in_range(
                    w[0] * line[0][x] + w[1] * line[1][x] + w[2] * line[2][x] + w[3] * line[3][x]);
    }
    tb_free(lines);
}

tb_status tb__resample(
        tb_plane *out, const tb_plane *plane, tb__grid grid, const tb_job *job, tb_error *err)
{
    size_t width = (size_t)out->width_px;
    atomic_bool no_memory = false;
    float *taps = tb_malloc(4 * width, sizeof *taps);
    int32_t *places = tb_malloc(width, sizeof *places);
    bool straight = grid.right_y == 0 && grid.down_x == 0;
    if (taps && places) {
        for (size_t x = 0; straight && x < width; x++) {
            float part;
            places[x] = split(grid.x + (double)x * grid.right_x, plane->width_px, &part);
            cubic(taps + 4 * x, part);
        }
        piece p = {.out = out,
                .in = plane,
                .grid = grid,
                .job = job,
                .taps = taps,
                .places = places,
                .no_memory = &no_memory};
        tb_job_rows(job, (size_t)out->height_px, MIN_ROWS,
                straight ? resample_straight : resample_turned, &p);
    } else {
        no_memory = true;
    }
    tb_free(taps);
    tb_free(places);
    if (no_memory)
        return tb_fail_memory(err);
    return tb_job_stopped(job) ? tb_fail_cancelled(err) : TB_OK;
}
