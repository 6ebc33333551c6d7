/* pattern/tie.h: the best bridges. Islands are tied to the mainland, or dropped, where the
 * portrait loses least; a lower bound says how far from the best possible the answer can be.
 *
 * Costs  a likeness_cost is in mm²: so much picture turned from all right to all wrong would do as
 *        much harm to the likeness of likeness.h; below 0 where the picture gains
 * In     mask: the wood as split and tidied; options
 * Out    a mask that is one piece and keeps its widths, and the account of what was done to it
 * Errors TB_EINVAL; TB_EUNSAWABLE, naming the painted constraint that stands in the way;
 *        TB_ENOMEM; TB_ECANCELLED. Both outputs are NULL then.
 * Source Goemans & Williamson 1995; Hegde, Indyk & Schmidt 2014; Wong 1984 (lower bound)
 */
#ifndef TB_PATTERN_TIE_H
#define TB_PATTERN_TIE_H

#include "base/job.h"
#include "image/mask.h"
#include "image/plane.h"
#include "pattern/inspect.h"
#include "pattern/limits.h"

/* What is remembered from one tie to the next, so that a pattern that has changed in a few places
 * takes less time. What comes out is the same. Some 15 bytes for each pixel are kept. */
typedef struct tb_tie_memory tb_tie_memory;
tb_tie_memory *tb_tie_memory_new(void); /* NULL when memory ran out */
void tb_tie_memory_free(tb_tie_memory *memory);

typedef struct {
    tb_limits limits;
    const tb_plane *tone;           /* evened L*, 0..100; NULL: the price is 1 per mm of bridge */
    double cut_line;                /* L* above it is wood */
    const tb_plane *weight;         /* how much each place matters, 0..; NULL: all the same */
    const tb_mask *painted_wood;    /* mainland to reach; NULL: none */
    const tb_mask *painted_opening; /* never crossed; NULL: none */
    bool as_drawn; /* what needs no mending stays pixel for pixel, tips and strands included; so it
                    * does without a tone */
    tb_tie_memory *memory; /* NULL: none */
} tb_tie_options;

#define TB_TIE_OPTIONS_INIT                                                                        \
    {                                                                                              \
        TB_LIMITS_INIT, NULL, 50, NULL, NULL, NULL, false, NULL                                    \
    }

typedef struct {
    tb_point *path; /* along its middle */
    size_t n_path;
    double width_mm;
    double length_mm;
    double likeness_cost;
} tb_bridge;

typedef struct {
    double x_mm, y_mm; /* centre */
    double area_mm2;
    double likeness_cost;
} tb_dropped;

typedef struct {
    tb_bridge *bridges;
    size_t n_bridges;
    tb_dropped *dropped;
    size_t n_dropped;
    double cost, lower_bound, gap_percent;  /* of the tie problem as solved */
    double likeness_before, likeness_after; /* 0 (nothing alike) to 1; NAN without a tone */
    int n_rounds;
    tb_inspection *inspection; /* of what came out, by the same limits; NULL: not at hand */
} tb_tie_account;

TB_NODISCARD tb_status tb_tie(tb_mask **out, tb_tie_account **account, const tb_mask *mask,
        const tb_tie_options *options, const tb_job *job, tb_error *err);
void tb_tie_account_free(tb_tie_account *account);

#endif
