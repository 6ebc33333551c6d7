/* pattern/strands.c: see strands.h.
 *
 * 1. A net of summits and rooms, with a link for each pass, tells which nodes hang.
 * 2. The ways of passes between held nodes are marked, pixel by pixel, as held.
 * 3. The ways of all other passes, and of the tips, are traced up until they come to a pixel that
 * is held or already traced, which makes a graph of pixels.
 * 4. Pixels with two neighbours in it are threaded up to strands.
 */
#include "pattern/strands.h"

#include "base/alloc.h"
#include "base/array.h"

#include <string.h>

/* A pixel on a way, or a room: its key is the pixel, or -1 - r for room r. */
typedef struct {
    int32_t key;
    int32_t last_half; /* of the list of half links that leave it, -1: none */
    int32_t degree;
    int32_t node; /* -1: threaded into a strand */
    bool held;
} vertex;

/* Half links are made in pairs: half h leads back as h ^ 1. */
typedef struct {
    int32_t to, before;
} half;

typedef struct {
    const tb_ridge *ridge;
    uint64_t *held; /* a bit for each pixel */
    vertex *vertices;
    size_t n_vertices, room_vertices;
    half *halves;
    size_t n_halves, room_halves;
    int32_t *slots; /* hash of key: vertex, -1 */
    size_t n_slots;
    bool failed;
} tracer;

static bool is_held(const tracer *t, int32_t px)
{
    return t->held[px / 64] >> (px % 64) & 1;
}

static void mark_held(tracer *t, int32_t px)
{
    while (!is_held(t, px)) {
        t->held[px / 64] |= UINT64_C(1) << (px % 64);
        px = tb_ridge_up(t->ridge, px);
    }
}

static size_t slot_of(const tracer *t, int32_t key)
{
    size_t i = (uint32_t)key * UINT32_C(2654435761) & (t->n_slots - 1);
    while (t->slots[i] >= 0 && t->vertices[t->slots[i]].key != key)
        i = (i + 1) & (t->n_slots - 1);
    return i;
}

static bool grow_slots(tracer *t)
{
    if (2 * (t->n_vertices + 1) <= t->n_slots)
        return true;
    size_t n_slots = t->n_slots ? 2 * t->n_slots : 1024;
    int32_t *slots = tb_malloc(n_slots, sizeof *slots);
    if (!slots)
        return false;
    memset(slots, 0xff, n_slots * sizeof *slots);
    tb_free(t->slots);
    t->slots = slots;
    t->n_slots = n_slots;
    for (size_t i = 0; i < t->n_vertices; i++)
        t->slots[slot_of(t, t->vertices[i].key)] = (int32_t)i;
    return true;
}

static int32_t find_vertex(const tracer *t, int32_t key)
{
    return t->n_slots ? t->slots[slot_of(t, key)] : -1;
}

static int32_t add_vertex(tracer *t, int32_t key)
{
    if (!grow_slots(t) || !tb_array_reserve(&t->vertices, &t->room_vertices, t->n_vertices, 1)) {
        t->failed = true;
        return 0;
    }
    int32_t v = (int32_t)t->n_vertices;
    t->slots[slot_of(t, key)] = v;
    t->vertices[t->n_vertices++] = (vertex){key, -1, 0, -1, key >= 0 && is_held(t, key)};
    return v;
}

static void join(tracer *t, int32_t a, int32_t b)
{
    for (int32_t h = t->vertices[a].last_half; h >= 0; h = t->halves[h].before)
        if (t->halves[h].to == b)
            return;
    if (!tb_array_reserve(&t->halves, &t->room_halves, t->n_halves, 2)) {
        t->failed = true;
        return;
    }
    int32_t h = (int32_t)t->n_halves;
    t->halves[h] = (half){b, t->vertices[a].last_half};
    t->vertices[a].last_half = h;
    t->halves[h + 1] = (half){a, t->vertices[b].last_half};
    t->vertices[b].last_half = h + 1;
    t->vertices[a].degree++;
    t->vertices[b].degree++;
    t->n_halves += 2;
}

/* At the brink of a room the way ends: in what is held, or in the room's own vertex. */
static void enter_room(tracer *t, int32_t v, const bool *hangs)
{
    int32_t px = t->vertices[v].key, width = t->ridge->width_px;
    int32_t room = tb_labels_at(t->ridge->rooms, px % width, px / width);
    if (!hangs[t->ridge->n_summits + (size_t)room]) {
        t->vertices[v].held = true;
        return;
    }
    int32_t at = find_vertex(t, -1 - room);
    if (at < 0)
        at = add_vertex(t, -1 - room);
    if (!t->failed)
        join(t, v, at);
}

/* Another way beside px, traced before vertex `own`: two that run side by side are one. */
static int32_t beside(const tracer *t, int32_t px, int32_t own)
{
    int width = t->ridge->width_px, height = t->ridge->height_px, x = px % width, y = px / width;
    for (int dy = -1; dy <= 1; dy++)
        for (int dx = -1; dx <= 1; dx++) {
            if (x + dx < 0 || x + dx >= width || y + dy < 0 || y + dy >= height)
                continue;
            int32_t v = find_vertex(t, px + dy * width + dx);
            if (v >= 0 && v < own)
                return v;
        }
    return -1;
}

/* Traces the way up from px, a neighbour of vertex v. */
static void trace_up(
        tracer *t, int32_t v, int32_t px, const bool *hangs, bool from_tip, int32_t own)
{
    while (!t->failed) {
        int32_t at = find_vertex(t, px);
        if (at < 0 && from_tip)
            at = beside(t, px, own);
        bool known = at >= 0;
        if (!known)
            at = add_vertex(t, px);
        if (t->failed)
            return;
        join(t, v, at);
        if (known || t->vertices[at].held)
            return;
        if (t->ridge->d2[px] == t->ridge->cap_d2) {
            enter_room(t, at, hangs);
            return;
        }
        int32_t up = tb_ridge_up(t->ridge, px);
        if (up == px)
            return;
        v = at;
        px = up;
    }
}

static void trace_pass(tracer *t, const tb_pass *pass, const bool *hangs)
{
    int32_t v = find_vertex(t, pass->px);
    if (v < 0)
        v = add_vertex(t, pass->px);
    for (int side = 0; side < 2 && !t->failed; side++)
        trace_up(t, v, pass->up[side], hangs, false, 0);
}

static void trace_tip(tracer *t, int32_t px, const bool *hangs)
{
    int32_t own = (int32_t)t->n_vertices, up = tb_ridge_up(t->ridge, px);
    if (is_held(t, px) || find_vertex(t, px) >= 0 || up == px)
        return;
    int32_t v = add_vertex(t, px);
    if (!t->failed)
        trace_up(t, v, up, hangs, true, own);
}

static void trace_all(tracer *t, const tb__net *net, const int32_t *tips, size_t n_tips)
{
    const tb_ridge *ridge = t->ridge;
    for (size_t i = 0; i < net->n_reached; i++) {
        int32_t node = net->order[i];
        if (!net->hangs[node] && (size_t)node < ridge->n_summits)
            mark_held(t, ridge->summits[node]);
    }
    /* What was not reached lies in other pieces, and is left alone; its nodes have no parent. */
    for (size_t i = 0; i < ridge->n_passes; i++) {
        const tb_pass *p = &ridge->passes[i];
        if (net->parent[p->node[0]] == TB__NET_UNREACHED || net->hangs[p->node[0]] ||
                net->hangs[p->node[1]])
            continue;
        mark_held(t, p->px);
        mark_held(t, p->up[0]);
        mark_held(t, p->up[1]);
    }
    for (size_t i = 0; i < ridge->n_passes && !t->failed; i++) {
        const tb_pass *p = &ridge->passes[i];
        if (net->parent[p->node[0]] != TB__NET_UNREACHED &&
                (net->hangs[p->node[0]] || net->hangs[p->node[1]]))
            trace_pass(t, p, net->hangs);
    }
    for (size_t i = 0; i < n_tips && !t->failed; i++)
        trace_tip(t, tips[i], net->hangs);
}

/* Numbers the vertices that are nodes; all that is held is node 0. */
static bool number_nodes(tb__strands *out, tracer *t)
{
    size_t n = 1;
    for (size_t i = 0; i < t->n_vertices; i++) {
        vertex *v = &t->vertices[i];
        if (v->held)
            v->node = 0;
        else if (v->key < 0 || v->degree != 2)
            v->node = (int32_t)n++;
    }
    out->n_nodes = n;
    out->node_px = tb_malloc(n, sizeof *out->node_px);
    if (!out->node_px)
        return false;
    out->node_px[0] = 0;
    for (size_t i = 0; i < t->n_vertices; i++)
        if (t->vertices[i].node > 0)
            out->node_px[t->vertices[i].node] = t->vertices[i].key;
    return true;
}

/* Follows half link h from vertex `from` to the next node, storing pixels at px + n; the last half
 * link goes to *last. */
static size_t thread(const tracer *t, int32_t from, int32_t h, int32_t *px, int32_t *last)
{
    size_t n = 0;
    if (t->vertices[from].key >= 0)
        px[n++] = t->vertices[from].key;
    for (;;) {
        const vertex *v = &t->vertices[t->halves[h].to];
        if (v->key >= 0)
            px[n++] = v->key;
        if (v->node >= 0)
            break;
        int32_t back = h ^ 1;
        h = v->last_half == back ? t->halves[back].before : v->last_half;
    }
    *last = h;
    return n;
}

static bool thread_all(tb__strands *out, const tracer *t)
{
    size_t room = 0, n_px = 0, room_begin = 0, room_px = 0;
    for (size_t i = 0; i < t->n_vertices; i++) {
        if (t->vertices[i].node < 0)
            continue;
        for (int32_t h = t->vertices[i].last_half; h >= 0; h = t->halves[h].before) {
            if (!tb_array_reserve(&out->links, &room, out->n_strands, 1) ||
                    !tb_array_reserve(&out->begin, &room_begin, out->n_strands, 2) ||
                    !tb_array_reserve(&out->px, &room_px, n_px, t->n_vertices + 2))
                return false;
            int32_t last;
            size_t n = thread(t, (int32_t)i, h, out->px + n_px, &last);
            int32_t end = t->vertices[t->halves[last].to].node;
            /* Each strand is met from both its ends; one that comes back to its own is a ring. */
            if (end == t->vertices[i].node || (last ^ 1) < h)
                continue;
            out->links[out->n_strands] = (tb__link){{t->vertices[i].node, end}};
            out->begin[out->n_strands++] = n_px;
            n_px += n;
            out->begin[out->n_strands] = n_px;
        }
    }
    return true;
}

static tb__link *links_of(const tb_ridge *ridge)
{
    tb__link *links = tb_malloc(ridge->n_passes, sizeof *links);
    for (size_t i = 0; links && i < ridge->n_passes; i++)
        links[i] = (tb__link){{ridge->passes[i].node[0], ridge->passes[i].node[1]}};
    return links;
}

tb_status tb__strands_find(tb__strands *out, const tb_ridge *ridge, int32_t held_px,
        const int32_t *tips, size_t n_tips, tb_error *err)
{
    *out = (tb__strands){.ridge = ridge};
    size_t n_px = (size_t)ridge->width_px * (size_t)ridge->height_px;
    size_t n_nodes = ridge->n_summits + (size_t)ridge->rooms->n_pieces;
    tracer t = {.ridge = ridge, .held = tb_calloc(n_px / 64 + 1, sizeof *t.held)};
    tb__net net = {0};
    tb__link *links = links_of(ridge);
    bool good = t.held && links &&
                tb__net_walk(&net, links, ridge->n_passes, n_nodes, tb_ridge_node(ridge, held_px));
    if (good)
        trace_all(&t, &net, tips, n_tips);
    good = good && !t.failed && number_nodes(out, &t) && thread_all(out, &t);
    tb__net_clear(&net);
    tb_free(links);
    tb_free(t.held);
    tb_free(t.vertices);
    tb_free(t.halves);
    tb_free(t.slots);
    if (good)
        return TB_OK;
    tb__strands_clear(out);
    return tb_fail_memory(err);
}

void tb__strands_clear(tb__strands *strands)
{
    tb_free(strands->links);
    tb_free(strands->begin);
    tb_free(strands->px);
    tb_free(strands->node_px);
    *strands = (tb__strands){0};
}
