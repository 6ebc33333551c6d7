/* pattern/net.h: nodes and links, walked depth first. Private to limb.c.
 *
 * A link is single when it lies on no ring: cut it, and what is behind it falls off. A node hangs
 * when a single link lies between it and where the walk began.
 *
 * Source bridges of a graph: Tarjan 1974, Inf. Process. Lett. 2:160
 */
#ifndef TB_PATTERN_NET_H
#define TB_PATTERN_NET_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { TB__NET_UNREACHED = -2 };

typedef struct {
    int32_t node[2];
} tb__link;

typedef struct {
    size_t n_nodes, n_links, n_reached;
    const tb__link *links; /* borrowed */
    int32_t *first;        /* [n_nodes + 1]: links around node i are around[first[i]] … */
    int32_t *around;
    int32_t *order;  /* [n_reached]: nodes as they were reached */
    int32_t *parent; /* [n_nodes]: link by which it was reached, -1: the first, or unreached */
    bool *single;    /* that link lies on no ring */
    bool *hangs;
} tb__net;

/* Walks what hangs together with node `from`. False when memory ran out; clear it all the same. */
bool tb__net_walk(
        tb__net *net, const tb__link *links, size_t n_links, size_t n_nodes, int32_t from);
void tb__net_clear(tb__net *net);

static inline int32_t tb__other_end(const tb__link *link, int32_t node)
{
    return link->node[0] == node ? link->node[1] : link->node[0];
}

/* The node above a reached one on the walk. */
static inline int32_t tb__net_above(const tb__net *net, int32_t node)
{
    return tb__other_end(&net->links[net->parent[node]], node);
}

#endif
