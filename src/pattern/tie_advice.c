/* pattern/tie_advice.c: what is allowed made what is advised, where the picture lets it.
 *
 * When nothing is left that must be mended, much is left that should be: necks a little narrower
 * than advised, ends of openings too narrow for the blade to turn in. Each is mended by an edit of
 * its own, if that costs the likeness next to nothing. Then the pattern is inspected again; edits
 * near what must be mended now are taken back, and all of them if that won't do.
 */
#include "image/width.h"
#include "pattern/survey.h"
#include "pattern/tie_edit.h"

#include <string.h>

enum { MOST_TRIES = 4 };

static tb_rect around(const tb_finding *f, double scale, double margin_px)
{
    double left = f->x_mm, top = f->y_mm, right = f->x_mm, bottom = f->y_mm;
    for (size_t i = 0; i < f->n_extent; i++) {
        left = fmin(left, f->extent[i].x_mm);
        top = fmin(top, f->extent[i].y_mm);
        right = fmax(right, f->extent[i].x_mm);
        bottom = fmax(bottom, f->extent[i].y_mm);
    }
    return (tb_rect){(int)floor(left * scale - margin_px), (int)floor(top * scale - margin_px),
            (int)ceil(right * scale + margin_px), (int)ceil(bottom * scale + margin_px)};
}

/* Whether it turned a pixel of the rectangle. */
static bool has_to_do_with(const tb__edits *edits, size_t i, tb_rect rect, int width_px)
{
    const tb__edit *edit = &edits->items[i];
    if (tb_rect_empty(tb_rect_meet(edit->box, rect)))
        return false;
    for (size_t k = edit->first; k < edit->end; k++) {
        int x = edits->px[k] % width_px, y = edits->px[k] / width_px;
        if (x >= rect.left_px && x < rect.right_px && y >= rect.top_px && y < rect.bottom_px)
            return true;
    }
    return false;
}

/* Takes edits back: how many. */
static int undo_near(tb__edits *edits, const tb__tie *t, const tb_finding *f)
{
    tb_rect rect = around(f, t->wood->px_per_mm, t->bridge_px / 2);
    int n = 0;
    for (size_t i = edits->n; i-- > 0;)
        if (!edits->items[i].undone && has_to_do_with(edits, i, rect, t->wood->width_px)) {
            edits->items[i].undone = true;
            n++;
        }
    return n;
}

/* The sound pattern with the edits that are left, opened: edits leave spikes where two of them
 * meet. */
static tb_status edit_wood(tb__tie *t, const tb_mask *sound, const tb__edits *edits, tb_error *err)
{
    tb_mask *opened = NULL;
    memcpy(t->wood->px, sound->px, tb_mask_area_px(sound));
    tb__edits_apply(edits, t->wood);
    tb_status status =
            tb_open_wood(&opened, t->wood, t->options->limits.bridge_must_mm, false, t->job, err);
    if (status)
        return status;
    tb_mask_free(t->wood);
    t->wood = opened;
    return TB_OK;
}

/* *settled: nothing must be mended, and this inspection is the account's. */
static tb_status try_once(
        tb__edits *edits, tb__tie *t, const tb_mask *sound, bool *settled, tb_error *err)
{
    tb_inspection *in = NULL;
    tb_status status = edit_wood(t, sound, edits, err);
    if (!status)
        status = tb_reinspect(&in, t->memory->inspector, t->wood, &t->options->limits, t->job, err);
    if (status)
        return status;
    int n_undone = 0;
    for (size_t i = 0; i < in->n_findings; i++)
        if (in->findings[i].severity == TB_MUST || in->findings[i].kind == TB_FINDING_SPECK)
            n_undone += undo_near(edits, t, &in->findings[i]);
    *settled = in->n_must == 0 && n_undone == 0;
    if (*settled) {
        tb_inspection *before = t->account->inspection;
        t->account->inspection = in;
        in = before;
    }
    tb_inspection_free(in);
    return TB_OK;
}

/* Bridges were widened where they could be: what each measures now at its narrowest. */
static void measure_bridges(tb__tie *t)
{
    const tb__ground *ground = tb__inspector_ground(t->memory->inspector);
    double scale = t->wood->px_per_mm;
    int width = t->wood->width_px, height = t->wood->height_px;
    for (size_t i = 0; i < t->account->n_bridges; i++) {
        tb_bridge *bridge = &t->account->bridges[i];
        double least = t->options->limits.bridge_should_mm;
        for (size_t k = 0; k < bridge->n_path; k++) {
            int x = (int)(bridge->path[k].x_mm * scale), y = (int)(bridge->path[k].y_mm * scale);
            if (x < 0 || y < 0 || x >= width || y >= height)
                continue;
            double depth = sqrt(ground->wood_d2[(size_t)y * (size_t)width + (size_t)x]);
            least = fmin(least, (2 * depth - 1) / scale);
        }
        bridge->width_mm = fmax(least, bridge->width_mm);
    }
}

tb_status tb__take_advice(tb__tie *t, tb_error *err)
{
    tb__edits edits = {0};
    tb_mask *sound = NULL;
    bool settled = false;
    tb_inspection **in = &t->account->inspection;
    tb_status status = TB_OK;
    if (!*in)
        status = tb_reinspect(in, t->memory->inspector, t->wood, &t->options->limits, t->job, err);
    if (status || (*in)->n_must > 0)
        return status;
    status = tb_mask_copy(&sound, t->wood, err);
    if (!status)
        status = tb__field_update(t, err);
    if (!status)
        status = tb__widen_necks(&edits, t, err);
    if (!status)
        status = tb__ease_tips(&edits, t, *in, err);
    for (int i = 0; !status && !settled && i < MOST_TRIES; i++)
        status = try_once(&edits, t, sound, &settled, err);
    if (!status && settled)
        measure_bridges(t);
    else if (!status)
        memcpy(t->wood->px, sound->px, tb_mask_area_px(sound));
    tb_mask_free(sound);
    tb__edits_clear(&edits);
    return status;
}
