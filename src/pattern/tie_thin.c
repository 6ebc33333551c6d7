/* pattern/tie_thin.c: thin wood made thick enough, where the picture wants it.
 *
 * Opening by the bridge disc takes away what is too thin to count on: strands of hair, the rim of a
 * glass, corners. Along the ridge of each strand the disc could lie as well: one place for each
 * cell of the field, those that promise most first. It is laid where that gains likeness, as things
 * stand by then: so strands close together aren't all thickened into a lump. What comes of it is
 * swept by discs, so it is wide enough, though it may be an island.
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "image/distance.h"
#include "image/width.h"

#include <stdlib.h>

/* A strand's least area, in squares as wide as a bridge. */
static const double STRAND_BRIDGES = 0.5;

typedef struct {
    float promise; /* cost of a strip there; most negative first */
    int32_t px;    /* -1: no ridge in this cell */
} place;

typedef struct {
    const tb__tie *t;
    const tb_mask *opened;
    const tb_labels *strands; /* what opening took away */
    const uint16_t *depth_sq;
    place *places; /* [cells] */
} search;

/* The deepest pixel of a ridge among those of a cell that opening took away. */
static int32_t ridge_in(const search *s, int cell_x, int cell_y)
{
    const tb_mask *wood = s->t->wood;
    int size = s->t->field->cell_px, width = wood->width_px, height = wood->height_px;
    int left = cell_x * size, top = cell_y * size;
    int32_t best = -1;
    int64_t least_px = (int64_t)(STRAND_BRIDGES * s->t->bridge_px * s->t->bridge_px);
    for (int y = top > 0 ? top : 1; y < top + size && y < height - 1; y++)
        for (int x = left > 0 ? left : 1; x < left + size && x < width - 1; x++) {
            size_t px = (size_t)y * (size_t)width + (size_t)x;
            if (wood->px[px] && !s->opened->px[px] &&
                    (best < 0 || s->depth_sq[px] > s->depth_sq[best]) &&
                    tb__is_ridge(s->depth_sq + px, (size_t)width))
                best = (int32_t)px;
        }
    if (best >= 0) {
        int32_t strand = tb_labels_at(s->strands, best % width, best / width);
        if (s->strands->pieces[strand].area_px < least_px)
            best = -1; /* a corner, a crumb */
    }
    return best;
}

static void find_rows(void *payload, size_t first, size_t end)
{
    const search *s = payload;
    const tb__field *f = s->t->field;
    for (int y = (int)first; y < (int)end && !tb_job_stopped(s->t->job); y++)
        for (int x = 0; x < f->width; x++) {
            int32_t cell = y * f->width + x;
            s->places[cell] = (place){f->strip[cell], -1};
            if (f->strip[cell] < 0)
                s->places[cell].px = ridge_in(s, x, y);
        }
}

static int most_promising(const void *a, const void *b)
{
    const place *p = a, *q = b;
    if (p->promise != q->promise)
        return p->promise < q->promise ? -1 : 1;
    return p->px < q->px ? -1 : p->px > q->px;
}

/* Lays the disc on every place where it still gains, in the order of their promise. */
static tb_status lay_discs(tb__tie *t, place *places, tb_error *err)
{
    size_t n = 0, n_cells = (size_t)t->field->width * (size_t)t->field->height;
    for (size_t i = 0; i < n_cells; i++)
        if (places[i].px >= 0)
            places[n++] = places[i];
    qsort(places, n, sizeof *places, most_promising);
    for (size_t i = 0; i < n; i++) {
        if (i % 256 == 0 && tb_job_stopped(t->job))
            return tb_fail_cancelled(err);
        double x = places[i].px % t->wood->width_px + 0.5,
               y = places[i].px / t->wood->width_px + 0.5;
        if (tb__field_try_disc(t, x, y) < 0)
            tb__stamp(t, x, y, tb__bridge_radius(t));
    }
    return TB_OK;
}

tb_status tb__thicken(tb__tie *t, tb_error *err)
{
    search s = {.t = t};
    tb_mask *opened = NULL, *taken = NULL, *thin = t->wood;
    tb_labels *strands = NULL;
    uint16_t *depth_sq = NULL;
    tb_status status =
            tb_open_wood(&opened, thin, t->bridge_px / thin->px_per_mm, false, t->job, err);
    if (!status)
        status = tb_distance_capped(
                &depth_sq, thin, (int)ceil(t->bridge_px / 2) + 2, false, t->job, err);
    if (!status)
        status = tb_mask_copy(&taken, thin, err);
    if (!status) {
        tb_mask_take(taken, opened);
        status = tb_label_wood(&strands, taken, t->job, err);
    }
    if (status)
        goto out;
    s.strands = strands;
    s.places = tb_malloc((size_t)t->field->width * (size_t)t->field->height, sizeof *s.places);
    if (!s.places) {
        status = tb_fail_memory(err);
        goto out;
    }
    s.opened = opened;
    s.depth_sq = depth_sq;
    t->wood = opened; /* the field is to see what is left */
    status = tb__field_update(t, err);
    t->wood = thin;
    if (status)
        goto out;
    tb_job_rows(t->job, (size_t)t->field->height, 8, find_rows, &s);
    t->wood = opened;
    opened = thin;
    status = lay_discs(t, s.places, err);
out:
    tb_free(s.places);
    tb_free(depth_sq);
    tb_labels_free(strands);
    tb_mask_free(taken);
    tb_mask_free(opened);
    return status;
}
