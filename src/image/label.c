/* image/label.c: see label.h.
 *
 * Rows are packed to bits, and their runs read off the bits. Union-find over runs: while rows are
 * joined, a run's field `piece` holds its parent's index. Links always point to the smaller index,
 * so a piece's root is its first run, and one pass in order turns parents into numbers. Bands of
 * rows are joined within themselves on their own threads, and along their seams afterwards.
 */
#include "image/label.h"

#include "base/alloc.h"
#include "image/bits.h"

#include <string.h>

/* What is labelled. */
typedef struct {
    const tb_mask *mask;    /* its openings or its wood; always the size */
    const tb_mask *closed;  /* not NULL: where this is wood and the mask is opening */
    const uint16_t *height; /* not NULL: where this holds `level` */
    uint16_t level;
    bool openings; /* by sides and corners */
} source;

typedef struct {
    source from;
    tb_labels *labels;
    const tb_job *job;
    uint64_t *bits; /* [height_px][n_words] */
    size_t n_words;
    bool *seams; /* [height_px]: row begins a band, and is not yet joined to the row above */
} labelling;

/* Little endian order of bytes is assumed by bits.c; Debian's baseline for x86-64 and arm64. */
_Static_assert(__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__, "little endian");

static void pack_level(uint64_t *words, const uint16_t *height, uint16_t level, int width_px)
{
    uint8_t px[64];
    for (int x = 0; x < width_px; x += 64) {
        int n = width_px - x < 64 ? width_px - x : 64;
        for (int i = 0; i < n; i++)
            px[i] = height[x + i] == level;
        tb_bits_pack(words++, px, n, false);
    }
}

static void pack_row(uint64_t *words, const source *from, size_t y)
{
    int width = from->mask->width_px;
    size_t at = y * (size_t)width;
    uint64_t closed[TB_ROW_MAX_WORDS];
    if (from->height) {
        pack_level(words, from->height + at, from->level, width);
        return;
    }
    tb_bits_pack(words, from->mask->px + at, width, from->openings);
    if (!from->closed)
        return;
    tb_bits_pack(closed, from->closed->px + at, width, false);
    for (size_t i = 0; i < tb_bits_words(width); i++)
        words[i] &= closed[i];
}

static void pack_rows(void *payload, size_t first, size_t end)
{
    labelling *l = payload;
    for (size_t y = first; y < end && !tb_job_stopped(l->job); y++) {
        uint64_t *row = l->bits + y * l->n_words;
        pack_row(row, &l->from, y);
        l->labels->row_runs[y + 1] = tb_bits_count_runs(row, l->n_words);
    }
}

static int32_t find_root(tb_run *runs, int32_t i)
{
    while (runs[i].piece != i) {
        int32_t parent = runs[i].piece;
        i = runs[i].piece = runs[parent].piece;
    }
    return i;
}

static void unite(tb_run *runs, int32_t a, int32_t b)
{
    a = find_root(runs, a);
    b = find_root(runs, b);
    if (a < b)
        runs[b].piece = a;
    else
        runs[a].piece = b;
}

/* Joins the runs of row y to those of the row above that they touch. */
static void join_row(labelling *l, size_t y)
{
    tb_run *runs = l->labels->runs;
    const size_t *row_runs = l->labels->row_runs;
    size_t above = row_runs[y - 1], n_above = row_runs[y], below = n_above, n = row_runs[y + 1];
    int32_t corner = l->from.openings;
    while (above < n_above && below < n) {
        if (runs[above].end_px + corner <= runs[below].x_px) {
            above++;
            continue;
        }
        if (runs[below].end_px + corner > runs[above].x_px)
            unite(runs, (int32_t)above, (int32_t)below);
        if (runs[above].end_px < runs[below].end_px)
            above++;
        else
            below++;
    }
}

static void read_rows(void *payload, size_t first, size_t end)
{
    labelling *l = payload;
    l->seams[first] = true;
    for (size_t y = first; y < end && !tb_job_stopped(l->job); y++) {
        int x, end_x = 0;
        int32_t i = (int32_t)l->labels->row_runs[y];
        const uint64_t *row = l->bits + y * l->n_words;
        for (; tb_bits_next_run(row, l->n_words, &x, &end_x); i++)
            l->labels->runs[i] = (tb_run){(int32_t)y, x, end_x, i};
        if (y > first)
            join_row(l, y);
    }
}

/* Turns parents into numbers; a parent stands before its children and is already turned. */
static int32_t number_runs(tb_run *runs, size_t n_runs)
{
    int32_t n = 0;
    for (size_t i = 0; i < n_runs; i++)
        runs[i].piece = runs[i].piece == (int32_t)i ? n++ : runs[runs[i].piece].piece;
    return n;
}

static int32_t least(int32_t a, int32_t b)
{
    return a < b ? a : b;
}

static int32_t most(int32_t a, int32_t b)
{
    return a > b ? a : b;
}

/* Sums of coordinates are whole numbers and halves far below 2^52: exact in any order. */
static void measure_pieces(tb_labels *labels)
{
    int32_t n_known = 0;
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        tb_piece *piece = &labels->pieces[run->piece];
        if (run->piece == n_known) {
            *piece = (tb_piece){0, run->x_px, run->y_px, run->end_px, 0, 0, 0, (int32_t)i, false};
            n_known++;
        }
        int32_t length = run->end_px - run->x_px;
        piece->area_px += length;
        piece->left_px = least(piece->left_px, run->x_px);
        piece->right_px = most(piece->right_px, run->end_px);
        piece->bottom_px = run->y_px + 1;
        piece->x_px += 0.5 * length * (run->x_px + run->end_px);
        piece->y_px += length * (run->y_px + 0.5);
    }
    for (int32_t i = 0; i < labels->n_pieces; i++) {
        tb_piece *piece = &labels->pieces[i];
        piece->x_px /= (double)piece->area_px;
        piece->y_px /= (double)piece->area_px;
        piece->at_edge = piece->left_px == 0 || piece->top_px == 0 ||
                         piece->right_px == labels->width_px ||
                         piece->bottom_px == labels->height_px;
    }
}

/* Labels with room for their rows, and nothing in them yet. */
static tb_labels *new_labels(const tb_mask *mask)
{
    tb_labels *labels = tb_calloc(1, sizeof *labels);
    if (!labels)
        return NULL;
    labels->width_px = mask->width_px;
    labels->height_px = mask->height_px;
    labels->px_per_mm = mask->px_per_mm;
    labels->row_runs = tb_calloc((size_t)mask->height_px + 1, sizeof *labels->row_runs);
    if (labels->row_runs)
        return labels;
    tb_labels_free(labels);
    return NULL;
}

static tb_status find_runs(labelling *l, tb_error *err)
{
    tb_labels *labels = l->labels;
    size_t height = (size_t)l->from.mask->height_px;
    tb_job_rows(l->job, height, 64, pack_rows, l);
    for (size_t y = 0; y < height; y++)
        labels->row_runs[y + 1] += labels->row_runs[y];
    labels->n_runs = labels->row_runs[height];
    if (tb_job_stopped(l->job))
        return tb_fail_cancelled(err);
    if (labels->n_runs > TB_RUNS_MAX)
        return tb_fail(err, TB_EINVAL, "this is a fine texture, not a pattern: %zu strips of %s",
                labels->n_runs, l->from.openings ? "opening" : "wood");
    labels->runs = tb_malloc(labels->n_runs, sizeof *labels->runs);
    if (!labels->runs)
        return tb_fail_memory(err);
    tb_job_rows(l->job, height, 64, read_rows, l);
    for (size_t y = 1; y < height && !tb_job_stopped(l->job); y++)
        if (l->seams[y])
            join_row(l, y);
    return tb_job_stopped(l->job) ? tb_fail_cancelled(err) : TB_OK;
}

static tb_status label(tb_labels **out, source from, const tb_job *job, tb_error *err)
{
    *out = NULL;
    size_t height = (size_t)from.mask->height_px, n_words = tb_bits_words(from.mask->width_px);
    labelling l = {from, new_labels(from.mask), job, NULL, n_words, NULL};
    tb_status status = TB_OK;
    l.bits = tb_malloc(height, n_words * sizeof *l.bits);
    l.seams = tb_calloc(height, sizeof *l.seams);
    status = l.labels && l.bits && l.seams ? find_runs(&l, err) : tb_fail_memory(err);
    if (status)
        goto out;
    l.labels->n_pieces = number_runs(l.labels->runs, l.labels->n_runs);
    l.labels->pieces = tb_malloc((size_t)l.labels->n_pieces, sizeof *l.labels->pieces);
    if (!l.labels->pieces) {
        status = tb_fail_memory(err);
        goto out;
    }
    measure_pieces(l.labels);
    *out = l.labels;
    l.labels = NULL;
out:
    tb_free(l.bits);
    tb_free(l.seams);
    tb_labels_free(l.labels);
    return status;
}

tb_status tb_label_wood(tb_labels **out, const tb_mask *mask, const tb_job *job, tb_error *err)
{
    return label(out, (source){.mask = mask}, job, err);
}

tb_status tb_label_openings(tb_labels **out, const tb_mask *mask, const tb_job *job, tb_error *err)
{
    return label(out, (source){.mask = mask, .openings = true}, job, err);
}

tb_status tb_label_filled(tb_labels **out, const tb_mask *mask, const tb_mask *closed,
        const tb_job *job, tb_error *err)
{
    return label(out, (source){.mask = mask, .closed = closed, .openings = true}, job, err);
}

tb_status tb_label_level(tb_labels **out, const tb_mask *mask, const uint16_t *height,
        uint16_t level, const tb_job *job, tb_error *err)
{
    return label(out, (source){.mask = mask, .height = height, .level = level}, job, err);
}

void tb_labels_free(tb_labels *labels)
{
    if (!labels)
        return;
    tb_free(labels->runs);
    tb_free(labels->row_runs);
    tb_free(labels->pieces);
    tb_free(labels);
}

int32_t tb_labels_at(const tb_labels *labels, int x_px, int y_px)
{
    if (x_px < 0 || y_px < 0 || x_px >= labels->width_px || y_px >= labels->height_px)
        return -1;
    size_t low = labels->row_runs[y_px], high = labels->row_runs[y_px + 1];
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (labels->runs[middle].end_px <= x_px)
            low = middle + 1;
        else
            high = middle;
    }
    bool inside = low < labels->row_runs[y_px + 1] && labels->runs[low].x_px <= x_px;
    return inside ? labels->runs[low].piece : -1;
}

int32_t tb_labels_mainland(const tb_labels *labels)
{
    int32_t best = labels->n_pieces > 0 ? 0 : -1;
    for (int32_t i = 1; i < labels->n_pieces; i++) {
        const tb_piece *p = &labels->pieces[i], *b = &labels->pieces[best];
        if (p->at_edge != b->at_edge ? p->at_edge : p->area_px > b->area_px)
            best = i;
    }
    return best;
}

void tb_labels_paint(const tb_labels *labels, int32_t *map)
{
    size_t width = (size_t)labels->width_px;
    memset(map, 0xff, width * (size_t)labels->height_px * sizeof *map);
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        int32_t *row = map + (size_t)run->y_px * width;
        for (int32_t x = run->x_px; x < run->end_px; x++)
            row[x] = run->piece;
    }
}
