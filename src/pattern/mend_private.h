/* pattern/mend_private.h: what the files of mend share. */
#ifndef TB_PATTERN_MEND_PRIVATE_H
#define TB_PATTERN_MEND_PRIVATE_H

#include "pattern/hand.h"
#include "pattern/mend.h"

/* A piece of the pattern about a finding, on which strokes are tried. */
typedef struct {
    tb_mask *mask;
    int left_px, top_px;
    double left_mm, top_mm;
} tb__window;

/* TB_EINVAL where the place lies beyond the board. */
TB_NODISCARD tb_status tb__window_cut(tb__window *out, const tb_mask *mask,
        const tb_finding *finding, double reach_mm, tb_error *err);

/* Adds to out the way along what is too narrow at the finding, so wide that it is so no more:
 * a thin bridge, or of the openings (in_opening) a slot. It is looked at as far as reach_mm,
 * which is so many widths where nothing tells more. */
enum { TB__MEND_REACH = 5 };
TB_NODISCARD tb_status tb__mend_along(tb_stroke *out, const tb_finding *finding,
        const tb_mask *mask, bool in_opening, double reach_mm, double width_mm, tb_error *err);

/* Adds the set pixels of region, which hang together, one by one; back where it began. */
TB_NODISCARD tb_status tb__mend_fill(
        tb_stroke *out, const tb__window *window, tb_mask *region, int first_px, tb_error *err);

/* ---- the way along a strand: mend_way.c ------------------------------------------------------ */

typedef struct {
    double x, y;     /* on the board, in mm */
    double half_mm;  /* to the nearest bank */
    double along_mm; /* from the place; below 0 before it */
} tb__way_point;

typedef struct {
    tb__way_point *points;
    size_t n, place;
    bool goes_on; /* beyond what was looked at */
} tb__way;

typedef struct {
    double x_mm, y_mm;
    double towards_rad; /* the strand's direction there; NAN: as its banks lie */
    double wide_mm;     /* the way ends where it is so wide */
    double reach_mm;    /* it is looked for so far about */
    bool to_tip;        /* onwards it goes to the tip, however wide it is on the way */
    bool in_opening;    /* it is a slot's, not the wood's */
} tb__way_ask;

TB_NODISCARD tb_status tb__way_find(
        tb__way *out, const tb__way_ask *ask, const tb_mask *mask, tb_error *err);
void tb__way_clear(tb__way *way);

/* How wide a stroke is along a way. */
typedef struct {
    double wide_mm;   /* at the place */
    double core_mm;   /* so far from it the width stays, and falls evenly beyond */
    double side;      /* 1, -1: put on at one bank only; 0: at both */
    double moment_mm; /* above 0: the width falls instead to nothing at this distance, and rises as
                         much before the place, as the bending moment does */
} tb__profile;

/* How wide it is at point i. */
double tb__way_width(const tb__way *way, size_t i, const tb__profile *profile);
TB_NODISCARD tb_status tb__way_stroke(
        tb_stroke *out, const tb__way *way, const tb__profile *profile, tb_error *err);

/* ---- strokes tried: mend_trial.c ------------------------------------------------------------- */

enum { TB__MENDER_KEEPS = 1 << 26 }; /* bytes: room to take any one stroke back */

struct tb_mender {
    const tb_mask *pattern;
    tb_limits limits;
    tb_inspector *inspector;
    tb_inspection *before; /* of the whole pattern; NULL: none was seen */
    tb_hand *hand;         /* the pattern, on which a stroke is laid, looked at and taken back */
};

/* Takes the stroke back that lies on the hand. */
TB_NODISCARD tb_status tb__mender_undo(tb_mender *mender, tb_error *err);

/* One mend of one finding on trial: strokes are looked at in the finding's neighbourhood first,
 * and what seems good there in the whole pattern. With keeps_openings a stroke that parts, joins or
 * fills some is no mend. */
typedef struct tb__trial tb__trial;
TB_NODISCARD tb_status tb__trial_new(tb__trial **out, tb_mender *mender, const tb_finding *finding,
        double reach_mm, bool keeps_openings, const tb_job *job, tb_error *err);
void tb__trial_free(tb__trial *trial);
/* As it is, and, where that is not clean, eased into its banks. */
TB_NODISCARD tb_status tb__trial_take(tb__trial *trial, const tb_stroke *stroke, tb_error *err);
/* A clean one is found, or enough were tried. */
bool tb__trial_done(const tb__trial *trial);
/* The finding stayed with the last that was tried. */
bool tb__trial_stays(const tb__trial *trial);
/* What came of it; the trial's own from then on. */
TB_NODISCARD tb_status tb__trial_end(tb_proposal *out, tb__trial *trial, tb_error *err);

/* Tries the strokes that a mend may be, one after the other: mend_try.c. kind: of the strokes. */
TB_NODISCARD tb_status tb__mend_try_all(tb_proposal *out, tb_mender *mender,
        const tb_finding *finding, tb_mend mend, tb_stroke_kind kind, const tb_job *job,
        tb_error *err);

/* The limb whose root the finding is; NULL where there is none. */
const tb_limb *tb__mend_limb(const tb_inspection *in, const tb_finding *finding, double most_mm);

#endif
