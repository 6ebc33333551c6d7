/* pattern/inspect.h: every place of a pattern that would fail at the saw, with a number.
 *
 * In     mask: the pattern, 1 = wood; limits
 * Out    an inspection: findings worst first, openings with their entry holes, and the sums
 * Frame  millimetres from the board's top left
 * Errors TB_EINVAL for limits that make no sense, TB_ENOMEM, TB_ECANCELLED
 *
 * The mainland is the largest piece of wood at the board's edge (where none is, the largest).
 * Wood smaller than limits->speck_mm2 is a speck, other wood an island. An opening that reaches
 * the board's edge is sawn from there: it is no entry of openings[] and needs no entry hole.
 * Where three quarters of the edge are wood the board has a frame: what cuts half through it is a
 * thin frame of 0 mm.
 * A place has one finding: the one whose mend would take the others away; a strand has one too. A
 * peninsula is found for its stress (unit "") or, as a strand, for its width (unit "mm").
 */
#ifndef TB_PATTERN_INSPECT_H
#define TB_PATTERN_INSPECT_H

#include "base/job.h"
#include "image/mask.h"
#include "pattern/limits.h"

#include <stdbool.h>

typedef struct {
    double x_mm, y_mm;
} tb_point;

typedef enum {
    TB_FINDING_ISLAND,
    TB_FINDING_THIN_BRIDGE,
    TB_FINDING_WEAK_PENINSULA,
    TB_FINDING_TIGHT_OPENING,
    TB_FINDING_NARROW_SLOT,
    TB_FINDING_TIGHT_TURN,
    TB_FINDING_CROWDED_HOLE,
    TB_FINDING_THIN_FRAME,
    TB_FINDING_SPECK,
    TB_N_FINDING_KINDS
} tb_finding_kind;

typedef enum { TB_SHOULD, TB_MUST } tb_severity;

typedef struct {
    tb_finding_kind kind;
    tb_severity severity;
    double x_mm, y_mm;      /* the place */
    double measured, limit; /* in unit */
    const char *unit;       /* "mm", "mm²", "" (a share); static */
    tb_point *extent; /* polygon that encloses it, for highlighting; NULL when n_extent is 0 */
    size_t n_extent;
    char advice[160]; /* one sentence: what to do */
} tb_finding;

typedef struct {
    double x_mm, y_mm;
    double drill_mm;
    int opening; /* index into openings */
} tb_entry_hole;

typedef struct {
    double area_mm2;
    double x_mm, y_mm;    /* centre of the largest disc that fits */
    double disc_mm;       /* and its diameter */
    double cut_length_mm; /* length of its outline, islands in it included */
    double left_mm, top_mm, right_mm, bottom_mm;
    int n_corners; /* two-pass corners */
} tb_opening;

/* A corner too sharp to be steered round: two cuts meet there. */
typedef struct {
    double x_mm, y_mm;
    double turn_rad; /* how far the line turns, 0 … pi; below 0 round an end of wood */
    int opening;     /* index into openings, -1 on the board's outline */
} tb_corner;

/* A peninsula, weak or not: wood that hangs by one root. */
typedef struct {
    double x_mm, y_mm;        /* middle of the root */
    double root_mm, reach_mm; /* width of the root, longest way in the wood from there */
    double towards_rad;       /* from the root towards its end; x right, y down */
    double area_mm2;          /* what hangs */
    double grain_rad;         /* between the peninsula's direction at its root and the grain */
    double stress_mpa, strength_mpa;
    double utilisation; /* stress × safety / strength; above 1 is a finding */
} tb_limb;

/* Whether a peninsula is found for its width, as a strand that hangs. */
static inline bool tb_finding_is_strand(const tb_finding *finding)
{
    return finding->kind == TB_FINDING_WEAK_PENINSULA && *finding->unit;
}

typedef struct {
    int n_pieces; /* pieces of wood; 1 is right */
    int n_must, n_should;
    double narrowest_wood_mm;    /* narrowest bridge, or strand that hangs; 0 without wood */
    double narrowest_opening_mm; /* smallest disc_mm; 0 when there is no opening */
    double cut_length_mm;        /* all outlines and the board's edge */
    tb_finding *findings;
    size_t n_findings; /* at most 2,000 specks and 2,000 thin bridges are listed; the counts are of
                          all */
    tb_opening *openings;
    size_t n_openings;
    tb_entry_hole *holes;
    size_t n_holes;
    tb_corner *corners;
    size_t n_corners;
    tb_limb *limbs; /* highest utilisation first */
    size_t n_limbs;
} tb_inspection;

TB_NODISCARD tb_status tb_inspect(tb_inspection **out, const tb_mask *mask, const tb_limits *limits,
        const tb_job *job, tb_error *err);
void tb_inspection_free(tb_inspection *inspection);

/* What is remembered of a pattern from one stroke to the next. tb_reinspect() gives exactly what
 * tb_inspect() would, in a fraction of the time where little of the pattern has changed since the
 * inspector saw it last; the first time, and after a failure, it looks at everything. Some 10
 * bytes for each pixel are kept. */
typedef struct tb_inspector tb_inspector;
tb_inspector *tb_inspector_new(void); /* NULL when memory ran out */
void tb_inspector_free(tb_inspector *inspector);
TB_NODISCARD tb_status tb_reinspect(tb_inspection **out, tb_inspector *inspector,
        const tb_mask *mask, const tb_limits *limits, const tb_job *job, tb_error *err);

/* "thin_bridge" and so on, as report.json writes it; static. */
const char *tb_finding_kind_name(tb_finding_kind kind);

/* One line that a person understands: "one piece" or what stops it. */
typedef struct {
    char text[200];
} tb_verdict;
tb_verdict tb_verdict_of(const tb_inspection *inspection);
/* Its parts: "2 islands"; "" where there are none. */
tb_verdict tb_finding_count(
        const tb_inspection *inspection, tb_finding_kind kind, tb_severity severity);

#endif
