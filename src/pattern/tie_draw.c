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
    return add(w, (sea->left + cell % sea->width + 0.5) * sea->cell_px,
            (sea->top + cell / sea->width + 0.5) * sea->cell_px);
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

/* What the straight way between two places costs: the price under it, cell by cell. */
static double straight_cost(const tb__sea *sea, spot a, spot b)
{
    double far = hypot(b.x - a.x, b.y - a.y) / sea->cell_px, sum = 0;
    int n = (int)ceil(far);
    for (int i = 0; i < n; i++) {
        int x = (int)((a.x + (b.x - a.x) * (i + 0.5) / n) / sea->cell_px) - sea->left;
        int y = (int)((a.y + (b.y - a.y) * (i + 0.5) / n) / sea->cell_px) - sea->top;
        int32_t cell = y * sea->width + x;
        if (sea->source[cell] >= 0)
            continue;
        if (sea->price[cell] == TB_GRID_BLOCKED)
            return INFINITY;
        sum += sea->price[cell];
    }
    return n ? sum * far / n : 0;
}

/* The cheapest way that goes straight from one of w's places to a later one, and so on. Cells know
 * eight directions only; this is free of them. */
static bool pull_straight(way *w, const tb__sea *sea)
{
    enum { MOST = 96 };
    size_t stride = w->n / MOST + 1, n = (w->n - 1 + stride - 1) / stride + 1;
    double cost[MOST + 2];
    size_t from[MOST + 2];
    cost[0] = 0;
    for (size_t j = 1; j < n; j++) {
        spot to = w->spots[j + 1 == n ? w->n - 1 : j * stride];
        cost[j] = INFINITY;
        from[j] = j - 1;
        for (size_t i = 0; i < j; i++) {
            double sum = cost[i] + straight_cost(sea, w->spots[i * stride], to);
            if (sum < cost[j]) {
                cost[j] = sum;
                from[j] = i;
            }
        }
    }
    if (isinf(cost[n - 1]))
        return true; /* hemmed in by painted openings: the way of cells must do */
    way straight = {0};
    bool fine = true;
    for (size_t j = n - 1; fine && j > 0; j = from[j]) {
        spot a = w->spots[j + 1 == n ? w->n - 1 : j * stride], b = w->spots[from[j] * stride];
        int steps = (int)ceil(hypot(b.x - a.x, b.y - a.y) / sea->cell_px);
        for (int k = 0; fine && k < steps; k++)
            fine = add(&straight, a.x + (b.x - a.x) * k / steps, a.y + (b.y - a.y) * k / steps);
    }
    fine = fine && add(&straight, w->spots[0].x, w->spots[0].y);
    if (fine) {
        tb_free(w->spots);
        *w = straight;
    } else {
        tb_free(straight.spots);
    }
    return fine;
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

double tb__stamp(const tb__tie *t, double at_x, double at_y, double radius)
{
    at_x = floor(at_x) + 0.5;
    at_y = floor(at_y) + 0.5;
    tb_mask *wood = t->wood;
    const tb_mask *painted = t->options->painted_opening;
    int top = (int)ceil(at_y - radius - 0.5), bottom = (int)floor(at_y + radius - 0.5);
    top = top < 0 ? 0 : top;
    bottom = bottom < wood->height_px ? bottom : wood->height_px - 1;
    double cost = 0;
    for (int y = top; y <= bottom; y++) {
        double dy = y + 0.5 - at_y, half = sqrt(fmax(0, radius * radius - dy * dy));
        int left = (int)ceil(at_x - half - 0.5), right = (int)floor(at_x + half - 0.5);
        left = left < 0 ? 0 : left;
        right = right < wood->width_px ? right : wood->width_px - 1;
        for (int x = left; x <= right; x++) {
            size_t px = (size_t)y * (size_t)wood->width_px + (size_t)x;
            if (wood->px[px] || (painted && painted->px[px]))
                continue;
            cost += tb__field_cost(t, x, y);
            wood->px[px] = 1;
        }
    }
    return cost;
}

static double sweep(const tb__tie *t, const way *w, double *length)
{
    double radius = tb__bridge_radius(t);
    double cost = tb__stamp(t, w->spots[0].x, w->spots[0].y, radius);
    *length = 0;
    for (size_t i = 1; i < w->n; i++) {
        spot a = w->spots[i - 1], b = w->spots[i];
        double far = hypot(b.x - a.x, b.y - a.y);
        *length += far;
        int n = (int)ceil(far / 0.5);
        for (int k = 1; k <= n; k++)
            cost += tb__stamp(t, a.x + (b.x - a.x) * k / n, a.y + (b.y - a.y) * k / n, radius);
    }
    return cost;
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
    if (!gather(&w, t, sea, paths, channel) || !pull_straight(&w, sea)) {
        tb_free(w.spots);
        return tb_fail_memory(err);
    }
    smooth(&w);
    double length = 0;
    double cost = sweep(t, &w, &length);
    double px_mm2 = 1 / (t->wood->px_per_mm * t->wood->px_per_mm);
    tb_status status = enter(t, &w, length, cost * px_mm2, err);
    tb_free(w.spots);
    return status;
}
