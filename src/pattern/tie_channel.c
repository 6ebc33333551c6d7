/* pattern/tie_channel.c: the cheapest channel between each two rooms whose waters meet.
 *
 * The cheapest ways from all rooms at once divide the sea into the rooms' waters. Where two waters
 * meet, the two ways together are a channel; the best for each pair of rooms is kept. A cheapest
 * tree over all channels needs no others (Mehlhorn 1988).
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "base/array.h"

#include <stdlib.h>
#include <string.h>

typedef struct {
    tb__channel *channels;
    size_t n, room;
    int32_t *slots; /* hash of (a, b) to channel, -1 free; n_slots is a power of two */
    size_t n_slots;
} catalogue;

static size_t slot_of(const catalogue *c, int32_t a, int32_t b)
{
    uint64_t mixed = ((uint64_t)(uint32_t)a << 32 | (uint32_t)b) * UINT64_C(0x9E3779B97F4A7C15);
    size_t slot = (size_t)(mixed >> 32) & (c->n_slots - 1);
    while (c->slots[slot] >= 0 &&
            (c->channels[c->slots[slot]].a != a || c->channels[c->slots[slot]].b != b))
        slot = (slot + 1) & (c->n_slots - 1);
    return slot;
}

static bool grow_slots(catalogue *c)
{
    size_t wanted = c->n_slots ? 2 * c->n_slots : 1024;
    int32_t *slots = tb_malloc(wanted, sizeof *slots);
    if (!slots)
        return false;
    tb_free(c->slots);
    c->slots = slots;
    c->n_slots = wanted;
    memset(slots, -1, wanted * sizeof *slots);
    for (size_t i = 0; i < c->n; i++)
        slots[slot_of(c, c->channels[i].a, c->channels[i].b)] = (int32_t)i;
    return true;
}

static bool offer(catalogue *c, tb__channel channel)
{
    if (c->n_slots < 2 * (c->n + 1) && !grow_slots(c))
        return false;
    size_t slot = slot_of(c, channel.a, channel.b);
    if (c->slots[slot] >= 0) {
        tb__channel *known = &c->channels[c->slots[slot]];
        if (channel.cost < known->cost)
            *known = channel;
        return true;
    }
    if (!tb_array_reserve(&c->channels, &c->room, c->n, 1))
        return false;
    c->slots[slot] = (int32_t)c->n;
    c->channels[c->n++] = channel;
    return true;
}

static uint32_t price_of(const tb__sea *sea, int32_t cell)
{
    return sea->source[cell] >= 0 ? 0 : sea->price[cell];
}

/* Offers the channel over the border between a cell and its neighbour, if there is one. */
static bool look(
        catalogue *c, const tb__sea *sea, const tb_grid_paths *paths, int32_t cell, int dx, int dy)
{
    int32_t next = cell + dy * sea->width + dx;
    int32_t a = paths->source[cell], b = paths->source[next];
    if (a < 0 || b < 0 || a == b)
        return true;
    uint32_t cost = paths->cost[cell] + paths->cost[next] +
                    tb_grid_step(price_of(sea, cell), price_of(sea, next), dx, dy);
    return offer(c,
            a < b ? (tb__channel){a, b, cost, cell, next} : (tb__channel){b, a, cost, next, cell});
}

static int by_rooms(const void *x, const void *y)
{
    const tb__channel *p = x, *q = y;
    if (p->a != q->a)
        return p->a < q->a ? -1 : 1;
    return p->b < q->b ? -1 : p->b > q->b;
}

/* Whether a cell and those it looks at lie in one water, as nearly all do. */
static bool is_amid(const tb__sea *sea, const tb_grid_paths *paths, int32_t cell)
{
    const int32_t *here = paths->source + cell, *below = here + sea->width;
    return here[0] == here[1] && here[0] == below[-1] && here[0] == below[0] && here[0] == below[1];
}

tb_status tb__channels_find(
        tb__channel **out, size_t *n, const tb__sea *sea, const tb_grid_paths *paths, tb_error *err)
{
    *out = NULL;
    *n = 0;
    catalogue c = {0};
    bool fine = tb_array_reserve(&c.channels, &c.room, 0, 1);
    for (int32_t y = 0; fine && y < sea->height; y++)
        for (int32_t x = 0; fine && x < sea->width; x++) {
            int32_t cell = y * sea->width + x;
            bool right = x + 1 < sea->width, below = y + 1 < sea->height;
            if (right && below && x > 0 && is_amid(sea, paths, cell))
                continue;
            fine = (!right || look(&c, sea, paths, cell, 1, 0)) &&
                   (!below || look(&c, sea, paths, cell, 0, 1)) &&
                   (!right || !below || look(&c, sea, paths, cell, 1, 1)) &&
                   (x == 0 || !below || look(&c, sea, paths, cell, -1, 1));
        }
    tb_free(c.slots);
    if (!fine) {
        tb_free(c.channels);
        return tb_fail_memory(err);
    }
    qsort(c.channels, c.n, sizeof *c.channels, by_rooms);
    *out = c.channels;
    *n = c.n;
    return TB_OK;
}

/* Of the way back from a cell to its room. */
static double bare_way(
        const tb__field *f, const tb__sea *sea, const tb_grid_paths *paths, int32_t cell)
{
    double sum = 0;
    for (int32_t back; sea->source[cell] < 0 && (back = tb_grid_paths_back(paths, cell)) != cell;
            cell = back) {
        int32_t here = (sea->top + cell / sea->width) * f->width + sea->left + cell % sea->width;
        double step = (cell - back) % sea->width == 0 || abs(cell - back) == 1 ? 1 : sqrt(2);
        sum += step * f->open[here] * f->flat[here];
    }
    return sum;
}

double tb__channel_bare_mm(const tb__tie *t, const tb__sea *sea, const tb_grid_paths *paths,
        const tb__channel *channel)
{
    double cells = bare_way(t->field, sea, paths, channel->cell_a) +
                   bare_way(t->field, sea, paths, channel->cell_b);
    return cells * sea->cell_px / t->wood->px_per_mm;
}
