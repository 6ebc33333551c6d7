/* image/width.c: see width.h.
 *
 * A disc is a stack of spans, one a row. A centre survives an erosion when every span lies in
 * wood. So each row of the picture is eroded by every length of span the disc has, 64 pixels a
 * step, longer spans being made of shorter ones, and what comes of it is and-ed into the rows of
 * all centres whose span that is. The dilation is the same done to the complement, with the disc
 * turned about its middle.
 *
 * A disc with an even number of pixels across has its centre at a pixel's corner; centre c is then
 * the corner at the top left of pixel c. Rows of bits carry PAD words more at either end, and
 * fields more rows, because discs may stand with their centres outside the picture.
 */
#include "image/width.h"

#include "base/alloc.h"
#include "base/clones.h"
#include "base/num.h"
#include "image/bits.h"

#include <math.h>
#include <string.h>

/* PAD words hold REACH_PX beyond the picture twice: as centres, and as what those look at. */
enum { DIAMETER_MAX_PX = 255, REACH_PX = 128, PAD = 2 * REACH_PX / 64 };
enum { ROW_ROOM = TB_ROW_MAX_WORDS + 2 * PAD };

/* Row i of the disc lies first + i rows from its centre and holds the pixels from -half - even to
 * half beside it; none when half < 0. */
typedef struct {
    int n_rows, first, even;
    int half[DIAMETER_MAX_PX + 1];
} disc;

/* Rows of bits from -more_rows to height_px + more_rows - 1. */
typedef struct {
    int height_px, more_rows;
    size_t stride; /* words a row */
    uint64_t *words;
} field;

/* `to` becomes the mask, or `from` where that is given, eroded by the disc. */
typedef struct {
    const tb_mask *mask;
    const field *from;
    field *to;
    const disc *d;
    tb_mask *out; /* gets the complement of `to`; complemented again where flip */
    bool turned;  /* the disc is turned about its middle: a centre's pixels become a pixel's centres
                   */
    bool outside; /* what lies outside the mask is a one */
    bool flip;    /* ones of the mask are its openings */
    const tb_job *job;
} pass;

/* Diameters that come of mm × px/mm may lie a rounding error off a whole number. */
static disc disc_of(double diameter_px, int even)
{
    disc d = {.even = even};
    double radius_sq = diameter_px * diameter_px / 4 * (1 + 1e-9);
    double shift = even ? 0.5 : 0;
    /* Between whole pixels a disc still spans as many as a strip must have. */
    double across = ceil(diameter_px * (1 - 1e-9));
    if (even && radius_sq < ((across - 1) * (across - 1) + 1) / 4)
        radius_sq = ((across - 1) * (across - 1) + 1) / 4;
    int reach = (int)floor(sqrt(radius_sq) - shift);
    d.first = -reach - even;
    d.n_rows = 2 * reach + 1 + even;
    for (int i = 0; i < d.n_rows; i++) {
        double dy = d.first + i + shift;
        double rest = radius_sq - dy * dy;
        d.half[i] = rest < 0 ? -1 : (int)floor(sqrt(rest) - shift);
    }
    return d;
}

static bool new_field(field *f, int width_px, int height_px, int more_rows)
{
    size_t stride = tb_bits_words(width_px) + 2 * PAD;
    size_t n_rows = (size_t)height_px + 2 * (size_t)more_rows;
    *f = (field){height_px, more_rows, stride, tb_malloc(n_rows, stride * sizeof *f->words)};
    return f->words;
}

static uint64_t *field_row(const field *f, int y)
{
    return f->words + (size_t)(y + f->more_rows) * f->stride;
}

/* to[x] = from[x - by] & from[x] & from[x + by]. The outermost words stay: there all is outside. */
static inline void meet_three(
        uint64_t *restrict to, const uint64_t *restrict from, size_t n, int by)
{
    size_t q = (size_t)by / 64;
    int s = by % 64;
    for (size_t i = PAD / 2; i < n - PAD / 2; i++) {
        uint64_t right = from[i + q] >> s | from[i + q + 1] << 1 << (63 - s);
        uint64_t left = from[i - q] << s | from[i - q - 1] >> 1 >> (63 - s);
        to[i] = left & from[i] & right;
    }
}

static inline void meet(uint64_t *restrict to, const uint64_t *restrict from, size_t n)
{
    for (size_t i = 0; i < n; i++)
        to[i] &= from[i];
}

/* A row eroded by a span that grows; `now` holds it for half length `half`. */
typedef struct {
    uint64_t room[2][ROW_ROOM];
    uint64_t *now, *next;
    size_t n_words;
    int half, even;
} span;

static inline void begin_span(span *s, const uint64_t *row, size_t n_words, int even, bool turned)
{
    s->now = s->room[0];
    s->next = s->room[1];
    s->n_words = n_words;
    s->half = 0;
    s->even = even;
    memcpy(s->now, row, n_words * sizeof *row);
    memcpy(s->next, row, PAD / 2 * sizeof *row);
    memcpy(s->next + n_words - PAD / 2, row + n_words - PAD / 2, PAD / 2 * sizeof *row);
    for (size_t i = PAD / 2; even && i < n_words - PAD / 2; i++)
        s->now[i] &= turned ? row[i] >> 1 | row[i + 1] << 63 : row[i] << 1 | row[i - 1] >> 63;
}

static inline void grow_span(span *s, int half)
{
    while (s->half < half) {
        int length = 2 * s->half + 1 + s->even;
        int by = half - s->half < length ? half - s->half : length;
        meet_three(s->next, s->now, s->n_words, by);
        uint64_t *done = s->next;
        s->next = s->now;
        s->now = done;
        s->half += by;
    }
}

/* Brings row y of what is eroded into the rows first … end - 1 of the outcome. */
static inline void erode_row(const pass *p, span *s, const uint64_t *row, int y, int first, int end)
{
    const disc *d = p->d;
    begin_span(s, row, p->to->stride, d->even, p->turned);
    for (int i = 0, j = d->n_rows - 1; i <= j; i++, j--) {
        if (d->half[i] < 0)
            continue;
        grow_span(s, d->half[i]); /* spans grow from the poles to the middle */
        int above = p->turned ? y + d->first + i : y - d->first - j;
        int below = above + j - i;
        if (above >= first && above < end)
            meet(field_row(p->to, above), s->now, s->n_words);
        if (below > above && below >= first && below < end)
            meet(field_row(p->to, below), s->now, s->n_words);
    }
}

/* Row y of the mask with all that lies about it. */
static void pack_row(const pass *p, uint64_t *row, int y)
{
    size_t stride = p->to->stride;
    memset(row, p->outside ? 0xff : 0, stride * sizeof *row);
    if (y < 0 || y >= p->mask->height_px)
        return;
    int width = p->mask->width_px;
    tb_bits_pack(row + PAD, p->mask->px + (size_t)y * (size_t)width, width, p->flip);
    if (p->outside && width % 64)
        row[PAD + width / 64] |= ~UINT64_C(0) << width % 64;
}

TB_CLONES static void erode_rows(const pass *p, size_t first_row, size_t end_row)
{
    const disc *d = p->d;
    int first = (int)first_row - p->to->more_rows, end = (int)end_row - p->to->more_rows;
    memset(field_row(p->to, first), 0xff, (end_row - first_row) * p->to->stride * sizeof(uint64_t));
    int reach = d->first + d->n_rows - 1;
    int y = first + (p->turned ? -reach : d->first);
    int last = end - 1 + (p->turned ? -d->first : reach);
    uint64_t packed[ROW_ROOM];
    span s;
    for (; y <= last && !tb_job_stopped(p->job); y++) {
        const uint64_t *row = packed;
        if (!p->from)
            pack_row(p, packed, y);
        else if (y >= -p->from->more_rows && y < p->from->height_px + p->from->more_rows)
            row = field_row(p->from, y);
        else
            continue; /* no centre there, nothing to spread */
        erode_row(p, &s, row, y, first, end);
    }
}

static void find_centres(void *payload, size_t first, size_t end)
{
    const pass *p = payload;
    erode_rows(p, first, end);
    for (size_t i = first * p->to->stride; i < end * p->to->stride; i++)
        p->to->words[i] = ~p->to->words[i];
}

static void spread(void *payload, size_t first, size_t end)
{
    const pass *p = payload;
    erode_rows(p, first, end);
    size_t width = (size_t)p->out->width_px;
    for (size_t y = first; y < end; y++)
        tb_bits_unpack(
                p->out->px + y * width, field_row(p->to, (int)y) + PAD, p->out->width_px, !p->flip);
}

static void pack_complement(void *payload, size_t first, size_t end)
{
    const pass *p = payload;
    for (size_t y = first; y < end; y++)
        pack_row(p, field_row(p->to, (int)y), (int)y);
}

/* Runs a pass over all rows of its outcome. */
static tb_status run(pass *p, tb_rows_cb *rows_cb, tb_error *err)
{
    size_t n_rows = (size_t)p->to->height_px + 2 * (size_t)p->to->more_rows;
    tb_job_rows(p->job, n_rows, 32 + (size_t)p->d->n_rows, rows_cb, p);
    return tb_job_stopped(p->job) ? tb_fail_cancelled(err) : TB_OK;
}

/* What is covered by discs that lie in ones; flip: ones are the openings. */
static tb_status open_by(tb_mask *out, const tb_mask *mask, const disc *d, bool outside, bool flip,
        const tb_job *job, tb_error *err)
{
    field centres, covered = {0};
    tb_status status = TB_OK;
    if (!new_field(&centres, mask->width_px, mask->height_px, outside ? d->n_rows : 0) ||
            !new_field(&covered, mask->width_px, mask->height_px, 0)) {
        status = tb_fail_memory(err);
        goto out;
    }
    pass first = {mask, NULL, &centres, d, NULL, false, outside, flip, job};
    pass second = {NULL, &centres, &covered, d, out, true, false, flip, job};
    status = run(&first, find_centres, err);
    if (!status)
        status = run(&second, spread, err);
out:
    tb_free(centres.words);
    tb_free(covered.words);
    return status;
}

static tb_status grow_by(
        tb_mask *out, const tb_mask *mask, const disc *d, const tb_job *job, tb_error *err)
{
    field source, covered = {0};
    tb_status status = TB_OK;
    if (!new_field(&source, mask->width_px, mask->height_px, 0) ||
            !new_field(&covered, mask->width_px, mask->height_px, 0)) {
        status = tb_fail_memory(err);
        goto out;
    }
    pass first = {mask, NULL, &source, d, NULL, false, true, true, job};
    pass second = {NULL, &source, &covered, d, out, true, false, false, job};
    status = run(&first, pack_complement, err);
    if (!status)
        status = run(&second, spread, err);
out:
    tb_free(source.words);
    tb_free(covered.words);
    return status;
}

static tb_status check_diameter(double diameter_px, tb_error *err)
{
    if (diameter_px >= 0 && diameter_px <= DIAMETER_MAX_PX)
        return TB_OK;
    return tb_fail(err, TB_EINVAL, "a disc of %s pixels is out of limits (0 to %d)",
            tb_num_of(diameter_px, 1).text, DIAMETER_MAX_PX);
}

typedef enum { OPEN, CLOSE, GROW } work;

static tb_status do_work(tb_mask **out, const tb_mask *mask, work what, double diameter_mm,
        bool outside, const tb_job *job, tb_error *err)
{
    *out = NULL;
    double diameter_px = diameter_mm * mask->px_per_mm;
    tb_status status = check_diameter(diameter_px, err);
    if (status)
        return status;
    int across = (int)ceil(diameter_px * (1 - 1e-9));
    if (what != GROW && across <= 1)
        return tb_mask_copy(out, mask, err);
    tb_mask *done;
    status = tb_mask_like(&done, mask, err);
    if (status)
        return status;
    disc d = disc_of(diameter_px, what != GROW && across % 2 == 0);
    if (what == GROW)
        status = grow_by(done, mask, &d, job, err);
    else
        status = open_by(done, mask, &d, outside, what == CLOSE, job, err);
    if (status)
        tb_mask_free(done);
    else
        *out = done;
    return status;
}

tb_status tb_open_wood(tb_mask **out, const tb_mask *mask, double diameter_mm, bool edge_is_opening,
        const tb_job *job, tb_error *err)
{
    return do_work(out, mask, OPEN, diameter_mm, !edge_is_opening, job, err);
}

tb_status tb_close_wood(
        tb_mask **out, const tb_mask *mask, double diameter_mm, const tb_job *job, tb_error *err)
{
    return do_work(out, mask, CLOSE, diameter_mm, false, job, err);
}

tb_status tb_grow_wood(
        tb_mask **out, const tb_mask *mask, double radius_mm, const tb_job *job, tb_error *err)
{
    return do_work(out, mask, GROW, 2 * radius_mm, false, job, err);
}
