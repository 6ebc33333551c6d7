/* graph/steiner_grow.c: primal-dual growth after Goemans & Williamson.
 *
 * Every vertex with a prize starts as an active cluster that surrounds itself with a moat, all
 * moats growing at one speed and paid for by the prizes inside. An edge whose two moats meet is
 * bought and its clusters become one; a cluster whose prizes are used up stops; the root's cluster
 * never grows. When nothing grows any more, the vertices in the root's cluster are those worth
 * reaching. Members of the smaller cluster are relabelled at each merger, so all mergers together
 * cost O(n log n).
 *
 * Events wait in a queue by the time they are due at present speeds. A cluster that stops makes its
 * edges' events come too early, which shows when they are looked at; one that starts again makes
 * them come too late, so its edges are queued anew.
 */
#include "graph/steiner_private.h"

#include "base/alloc.h"

typedef struct {
    const tb__graph *g;
    tb__heap events;              /* edge e, or m + cluster whose prizes are used up */
    int32_t *cluster;             /* [n] of a vertex; named after one of its vertices */
    int32_t *next, *last;         /* [n] members of a cluster as a list */
    int32_t *size;                /* [n] */
    double *base;                 /* [n] a vertex's moat less its cluster's */
    double *grown, *left, *since; /* [n] moat and unspent prize of a cluster at a time */
    bool *active;
    int32_t n_active;
    double now;
} growth;

static bool growth_init(growth *s, const tb__graph *g)
{
    size_t n = (size_t)g->n;
    *s = (growth){.g = g};
    s->cluster = tb_malloc(n, sizeof *s->cluster);
    s->next = tb_malloc(n, sizeof *s->next);
    s->last = tb_malloc(n, sizeof *s->last);
    s->size = tb_malloc(n, sizeof *s->size);
    s->base = tb_calloc(n, sizeof *s->base);
    s->grown = tb_calloc(n, sizeof *s->grown);
    s->left = tb_malloc(n, sizeof *s->left);
    s->since = tb_calloc(n, sizeof *s->since);
    s->active = tb_malloc(n, sizeof *s->active);
    if (!s->cluster || !s->next || !s->last || !s->size || !s->base || !s->grown || !s->left ||
            !s->since || !s->active)
        return false;
    for (int32_t v = 0; v < g->n; v++) {
        s->cluster[v] = s->last[v] = v;
        s->next[v] = -1;
        s->size[v] = 1;
        s->left[v] = (double)g->prizes[v];
        s->active[v] = v != g->root && g->prizes[v] > 0;
        s->n_active += s->active[v];
    }
    return true;
}

static void growth_clear(growth *s)
{
    tb_free(s->cluster);
    tb_free(s->next);
    tb_free(s->last);
    tb_free(s->size);
    tb_free(s->base);
    tb_free(s->grown);
    tb_free(s->left);
    tb_free(s->since);
    tb_free(s->active);
    tb_free(s->events.items);
}

/* Brings a cluster's account up to now. */
static void settle(growth *s, int32_t c)
{
    if (s->active[c]) {
        s->grown[c] += s->now - s->since[c];
        s->left[c] -= s->now - s->since[c];
    }
    s->since[c] = s->now;
}

static double moat(const growth *s, int32_t v)
{
    int32_t c = s->cluster[v];
    return s->base[v] + s->grown[c] + (s->active[c] ? s->now - s->since[c] : 0);
}

/* Queues the meeting of an edge's moats, if they move at all. */
static bool queue_edge(growth *s, int32_t e)
{
    const tb_edge *edge = &s->g->edges[e];
    int32_t a = s->cluster[edge->a], b = s->cluster[edge->b];
    int speed = s->active[a] + s->active[b];
    if (a == b || speed == 0)
        return true;
    double gap = (double)edge->cost - moat(s, edge->a) - moat(s, edge->b);
    return tb__heap_push(&s->events, s->now + (gap > 0 ? gap / speed : 0), e);
}

static bool queue_cluster(growth *s, int32_t c)
{
    return !s->active[c] || tb__heap_push(&s->events, s->since[c] + s->left[c], s->g->m + c);
}

static bool queue_members_edges(growth *s, int32_t first)
{
    for (int32_t v = first; v >= 0; v = s->next[v])
        for (int32_t i = s->g->first[v]; i < s->g->first[v + 1]; i++)
            if (!queue_edge(s, s->g->arcs[i] >> 1))
                return false;
    return true;
}

static bool merge(growth *s, int32_t a, int32_t b)
{
    settle(s, a);
    settle(s, b);
    if (s->size[a] < s->size[b]) {
        int32_t c = a;
        a = b;
        b = c;
    }
    int32_t root = s->cluster[s->g->root];
    bool grows = a != root && b != root && s->left[a] + s->left[b] > 0;
    bool a_slept = !s->active[a], b_slept = !s->active[b];
    s->n_active += grows - s->active[a] - s->active[b];
    s->left[a] += s->left[b];
    for (int32_t v = b; v >= 0; v = s->next[v]) {
        s->cluster[v] = a;
        s->base[v] += s->grown[b] - s->grown[a];
    }
    int32_t tail = s->last[a];
    s->next[tail] = b;
    s->last[a] = s->last[b];
    s->size[a] += s->size[b];
    s->active[a] = grows;
    if (!grows)
        return true;
    /* Only the part that slept moves faster than its queued events assume. */
    if (a_slept)
        return queue_cluster(s, a) && queue_members_edges(s, a);
    return queue_cluster(s, a) && (!b_slept || queue_members_edges(s, b));
}

static bool handle(growth *s, tb__heap_item event)
{
    int32_t m = s->g->m;
    if (event.id >= m) {
        int32_t c = event.id - m;
        if (s->cluster[c] != c || !s->active[c] || s->since[c] + s->left[c] > s->now)
            return true;
        settle(s, c);
        s->left[c] = 0;
        s->active[c] = false;
        s->n_active--;
        return true;
    }
    const tb_edge *edge = &s->g->edges[event.id];
    int32_t a = s->cluster[edge->a], b = s->cluster[edge->b];
    if (a == b)
        return true;
    double gap = (double)edge->cost - moat(s, edge->a) - moat(s, edge->b);
    if (gap > 1e-9 * (double)edge->cost)
        return queue_edge(s, event.id);
    return merge(s, a, b);
}

tb_status tb__steiner_grow(tb__tree *tree, const tb__graph *g, tb__work *work, tb_error *err)
{
    growth s;
    bool fine = growth_init(&s, g);
    for (int32_t c = 0; fine && c < g->n; c++)
        fine = queue_cluster(&s, c);
    for (int32_t e = 0; fine && e < g->m; e++)
        fine = queue_edge(&s, e);
    while (fine && s.n_active > 0 && s.events.n > 0) {
        tb__heap_item event = tb__heap_pop(&s.events);
        if (event.key > s.now)
            s.now = event.key;
        fine = handle(&s, event);
    }
    if (fine) {
        for (int32_t v = 0; v < g->n; v++)
            tree->holds[v] = s.cluster[v] == s.cluster[g->root];
        tb__tree_span(tree, g, work);
    }
    growth_clear(&s);
    return fine ? TB_OK : tb_fail_memory(err);
}
