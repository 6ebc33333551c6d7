/* pattern/tie_edit.c: small changes of the wood, each with what it costs the likeness.
 *
 * An edit is kept pixel by pixel, so it can be taken back. Its cost is exact on the field's grid:
 * adding d changes J by the integral of d (2 (P - T) + G G d); see tie_field.c.
 */
#include "pattern/tie_edit.h"

#include "base/alloc.h"
#include "base/array.h"

#include <string.h>

/* The share of each cell of a window that an edit turns into wood (below 0: into opening), with
 * room for the blur around it. */
typedef struct {
    int left, top, across, down;
    float *share, *blurred, *scratch;
} window;

static int32_t pixel(const tb__edits *e, size_t k)
{
    return e->px[k] < 0 ? ~e->px[k] : e->px[k];
}

bool tb__edits_begin(tb__edits *e)
{
    if (!tb_array_reserve(&e->items, &e->room, e->n, 1))
        return false;
    e->items[e->n] = (tb__edit){.first = e->n_px, .end = e->n_px};
    return true;
}

bool tb__edits_set(tb__edits *e, tb_mask *wood, int32_t px)
{
    if (!tb_array_reserve(&e->px, &e->px_room, e->n_px, 1))
        return false;
    wood->px[px] ^= 1;
    e->px[e->n_px++] = wood->px[px] ? px : ~px;
    e->items[e->n].end = e->n_px;
    return true;
}

bool tb__edits_disc(tb__edits *e, const tb__tie *t, int32_t at, double radius)
{
    tb_mask *wood = t->wood;
    const tb_mask *painted = t->options->painted_opening;
    int width = wood->width_px, x = at % width, y = at / width, reach = (int)radius;
    for (int dy = -reach; dy <= reach; dy++) {
        int half = (int)sqrt(radius * radius - dy * dy), row = y + dy;
        int left = x - half > 0 ? x - half : 0;
        int right = x + half < width ? x + half : width - 1;
        for (int to = left; row >= 0 && row < wood->height_px && to <= right; to++) {
            int32_t px = row * width + to;
            if (!wood->px[px] && !(painted && painted->px[px]) && !tb__edits_set(e, wood, px))
                return false;
        }
    }
    return true;
}

void tb__edits_undo(tb__edits *e, tb_mask *wood, size_t i)
{
    for (size_t k = e->items[i].first; k < e->items[i].end; k++)
        wood->px[pixel(e, k)] = e->px[k] < 0;
    e->items[i].undone = true;
}

bool tb__edits_touch(const tb__edits *e, size_t i, tb_rect rect, int width)
{
    const tb__edit *edit = &e->items[i];
    if (edit->undone || tb_rect_empty(tb_rect_meet(edit->box, rect)))
        return false;
    for (size_t k = edit->first; k < edit->end; k++) {
        int x = pixel(e, k) % width, y = pixel(e, k) / width;
        if (x >= rect.left_px && x < rect.right_px && y >= rect.top_px && y < rect.bottom_px)
            return true;
    }
    return false;
}

void tb__edits_clear(tb__edits *e)
{
    tb_free(e->items);
    tb_free(e->px);
}

static tb_rect box_of(const tb__edits *e, const tb__edit *edit, int width)
{
    tb_rect box = {INT32_MAX, INT32_MAX, 0, 0};
    for (size_t k = edit->first; k < edit->end; k++) {
        int x = pixel(e, k) % width, y = pixel(e, k) / width;
        box.left_px = x < box.left_px ? x : box.left_px;
        box.top_px = y < box.top_px ? y : box.top_px;
        box.right_px = x >= box.right_px ? x + 1 : box.right_px;
        box.bottom_px = y >= box.bottom_px ? y + 1 : box.bottom_px;
    }
    return box;
}

static bool open_window(window *w, const tb__tie *t, const tb__edits *e, const tb__edit *edit)
{
    const tb__field *f = t->field;
    int size = f->cell_px, reach = f->reach, width = t->wood->width_px;
    w->left = edit->box.left_px / size - reach;
    w->top = edit->box.top_px / size - reach;
    w->across = (edit->box.right_px - 1) / size + reach + 1 - w->left;
    w->down = (edit->box.bottom_px - 1) / size + reach + 1 - w->top;
    size_t n = (size_t)w->across * (size_t)w->down;
    w->share = tb_calloc(3 * n, sizeof *w->share);
    if (!w->share)
        return false;
    w->blurred = w->share + n;
    w->scratch = w->blurred + n;
    float part = 1 / (float)(size * size);
    for (size_t k = edit->first; k < edit->end; k++) {
        int x = pixel(e, k) % width / size - w->left, y = pixel(e, k) / width / size - w->top;
        w->share[y * w->across + x] += e->px[k] < 0 ? -part : part;
    }
    return true;
}

/* Along rows, then along columns; what lies within reach of the window's sides is nothing. */
static void blur_window(window *w, const tb__field *f)
{
    int n = w->across * w->down, reach = f->reach;
    for (int y = 0; y < w->down; y++)
        for (int x = reach; x < w->across - reach; x++) {
            float share = w->share[y * w->across + x];
            for (int d = -reach; share != 0 && d <= reach; d++)
                w->scratch[y * w->across + x + d] += share * f->kernel[d < 0 ? -d : d];
        }
    for (int i = reach * w->across; i < n - reach * w->across; i++)
        for (int d = -reach; w->scratch[i] != 0 && d <= reach; d++)
            w->blurred[i + d * w->across] += w->scratch[i] * f->kernel[d < 0 ? -d : d];
}

static bool in_field(const tb__field *f, int x, int y)
{
    return x >= 0 && y >= 0 && x < f->width && y < f->height;
}

static double cost_of(const window *w, const tb__tie *t)
{
    const tb__field *f = t->field;
    double cost = 0;
    for (int y = 0; y < w->down; y++)
        for (int x = 0; x < w->across; x++) {
            int i = y * w->across + x, cell = (w->top + y) * f->width + w->left + x;
            if (w->share[i] == 0 || !in_field(f, w->left + x, w->top + y))
                continue;
            float excess = 2 * (f->pattern[cell] - f->picture[cell]);
            cost += tb__field_weight(t, (w->left + x) * f->cell_px, (w->top + y) * f->cell_px) *
                    w->share[i] * (excess + w->blurred[i]);
        }
    double cell_mm = f->cell_px / t->wood->px_per_mm;
    return cost * cell_mm * cell_mm;
}

static void take_up(tb__field *f, const window *w)
{
    for (int y = 0; y < w->down; y++)
        for (int x = 0; x < w->across; x++)
            if (in_field(f, w->left + x, w->top + y))
                f->pattern[(w->top + y) * f->width + w->left + x] += w->blurred[y * w->across + x];
}

/* The window of the edit that has been begun, weighed; w->share NULL where it turns nothing. */
static tb_status weigh(window *w, tb__edits *e, const tb__tie *t, tb_error *err)
{
    tb__edit *edit = &e->items[e->n];
    *w = (window){0};
    if (edit->first == edit->end)
        return TB_OK;
    edit->box = box_of(e, edit, t->wood->width_px);
    if (!open_window(w, t, e, edit))
        return tb_fail_memory(err);
    blur_window(w, t->field);
    edit->cost_mm2 = cost_of(w, t);
    return TB_OK;
}

/* Whether what it fills stays away from the middle of an opening's largest disc as far as the drill
 * needs. */
static bool leaves_room(const tb__edits *e, const tb__tie *t, const tb_opening *opening)
{
    const tb_limits *limits = &t->options->limits;
    const tb__edit *edit = &e->items[e->n];
    double scale = t->wood->px_per_mm, x = opening->x_mm * scale, y = opening->y_mm * scale;
    double room_mm = fmax(limits->drill_room_mm / 2, limits->hole_clear_mm);
    double need = (limits->drill_mm / 2 + room_mm) * scale + 2;
    int width = t->wood->width_px;
    if (x < edit->box.left_px - need || x > edit->box.right_px + need ||
            y < edit->box.top_px - need || y > edit->box.bottom_px + need)
        return true;
    for (size_t k = edit->first; k < edit->end; k++)
        if (e->px[k] >= 0 && hypot(e->px[k] % width + 0.5 - x, e->px[k] / width + 0.5 - y) < need)
            return false;
    return true;
}

tb_status tb__edits_weigh(
        double *cost_mm2, tb__edits *e, const tb__tie *t, const tb_inspection *in, tb_error *err)
{
    window w;
    tb_status status = weigh(&w, e, t, err);
    *cost_mm2 = e->items[e->n].cost_mm2;
    for (size_t i = 0; i < in->n_openings && w.share; i++)
        if (!leaves_room(e, t, &in->openings[i]))
            *cost_mm2 = INFINITY;
    tb__edits_undo(e, t->wood, e->n);
    e->n_px = e->items[e->n].first;
    tb_free(w.share);
    return status;
}

tb_status tb__edits_keep(tb__edits *e, const tb__tie *t, tb_error *err)
{
    window w;
    tb_status status = weigh(&w, e, t, err);
    if (!status && w.share) {
        take_up(t->field, &w);
        e->n++;
    }
    tb_free(w.share);
    return status;
}
