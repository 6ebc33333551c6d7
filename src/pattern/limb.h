/* pattern/limb.h: peninsulas, by what holds them.
 *
 * The ways up from every pass and from every tip of the wood make a net. A strand of the net that
 * lies on no ring carries wood that hangs by it alone. Such strands are gathered into limbs: on
 * from a root the way keeps to where most wood hangs, and what branches off it is a limb of its
 * own. Where on one way slender wood grows on stout wood, that is a limb of its own as well. So a
 * peninsula on a peninsula is found once, and both are. The root of a limb is where bending by a
 * load on its far end strains it most. What hangs and is smaller than a speck is no limb.
 *
 * Stress at a root: 6 P L / (b t²), a cantilever of rectangular section, load across the face.
 * Strength: Hankinson's formula, along × across / (along sin² + across cos²) of the angle to the
 * grain (Wood Handbook, chapter 5, where the exponent for bending is given as 1.5 to 2; from
 * memory). Below a reach of 1.5 × the root's width a limb is a stump, no cantilever: left out.
 *
 * Order  of no meaning, but the same at any thread count
 * Errors TB_ENOMEM
 */
#ifndef TB_PATTERN_LIMB_H
#define TB_PATTERN_LIMB_H

#include "pattern/limits.h"
#include "pattern/ridge.h"

#include <stdbool.h>

typedef struct {
    int32_t px;         /* middle of its root, on the ridge */
    double towards_rad; /* from there towards its end; x right, y down */
    double root_px;     /* width there, to about a pixel */
    double reach_px;    /* longest way from there, along the middle into the farthest corner */
    double utilisation;
    int32_t id; /* its own, see tb_limb_marks */
} tb_hanging;

/* Pixels of the ridge of which the limb is asked for that they lie on, beyond its root. */
typedef struct {
    int32_t px;
    int32_t limb; /* a tb_hanging's id, -1 */
} tb_limb_mark;

/* By pixel, as tb_limbs_find() needs them; and the mark at a pixel, NULL where there is none. */
void tb_limb_marks_sort(tb_limb_mark *marks, size_t n);
tb_limb_mark *tb_limb_mark_at(tb_limb_mark *marks, size_t n, int32_t px);

/* The part of the wood that hangs together with pixel held_px. tips: pixels of wood at its ends,
 * any number, in any piece. Limbs whose utilisation is below `least` are left out, but for strands
 * narrower than a bridge should be. marks: sorted. To be freed by tb_free(). */
TB_NODISCARD tb_status tb_limbs_find(tb_hanging **out, size_t *n, const tb_ridge *ridge,
        double px_per_mm, const tb_limits *limits, int32_t held_px, const int32_t *tips,
        size_t n_tips, double least, tb_limb_mark *marks, size_t n_marks, tb_error *err);

/* A limb longer than so many times its root is a strand. The trade's rule of thumb is that a
 * peninsula along the grain should not be longer; that it tells strands from points is judgement.
 */
#define TB_STRAND_ROOTS 4

/* Whether a limb is a strand, whose width is wood's width as much as a bridge's is, and no point or
 * stump. */
bool tb_limb_is_strand(double root_mm, double reach_mm);

/* Bending stress at a root, in MPa. */
double tb_limb_stress_mpa(const tb_limits *limits, double root_mm, double reach_mm);

/* Strength of wood that is strained at an angle to its grain, in MPa. */
double tb_strength_at_mpa(const tb_limits *limits, double to_grain_rad);

#endif
