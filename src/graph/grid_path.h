/* graph/grid_path.h: cheapest ways over a grid of prices, from many sources at once.
 *
 * Cells have eight neighbours. A step costs the prices of the two cells it joins, times 5 (side) or
 * 7 (corner): so a straight way over n cells of price p costs about 10 * n * p, and a slanted one
 * is at most 8 % too dear.
 *
 * In     price: [height][width], 0 … TB_GRID_PRICE_MAX, or TB_GRID_BLOCKED, never entered
 *        source: [height][width], the number of the source a cell belongs to, -1 for none; a source
 *        costs nothing to stand on, wherever its cells are
 * Out    for each cell the cost of the cheapest way from any source, which source that is, and the
 *        neighbour the way comes from
 * Errors TB_EINVAL for a price out of range or more than 2^31 - 1 cells, TB_ENOMEM, TB_ECANCELLED
 * Cost   O(cells + largest cost), 17 bytes a cell; the same result every time
 * Source Dial 1969, Communications of the ACM 12:632 (bucket queue)
 */
#ifndef TB_GRAPH_GRID_PATH_H
#define TB_GRAPH_GRID_PATH_H

#include "base/job.h"
#include "base/status.h"

#include <stdint.h>

#define TB_GRID_PRICE_MAX 1000
#define TB_GRID_BLOCKED UINT16_MAX
#define TB_GRID_FAR UINT32_MAX /* cost of a cell that no source reaches */

typedef struct {
    int32_t width, height;
    const uint16_t *price;
    const int32_t *source;
    uint32_t limit; /* cells that cost more are left out, as if out of reach; 0: no limit */
} tb_grid;

typedef struct {
    int32_t width, height;
    uint32_t *cost;
    int32_t *source; /* -1 where cost is TB_GRID_FAR */
    int8_t *from;    /* direction 0 … 7 towards the cell the way comes from; -1: none, a source */
} tb_grid_paths;

TB_NODISCARD tb_status tb_grid_paths_find(
        tb_grid_paths **out, const tb_grid *grid, const tb_job *job, tb_error *err);
void tb_grid_paths_free(tb_grid_paths *paths);

/* The cell the cheapest way to this one comes from; the cell itself at a source. */
int32_t tb_grid_paths_back(const tb_grid_paths *paths, int32_t cell);

/* What the step between two neighbouring cells costs; dx, dy are -1, 0 or 1. */
static inline uint32_t tb_grid_step(uint32_t price_a, uint32_t price_b, int dx, int dy)
{
    return (price_a + price_b) * (dx && dy ? 7 : 5);
}

#endif
