/* sheet/sheet.h: what the sawyer holds: one PDF, true to size.
 *
 * A first page with the piece as it will hang and what is known about it; the pattern in full
 * size, on one page or tiled over several; the cut list. With marks for findings they are ringed
 * and numbered instead, with a grid along the edges and their list with room to write; marked blank
 * it is one clean page with a wide margin for the red pen. On both, notes are ringed and listed.
 * Every pattern page carries bars of 100 mm and 4 in along both its axes.
 *
 * In     content, options; texts are UTF-8 and may hold anything (what is not UTF-8 is replaced,
 *        line breaks become blanks); NULL and "" leave a text out
 * Out    PDF 1.7: no scaling on print, embedded fonts, the same bytes for the same input
 * Errors TB_EINVAL (a paper too small for the bars, a correction out of range, more than 2000
 *        pages), TB_ENOMEM, TB_ECANCELLED; out stays empty then
 */
#ifndef TB_SHEET_SHEET_H
#define TB_SHEET_SHEET_H

#include "base/job.h"
#include "base/num.h"
#include "image/mask.h"
#include "pattern/inspect.h"
#include "pattern/plan.h"
#include "sheet/bytes.h"
#include "sheet/outline.h"

#include <stdbool.h>

/* A place on the board that somebody wrote about. */
typedef struct {
    double x_mm, y_mm, radius_mm;
    char text[400];
} tb_sheet_note;

/* All borrowed. Only mask and outline must be there. */
typedef struct {
    const tb_mask *mask;
    const tb_outline *outline;       /* of mask */
    const tb_inspection *inspection; /* of mask; NULL: neither holes nor lists */
    const tb_plan *plan; /* of inspection; NULL: the usual order, and no word of time and stack */
    const tb_sheet_note *notes;
    size_t n_notes;
    const char *title, *designer;
    const char *credit, *permission; /* lines of their own on the first page */
    const char *stock, *blade;       /* for people: "birch plywood, 6.5 mm", "No. 2/0" */
    const char *remark;              /* on blade and board; a sentence */
    const char *species;             /* colour and grain of the wood: facts' key, "birch" … */
    double thickness_mm;             /* 0: not known */
    double grain_rad;                /* along the grain; 0 = along x */
    /* What the sheets speak: the language's tag, and what gives a text of ours in it, to be freed
     * by g_free(). NULL: English. */
    const char *language;
    char *(*local)(const char *english);
} tb_sheet_content;

typedef enum { TB_INK_PALE, TB_INK_SOLID, TB_INK_LINE, TB_INK_HATCH } tb_ink;
typedef enum { TB_MARKS_NONE, TB_MARKS_FINDINGS, TB_MARKS_BLANK } tb_marks;
typedef enum { TB_PAGE_AUTO, TB_PAGE_UPRIGHT, TB_PAGE_SIDEWAYS } tb_page_turn;

typedef struct {
    double paper_w_mm, paper_h_mm; /* either way round; 140 … 3000 */
    tb_page_turn turn;             /* of the pattern pages; AUTO: whichever needs fewer */
    tb_ink ink;
    tb_marks marks;
    double overlap_mm;       /* 0 … 30, of neighbouring pages */
    double scale_correction; /* 0.9 … 1.1; what a bar should measure over what it does */
    tb_unit unit;            /* named first; TB_UNIT_IN also gives drills in inches */
    bool pattern_only;       /* no first page, no lists */
} tb_sheet_options;

#define TB_SHEET_OPTIONS_INIT                                                                      \
    {                                                                                              \
        .paper_w_mm = 210, .paper_h_mm = 297, .overlap_mm = 10, .scale_correction = 1              \
    }

typedef struct {
    int n_pages, n_columns, n_rows; /* pages in all; tiles across and down */
    double ink_share;               /* of the pattern's area that is inked, 0 … 1 */
    double solid_share;             /* and would be in solid ink */
} tb_sheet_account;

/* How wide a board of this shape may be to lie on one page; 0 where none can. */
double tb_sheet_one_page_mm(double width_mm, double height_mm, const tb_sheet_options *options);

/* account may be NULL. */
TB_NODISCARD tb_status tb_sheets_pdf(tb_bytes *out, tb_sheet_account *account,
        const tb_sheet_content *content, const tb_sheet_options *options, const tb_job *job,
        tb_error *err);

/* The pattern as SVG: physical size in millimetres, a group each for wood, outline, entry holes
 * and labels. */
TB_NODISCARD tb_status tb_sheet_svg(tb_bytes *out, const tb_sheet_content *content, tb_error *err);

/* "pale", "solid", "line", "hatch"; false when it is none of them. */
bool tb_ink_parse(tb_ink *ink, const char *name);

#endif
