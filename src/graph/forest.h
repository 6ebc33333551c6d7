/* graph/forest.h: disjoint sets as a forest: each node has a parent, a root is its own.
 *
 * Source Tarjan & van Leeuwen 1984 (path halving)
 */
#ifndef TB_GRAPH_FOREST_H
#define TB_GRAPH_FOREST_H

#include <stdint.h>

/* The root of the node's tree; the way to it is halved. */
static inline int32_t tb_forest_root(int32_t *parent, int32_t node)
{
    while (parent[node] != node) {
        parent[node] = parent[parent[node]];
        node = parent[node];
    }
    return node;
}

#endif
