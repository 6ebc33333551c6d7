/* pattern/survey.h: what the parts of inspect share. Private to the family. */
#ifndef TB_PATTERN_SURVEY_H
#define TB_PATTERN_SURVEY_H

#include "image/label.h"
#include "pattern/ground.h"
#include "pattern/inspect.h"
#include "pattern/outline.h"
#include "pattern/ridge.h"

/* A thin bridge that was found. */
typedef struct {
    int32_t px; /* of its pass */
    size_t finding;
} tb__bridge;

typedef struct {
    const tb_mask *mask;
    const tb_limits *limits;
    const tb_job *job;
    double px_per_mm;
    tb_labels *wood;     /* 4-connected */
    tb_labels *openings; /* 8-connected, those at the board's edge too */
    int32_t mainland;    /* piece of wood, -1 when there is none */
    int32_t *opening_of; /* [openings->n_pieces]: index into result->openings, -1: outside */
    tb__ground *ground;
    const tb_squares *changed; /* what differs from what the ground was laid for; NULL: all */
    bool keep;                 /* the ground is to be patched later */
    tb_inspection *result;
    size_t room_findings, room_holes, room_corners;
    int32_t *ends; /* pixels at round ends of wood */
    size_t n_ends, room_ends;
    tb__bridge *bridges; /* in the order of findings */
    size_t n_bridges, room_bridges;
    tb_error *err;
} tb__survey;

/* Half a pixel is given in the pattern's favour: what was drawn at the limit may measure a little
 * less. */
#define TB__GRAIN_PX 0.5

/* A finding with no extent and no advice yet; NULL when memory ran out. */
tb_finding *tb__add_finding(
        tb__survey *survey, tb_finding_kind kind, tb_severity severity, double x_px, double y_px);

/* Gives the finding the convex hull of n points in pixels; the points are sorted on the way. */
tb_status tb__set_extent(tb__survey *survey, tb_finding *finding, tb_point *points, size_t n);

/* Gives it the convex hull of a piece. */
tb_status tb__set_piece_extent(
        tb__survey *survey, tb_finding *finding, const tb_labels *labels, int32_t piece);

/* Index of the first run of row y that ends behind x. */
size_t tb__first_run(const tb_labels *labels, int y, int x);

/* A point of the piece, in pixels. */
tb_point tb__inside_piece(const tb_labels *labels, int32_t piece);

bool tb__is_speck(const tb__survey *survey, const tb_piece *piece);

enum { TB__SPECKS_LISTED = 2000, TB__BRIDGES_LISTED = 2000 };

void tb__advise(tb_finding *finding, const char *format, ...) TB_PRINTF(2, 3);

/* What the bridge must measure at least by its direction to the grain: 0 along it. */
double tb__short_grain_mm(const tb_limits *limits, const tb_breadth *breadth);

/* The maps of the pattern that was inspected last; NULL where none was. */
const tb__ground *tb__inspector_ground(const tb_inspector *inspector);

/* Adds the round ends of wood along an outline to the survey. */
tb_status tb__find_ends(tb__survey *survey, const tb_outline *outline);

/* Whether, of two findings of one kind, a is the worse. */
bool tb__is_worse(const tb_finding *a, const tb_finding *b);

/* Takes findings out where drop[n] says so, and keeps the others, and any behind, in their order.
 */
void tb__drop_findings(tb__survey *survey, const bool *drop, size_t n);

/* Leaves one thin bridge for each strand, the worst. */
tb_status tb__merge_bridges(tb__survey *survey, int32_t held_px);

/* The parts, each of which adds its findings. */
tb_status tb__inspect_pieces(tb__survey *survey);
tb_status tb__inspect_necks(tb__survey *survey);
tb_status tb__inspect_limbs(tb__survey *survey);
tb_status tb__inspect_outlines(tb__survey *survey); /* cut lengths, turns and corners */
tb_status tb__inspect_slots(tb__survey *survey);
tb_status tb__inspect_openings(tb__survey *survey); /* discs and entry holes */
tb_status tb__inspect_rim(tb__survey *survey);      /* frames that are cut through */

#endif
