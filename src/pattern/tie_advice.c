/* pattern/tie_advice.c: what is allowed made what is advised, where the picture lets it.
 *
 * Once no room is loose any more, much is left that should be mended: necks a little narrower than
 * advised, ends of openings too narrow for the blade to turn in. Each is mended by an edit of its
 * own, if that costs the likeness next to nothing. Rounds go on from there; whatever must be mended
 * then and has to do with an edit is mended by taking that back.
 */
#include "pattern/survey.h"
#include "pattern/tie_edit.h"

tb_status tb__take_advice(tb__tie *t, const tb_inspection *in, bool *changed, tb_error *err)
{
    if (t->options->as_drawn || !t->options->tone || t->advised)
        return TB_OK;
    t->advised = true;
    tb_status status = tb__field_update(t, err);
    if (!status)
        status = tb__widen_necks(&t->edits, t, in, err);
    if (!status)
        status = tb__ease_tips(&t->edits, t, in, err);
    *changed = *changed || t->edits.n > 0;
    return status;
}

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

bool tb__take_back(tb__tie *t, const tb_finding *f)
{
    tb_rect rect = around(f, t->wood->px_per_mm, t->bridge_px / 2);
    bool any = false;
    for (size_t i = t->edits.n; i-- > 0;)
        if (tb__edits_touch(&t->edits, i, rect, t->wood->width_px)) {
            tb__edits_undo(&t->edits, t->wood, i);
            any = true;
        }
    return any;
}

void tb__measure_bridges(tb__tie *t)
{
    const tb__ground *ground = tb__inspector_ground(t->memory->inspector);
    double scale = t->wood->px_per_mm;
    int width = t->wood->width_px, height = t->wood->height_px;
    for (size_t i = 0; ground && i < t->account->n_bridges; i++) {
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
