/* pattern/tie_repair.c: what inspect still finds, mended.
 *
 * Islands wait for the next round, which ties them; everything else is mended where it is, nearly
 * always by adding wood, so that rounds of repair come to an end.
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "base/num.h"
#include "image/width.h"
#include "pattern/mend_private.h"

#include <string.h>

static bool by_hand(const tb__tie *t, const tb_labels *labels, int32_t piece)
{
    const tb_mask *painted = t->options->painted_opening;
    const tb_piece *p = &labels->pieces[piece];
    for (size_t i = labels->row_runs[p->top_px]; painted && i < labels->row_runs[p->bottom_px];
            i++) {
        const tb_run *run = &labels->runs[i];
        if (run->piece == piece &&
                memchr(painted->px + (size_t)run->y_px * (size_t)painted->width_px + run->x_px, 1,
                        (size_t)(run->end_px - run->x_px)))
            return true;
    }
    return false;
}

/* Fills the piece of `labels` nearest to the finding, at most a millimetre and a half away. */
static tb_status fill_at(
        tb__tie *t, const tb_labels *labels, const tb_finding *f, bool *changed, tb_error *err)
{
    double scale = t->wood->px_per_mm, best = INFINITY;
    int reach = (int)ceil(1.5 * scale), x = (int)(f->x_mm * scale), y = (int)(f->y_mm * scale);
    int32_t piece = -1;
    for (int dy = -reach; dy <= reach; dy++)
        for (int dx = -reach; dx <= reach; dx++) {
            int32_t here = dx * dx + dy * dy < best ? tb_labels_at(labels, x + dx, y + dy) : -1;
            if (here >= 0) {
                best = dx * dx + dy * dy;
                piece = here;
            }
        }
    if (piece < 0)
        return TB_OK;
    if (by_hand(t, labels, piece))
        return tb_fail(err, TB_EUNSAWABLE,
                "the opening painted by hand at %s, %s mm is too narrow to be sawn",
                tb_num_of(f->x_mm, 0).text, tb_num_of(f->y_mm, 0).text);
    tb__fill_piece(t->wood, labels, piece, 1);
    *changed = true;
    return TB_OK;
}

/* What closing by the advised slot fills, labelled. */
static tb_status label_slots(tb_labels **out, const tb__tie *t, tb_error *err)
{
    const tb_limits *limits = &t->options->limits;
    double slot_mm = limits->kerf_mm * fmax(limits->slot_must_kerfs, limits->slot_should_kerfs);
    tb_mask *closed = NULL;
    *out = NULL;
    tb_status status = tb_close_wood(&closed, t->wood, slot_mm, t->job, err);
    if (status)
        return status;
    tb_mask_take(closed, t->wood);
    tb_mask_invert(closed);
    status = tb_label_openings(out, closed, t->job, err);
    tb_mask_free(closed);
    return status;
}

static void restore_frame(tb__tie *t, bool *changed)
{
    tb_mask *wood = t->wood;
    const tb_mask *painted = t->options->painted_opening;
    int frame = (int)ceil(t->options->limits.frame_mm * wood->px_per_mm);
    for (int y = 0; y < wood->height_px; y++)
        for (int x = 0; x < wood->width_px; x++) {
            bool inside = x >= frame && y >= frame && x < wood->width_px - frame &&
                          y < wood->height_px - frame;
            size_t px = (size_t)y * (size_t)wood->width_px + (size_t)x;
            if (inside || wood->px[px] || (painted && painted->px[px]))
                continue;
            wood->px[px] = 1;
            *changed = true;
        }
}

/* What joins the two sides of a slot must be a bridge; and it is no corner to be left sharp. */
static void close_slot(tb__tie *t, const tb_finding *f)
{
    double x = f->x_mm * t->wood->px_per_mm, y = f->y_mm * t->wood->px_per_mm;
    tb_mask *corners = t->corners;
    int reach = (int)t->bridge_px;
    for (int at_y = (int)y - reach; at_y <= (int)y + reach; at_y++)
        for (int at_x = (int)x - reach; at_x <= (int)x + reach; at_x++)
            if (at_x >= 0 && at_y >= 0 && at_x < corners->width_px && at_y < corners->height_px)
                corners->px[(size_t)at_y * (size_t)corners->width_px + (size_t)at_x] = 0;
    tb__stamp(t, x, y, tb__bridge_radius(t));
}

/* All of a strand, or of a bridge that is too thin for its direction to the grain. */
static tb_status thicken_bridge(tb__tie *t, const tb_finding *f, tb_error *err)
{
    double scale = t->wood->px_per_mm;
    double more_px = 2 * (tb__mending_radius(t) - t->bridge_px / 2) + 1;
    tb_stroke way = TB_STROKE_INIT(TB_STROKE_WOOD);
    double wide_mm = f->limit + more_px / scale;
    tb_status status =
            tb__mend_along(&way, f, t->wood, false, TB__MEND_REACH * wide_mm, wide_mm, err);
    for (size_t i = 0; i < way.n_points && !status; i++) {
        const tb_stroke_point *p = &way.points[i];
        tb__stamp(t, p->x_um * scale / 1000, p->y_um * scale / 1000, p->width_um * scale / 2000);
    }
    tb_stroke_clear(&way);
    return status;
}

static tb_status repair(tb__tie *t, const tb_labels *openings, const tb_labels *slots,
        const tb_finding *f, bool *changed, tb_error *err)
{
    switch (f->kind) {
    case TB_FINDING_TIGHT_OPENING:
    case TB_FINDING_CROWDED_HOLE:
        return fill_at(t, openings, f, changed, err);
    case TB_FINDING_NARROW_SLOT:
        close_slot(t, f);
        return fill_at(t, slots, f, changed, err);
    case TB_FINDING_THIN_FRAME:
        restore_frame(t, changed);
        return TB_OK;
    case TB_FINDING_WEAK_PENINSULA: /* a strand too thin all along; the others are mended by now */
        if (!tb_finding_is_strand(f))
            return TB_OK;
        *changed = true;
        return thicken_bridge(t, f, err);
    case TB_FINDING_THIN_BRIDGE:
        *changed = true;
        if (f->limit > t->options->limits.bridge_must_mm)
            return thicken_bridge(t, f, err);
        tb__stamp(t, f->x_mm * t->wood->px_per_mm, f->y_mm * t->wood->px_per_mm,
                tb__mending_radius(t) + 1);
        return TB_OK;
    default:
        return TB_OK;
    }
}

/* What is as it is because advice was taken is mended by taking that back; what is left, one by
 * one.
 */
static tb_status repair_all(tb__tie *t, const tb_inspection *in, bool *changed, tb_error *err)
{
    tb_labels *openings = NULL, *slots = NULL;
    bool *done = tb_calloc(in->n_findings, sizeof *done);
    tb_status status = done ? TB_OK : tb_fail_memory(err);
    for (size_t i = 0; !status && i < in->n_findings; i++) {
        const tb_finding *f = &in->findings[i];
        done[i] = f->severity != TB_MUST ||
                  (f->kind != TB_FINDING_WEAK_PENINSULA && tb__take_back(t, f));
        *changed = *changed || (done[i] && f->severity == TB_MUST);
    }
    if (!status)
        status = tb__take_advice(t, in, changed, err);
    if (status || in->n_must == 0)
        goto out;
    status = tb_label_openings(&openings, t->wood, t->job, err);
    if (!status)
        status = label_slots(&slots, t, err);
    if (!status)
        status = tb__field_update(t, err);
    if (!status)
        status = tb__mend_limbs(t, in, changed, err);
    for (size_t i = 0; !status && i < in->n_findings; i++)
        if (!done[i])
            status = repair(t, openings, slots, &in->findings[i], changed, err);
out:
    tb_labels_free(openings);
    tb_labels_free(slots);
    tb_free(done);
    return status;
}

tb_status tb__repair(tb__tie *t, bool *changed, tb_error *err)
{
    tb_inspection *in = NULL;
    tb_status status =
            tb_reinspect(&in, t->memory->inspector, t->wood, &t->options->limits, t->job, err);
    if (!status)
        status = repair_all(t, in, changed, err);
    /* Nothing to mend, or nothing that can be: this inspection is the last word, and the caller
     * need not repeat it. */
    if (!status && !*changed) {
        tb_inspection_free(t->account->inspection);
        t->account->inspection = in;
        in = NULL;
    }
    tb_inspection_free(in);
    return status;
}
