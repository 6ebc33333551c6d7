/* pattern/tie_draw.c: bridges drawn at full width.
 *
 * A channel is a way of cells; its bridge is what a disc sweeps whose middle goes that way, from
 * the seat in one room to the seat in the other. The way is smoothed first, because cells allow
 * only eight directions and an eye sees that.
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "base/array.h"

#include <string.h>

typedef struct {
    double x, y;
} spot;

typedef struct {
    spot *spots;
    size_t n, room;
} way;

static bool add(way *w, double x, double y)
{
    if (!tb_array_reserve(&w->spots, &w->room, w->n, 1))
        return false;
    w->spots[w->n++] = (spot){x, y};
    return true;
}

static bool add_cell(way *w, const tb__tie *t, const tb__sea *sea, int32_t cell)
{
    if (sea->source[cell] >= 0)
        return add(w, sea->seat[cell] % t->wood->width_px + 0.5,
                sea->seat[cell] / t->wood->width_px + 0.5);
    return add(
            w, (cell % sea->width + 0.5) * sea->cell_px, (cell / sea->width + 0.5) * sea->cell_px);
}

static bool add_cells_back(
        way *w, const tb__tie *t, const tb__sea *sea, const tb_grid_paths *paths, int32_t cell)
{
    for (;;) {
        if (!add_cell(w, t, sea, cell))
            return false;
        int32_t back = tb_grid_paths_back(paths, cell);
        if (back == cell)
            return true;
        cell = back;
    }
}

static bool gather(way *w, const tb__tie *t, const tb__sea *sea, const tb_grid_paths *paths,
        const tb__channel *channel)
{
    if (!add_cells_back(w, t, sea, paths, channel->cell_a))
        return false;
    for (size_t i = 0, j = w->n - 1; i < j; i++, j--) {
        spot s = w->spots[i];
        w->spots[i] = w->spots[j];
        w->spots[j] = s;
    }
    return add_cells_back(w, t, sea, paths, channel->cell_b);
}

/* The ends stay; twelve rounds spread a corner over about as many cells as a bridge is wide. */
static void smooth(way *w)
{
    for (int round = 0; round < 12; round++) {
        spot before = w->spots[0];
        for (size_t i = 1; i + 1 < w->n; i++) {
            spot here = w->spots[i], behind = w->spots[i + 1];
            w->spots[i].x = (before.x + 2 * here.x + behind.x) / 4;
            w->spots[i].y = (before.y + 2 * here.y + behind.y) / 4;
            before = here;
        }
    }
}

/* Sets the pixels of a disc; returns the worth of those that were not wood. */
static double stamp(const tb__tie *t, spot at, double radius)
{
    tb_mask *wood = t->wood;
    const tb_mask *painted = t->options->painted_opening;
    int top = (int)ceil(at.y - radius - 0.5), bottom = (int)floor(at.y + radius - 0.5);
    top = top < 0 ? 0 : top;
    bottom = bottom < wood->height_px ? bottom : wood->height_px - 1;
    double worth = 0;
    for (int y = top; y <= bottom; y++) {
        double dy = y + 0.5 - at.y, half = sqrt(fmax(0, radius * radius - dy * dy));
        int left = (int)ceil(at.x - half - 0.5), right = (int)floor(at.x + half - 0.5);
        left = left < 0 ? 0 : left;
        right = right < wood->width_px ? right : wood->width_px - 1;
        for (int x = left; x <= right; x++) {
            size_t px = (size_t)y * (size_t)wood->width_px + (size_t)x;
            if (wood->px[px] || (painted && painted->px[px]))
                continue;
            worth += tb__worth(t, px);
            wood->px[px] = 1;
        }
    }
    return worth;
}

static double sweep(const tb__tie *t, const way *w, double radius, double *length)
{
    double worth = stamp(t, w->spots[0], radius);
    *length = 0;
    for (size_t i = 1; i < w->n; i++) {
        spot a = w->spots[i - 1], b = w->spots[i];
        double far = hypot(b.x - a.x, b.y - a.y);
        *length += far;
        int n = (int)ceil(far / 0.5);
        for (int k = 1; k <= n; k++)
            worth += stamp(t, (spot){a.x + (b.x - a.x) * k / n, a.y + (b.y - a.y) * k / n}, radius);
    }
    return worth;
}

static tb_status enter(tb__tie *t, const way *w, double length_px, double cost_mm2, tb_error *err)
{
    tb_tie_account *account = t->account;
    tb_point *path = tb_malloc(w->n, sizeof *path);
    if (!path || !tb_array_reserve(&account->bridges, &t->bridges_room, account->n_bridges, 1)) {
        tb_free(path);
        return tb_fail_memory(err);
    }
    double scale = t->wood->px_per_mm;
    for (size_t i = 0; i < w->n; i++)
        path[i] = (tb_point){w->spots[i].x / scale, w->spots[i].y / scale};
    account->bridges[account->n_bridges++] =
            (tb_bridge){path, w->n, t->options->limits.bridge_must_mm, length_px / scale, cost_mm2};
    return TB_OK;
}

tb_status tb__bridge_draw(tb__tie *t, const tb__sea *sea, const tb_grid_paths *paths,
        const tb__channel *channel, tb_error *err)
{
    way w = {0};
    if (!gather(&w, t, sea, paths, channel)) {
        tb_free(w.spots);
        return tb_fail_memory(err);
    }
    smooth(&w);
    double length = 0;
    /* A little more than the limit, so that no rounding to pixels makes it a little less. */
    double worth = sweep(t, &w, t->bridge_px / 2 + 0.3, &length);
    double px_mm2 = 1 / (t->wood->px_per_mm * t->wood->px_per_mm);
    tb_status status = enter(t, &w, length, -worth * px_mm2, err);
    tb_free(w.spots);
    return status;
}
