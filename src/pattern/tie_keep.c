/* pattern/tie_keep.c: a pattern that somebody drew stays as it was drawn wherever it needs no
 * mending.
 *
 * Opening by the bridge disc has taken away tips and strands that hang by one end, thin but no
 * bridges. Each piece of them that still touches the wood is put back; where inspect finds
 * something that must be mended near such a piece, it is taken away again, and in the end all of
 * them if that does not do.
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"

#include <string.h>

enum { MOST_TRIES = 3 };

typedef struct {
    tb__tie *t;
    tb_mask *sound;  /* the wood as tied */
    tb_labels *lost; /* pieces that were wood as given and are not now */
    bool *back;      /* [lost] to be put back */
} keeping;

static tb_status label_lost(keeping *k, const tb_mask *given, tb_error *err)
{
    const tb_mask *painted = k->t->options->painted_opening;
    tb_mask *lost = NULL;
    tb_status status = tb_mask_copy(&lost, given, err);
    if (!status) {
        tb_mask_take(lost, k->sound);
        if (painted)
            tb_mask_take(lost, painted);
        status = tb_label_wood(&k->lost, lost, k->t->job, err);
    }
    tb_mask_free(lost);
    return status;
}

static bool is_wood(const tb_mask *mask, int x, int y)
{
    return x >= 0 && y >= 0 && x < mask->width_px && y < mask->height_px &&
           mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x];
}

/* Those that touch the wood by a side. Islands that were dropped don't. */
static void find_touching(keeping *k)
{
    for (size_t i = 0; i < k->lost->n_runs; i++) {
        const tb_run *run = &k->lost->runs[i];
        bool touches = is_wood(k->sound, run->x_px - 1, run->y_px) ||
                       is_wood(k->sound, run->end_px, run->y_px);
        for (int x = run->x_px; !touches && x < run->end_px; x++)
            touches = is_wood(k->sound, x, run->y_px - 1) || is_wood(k->sound, x, run->y_px + 1);
        k->back[run->piece] = k->back[run->piece] || touches;
    }
}

static void put_back(keeping *k)
{
    memcpy(k->t->wood->px, k->sound->px, tb_mask_area_px(k->sound));
    for (size_t i = 0; i < k->lost->n_runs; i++) {
        const tb_run *run = &k->lost->runs[i];
        if (k->back[run->piece])
            memset(k->t->wood->px + (size_t)run->y_px * (size_t)k->sound->width_px + run->x_px, 1,
                    (size_t)(run->end_px - run->x_px));
    }
}

/* Takes back those near a finding: how many. */
static int give_up_near(keeping *k, const tb_finding *f)
{
    double scale = k->t->wood->px_per_mm, margin = 2 * k->t->bridge_px;
    double left = f->x_mm, top = f->y_mm, right = f->x_mm, bottom = f->y_mm;
    for (size_t i = 0; i < f->n_extent; i++) {
        left = fmin(left, f->extent[i].x_mm);
        top = fmin(top, f->extent[i].y_mm);
        right = fmax(right, f->extent[i].x_mm);
        bottom = fmax(bottom, f->extent[i].y_mm);
    }
    int n = 0;
    for (int32_t i = 0; i < k->lost->n_pieces; i++) {
        const tb_piece *p = &k->lost->pieces[i];
        bool near = p->right_px > left * scale - margin && p->left_px < right * scale + margin &&
                    p->bottom_px > top * scale - margin && p->top_px < bottom * scale + margin;
        n += near && k->back[i];
        k->back[i] = k->back[i] && !near;
    }
    return n;
}

/* *settled: nothing more to take back. */
static tb_status try_once(keeping *k, bool *settled, tb_error *err)
{
    tb_inspection *in = NULL;
    put_back(k);
    const tb__tie *t = k->t;
    tb_status status =
            tb_reinspect(&in, t->memory->inspector, t->wood, &t->options->limits, t->job, err);
    if (status)
        return status;
    int n_given_up = 0;
    for (size_t i = 0; i < in->n_findings; i++)
        if (in->findings[i].severity == TB_MUST)
            n_given_up += give_up_near(k, &in->findings[i]);
    *settled = in->n_must == 0 || n_given_up == 0;
    if (*settled) {
        tb_inspection *before = k->t->account->inspection;
        k->t->account->inspection = in; /* of what comes out */
        in = before;
    }
    tb_inspection_free(in);
    return TB_OK;
}

tb_status tb__keep_drawn(tb__tie *t, const tb_mask *given, tb_error *err)
{
    keeping k = {.t = t};
    bool settled = false;
    tb_status status = tb_mask_copy(&k.sound, t->wood, err);
    if (!status)
        status = label_lost(&k, given, err);
    if (!status) {
        k.back = tb_calloc((size_t)k.lost->n_pieces, sizeof *k.back);
        status = k.back ? TB_OK : tb_fail_memory(err);
    }
    if (!status)
        find_touching(&k);
    for (int i = 0; !status && !settled && i < MOST_TRIES; i++)
        status = try_once(&k, &settled, err);
    if (!status && !settled)
        memcpy(t->wood->px, k.sound->px, tb_mask_area_px(t->wood));
    tb_mask_free(k.sound);
    tb_labels_free(k.lost);
    tb_free(k.back);
    return status;
}
