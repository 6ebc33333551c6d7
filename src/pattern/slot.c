/* pattern/slot.c: openings narrower than the blade's cut.
 *
 * Closing the pattern by a disc of the advised width fills what is narrower; each piece filled is
 * a slot if it joins two wider parts of an opening, or is a dead end longer than any corner's tip.
 * Its width is measured at places along its ridge: among the narrowest eighth where parts are
 * joined, at the median in a dead end, which every tapering tip would else bring down to nothing.
 */
#include "base/alloc.h"
#include "base/num.h"
#include "pattern/breadth.h"
#include "pattern/places.h"
#include "pattern/survey.h"

#include <math.h>
#include <stdlib.h>

/* A dead end is longer than this many times the limit; a corner of 13° leaves as much. */
#define TIP_LENGTHS 4.0

enum { LOOKS = TB__PLACES_MAX };

typedef struct {
    tb__survey *s;
    const tb_labels *filled; /* what the closing filled */
    const tb_labels *wide;   /* what it left open */
    double limit_px;
} slots;

static uint16_t height_at(const tb__survey *s, int x, int y)
{
    bool inside = x >= 0 && y >= 0 && x < s->mask->width_px && y < s->mask->height_px;
    return inside ? s->ground->opening_d2[(size_t)y * (size_t)s->mask->width_px + (size_t)x] : 0;
}

/* On a ridge if not lower than both neighbours along an axis, and higher than one of them. */
static bool on_ridge(const tb__survey *s, int x, int y)
{
    int here = height_at(s, x, y);
    int left = height_at(s, x - 1, y), right = height_at(s, x + 1, y);
    int up = height_at(s, x, y - 1), down = height_at(s, x, y + 1);
    return (here >= left && here >= right && (here > left || here > right)) ||
           (here >= up && here >= down && (here > up || here > down));
}

/* Two pieces that the filled one touches, -1 where there is none. */
static void find_ends(int32_t ends[2], const slots *l, int32_t piece)
{
    const tb_piece *p = &l->filled->pieces[piece];
    ends[0] = ends[1] = -1;
    for (int y = p->top_px; y < p->bottom_px && ends[1] < 0; y++)
        for (size_t i = tb__first_run(l->filled, y, p->left_px);
                i < l->filled->row_runs[y + 1] && l->filled->runs[i].x_px < p->right_px; i++) {
            const tb_run *run = &l->filled->runs[i];
            if (run->piece != piece)
                continue;
            for (int at_y = y - 1; at_y <= y + 1; at_y++) {
                if (at_y < 0 || at_y >= l->wide->height_px)
                    continue;
                for (size_t k = tb__first_run(l->wide, at_y, run->x_px - 1);
                        k < l->wide->row_runs[at_y + 1] && l->wide->runs[k].x_px <= run->end_px;
                        k++) {
                    int32_t other = l->wide->runs[k].piece;
                    if (ends[0] < 0)
                        ends[0] = other;
                    else if (other != ends[0])
                        ends[1] = other;
                }
            }
        }
}

static int narrower(const void *left, const void *right)
{
    const tb_breadth *a = left, *b = right;
    return (a->width_px > b->width_px) - (a->width_px < b->width_px);
}

/* Beside a board that is no rectangle, an opening narrows towards the picture's edge and along it:
 * the saw has all the room beyond. */
static bool along_the_edge(const slots *l, int32_t piece)
{
    const tb_piece *p = &l->filled->pieces[piece];
    int width = l->filled->width_px, height = l->filled->height_px, touching = 0;
    if (p->left_px > 0 && p->top_px > 0 && p->right_px < width && p->bottom_px < height)
        return false;
    for (int y = p->top_px; y < p->bottom_px; y++)
        for (size_t i = tb__first_run(l->filled, y, p->left_px);
                i < l->filled->row_runs[y + 1] && l->filled->runs[i].x_px < p->right_px; i++) {
            tb_run run = l->filled->runs[i];
            if (run.piece != piece)
                continue;
            touching += y == 0 || y == height - 1 ? run.end_px - run.x_px
                                                  : (run.x_px == 0) + (run.end_px == width);
        }
    int w = p->right_px - p->left_px, h = p->bottom_px - p->top_px;
    return 2 * touching > (w > h ? w : h);
}

/* Where any breadth is sure, the others, which may be a pixel off and more, are left out. */
static int keep_sure(tb_breadth looks[], int n)
{
    int n_sure = 0;
    for (int i = 0; i < n; i++)
        if (looks[i].sure)
            looks[n_sure++] = looks[i];
    return n_sure ? n_sure : n;
}

/* The very end of a tip has hardly a pixel on a ridge. */
static bool is_tapering(const tb_breadth looks[], int n)
{
    enum { FEW = 4 };
    return n < FEW || looks[n - 1 - n / 8].width_px >= 2 * looks[n / 8].width_px;
}

/* Breadths at up to LOOKS places along the ridge, narrowest first. *tapers is told by all of them:
 * those that are sure stand where a tip is much the same. */
static int look_along(tb_breadth looks[LOOKS], bool *tapers, const slots *l, int32_t piece)
{
    const tb__survey *s = l->s;
    const tb_piece *p = &l->filled->pieces[piece];
    tb__places ridge = {.most = LOOKS, .every = 1};
    int n = 0;
    for (int y = p->top_px; y < p->bottom_px; y++)
        for (size_t i = tb__first_run(l->filled, y, p->left_px);
                i < l->filled->row_runs[y + 1] && l->filled->runs[i].x_px < p->right_px; i++) {
            tb_run run = l->filled->runs[i];
            for (int x = run.x_px; run.piece == piece && x < run.end_px; x++)
                if (on_ridge(s, x, y))
                    tb__places_take(&ridge, x, y);
        }
    for (int i = 0; i < ridge.n; i++) {
        int x = ridge.x[i], y = ridge.y[i];
        n += tb_breadth_measure(&looks[n], s->mask, 0, false, x, y, sqrt(height_at(s, x, y)));
    }
    qsort(looks, (size_t)n, sizeof *looks, narrower);
    *tapers = is_tapering(looks, n);
    return keep_sure(looks, n);
}

static tb_status add_slot(slots *l, int32_t piece, const tb_breadth *at)
{
    tb__survey *s = l->s;
    double width_mm = at->width_px / s->px_per_mm, kerf_mm = s->limits->kerf_mm;
    double must_mm = kerf_mm * s->limits->slot_must_kerfs;
    double should_mm = kerf_mm * s->limits->slot_should_kerfs;
    double grain_mm = TB__GRAIN_PX / s->px_per_mm;
    if (width_mm >= should_mm - grain_mm)
        return TB_OK;
    bool must = width_mm < must_mm - grain_mm;
    tb_finding *finding = tb__add_finding(s, TB_FINDING_NARROW_SLOT, must ? TB_MUST : TB_SHOULD,
            (at->bank_x[0] + at->bank_x[1]) / 2, (at->bank_y[0] + at->bank_y[1]) / 2);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = width_mm;
    finding->limit = must ? must_mm : should_mm;
    tb__advise(finding, "Widen this slot to %s mm, or close it.", tb_num_of(should_mm, 2).text);
    return tb__set_piece_extent(s, finding, l->filled, piece);
}

/* Of a dead end, by its area. The breadths of a tip are as uncertain as they are small: what tapers
 * is no longer than its box. */
static double length_px(const slots *l, int32_t piece, double width_px, bool tapers)
{
    const tb_piece *p = &l->filled->pieces[piece];
    double length = (double)p->area_px / fmax(width_px, 1);
    double box = hypot(p->right_px - p->left_px, p->bottom_px - p->top_px);
    return tapers ? fmin(length, box) : length;
}

static tb_status judge(slots *l, int32_t piece)
{
    tb__survey *s = l->s;
    const tb_run *run = &l->filled->runs[l->filled->pieces[piece].first_run];
    int32_t opening = tb_labels_at(s->openings, run->x_px, run->y_px);
    if (tb__is_speck(s, &s->openings->pieces[opening]) || along_the_edge(l, piece))
        return TB_OK;
    int32_t ends[2];
    find_ends(ends, l, piece);
    double area_px = (double)l->filled->pieces[piece].area_px;
    /* An opening with no wider part at all is a tight one. */
    if (ends[0] < 0 || (ends[1] < 0 && area_px < TIP_LENGTHS * l->limit_px))
        return TB_OK;
    tb_breadth looks[LOOKS];
    bool tapers;
    int n = look_along(looks, &tapers, l, piece);
    if (n == 0)
        return TB_OK;
    if (ends[1] >= 0)
        return add_slot(l, piece, &looks[n / 8]);
    bool tip = length_px(l, piece, looks[n / 2].width_px, tapers) < TIP_LENGTHS * l->limit_px;
    return tip ? TB_OK : add_slot(l, piece, &looks[n / 2]);
}

tb_status tb__inspect_slots(tb__survey *s)
{
    slots l = {s, s->ground->filled_pieces, s->ground->wide_pieces,
            tb__slot_limit_mm(s->limits) * s->px_per_mm};
    tb_status status = TB_OK;
    for (int32_t i = 0; !status && i < l.filled->n_pieces; i++) {
        status = judge(&l, i);
        if (!status && tb_job_stopped(s->job))
            status = tb_fail_cancelled(s->err);
    }
    return status;
}
