/* pattern/net.c: see net.h. */
#include "pattern/net.h"

#include "base/alloc.h"

#include <string.h>

static bool make_room(tb__net *net)
{
    size_t n = net->n_nodes;
    net->first = tb_calloc(n + 2, sizeof *net->first);
    net->around = tb_malloc(2 * net->n_links, sizeof *net->around);
    net->order = tb_malloc(n, sizeof *net->order);
    net->parent = tb_malloc(n, sizeof *net->parent);
    net->single = tb_calloc(n, sizeof *net->single);
    net->hangs = tb_calloc(n, sizeof *net->hangs);
    for (size_t i = 0; net->parent && i < n; i++)
        net->parent[i] = TB__NET_UNREACHED;
    return net->first && net->around && net->order && net->parent && net->single && net->hangs;
}

static void list_links(tb__net *net)
{
    for (size_t i = 0; i < net->n_links; i++)
        for (int side = 0; side < 2; side++)
            net->first[net->links[i].node[side] + 2]++;
    for (size_t i = 2; i < net->n_nodes + 2; i++)
        net->first[i] += net->first[i - 1];
    for (size_t i = 0; i < net->n_links; i++)
        for (int side = 0; side < 2; side++)
            net->around[net->first[net->links[i].node[side] + 1]++] = (int32_t)i;
}

typedef struct {
    int32_t *number, *low; /* of a node: when it was reached, the earliest it leads back to */
    int32_t *at;           /* how far the list around it has been read */
} walker;

/* Depth first without recursion. */
static void walk(tb__net *net, walker *w, int32_t from)
{
    memset(w->number, 0xff, net->n_nodes * sizeof *w->number);
    memcpy(w->at, net->first, net->n_nodes * sizeof *w->at);
    net->parent[from] = -1;
    w->number[from] = w->low[from] = 0;
    net->order[net->n_reached++] = from;
    for (int32_t node = from;;) {
        if (w->at[node] < net->first[node + 1]) {
            int32_t link = net->around[w->at[node]++];
            int32_t next = tb__other_end(&net->links[link], node);
            if (w->number[next] < 0) {
                net->parent[next] = link;
                w->number[next] = w->low[next] = (int32_t)net->n_reached;
                net->order[net->n_reached++] = next;
                node = next;
            } else if (link != net->parent[node] && w->number[next] < w->low[node]) {
                w->low[node] = w->number[next];
            }
            continue;
        }
        if (net->parent[node] < 0)
            break;
        int32_t above = tb__net_above(net, node);
        net->single[node] = w->low[node] == w->number[node];
        w->low[above] = w->low[node] < w->low[above] ? w->low[node] : w->low[above];
        node = above;
    }
}

bool tb__net_walk(tb__net *net, const tb__link *links, size_t n_links, size_t n_nodes, int32_t from)
{
    *net = (tb__net){.n_nodes = n_nodes, .n_links = n_links, .links = links};
    walker w = {tb_malloc(n_nodes, sizeof *w.number), tb_malloc(n_nodes, sizeof *w.low),
            tb_malloc(n_nodes, sizeof *w.at)};
    bool good = make_room(net) && w.number && w.low && w.at;
    if (good) {
        list_links(net);
        walk(net, &w, from);
        for (size_t i = 1; i < net->n_reached; i++) {
            int32_t node = net->order[i];
            net->hangs[node] = net->single[node] || net->hangs[tb__net_above(net, node)];
        }
    }
    tb_free(w.number);
    tb_free(w.low);
    tb_free(w.at);
    return good;
}

void tb__net_clear(tb__net *net)
{
    tb_free(net->first);
    tb_free(net->around);
    tb_free(net->order);
    tb_free(net->parent);
    tb_free(net->single);
    tb_free(net->hangs);
}
