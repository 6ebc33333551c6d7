/* pattern/tie_neck.c: necks thinner than a bridge.
 *
 * Every pixel of opened wood lies under some disc, but two discs that touch make a neck of next to
 * nothing. A neck is thickened by laying the disc along the ridge, up on either side until it fits
 * by itself.
 *
 * Round after round little changes. So the maps are patched, and a neck that was wide enough is
 * measured again only if something that had a say in that has changed.
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "image/distance.h"
#include "pattern/ground.h"
#include "pattern/neck.h"

#include <stdlib.h>
#include <string.h>

/* ---- maps ----------------------------------------------------------------------------------- */

tb_tie_memory *tb_tie_memory_new(void)
{
    tb_tie_memory *memory = tb_calloc(1, sizeof *memory);
    if (!memory)
        return NULL;
    memory->inspector = tb_inspector_new();
    if (memory->inspector)
        return memory;
    tb_free(memory);
    return NULL;
}

static void forget(tb_tie_memory *m)
{
    tb_mask_free(m->wood);
    tb_ridge_free(m->ridge);
    tb_free(m->depth_sq);
    tb_free(m->sound);
    m->wood = NULL;
    m->ridge = NULL;
    m->depth_sq = NULL;
    m->sound = NULL;
    m->n_sound = 0;
}

void tb_tie_memory_free(tb_tie_memory *memory)
{
    if (!memory)
        return;
    forget(memory);
    tb_inspector_free(memory->inspector);
    tb_free(memory);
}

static bool is_of(const tb_tie_memory *m, const tb__tie *t)
{
    return m->wood && m->wood->width_px == t->wood->width_px &&
           m->wood->height_px == t->wood->height_px && m->bridge_px == t->bridge_px;
}

static int cap_px(const tb__tie *t)
{
    return (int)ceil(t->bridge_px / 2) + 3;
}

static tb_status lay_maps(tb__tie *t, tb_error *err)
{
    tb_tie_memory *m = t->memory;
    forget(m);
    m->bridge_px = t->bridge_px;
    tb_status status = tb_distance_capped(&m->depth_sq, t->wood, cap_px(t), true, t->job, err);
    if (!status)
        status = tb_ridge_find(&m->ridge, m->depth_sq, t->wood, cap_px(t), t->job, err);
    return status ? status : tb_mask_copy(&m->wood, t->wood, err);
}

static tb_status patch_maps(tb__tie *t, const tb_squares *changed, tb_error *err)
{
    tb_tie_memory *m = t->memory;
    tb_squares *felt = NULL;
    tb_status status = tb__patch_distance(m->depth_sq, t->wood, 0, cap_px(t), changed, t->job, err);
    if (!status)
        status = tb_squares_grown(&felt, changed, cap_px(t), err);
    if (!status)
        status = tb_ridge_patch(m->ridge, felt, t->job, err);
    if (!status)
        memcpy(m->wood->px, t->wood->px, tb_mask_area_px(t->wood));
    tb_squares_free(felt);
    return status;
}

/* *changed is NULL where nothing is known. */
static tb_status bring_up(tb_squares **changed, tb__tie *t, tb_error *err)
{
    *changed = NULL;
    if (!is_of(t->memory, t))
        return lay_maps(t, err);
    tb_status status = tb_squares_differing(changed, t->memory->wood, t->wood, err);
    return status ? status : patch_maps(t, *changed, err);
}

/* ---- necks ---------------------------------------------------------------------------------- */

/* Wood between an opening and the board's edge is the frame's affair. */
static bool is_frame(const tb_mask *wood, const tb_breadth *breadth)
{
    for (int k = 0; k < 2; k++)
        if (breadth->opening_x[k] < 0 || breadth->opening_y[k] < 0 ||
                breadth->opening_x[k] >= wood->width_px || breadth->opening_y[k] >= wood->height_px)
            return true;
    return false;
}

/* bridge_px is half a pixel more than the limit; inspect lets half a pixel less pass. A quarter of
 * it is not worth a round. */
static const double GRAIN_PX = 0.75;

static bool is_thin(const tb__tie *t, const tb_neck *neck, tb_rect *seen)
{
    tb_breadth breadth;
    return tb_neck_measure(&breadth, seen, neck, t->memory->ridge, t->wood) &&
           breadth.width_px < t->bridge_px - GRAIN_PX && !is_frame(t->wood, &breadth);
}

typedef struct {
    const tb__tie *t;
    const tb_squares *changed;
    const tb_neck *necks;
    tb__sound_neck *looks; /* [necks] */
    bool *thin;            /* [necks] */
} looking;

static int by_px(const void *a, const void *b)
{
    const tb__sound_neck *p = a, *q = b;
    return (p->px > q->px) - (p->px < q->px);
}

static void look_at_neck(void *payload, size_t i)
{
    const looking *l = payload;
    const tb_tie_memory *m = l->t->memory;
    tb__sound_neck *look = &l->looks[i], *known = NULL;
    if (tb_job_stopped(l->t->job))
        return;
    look->px = l->necks[i].px;
    if (l->changed && m->n_sound)
        known = bsearch(look, m->sound, m->n_sound, sizeof *look, by_px);
    if (known && !tb_squares_meet(l->changed, known->seen))
        *look = *known;
    else
        l->thin[i] = is_thin(l->t, &l->necks[i], &look->seen);
}

static void thicken_neck(const tb__tie *t, const tb_neck *neck)
{
    const tb_ridge *ridge = t->memory->ridge;
    int width = t->wood->width_px;
    double fits = t->bridge_px / 2 - 0.5;
    for (int side = 0; side < 2; side++) {
        int32_t px = neck->px;
        for (int32_t next = neck->up[side]; next != px; next = tb_ridge_up(ridge, px)) {
            tb__stamp(t, px % width + 0.5, px / width + 0.5, tb__mending_radius(t));
            px = next;
            if (ridge->d2[px] >= fits * fits)
                break;
        }
        tb__stamp(t, px % width + 0.5, px / width + 0.5, tb__mending_radius(t));
    }
}

/* The sound ones are kept in the memory; of the thin ones, one may be mended by another's mending.
 */
static void sift(tb__tie *t, looking *l, size_t n, bool *changed)
{
    tb_tie_memory *m = t->memory;
    size_t n_sound = 0;
    for (size_t i = 0; i < n; i++) {
        tb_rect seen;
        if (!l->thin[i]) {
            l->looks[n_sound++] = l->looks[i];
        } else if (is_thin(t, &l->necks[i], &seen)) {
            thicken_neck(t, &l->necks[i]);
            *changed = true;
        }
    }
    qsort(l->looks, n_sound, sizeof *l->looks, by_px);
    tb_free(m->sound);
    m->sound = l->looks;
    m->n_sound = n_sound;
    l->looks = NULL;
}

tb_status tb__mend_necks(tb__tie *t, bool *changed, tb_error *err)
{
    looking l = {.t = t};
    tb_squares *squares = NULL;
    tb_neck *necks = NULL;
    size_t n = 0;
    tb_status status = bring_up(&squares, t, err);
    if (!status)
        status = tb_necks_find(&necks, &n, t->memory->ridge, t->bridge_px, err);
    if (!status) {
        l.looks = tb_malloc(n, sizeof *l.looks);
        l.thin = tb_calloc(n, sizeof *l.thin);
        status = l.looks && l.thin ? TB_OK : tb_fail_memory(err);
    }
    if (!status) {
        l.changed = squares;
        l.necks = necks;
        tb_job_each(t->job, n, look_at_neck, &l);
        status = tb_job_stopped(t->job) ? tb_fail_cancelled(err) : TB_OK;
    }
    if (status)
        forget(t->memory);
    else
        sift(t, &l, n, changed);
    tb_free(l.looks);
    tb_free(l.thin);
    tb_free(necks);
    tb_squares_free(squares);
    return status;
}
