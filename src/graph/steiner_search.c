/* graph/steiner_search.c: local search.
 *
 * Four moves, each tried wherever it applies until a whole round of them helps nowhere:
 *   reach     a way from the tree to vertices outside whose prizes pay for it
 *   insert    a vertex that makes the spanning tree cheaper, or pays for itself
 *   exchange  a key path (between two vertices that matter, none on the way) for a cheaper one
 *   remove    a vertex the rest is better spanned without
 * A tree is its set of vertices here: tb__tree_span() finds the best edges after each move.
 */
#include "graph/steiner_private.h"

#include <string.h>

enum { OUTSIDE, ABOVE, BELOW };

typedef struct {
    tb__tree *tree, trial;
    const tb__graph *g;
    tb__work *w;
    bool out_of_memory;
} search;

static bool may_go_on(const search *s, const tb_job *job)
{
    return !s->out_of_memory && s->w->spent < s->w->budget && !tb_job_stopped(job);
}

/* Spans what trial holds; keeps it as the tree if it is cheaper. */
static bool try_trial(search *s)
{
    tb__tree_span(&s->trial, s->g, s->w);
    if (s->trial.cost >= s->tree->cost)
        return false;
    tb__tree_copy(s->tree, &s->trial, s->g);
    return true;
}

static void trial_from_tree(search *s)
{
    memcpy(s->trial.holds, s->tree->holds, (size_t)s->g->n * sizeof *s->trial.holds);
}

/* Ways from all vertices marked `from` over vertices marked OUTSIDE to those marked `to`, where a
 * prize met on the way is worth up to the edge that leads to it. Ends at the nearest `to` within
 * limit and returns it, else -1; distance and via are set for all vertices settled by then. */
static int32_t spread(search *s, int32_t from, int32_t to, double limit)
{
    const tb__graph *g = s->g;
    tb__work *w = s->w;
    w->heap.n = 0;
    for (int32_t v = 0; v < g->n; v++) {
        w->distance[v] = w->mark[v] == from ? 0 : 1e300;
        w->via[v] = -1;
        if (w->mark[v] == from && !tb__heap_push(&w->heap, 0, v))
            s->out_of_memory = true;
    }
    while (w->heap.n > 0 && !s->out_of_memory) {
        tb__heap_item item = tb__heap_pop(&w->heap);
        int32_t v = item.id;
        if (item.key > w->distance[v])
            continue;
        if (item.key >= limit)
            return -1;
        if (w->mark[v] == to)
            return v;
        w->spent += g->first[v + 1] - g->first[v];
        for (int32_t i = g->first[v]; i < g->first[v + 1]; i++) {
            int32_t arc = g->arcs[i], u = tb__arc_head(g, arc);
            int64_t cost = g->edges[arc >> 1].cost;
            if (w->mark[u] == OUTSIDE)
                cost = cost > g->prizes[u] ? cost - g->prizes[u] : 0;
            if (item.key + (double)cost >= w->distance[u])
                continue;
            w->distance[u] = item.key + (double)cost;
            w->via[u] = arc;
            if (!tb__heap_push(&w->heap, w->distance[u], u))
                s->out_of_memory = true;
        }
    }
    return -1;
}

static bool reach(search *s, const tb_job *job)
{
    const tb__graph *g = s->g;
    tb__work *w = s->w;
    bool helped = false, again = true;
    while (again && may_go_on(s, job)) {
        again = false;
        for (int32_t v = 0; v < g->n; v++)
            w->mark[v] = s->tree->holds[v] ? ABOVE : OUTSIDE;
        spread(s, ABOVE, BELOW, 1e299);
        trial_from_tree(s);
        for (int32_t v = 0; v < g->n; v++) {
            if (s->trial.holds[v] || g->prizes[v] == 0 || w->via[v] < 0)
                continue;
            int64_t gain = 0;
            for (int32_t u = v; !s->trial.holds[u]; u = tb__arc_head(g, w->via[u] ^ 1))
                gain += g->prizes[u] - g->edges[w->via[u] >> 1].cost;
            if (gain <= 0)
                continue;
            for (int32_t u = v; !s->trial.holds[u]; u = tb__arc_head(g, w->via[u] ^ 1))
                s->trial.holds[u] = true;
            again = true;
        }
        if (again)
            again = try_trial(s);
        helped = helped || again;
    }
    return helped;
}

/* How much cheaper the tree gets by taking v in: Kruskal over the tree's edges and v's own. */
static int64_t insertion_gain(search *s, int32_t v)
{
    enum { MOST = 64 };
    const tb__graph *g = s->g;
    int32_t own[MOST], n_own = 0;
    for (int32_t i = g->first[v]; i < g->first[v + 1] && n_own < MOST; i++) {
        if (!s->tree->holds[tb__arc_head(g, g->arcs[i])])
            continue;
        int32_t e = g->arcs[i] >> 1, at = n_own++;
        for (; at > 0 && g->rank[own[at - 1]] > g->rank[e]; at--)
            own[at] = own[at - 1];
        own[at] = e;
    }
    if (n_own == 0)
        return 0;
    tb__join_reset(s->w->joined, g->n);
    int64_t gain = g->prizes[v];
    int32_t n = s->tree->n_edges, i = 0, j = 0;
    s->w->spent += n + n_own + g->n / 8;
    while (i < n || j < n_own) {
        bool is_own = i == n || (j < n_own && g->rank[own[j]] < g->rank[s->tree->edges[i]]);
        int32_t e = is_own ? own[j++] : s->tree->edges[i++];
        bool taken = tb__join(s->w->joined, g->edges[e].a, g->edges[e].b);
        if (is_own && taken)
            gain -= g->edges[e].cost;
        else if (!is_own && !taken)
            gain += g->edges[e].cost;
    }
    return gain;
}

static bool insert(search *s, const tb_job *job)
{
    bool helped = false;
    for (int32_t v = 0; v < s->g->n && may_go_on(s, job); v++) {
        if (s->tree->holds[v] || insertion_gain(s, v) <= 0)
            continue;
        trial_from_tree(s);
        s->trial.holds[v] = true;
        helped = try_trial(s) || helped;
    }
    return helped;
}

static int32_t other_end(const tb__graph *g, int32_t e, int32_t v)
{
    return g->edges[e].a == v ? g->edges[e].b : g->edges[e].a;
}

static bool is_key(const search *s, int32_t v)
{
    return v == s->g->root || s->g->prizes[v] > 0 ||
           s->w->branch_first[v + 1] - s->w->branch_first[v] != 2;
}

/* Takes the key path above v out of the trial and marks what hangs below and what is left above;
 * returns what the path cost. Expects a walk of the tree. */
static int64_t cut_key_path(search *s, int32_t v)
{
    const tb__graph *g = s->g;
    tb__work *w = s->w;
    int32_t n = s->tree->n_edges + 1;
    memset(w->mark, 0, (size_t)g->n * sizeof *w->mark);
    for (int32_t i = 0; i < n; i++) {
        int32_t u = w->order[i];
        bool hangs = u == v || (i > 0 && w->mark[other_end(g, w->up[u], u)] == BELOW);
        w->mark[u] = hangs ? BELOW : ABOVE;
    }
    w->spent += n;
    int64_t cost = g->edges[w->up[v]].cost;
    for (int32_t u = other_end(g, w->up[v], v); !is_key(s, u);) {
        s->trial.holds[u] = false;
        w->mark[u] = OUTSIDE;
        cost += g->edges[w->up[u]].cost;
        u = other_end(g, w->up[u], u);
    }
    return cost;
}

static bool exchange(search *s, const tb_job *job)
{
    const tb__graph *g = s->g;
    tb__work *w = s->w;
    bool helped = false;
    tb__tree_walk(s->tree, g, w);
    for (int32_t v = 0; v < g->n && may_go_on(s, job); v++) {
        if (!s->tree->holds[v] || v == g->root || !is_key(s, v))
            continue;
        trial_from_tree(s);
        int64_t old = cut_key_path(s, v);
        int32_t end = spread(s, BELOW, ABOVE, (double)old);
        if (end < 0)
            continue;
        for (int32_t u = end; w->via[u] >= 0; u = tb__arc_head(g, w->via[u] ^ 1))
            s->trial.holds[u] = true;
        helped = try_trial(s) || helped;
        tb__tree_walk(s->tree, g, w); /* spanning the trial walked that one */
    }
    return helped;
}

static bool remove_vertex(search *s, const tb_job *job)
{
    bool helped = false;
    for (int32_t v = 0; v < s->g->n && may_go_on(s, job); v++) {
        if (!s->tree->holds[v] || v == s->g->root)
            continue;
        trial_from_tree(s);
        s->trial.holds[v] = false;
        helped = try_trial(s) || helped;
    }
    return helped;
}

tb_status tb__steiner_search(
        tb__tree *tree, const tb__graph *g, tb__work *w, const tb_job *job, tb_error *err)
{
    search s = {.tree = tree, .g = g, .w = w};
    bool helped = tb__tree_init(&s.trial, g);
    s.out_of_memory = !helped;
    while (helped && may_go_on(&s, job)) {
        helped = reach(&s, job);
        helped = insert(&s, job) || helped;
        helped = exchange(&s, job) || helped;
        helped = remove_vertex(&s, job) || helped;
    }
    tb__tree_clear(&s.trial);
    if (s.out_of_memory)
        return tb_fail_memory(err);
    return tb_job_stopped(job) ? tb_fail_cancelled(err) : TB_OK;
}
