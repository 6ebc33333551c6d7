/* flow/assess.h: a pattern from anywhere, and whether it can be sawn.
 *
 * A file is a project or a two-tone picture by anybody, told by its first bytes. Whoever works on a
 * finished pattern starts here: check, sheets, share, tie.
 *
 * In     path; wishes: what the caller knows better than the file
 * Out    the pattern, what there is to find, and the settings and words that go with it
 * Errors TB_EREAD: unreadable, neither picture nor project, not two-tone; TB_ENEWER; TB_EINVAL:
 *        wishes that make no sense, or a size that nobody knows; TB_EUNSAWABLE: a project whose
 *        photograph gives no pattern; TB_ENOMEM; TB_ECANCELLED
 */
#ifndef TB_FLOW_ASSESS_H
#define TB_FLOW_ASSESS_H

#include "flow/flow.h"
#include "flow/report.h"
#include "pattern/plan.h"
#include "photo/picture.h"
#include "sheet/sheet.h"

/* Zeroed: no wishes. A project keeps its own size. */
typedef struct {
    const char *stock, *blade;  /* NULL: the project's, or the usual ones */
    double bridge_mm;           /* 0: likewise */
    double width_mm, height_mm; /* of a picture's board; 0: follows the other, or the file */
    tb_wood_tone wood;          /* of a picture */
    bool has_grain;
    double grain_rad;
    bool split_line; /* whatever the project says */
    bool has_order;
    tb_saw_order order; /* of the plan */
} tb_wishes;

enum { TB_ASSESS_TIMINGS = TB_N_STAGES + 2 };

typedef struct {
    bool is_project;
    tb_picture_info picture; /* how it was read, unless a project */
    const tb_mask *pattern;  /* NULL once forgotten */
    const tb_inspection *inspection;
    const tb_tie_account *tie; /* NULL unless a project with ties */
    tb_plan *plan;
    tb_settings settings; /* as used */
    tb_words words;       /* a project's; else empty */
    tb_sheet_note *notes; /* a project's, that lie on the board */
    size_t n_notes;
    char title[TB_WORDS_ROOM]; /* what to call it, named or not */
    tb_limits limits;
    double width_mm, height_mm, px_per_mm;
    tb_timing timings[TB_ASSESS_TIMINGS];
    size_t n_timings;
    /* what the above borrows */
    tb_mask *own_pattern;
    tb_inspection *own_inspection;
    tb_result *result;
} tb_assessment;

TB_NODISCARD tb_status tb_assess(tb_assessment **out, const char *path, const tb_wishes *wishes,
        const tb_job *job, tb_error *err);
void tb_assessment_free(tb_assessment *assessment);

/* Whether a file that begins so is a project. */
bool tb_is_project(const uint8_t *bytes, size_t n_bytes);

/* Frees the picture and keeps what was found in it. */
void tb_assessment_forget(tb_assessment *assessment);

/* What a report says of it; file may be NULL. Borrowed from the assessment. */
tb_report tb_assessment_report(const tb_assessment *assessment, const char *file);

/* The settings that wishes make of others, and the limits that follow. TB_EINVAL. */
TB_NODISCARD tb_status tb_wish(
        tb_settings *settings, tb_limits *limits, const tb_wishes *wishes, tb_error *err);

#endif
