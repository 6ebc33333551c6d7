/* pattern/strands.h: the ways of the ridge through wood that hangs. Private to limb.c.
 *
 * A strand is a way along the ridge, pixel by pixel, between two places where ways meet or end.
 * Node 0 stands for all that is held; ways end where they come to it. A room that hangs is a node
 * of its own, and its strands end at its brink.
 */
#ifndef TB_PATTERN_STRANDS_H
#define TB_PATTERN_STRANDS_H

#include "pattern/net.h"
#include "pattern/ridge.h"

typedef struct {
    const tb_ridge *ridge;
    tb__link *links; /* a link for each strand */
    size_t *begin;   /* [n_strands + 1]: its pixels, from node[0] to node[1], in px */
    size_t n_strands;
    int32_t *px;
    int32_t *node_px; /* [n_nodes]: pixel of a node; -1 - r for room r; [0] means nothing */
    size_t n_nodes;
} tb__strands;

/* tips as for tb_limbs_find(). */
TB_NODISCARD tb_status tb__strands_find(tb__strands *out, const tb_ridge *ridge, int32_t held_px,
        const int32_t *tips, size_t n_tips, tb_error *err);
void tb__strands_clear(tb__strands *strands);

#endif
