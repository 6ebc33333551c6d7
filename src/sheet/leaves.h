/* sheet/leaves.h: the pages of the sheets, to be looked at before they lie on paper.
 *
 * What tb_sheets_pdf() would write, page by page: the same code draws them, and what it draws is
 * kept as lines and letters, so that a page can be painted at any size.
 *
 * In     as tb_sheets_pdf()
 * Thread one at a time for all that concerns the same leaves
 * Errors as tb_sheets_pdf(); TB_ENOMEM
 * Cost   of drawing: about that of the PDF; of painting: the pixels, and the pattern's lines anew
 */
#ifndef TB_SHEET_LEAVES_H
#define TB_SHEET_LEAVES_H

#include "sheet/sheet.h"

typedef struct tb_leaves tb_leaves;

typedef enum {
    TB_LEAF_FRONT,
    TB_LEAF_PATTERN,
    TB_LEAF_CUT_LIST,
    TB_LEAF_REVIEW, /* the list of findings */
    TB_LEAF_PEN     /* one page for the red pen */
} tb_leaf_kind;

typedef struct {
    double width_mm, height_mm;
    tb_leaf_kind kind;
    char name[16]; /* of a page of the pattern: "B2"; else "" */
} tb_leaf;

/* account may be NULL. */
TB_NODISCARD tb_status tb_leaves_draw(tb_leaves **out, tb_sheet_account *account,
        const tb_sheet_content *content, const tb_sheet_options *options, const tb_job *job,
        tb_error *err);
void tb_leaves_free(tb_leaves *leaves);

int tb_leaves_count(const tb_leaves *leaves);
/* Borrowed from the leaves. */
const tb_leaf *tb_leaves_at(const tb_leaves *leaves, int i);

/* The whole leaf on width × height pixels, [height][width] of 0x00RRGGBB in the machine's byte
 * order; every pixel is written. */
TB_NODISCARD tb_status tb_leaves_paint(
        tb_leaves *leaves, int i, uint32_t *px, int width_px, int height_px, tb_error *err);

#endif
