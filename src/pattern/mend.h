/* pattern/mend.h: what can be done about a finding, as an ordinary stroke of the hand.
 *
 * A mend is a proposal: it is drawn, and undone, like any stroke. Every one that is offered has
 * been tried: drawn on the whole pattern, which was inspected with it. Its finding is gone then, no
 * place more must be mended, and, where the finding was only advice, fewer findings are left.
 * Of several strokes that do, the one is offered that brings none of another kind and changes
 * least.
 *
 * Errors TB_EINVAL for a mend that the finding's kind does not have; TB_ENOMEM; TB_ECANCELLED
 */
#ifndef TB_PATTERN_MEND_H
#define TB_PATTERN_MEND_H

#include "base/job.h"
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

/* Why a mend is not offered: what became of the best stroke that was tried. */
typedef enum {
    TB_MEND_WORKS,    /* it is offered */
    TB_MEND_NO_WAY,   /* there is no stroke to be drawn */
    TB_MEND_TOO_MUCH, /* it would change too much of the picture */
    TB_MEND_STAYS,    /* the finding would stay */
    TB_MEND_NO_GAIN,  /* as many findings as before, at another place or of another kind */
    TB_MEND_BRINGS,   /* it would go, and another place would have to be mended then */
    TB_N_HINDRANCES
} tb_hindrance;

/* In a plain sentence, "" for one that is offered; static. */
const char *tb_hindrance_text(tb_hindrance hindrance);

/* A stroke changes at most so much, or, of the piece that is closed or taken out, all of it. */
#define TB_MEND_MOST_MM2 80.0

typedef struct {
    tb_hindrance hindrance;
    tb_stroke stroke; /* empty unless it works */
    double then;      /* what is measured at the place then, in the finding's unit; NAN: nothing */
    double changed_mm2; /* wood put on, or sawn away */
    int n_new;          /* findings of other kinds more than before, all of them only advice */
    bool advised;       /* the place is safe then, and still less than is advised */
} tb_proposal;

#define TB_PROPOSAL_INIT                                                                           \
    {                                                                                              \
        .hindrance = TB_MEND_NO_WAY                                                                \
    }

void tb_proposal_clear(tb_proposal *proposal);

/* Tries mends on one pattern after another. */
typedef struct tb_mender tb_mender;
tb_mender *tb_mender_new(void); /* NULL when memory ran out */
void tb_mender_free(tb_mender *mender);

/* The pattern, which is borrowed, by these limits from now on. Cost: an inspection, and little of
 * one where the pattern before was nearly the same. Memory: some 15 bytes for each pixel. */
TB_NODISCARD tb_status tb_mender_see(tb_mender *mender, const tb_mask *pattern,
        const tb_limits *limits, const tb_job *job, tb_error *err);

/* Tries one mend of a finding of the pattern that was seen last, which there must be; *out is to be
 * cleared. Cost: some 10 ms for its neighbourhood, and for each of at most six strokes an
 * inspection of what little it changes in the whole (about 35 ms for 5 MP). */
TB_NODISCARD tb_status tb_mender_try(tb_proposal *out, tb_mender *mender, const tb_finding *finding,
        tb_mend mend, const tb_job *job, tb_error *err);

#endif
