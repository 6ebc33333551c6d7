/* pattern/one_strand.c: one finding for one strand.
 *
 * A strand that is thin all along, swellings at bends and forks included, may have several necks;
 * thickening it is one task, so the worst of them speaks for all. On the net of summits and passes,
 * two passes belong to one strand when only thin summits lie between them and no third way that is
 * held at both ends leaves there: where three meet, three strands do. What hangs from a held strand
 * by itself is a strand of its own; in wood that hangs, a strand goes on to where most hangs.
 */
#include "base/alloc.h"
#include "graph/forest.h"
#include "pattern/net.h"
#include "pattern/survey.h"

#include <math.h>
#include <string.h>

/* A strand of one width swells by as much where three meet, by 1.17 where it bends squarely. */
#define SWELLS 1.25

typedef struct {
    const tb_ridge *ridge;
    tb__link *links; /* the ridge's passes */
    tb__net net;
    bool *single;    /* [links] */
    int32_t *behind; /* [nodes]: how many nodes hang behind it */
    int32_t *strand; /* [links]: a forest */
} strands;

static void join(strands *t, int32_t a, int32_t b)
{
    a = tb_forest_root(t->strand, a);
    b = tb_forest_root(t->strand, b);
    t->strand[a > b ? a : b] = a > b ? b : a;
}

static void join_at(strands *t, int32_t node)
{
    const tb__net *net = &t->net;
    int32_t ring[2], n_ring = 0, onward = -1, most = -1;
    for (int32_t k = net->first[node]; k < net->first[node + 1]; k++) {
        int32_t link = net->around[k], far = tb__other_end(&net->links[link], node);
        if (!t->single[link] && n_ring++ < 2)
            ring[n_ring - 1] = link;
        if (t->single[link] && link != net->parent[node] && t->behind[far] > most) {
            most = t->behind[far];
            onward = link;
        }
    }
    if (n_ring == 2)
        join(t, ring[0], ring[1]);
    else if (n_ring == 0 && net->parent[node] >= 0 && onward >= 0)
        join(t, net->parent[node], onward);
}

static bool begin(strands *t, const tb_ridge *ridge, int32_t held_px)
{
    size_t n_nodes = ridge->n_summits + (size_t)ridge->rooms->n_pieces, n = ridge->n_passes;
    *t = (strands){.ridge = ridge,
            .links = tb_malloc(n, sizeof *t->links),
            .single = tb_calloc(n, sizeof *t->single),
            .behind = tb_calloc(n_nodes, sizeof *t->behind),
            .strand = tb_malloc(n, sizeof *t->strand)};
    if (!t->links || !t->single || !t->behind || !t->strand)
        return false;
    for (size_t i = 0; i < n; i++) {
        t->links[i] = (tb__link){{ridge->passes[i].node[0], ridge->passes[i].node[1]}};
        t->strand[i] = (int32_t)i;
    }
    return tb__net_walk(&t->net, t->links, n, n_nodes, tb_ridge_node(ridge, held_px));
}

static void find_strands(strands *t, double thin_px)
{
    const tb__net *net = &t->net;
    for (size_t i = net->n_reached; i-- > 1;) {
        int32_t node = net->order[i];
        t->behind[tb__net_above(net, node)] += t->behind[node] + 1;
        t->single[net->parent[node]] = net->single[node];
    }
    for (size_t i = 0; i < net->n_reached; i++)
        if (2 * sqrt(tb_ridge_height(t->ridge, net->order[i])) - 1 < thin_px)
            join_at(t, net->order[i]);
}

static void strands_clear(strands *t)
{
    tb__net_clear(&t->net);
    tb_free(t->links);
    tb_free(t->single);
    tb_free(t->behind);
    tb_free(t->strand);
}

static int32_t link_at(const tb_ridge *ridge, int32_t px)
{
    size_t low = 0, high = ridge->n_passes;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        *(ridge->passes[middle].px <= px ? &low : &high) = middle;
    }
    return (int32_t)low;
}

bool tb__is_worse(const tb_finding *a, const tb_finding *b)
{
    if (a->severity != b->severity)
        return a->severity > b->severity;
    return a->measured * b->limit < b->measured * a->limit;
}

/* Of each strand's findings the worst stays. spokesman: [links] of -1. */
static void keep_worst(strands *t, const tb__survey *s, int32_t *spokesman, bool *drop)
{
    const tb_finding *findings = s->result->findings;
    for (size_t i = 0; i < s->n_bridges; i++) {
        size_t here = s->bridges[i].finding;
        int32_t *worst = &spokesman[tb_forest_root(t->strand, link_at(t->ridge, s->bridges[i].px))];
        bool replaces = *worst < 0 || tb__is_worse(&findings[here], &findings[*worst]);
        if (*worst >= 0)
            drop[replaces ? (size_t)*worst : here] = true;
        if (replaces)
            *worst = (int32_t)here;
    }
}

tb_status tb__merge_bridges(tb__survey *s, int32_t held_px)
{
    if (s->n_bridges < 2)
        return TB_OK;
    strands t;
    double thin_mm = fmax(s->limits->bridge_should_mm, s->limits->bridge_across_mm);
    bool *drop = tb_calloc(s->result->n_findings, sizeof *drop);
    int32_t *spokesman = tb_malloc(s->ground->ridge->n_passes, sizeof *spokesman);
    bool good = begin(&t, s->ground->ridge, held_px) && drop && spokesman;
    if (good) {
        memset(spokesman, 0xff, t.net.n_links * sizeof *spokesman);
        find_strands(&t, (thin_mm + s->limits->split_kerf_mm) * SWELLS * s->px_per_mm);
        keep_worst(&t, s, spokesman, drop);
        tb__drop_findings(s, drop, s->result->n_findings);
    }
    strands_clear(&t);
    tb_free(drop);
    tb_free(spokesman);
    return good ? TB_OK : tb_fail_memory(s->err);
}
