/* pattern/mend.h: what can be done about a finding, as an ordinary stroke of the hand.
 *
 * A mend is a proposal: it is drawn, and undone, like any stroke. The first of a kind is the one
 * that keeps most of the picture.
 *
 * Errors TB_EINVAL for a mend that the finding's kind does not have; TB_ENOMEM
 */
#ifndef TB_PATTERN_MEND_H
#define TB_PATTERN_MEND_H

#include "pattern/inspect.h"
#include "pattern/stroke.h"

typedef enum {
    TB_MEND_THICKEN, /* more wood at the place */
    TB_MEND_TIE,     /* a bridge to the nearest bank */
    TB_MEND_TRIM,    /* what hangs is taken away */
    TB_MEND_WIDEN,   /* more opening at the place */
    TB_MEND_CLOSE,   /* the opening becomes wood */
    TB_MEND_EASE,    /* a rounder outline */
    TB_N_MENDS
} tb_mend;

enum { TB_MENDS_MOST = 2 };

/* The mends that a kind of finding has, the better first; how many. */
int tb_mends_of(tb_mend mends[TB_MENDS_MOST], tb_finding_kind kind);

/* The stroke of one mend; to be cleared by tb_stroke_clear(). mask: the pattern that was inspected.
 * Several are tried on the finding's neighbourhood, which is inspected with each; the best takes
 * the finding away, brings none of another and changes least. Where none does all of that, it is
 * the one that brings the fewest that must be mended, takes the finding away, brings few others.
 * Cost: tying measures the whole mask (about 30 ms for 5 MP); the others some 10 to 200 ms, a
 * peninsula on a wide window more. */
TB_NODISCARD tb_status tb_mend_stroke(tb_stroke *out, const tb_finding *finding, tb_mend mend,
        const tb_mask *mask, const tb_limits *limits, tb_error *err);

#endif
