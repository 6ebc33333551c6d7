/* pattern/neck.h: the necks of the wood: where two parts join, or a ring around an opening closes.
 *
 * Order  widest first, by pixel where equal
 * Errors TB_ENOMEM
 * Source persistence of superlevel sets, the elder rule: Edelsbrunner, Letscher & Zomorodian 2002,
 *        Discrete Comput. Geom. 28:511; the tree of parts: Salembier, Oliveras & Garrido 1998
 */
#ifndef TB_PATTERN_NECK_H
#define TB_PATTERN_NECK_H

#include "pattern/breadth.h"
#include "pattern/ridge.h"

typedef struct {
    int32_t px;    /* the pass */
    int32_t up[2]; /* first pixels of the ways up from it */
} tb_neck;

/* All necks narrower than below_px, which is at most twice the ridge's cap. To be freed by
 * tb_free(). */
TB_NODISCARD tb_status tb_necks_find(
        tb_neck **out, size_t *n, const tb_ridge *ridge, double below_px, tb_error *err);

/* The narrowest breadth of the neck; false where it has no two banks. Nothing beyond *seen, which
 * may reach beyond the mask, has a say in it. */
bool tb_neck_measure(tb_breadth *out, tb_rect *seen, const tb_neck *neck, const tb_ridge *ridge,
        const tb_mask *mask);

/* The same at the pass itself, by its pixels alone. */
bool tb_neck_about(tb_breadth *out, tb_rect *seen, const tb_neck *neck, const tb_ridge *ridge,
        const tb_mask *mask);

#endif
