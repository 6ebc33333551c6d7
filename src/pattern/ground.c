/* pattern/ground.c: see ground.h.
 *
 * A patch works on pieces cut out of the mask: what changed, as far around it as the change can be
 * felt, and as far around that again as can be felt from there, so that it does not matter what
 * lies beyond the cut.
 */
#include "pattern/ground.h"

#include "base/alloc.h"
#include "base/array.h"
#include "image/distance.h"
#include "image/width.h"

#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

enum { CAP_MAX_PX = 255, SEEN_PX = 32 };

/* Wood wider than twice this holds itself. */
#define ROOM_RADIUS_MM 5.0

static int cap_px(const tb_mask *mask, double radius_mm)
{
    double px = ceil(radius_mm * mask->px_per_mm) + 2;
    return px > CAP_MAX_PX ? CAP_MAX_PX : (int)px;
}

double tb__slot_limit_mm(const tb_limits *limits)
{
    return limits->kerf_mm * fmax(limits->slot_must_kerfs, limits->slot_should_kerfs);
}

tb_status tb__ground_lay_wood(tb__ground *g, const tb_mask *mask, const tb_limits *limits,
        const tb_job *job, tb_error *err)
{
    double below_mm = fmax(limits->bridge_should_mm, limits->bridge_across_mm);
    g->wood_cap_px = cap_px(mask, fmax(ROOM_RADIUS_MM, 0.75 * (below_mm + limits->split_kerf_mm)));
    tb_status status = tb_distance_capped(&g->wood_d2, mask, g->wood_cap_px, true, job, err);
    if (!status)
        status = tb_ridge_find(&g->ridge, g->wood_d2, mask, g->wood_cap_px, job, err);
    return status;
}

static void forget_pieces(tb__ground *g)
{
    tb_labels_free(g->part_pieces);
    tb_labels_free(g->wide_pieces);
    tb_labels_free(g->filled_pieces);
    g->part_pieces = g->wide_pieces = g->filled_pieces = NULL;
}

static void drop_mask(tb_mask **mask)
{
    tb_mask_free(*mask);
    *mask = NULL;
}

static tb_status label_parts(tb__ground *g, const tb_job *job, tb_error *err)
{
    return tb_label_openings(&g->part_pieces, g->parted, job, err);
}

static tb_status label_slots(tb__ground *g, const tb_mask *mask, const tb_job *job, tb_error *err)
{
    tb_status status = tb_label_openings(&g->wide_pieces, g->widened, job, err);
    return status ? status : tb_label_filled(&g->filled_pieces, mask, g->widened, job, err);
}

tb_status tb__ground_lay_openings(tb__ground *g, const tb_mask *mask, const tb_limits *limits,
        bool keep, const tb_job *job, tb_error *err)
{
    double disc_mm = limits->drill_mm + fmax(limits->drill_room_mm, 2 * limits->hole_clear_mm);
    g->opening_cap_px = cap_px(mask, disc_mm / 2);
    double must_mm = limits->kerf_mm * limits->slot_must_kerfs;
    tb_status status = tb_close_wood(&g->parted, mask, must_mm, job, err);
    if (!status)
        status = label_parts(g, job, err);
    if (!keep)
        drop_mask(&g->parted);
    if (!status)
        status = tb_close_wood(&g->widened, mask, tb__slot_limit_mm(limits), job, err);
    if (!status)
        status = label_slots(g, mask, job, err);
    if (!keep)
        drop_mask(&g->widened);
    if (!status)
        status = tb_distance_in_openings(&g->opening_d2, mask, g->opening_cap_px, job, err);
    return status;
}

static tb_rect widened(tb_rect r, int by, const tb_mask *mask)
{
    tb_rect whole = {0, 0, mask->width_px, mask->height_px};
    tb_rect wider = {r.left_px - by, r.top_px - by, r.right_px + by, r.bottom_px + by};
    return tb_rect_meet(wider, whole);
}

static tb_status cut_out(tb_mask **out, const tb_mask *mask, tb_rect r, uint8_t flip, tb_error *err)
{
    int width = r.right_px - r.left_px, height = r.bottom_px - r.top_px;
    tb_status status = tb_mask_new(out, width, height, mask->px_per_mm, err);
    for (int y = 0; y < height && !status; y++) {
        const uint8_t *from =
                mask->px + (size_t)(r.top_px + y) * (size_t)mask->width_px + r.left_px;
        uint8_t *to = (*out)->px + (size_t)y * (size_t)width;
        for (int x = 0; x < width; x++)
            to[x] = from[x] ^ flip;
    }
    return status;
}

/* Copies `inner` of the whole picture from a map of `outer` into a map of the whole. */
static void put_back(void *whole, const void *part, size_t size, const tb_mask *mask, tb_rect inner,
        tb_rect outer)
{
    size_t n = (size_t)(inner.right_px - inner.left_px) * size;
    size_t stride = (size_t)(outer.right_px - outer.left_px);
    for (int y = inner.top_px; y < inner.bottom_px; y++) {
        size_t to = (size_t)y * (size_t)mask->width_px + (size_t)inner.left_px;
        size_t from = (size_t)(y - outer.top_px) * stride + (size_t)(inner.left_px - outer.left_px);
        memcpy((char *)whole + to * size, (const char *)part + from * size, n);
    }
}

/* A map that is patched in some rectangles. */
typedef struct {
    const tb_mask *mask;
    void *map;
    uint8_t flip;       /* of the mask, for the distance */
    int cap_px;         /* of a distance; 0: it is a closing */
    double diameter_mm; /* of a closing */
    const tb_rect *inner;
    int margin_px; /* of outer about inner */
    const tb_job *job;
    atomic_int status;
} patching;

static tb_status patch_distance(const patching *p, tb_rect inner, tb_rect outer)
{
    tb_mask *part = NULL;
    uint16_t *part_d2 = NULL;
    tb_status status = cut_out(&part, p->mask, outer, p->flip, NULL);
    if (!status)
        status = tb_distance_capped(&part_d2, part, p->cap_px, true, p->job, NULL);
    if (!status)
        put_back(p->map, part_d2, sizeof *part_d2, p->mask, inner, outer);
    tb_free(part_d2);
    tb_mask_free(part);
    return status;
}

static tb_status patch_closed(const patching *p, tb_rect inner, tb_rect outer)
{
    tb_mask *part = NULL, *closed = NULL;
    tb_status status = cut_out(&part, p->mask, outer, 0, NULL);
    if (!status)
        status = tb_close_wood(&closed, part, p->diameter_mm, p->job, NULL);
    if (!status)
        put_back(p->map, closed->px, 1, p->mask, inner, outer);
    tb_mask_free(part);
    tb_mask_free(closed);
    return status;
}

static void patch_rects(void *payload, size_t first, size_t end)
{
    patching *p = payload;
    for (size_t i = first; i < end && !atomic_load(&p->status); i++) {
        tb_rect inner = p->inner[i], outer = widened(inner, p->margin_px, p->mask);
        tb_status status =
                p->cap_px ? patch_distance(p, inner, outer) : patch_closed(p, inner, outer);
        if (status)
            atomic_store(&p->status, (int)status);
    }
}

/* A change is felt within reach_px. */
static tb_status patch(
        patching *p, const tb_squares *changed, int reach_px, const tb_job *job, tb_error *err)
{
    tb_job alone = {.n_threads = 1, .stop = job ? job->stop : NULL};
    tb_squares *felt;
    tb_rect *rects = NULL;
    size_t n = 0;
    tb_status status = tb_squares_grown(&felt, changed, reach_px, err);
    if (!status)
        status = tb_squares_rects(&rects, &n, felt, err);
    p->inner = rects;
    p->job = &alone;
    atomic_init(&p->status, TB_OK);
    if (!status && n) {
        tb_job_rows(job, n, 1, patch_rects, p);
        status = (tb_status)atomic_load(&p->status);
        if (status)
            status = status == TB_ENOMEM ? tb_fail_memory(err) : tb_fail_cancelled(err);
    }
    tb_free(rects);
    tb_squares_free(felt);
    return status;
}

tb_status tb__patch_distance(uint16_t *d2, const tb_mask *mask, uint8_t flip, int cap_px,
        const tb_squares *changed, const tb_job *job, tb_error *err)
{
    patching p = {.mask = mask, .map = d2, .flip = flip, .cap_px = cap_px, .margin_px = cap_px};
    return patch(&p, changed, cap_px, job, err);
}

static tb_status patch_closing(tb_mask *closed, const tb_mask *mask, double diameter_mm,
        const tb_squares *changed, const tb_job *job, tb_error *err)
{
    int reach = (int)ceil(diameter_mm * mask->px_per_mm) + 1;
    patching p = {
            .mask = mask, .map = closed->px, .diameter_mm = diameter_mm, .margin_px = 2 * reach};
    return patch(&p, changed, reach, job, err);
}

tb_status tb__ground_patch_wood(tb__ground *g, const tb_mask *mask, const tb_squares *changed,
        const tb_job *job, tb_error *err)
{
    tb_status status = tb__patch_distance(g->wood_d2, mask, 0, g->wood_cap_px, changed, job, err);
    tb_squares *felt = NULL;
    if (!status)
        status = tb_squares_grown(&felt, changed, g->wood_cap_px, err);
    if (!status)
        status = tb_ridge_patch(g->ridge, felt, job, err);
    tb_squares_free(felt);
    return status;
}

tb_status tb__ground_patch_openings(tb__ground *g, const tb_mask *mask, const tb_limits *limits,
        const tb_squares *changed, const tb_job *job, tb_error *err)
{
    double must_mm = limits->kerf_mm * limits->slot_must_kerfs;
    double should_mm = tb__slot_limit_mm(limits);
    tb_status status =
            tb__patch_distance(g->opening_d2, mask, 1, g->opening_cap_px, changed, job, err);
    if (!status)
        status = patch_closing(g->parted, mask, must_mm, changed, job, err);
    if (!status)
        status = patch_closing(g->widened, mask, should_mm, changed, job, err);
    forget_pieces(g);
    if (!status)
        status = label_parts(g, job, err);
    if (!status)
        status = label_slots(g, mask, job, err);
    return status;
}

/* Pieces are numbered by their first pixels, and so are those that are known: both lists are read
 * side by side. */
static void recall(tb_disc *discs, const tb__known_discs *known, const tb_labels *pieces,
        const int32_t *first_px, const tb_squares *changed, int reach)
{
    size_t k = 0;
    for (int32_t i = 0; i < pieces->n_pieces; i++) {
        const tb_piece *p = &pieces->pieces[i];
        while (k < known->n && known->items[k].first_px < first_px[i])
            k++;
        tb_rect near = {
                p->left_px - reach, p->top_px - reach, p->right_px + reach, p->bottom_px + reach};
        if (!tb_squares_meet(changed, near) && k < known->n &&
                known->items[k].first_px == first_px[i] && known->items[k].area_px == p->area_px)
            discs[i] = known->items[k].disc;
    }
}

static tb_status remember(tb__known_discs *known, const tb_disc *discs, const tb_labels *pieces,
        const int32_t *first_px, tb_error *err)
{
    size_t n = (size_t)pieces->n_pieces;
    tb__known_disc *items = tb_malloc(n, sizeof *items);
    if (!items)
        return tb_fail_memory(err);
    for (size_t i = 0; i < n; i++)
        items[i] = (tb__known_disc){first_px[i], pieces->pieces[i].area_px, discs[i]};
    tb_free(known->items);
    *known = (tb__known_discs){items, n, tb_discs_care(pieces)};
    return TB_OK;
}

tb_status tb__ground_discs(tb_disc *discs, tb__ground *g, tb__known_discs *known,
        const tb_labels *pieces, const tb_mask *mask, const tb_squares *changed, const tb_job *job,
        tb_error *err)
{
    size_t n = (size_t)pieces->n_pieces;
    int32_t *first_px = tb_malloc(n, sizeof *first_px);
    if (!first_px)
        return tb_fail_memory(err);
    for (size_t i = 0; i < n; i++) {
        const tb_run *run = &pieces->runs[pieces->pieces[i].first_run];
        first_px[i] = run->y_px * mask->width_px + run->x_px;
        discs[i].radius_px = TB_DISC_UNKNOWN;
    }
    /* A piece whose closing or whose line changed, or what breadth.h sees beyond its line, lies in
     * reach of the change. */
    int reach = g->opening_cap_px > SEEN_PX ? g->opening_cap_px : SEEN_PX;
    if (changed && known->care == tb_discs_care(pieces))
        recall(discs, known, pieces, first_px, changed, reach);
    tb_status status =
            tb_discs_find(discs, pieces, mask, g->opening_d2, g->opening_cap_px, job, err);
    if (!status)
        status = remember(known, discs, pieces, first_px, err);
    tb_free(first_px);
    return status;
}

static int by_px(const void *left, const void *right)
{
    const tb__known_neck *a = left, *b = right;
    return (a->px > b->px) - (a->px < b->px);
}

typedef struct {
    const tb__ground *ground;
    const tb_neck *necks;
    tb__known_neck *out; /* [necks] */
    bool fine;
    const tb_mask *mask;
    const tb_squares *changed;
} measuring;

static void measure_neck(void *payload, size_t i)
{
    const measuring *m = payload;
    const tb__known_necks *known = &m->ground->necks;
    tb__known_neck now = {.px = m->necks[i].px}, *before = NULL;
    if (m->changed && known->n && known->fine == m->fine)
        before = bsearch(&now, known->items, known->n, sizeof now, by_px);
    if (before && !tb_squares_meet(m->changed, before->seen))
        now = *before;
    else
        now.found = (m->fine ? tb_neck_measure : tb_neck_about)(
                &now.breadth, &now.seen, &m->necks[i], m->ground->ridge, m->mask);
    m->out[i] = now;
}

tb_status tb__ground_measure_necks(const tb__known_neck **out, tb__ground *g, const tb_neck *necks,
        size_t n, bool fine, const tb_mask *mask, const tb_squares *changed, const tb_job *job,
        tb_error *err)
{
    tb__known_necks *fresh = &g->fresh_necks;
    *out = NULL;
    if (!tb_array_reserve(&fresh->items, &fresh->room, fresh->n, n))
        return tb_fail_memory(err);
    measuring m = {g, necks, fresh->items + fresh->n, fine, mask, changed};
    fresh->fine = fine;
    tb_job_each(job, n, measure_neck, &m);
    fresh->n += n;
    *out = m.out;
    return TB_OK;
}

void tb__ground_keep_necks(tb__ground *g)
{
    tb_free(g->necks.items);
    g->necks = g->fresh_necks;
    g->fresh_necks = (tb__known_necks){0};
    if (g->necks.n)
        qsort(g->necks.items, g->necks.n, sizeof *g->necks.items, by_px);
}

void tb__ground_clear_wood(tb__ground *g)
{
    tb_free(g->wood_d2);
    tb_ridge_free(g->ridge);
    g->wood_d2 = NULL;
    g->ridge = NULL;
}

void tb__ground_clear(tb__ground *g)
{
    tb__ground_clear_wood(g);
    tb_free(g->opening_d2);
    forget_pieces(g);
    tb_mask_free(g->parted);
    tb_mask_free(g->widened);
    tb_free(g->openings.items);
    tb_free(g->parts.items);
    tb_free(g->necks.items);
    tb_free(g->fresh_necks.items);
    *g = (tb__ground){0};
}
