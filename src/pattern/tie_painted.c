/* pattern/tie_painted.c: wood painted by hand is kept, however thin it was painted.
 *
 * Opening by the bridge disc would take away what is painted thinner than a bridge. So the disc is
 * laid along the ridge of each such piece, which is as wide as a bridge then; where openings
 * painted by hand leave no room for that, the answer says so.
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "base/num.h"
#include "image/distance.h"
#include "image/width.h"

/* In squares as wide as a bridge: opening takes less than this off a corner. */
static const double CORNER_BRIDGES = 0.1;

/* Beside an opening painted by hand, what is thinner than so much of a bridge was not painted so:
 * it is what another stroke left over. */
static const double LEFTOVER_BRIDGES = 0.5;

typedef struct {
    tb__tie *t;
    tb_labels *thin;    /* pieces of painted wood that opening takes away */
    uint16_t *depth_sq; /* in the wood */
    bool *kept;         /* [thin] to be made as wide as a bridge */
} painting;

static void painting_clear(painting *p)
{
    tb_labels_free(p->thin);
    tb_free(p->depth_sq);
    tb_free(p->kept);
    *p = (painting){.t = p->t};
}

static tb_status label_thin(painting *p, tb_error *err)
{
    tb_mask *thin = NULL, *opened = NULL;
    const tb_mask *wood = p->t->wood;
    double width_mm = p->t->bridge_px / wood->px_per_mm;
    tb_status status = tb_open_wood(&opened, wood, width_mm, false, p->t->job, err);
    if (!status)
        status = tb_mask_copy(&thin, p->t->options->painted_wood, err);
    if (!status) {
        tb_mask_take(thin, opened);
        if (p->t->options->painted_opening)
            tb_mask_take(thin, p->t->options->painted_opening);
        status = tb_label_wood(&p->thin, thin, p->t->job, err);
    }
    tb_mask_free(thin);
    tb_mask_free(opened);
    return status;
}

static bool is_painted_opening(const tb__tie *t, int x, int y)
{
    const tb_mask *painted = t->options->painted_opening;
    return painted && x >= 0 && y >= 0 && x < painted->width_px && y < painted->height_px &&
           painted->px[(size_t)y * (size_t)painted->width_px + (size_t)x];
}

static bool is_beside_opening(const tb__tie *t, const tb_run *run)
{
    for (int x = run->x_px - 1; x <= run->end_px; x++)
        for (int y = run->y_px - 1; y <= run->y_px + 1; y++)
            if (is_painted_opening(t, x, y))
                return true;
    return false;
}

/* Which pieces are more than a corner or a leftover. */
static tb_status judge(painting *p, tb_error *err)
{
    const tb_labels *thin = p->thin;
    double bridge_px = p->t->bridge_px, leftover_px = LEFTOVER_BRIDGES * bridge_px / 2;
    p->kept = tb_calloc((size_t)thin->n_pieces, sizeof *p->kept);
    bool *beside = tb_calloc((size_t)thin->n_pieces, sizeof *beside);
    tb_status status = p->kept && beside ? TB_OK : tb_fail_memory(err);
    for (size_t i = 0; i < thin->n_runs && !status; i++)
        beside[thin->runs[i].piece] |= is_beside_opening(p->t, &thin->runs[i]);
    for (size_t i = 0; i < thin->n_runs && !status; i++) {
        const tb_run *run = &thin->runs[i];
        const uint16_t *row = p->depth_sq + (size_t)run->y_px * (size_t)thin->width_px;
        for (int x = run->x_px; x < run->end_px && !p->kept[run->piece]; x++)
            p->kept[run->piece] = !beside[run->piece] || row[x] >= leftover_px * leftover_px;
    }
    for (int32_t i = 0; i < thin->n_pieces && !status; i++)
        if ((double)thin->pieces[i].area_px < CORNER_BRIDGES * bridge_px * bridge_px)
            p->kept[i] = false;
    tb_free(beside);
    return status;
}

static tb_status find_thin(painting *p, tb_error *err)
{
    const tb__tie *t = p->t;
    int cap_px = (int)ceil(t->bridge_px / 2) + 2;
    tb_status status = label_thin(p, err);
    if (status || p->thin->n_pieces == 0)
        return status;
    status = tb_distance_capped(&p->depth_sq, t->wood, cap_px, false, t->job, err);
    return status ? status : judge(p, err);
}

static void thicken(const painting *p)
{
    int width = p->thin->width_px, height = p->thin->height_px;
    for (size_t i = 0; i < p->thin->n_runs; i++) {
        const tb_run *run = &p->thin->runs[i];
        size_t row = (size_t)run->y_px * (size_t)width;
        for (int x = run->x_px; x < run->end_px && p->kept[run->piece]; x++) {
            bool at_edge = x == 0 || run->y_px == 0 || x + 1 == width || run->y_px + 1 == height;
            if (at_edge || tb__is_ridge(p->depth_sq + row + x, (size_t)width))
                tb__stamp(p->t, x + 0.5, run->y_px + 0.5, tb__bridge_radius(p->t));
        }
    }
}

static tb_status check_kept(const painting *p, tb_error *err)
{
    double scale = p->t->wood->px_per_mm;
    for (int32_t i = 0; i < p->thin->n_pieces; i++)
        if (p->kept[i])
            return tb_fail(err, TB_EUNSAWABLE,
                    "the wood painted by hand about %s, %s mm is narrower than a bridge must be, "
                    "and openings painted by hand leave no room to widen it",
                    tb_num_of(p->thin->pieces[i].x_px / scale, 0).text,
                    tb_num_of(p->thin->pieces[i].y_px / scale, 0).text);
    return TB_OK;
}

tb_status tb__keep_painted(tb__tie *t, tb_error *err)
{
    painting p = {.t = t};
    if (!t->options->painted_wood)
        return TB_OK;
    tb_status status = find_thin(&p, err);
    if (!status && p.thin->n_pieces > 0) {
        thicken(&p);
        painting_clear(&p);
        status = find_thin(&p, err);
        if (!status)
            status = check_kept(&p, err);
    }
    painting_clear(&p);
    return status;
}
