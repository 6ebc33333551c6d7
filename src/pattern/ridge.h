/* pattern/ridge.h: summits and passes of a distance map.
 *
 * Read as a relief, the distance to the nearest opening rises to a summit in the middle of every
 * part of the wood and falls to a pass where two parts join: the narrowest place of a neck is a
 * pass, and half its width is the height there. All passes are found, exactly, by the neighbours
 * of each pixel alone: a pixel is a summit when none of them is higher, and a pass when the higher
 * ones fall into several groups around it. Ties are broken by the order of pixels, so that no two
 * are level. Wood hangs together by its sides here too.
 *
 * Wood at the map's cap has no relief; its connected pieces are the rooms, one node each.
 * Nodes   0 … n_summits - 1 are summits, the next rooms->n_pieces are rooms
 * Order   summits and passes by pixel; the same at any thread count
 * Errors  TB_ENOMEM, TB_ECANCELLED
 * Cost    about 2 ns for each pixel below the cap, 20 bytes for each pass
 * Source  discrete Morse theory on a pixel grid with ties broken by index: Edelsbrunner, Harer &
 *         Zomorodian 2003, Discrete Comput. Geom. 30:87 (departure: pixels and their sides take
 *         the place of triangles)
 */
#ifndef TB_PATTERN_RIDGE_H
#define TB_PATTERN_RIDGE_H

#include "base/job.h"
#include "image/label.h"
#include "image/squares.h"

typedef struct {
    int32_t px;      /* its pixel, y * width_px + x */
    int32_t up[2];   /* first pixel of the way up on either side */
    int32_t node[2]; /* and the nodes where these ways end; may be the same one */
} tb_pass;

typedef struct tb__ridge_block tb__ridge_block;

typedef struct {
    const uint16_t *d2; /* the squared distance map, borrowed */
    int width_px, height_px;
    uint16_t cap_d2;
    int32_t *summits; /* pixels */
    size_t n_summits;
    tb_labels *rooms;
    tb_pass *passes;
    size_t n_passes;
    tb__ridge_block *blocks; /* what was found in each block of rows, for tb_ridge_patch() */
    size_t n_blocks;
} tb_ridge;

/* d2 as tb_distance_capped(cap_px) made it of mask; only the mask's size is read. */
TB_NODISCARD tb_status tb_ridge_find(tb_ridge **out, const uint16_t *d2, const tb_mask *mask,
        int cap_px, const tb_job *job, tb_error *err);
void tb_ridge_free(tb_ridge *ridge);

/* After d2 has changed where squares are set: the ridge becomes what tb_ridge_find() would make of
 * it. After a failure it can only be freed. */
TB_NODISCARD tb_status tb_ridge_patch(
        tb_ridge *ridge, const tb_squares *changed, const tb_job *job, tb_error *err);

/* The next pixel on the steepest way up, px itself on a summit and in a room. */
int32_t tb_ridge_up(const tb_ridge *ridge, int32_t px);

/* The node at the end of the way up from px. */
int32_t tb_ridge_node(const tb_ridge *ridge, int32_t px);

/* The squared height of a node. */
uint16_t tb_ridge_height(const tb_ridge *ridge, int32_t node);

#endif
