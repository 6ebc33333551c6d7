/* pattern/neck.c: necks of wood, each once, at its narrowest.
 *
 * Wood is let rise out of the water from the summits down. When a pass rises, it either joins two
 * parts that stood apart until then, or closes a ring around an opening. A ring always has a
 * meaning, for there is an opening inside it. Two parts have one only if the lesser of them is
 * clearly wider than the pass between: along a strip of one width the pixels alone make passes
 * by the dozen. So the parts' highest summits are kept in a union-find, the lower one dies at the
 * pass, and what it stood above the pass is weighed.
 */
#include "pattern/neck.h"

#include "base/alloc.h"
#include "base/array.h"
#include "graph/forest.h"

#include <math.h>

typedef struct {
    int32_t *parent;
    uint16_t *peak;
} parts;

/* Passes from the highest down, those of one height by pixel: a counting sort. */
static tb_status sort_passes(const tb_pass ***out, const tb_ridge *ridge, tb_error *err)
{
    size_t n_heights = (size_t)ridge->cap_d2 + 1;
    size_t *start = tb_calloc(n_heights + 1, sizeof *start);
    const tb_pass **order = tb_malloc(ridge->n_passes, sizeof(tb_pass *));
    *out = order;
    if (!start || !order) {
        tb_free(start);
        return tb_fail_memory(err);
    }
    for (size_t i = 0; i < ridge->n_passes; i++)
        start[ridge->cap_d2 - ridge->d2[ridge->passes[i].px] + 1]++;
    for (size_t h = 1; h < n_heights; h++)
        start[h] += start[h - 1];
    for (size_t i = 0; i < ridge->n_passes; i++)
        order[start[ridge->cap_d2 - ridge->d2[ridge->passes[i].px]]++] = &ridge->passes[i];
    tb_free(start);
    return TB_OK;
}

/* Whether a part whose summit has the height peak is more than a swelling of the pass below it.
 * A strip bent at a right angle swells by 1.17 at the bend, three strips that meet by 1.25; the
 * steps of a slanted strip of one width make a summit of a pixel. */
static bool stands_above(double peak_d2, double pass_d2)
{
    double pass = sqrt(pass_d2) - 0.5, peak = sqrt(peak_d2) - 0.5;
    return peak >= 1.2 * pass && peak - pass >= 1.5;
}

static bool parts_init(parts *p, const tb_ridge *ridge)
{
    size_t n = ridge->n_summits + (size_t)ridge->rooms->n_pieces;
    p->parent = tb_malloc(n, sizeof *p->parent);
    p->peak = tb_malloc(n, sizeof *p->peak);
    if (!p->parent || !p->peak)
        return false;
    for (size_t i = 0; i < n; i++) {
        p->parent[i] = (int32_t)i;
        p->peak[i] = tb_ridge_height(ridge, (int32_t)i);
    }
    return true;
}

/* Joins the two sides of a pass; true when that makes a neck. */
static bool rise(parts *p, const tb_ridge *ridge, const tb_pass *pass)
{
    int32_t a = tb_forest_root(p->parent, pass->node[0]),
            b = tb_forest_root(p->parent, pass->node[1]);
    if (a == b)
        return true;
    if (p->peak[a] < p->peak[b] || (p->peak[a] == p->peak[b] && a > b)) {
        int32_t swap = a;
        a = b;
        b = swap;
    }
    p->parent[b] = a;
    return stands_above(p->peak[b], ridge->d2[pass->px]);
}

tb_status tb_necks_find(
        tb_neck **out, size_t *n_out, const tb_ridge *ridge, double below_px, tb_error *err)
{
    *out = NULL;
    *n_out = 0;
    parts p = {0};
    const tb_pass **order = NULL;
    tb_neck *necks = NULL;
    size_t n = 0, room = 0;
    tb_status status = sort_passes(&order, ridge, err);
    if (status)
        goto out;
    if (!parts_init(&p, ridge)) {
        status = tb_fail_memory(err);
        goto out;
    }
    double most_d2 = (below_px + 1) * (below_px + 1) / 4;
    for (size_t i = 0; i < ridge->n_passes; i++) {
        if (!rise(&p, ridge, order[i]) || ridge->d2[order[i]->px] > most_d2)
            continue;
        /* A pass between three parts or more is one place. */
        if (n && necks[n - 1].px == order[i]->px)
            continue;
        if (!tb_array_reserve(&necks, &room, n, 1)) {
            status = tb_fail_memory(err);
            goto out;
        }
        necks[n++] = (tb_neck){order[i]->px, {order[i]->up[0], order[i]->up[1]}};
    }
    *out = necks;
    *n_out = n;
    necks = NULL;
out:
    tb_free(necks);
    tb_free(order);
    tb_free(p.parent);
    tb_free(p.peak);
    return status;
}

/* At the mouth of a neck the banks turn corners, and what is measured there is not
 * sure; only at the pass itself, which may lie between two points, is it taken. */
static bool narrower(const tb_breadth *a, const tb_breadth *b)
{
    return a->sure && (b->sure ? a->width_px < b->width_px : a->width_px < b->most_px);
}

static tb_rect around(int x, int y, int far)
{
    return (tb_rect){x - far, y - far, x + far, y + far};
}

/* The breadth at a pixel of the ridge's map; *seen grows by what that reads. */
static bool look_at(
        tb_breadth *out, tb_rect *seen, int x, int y, const tb_ridge *ridge, const tb_mask *mask)
{
    double half = sqrt(ridge->d2[(size_t)y * (size_t)mask->width_px + (size_t)x]);
    out->seen_px = 2;
    bool good = half >= 1 && tb_breadth_measure(out, mask, 1, true, x, y, half);
    *seen = tb_rect_join(*seen, around(x, y, out->seen_px));
    return good;
}

/* The place a step further along the neck: across its last breadth, and there in its middle. */
static bool look_on(tb_breadth *out, tb_rect *seen, const tb_breadth *last, double sign,
        double step_px, const tb_ridge *ridge, const tb_mask *mask)
{
    double nx = last->bank_x[1] - last->bank_x[0], ny = last->bank_y[1] - last->bank_y[0];
    double apart = hypot(nx, ny);
    if (apart < 0.5)
        return false;
    double x = (last->bank_x[0] + last->bank_x[1]) / 2 - sign * step_px * ny / apart;
    double y = (last->bank_y[0] + last->bank_y[1]) / 2 + sign * step_px * nx / apart;
    int px = (int)floor(x), py = (int)floor(y);
    if (px < 0 || py < 0 || px >= mask->width_px || py >= mask->height_px)
        return false;
    if (!look_at(out, seen, px, py, ridge, mask))
        return false;
    /* The banks may come the other way round; keep them in order, so that sign keeps its sense. */
    double turn = nx * (out->bank_x[1] - out->bank_x[0]) + ny * (out->bank_y[1] - out->bank_y[0]);
    if (turn < 0)
        tb_breadth_swap(out);
    return true;
}

/* The ridge near a pass is level to a pixel's grain, so the narrowest place is looked for along
 * the neck, as far as it has not widened by more than a pixel or two. */
bool tb_neck_measure(tb_breadth *out, tb_rect *seen, const tb_neck *neck, const tb_ridge *ridge,
        const tb_mask *mask)
{
    enum { LOOKS = 12 };
    int width = ridge->width_px;
    *seen = (tb_rect){0, 0, 0, 0};
    if (!look_at(out, seen, neck->px % width, neck->px / width, ridge, mask))
        return false;
    tb_breadth first = *out;
    for (int side = 0; side < 2; side++) {
        tb_breadth last = first, next;
        for (int i = 0; i < LOOKS; i++) {
            if (!look_on(&next, seen, &last, side ? -1 : 1, 4 + i, ridge, mask) ||
                    next.width_px > first.width_px + 3.5)
                break;
            if (narrower(&next, out))
                *out = next;
            last = next;
        }
    }
    return true;
}

bool tb_neck_about(tb_breadth *out, tb_rect *seen, const tb_neck *neck, const tb_ridge *ridge,
        const tb_mask *mask)
{
    int x = neck->px % ridge->width_px, y = neck->px / ridge->width_px;
    double half = sqrt(ridge->d2[neck->px]);
    out->seen_px = 2;
    bool good = half >= 1 && tb_breadth_about(out, mask, 1, true, x, y, half);
    *seen = around(x, y, out->seen_px);
    return good;
}
