/* graph/steiner.h: the rooted prize-collecting Steiner tree.
 *
 * Of all trees of the graph that hold the root, one whose edges, together with the prizes of all
 * vertices left out, cost little; and a proven bound that no tree costs less than.
 *
 * In     n_vertices >= 1; root; prizes[n_vertices] >= 0; edges between different vertices,
 *        cost >= 0; parallel edges are fine. The sum of all costs and prizes is below 2^52.
 *        A vertex that must be in gets a prize larger than all costs together.
 * Out    the tree's edges (ascending indices), who is in it, its cost, and the bound
 * Errors TB_EINVAL, TB_ENOMEM, TB_ECANCELLED; *out is NULL then
 * Cost   O(m log m) for the first tree; search and bound stop after a fixed amount of work, so
 *        large graphs get a looser answer, never a late one. All sums are whole numbers: the same
 *        result on every machine.
 * Source Goemans & Williamson 1995 (growth); Johnson, Minkoff & Phillips 2000 (strong pruning);
 *        Uchoa & Werneck 2012 (key paths); Wong 1984 and Pajor, Uchoa & Werneck 2018 (dual ascent)
 */
#ifndef TB_GRAPH_STEINER_H
#define TB_GRAPH_STEINER_H

#include "base/job.h"
#include "base/status.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct {
    int32_t a, b;
    int64_t cost;
} tb_edge;

typedef struct {
    int32_t n_vertices, root;
    const int64_t *prizes;
    const tb_edge *edges;
    int32_t n_edges;
} tb_steiner_problem;

typedef struct {
    int32_t *edges; /* indices into the problem's */
    int32_t n_edges;
    bool *holds; /* [n_vertices] */
    int64_t cost, lower_bound;
} tb_steiner_tree;

TB_NODISCARD tb_status tb_steiner_solve(
        tb_steiner_tree **out, const tb_steiner_problem *problem, const tb_job *job, tb_error *err);
void tb_steiner_tree_free(tb_steiner_tree *tree);

#endif
