/* pattern/ground.h: the maps that inspect reads. Private to the family.
 *
 * Every map is a local thing: what a pixel holds depends on the pattern within some distance of it
 * alone. So after a change only its surroundings are made anew, and the maps are the same, bit for
 * bit, as if all had been.
 *
 * Errors TB_ENOMEM, TB_ECANCELLED; after a failed patch the ground is of no more use
 */
#ifndef TB_PATTERN_GROUND_H
#define TB_PATTERN_GROUND_H

#include "image/squares.h"
#include "pattern/entry.h"
#include "pattern/limits.h"
#include "pattern/neck.h"
#include "pattern/ridge.h"

/* What is known of a piece and its largest disc. */
typedef struct {
    int32_t first_px;
    int64_t area_px;
    tb_disc disc;
} tb__known_disc;

typedef struct {
    tb__known_disc *items; /* by first pixel */
    size_t n;
    tb_disc_care care;
} tb__known_discs;

/* What is known of a neck's narrowest place. */
typedef struct {
    int32_t px; /* of its pass */
    bool found;
    tb_breadth breadth;
    tb_rect seen; /* what had a say in it */
} tb__known_neck;

typedef struct {
    tb__known_neck *items; /* by pixel */
    size_t n, room;
    bool fine;
} tb__known_necks;

typedef struct {
    int wood_cap_px, opening_cap_px;
    uint16_t *wood_d2;                    /* squared distance in the wood, capped */
    uint16_t *opening_d2;                 /* squared distance in the openings, capped */
    tb_ridge *ridge;                      /* of wood_d2 */
    tb_mask *parted;                      /* closed by what must be wide enough for the saw */
    tb_mask *widened;                     /* closed by what should be */
    tb_labels *part_pieces, *wide_pieces; /* the openings of these two */
    tb_labels *filled_pieces;             /* what the wider closing filled */
    tb__known_discs openings, parts;
    tb__known_necks necks, fresh_necks; /* of the last time, and of this */
} tb__ground;

/* The maps of the wood, and those of the openings. Without keep, what is not read any more is
 * freed, and nothing can be patched. */
TB_NODISCARD tb_status tb__ground_lay_wood(tb__ground *ground, const tb_mask *mask,
        const tb_limits *limits, const tb_job *job, tb_error *err);
TB_NODISCARD tb_status tb__ground_lay_openings(tb__ground *ground, const tb_mask *mask,
        const tb_limits *limits, bool keep, const tb_job *job, tb_error *err);

/* A distance map of its own (flip 1: of the openings), for a mask that differs only where changed
 * is set from the one it was made of. The board's edge is opening. */
TB_NODISCARD tb_status tb__patch_distance(uint16_t *d2, const tb_mask *mask, uint8_t flip,
        int cap_px, const tb_squares *changed, const tb_job *job, tb_error *err);

/* The maps, for a mask that differs only there from the one they were laid for. */
TB_NODISCARD tb_status tb__ground_patch_wood(tb__ground *ground, const tb_mask *mask,
        const tb_squares *changed, const tb_job *job, tb_error *err);
TB_NODISCARD tb_status tb__ground_patch_openings(tb__ground *ground, const tb_mask *mask,
        const tb_limits *limits, const tb_squares *changed, const tb_job *job, tb_error *err);

/* The largest disc of each piece, from what is known where it lies clear of changed, which is then
 * known for the next time. changed NULL: nothing is known. */
TB_NODISCARD tb_status tb__ground_discs(tb_disc *discs, tb__ground *ground, tb__known_discs *known,
        const tb_labels *pieces, const tb_mask *mask, const tb_squares *changed, const tb_job *job,
        tb_error *err);

/* tb_neck_measure() of n necks, or tb_neck_about() where not fine, from what is known where a neck
 * lies clear of changed. *out is borrowed until the next call. */
TB_NODISCARD tb_status tb__ground_measure_necks(const tb__known_neck **out, tb__ground *ground,
        const tb_neck *necks, size_t n, bool fine, const tb_mask *mask, const tb_squares *changed,
        const tb_job *job, tb_error *err);

/* All necks are measured: this time's become the last time's. */
void tb__ground_keep_necks(tb__ground *ground);

/* Openings narrower than this are slots. */
double tb__slot_limit_mm(const tb_limits *limits);

void tb__ground_clear_wood(tb__ground *ground);
void tb__ground_clear(tb__ground *ground);

#endif
