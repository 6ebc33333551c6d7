/* sheet/pages.h: the pages of the PDF, drawn one by one. Internal to this folder. */
#ifndef TB_SHEET_PAGES_H
#define TB_SHEET_PAGES_H

#include "sheet/leaves.h"
#include "sheet/paint.h"
#include "sheet/pdf.h"
#include "sheet/sheet.h"
#include "sheet/speech.h"
#include "sheet/tiles.h"

/* An entry hole in the order of the plan, and where its number is written. */
typedef struct {
    const tb_entry_hole *hole;
    double cut_mm;
    double x_mm, y_mm; /* top left of the number */
    double w_mm;       /* of the number */
    double grey;       /* readable on what lies there */
    bool halo;         /* it lies across a line */
    char text[32];
} tb_hole_label;

typedef struct {
    const tb_sheet_content *content;
    const tb_sheet_options *options;
    tb_tiling tiling;
    tb_pdf *pdf;       /* where the pages go to: a file */
    tb_leaves *leaves; /* or to be looked at */
    tb_brush brush;    /* on the page that is drawn */
    tb_speech speech;
    cairo_surface_t *ink;  /* the pattern, recorded once, in points */
    const tb_plan *plan;   /* NULL without an inspection */
    tb_plan *own_plan;     /* where the content has none */
    tb_hole_label *labels; /* in the order of the plan */
    size_t n_labels;
    bool one_bit; /* every entry hole takes the same bit */
    char *title, *designer, *credit, *permission, *stock, *blade, *remark; /* clean */
    const char *name; /* the title, or what stands for it */
    const tb_job *job;
    int n_pages;
    tb_status status; /* of what can fail while drawing */
    tb_error *err;
} tb_sheets;

void tb__page_front(tb_sheets *sheets);
void tb__page_tile(tb_sheets *sheets, int column, int row);
void tb__pages_cut_list(tb_sheets *sheets);
void tb__pages_findings(tb_sheets *sheets);
void tb__page_blank(tb_sheets *sheets);

/* What the pages with words keep free all around. */
extern const double TB_PAGE_MARGIN_MM;

/* Begins a page and counts it; ends it. The brush is there between the two. */
void tb__page_begin(tb_sheets *sheets, const tb_leaf *leaf);
void tb__page_end(tb_sheets *sheets);

/* Draws all pages into a PDF or onto leaves; the other is NULL. */
TB_NODISCARD tb_status tb__sheets_draw(tb_bytes *pdf, tb_leaves *leaves, tb_sheet_account *account,
        const tb_sheet_content *content, const tb_sheet_options *options, const tb_job *job,
        tb_error *err);

/* A blank leaf to draw on, in points; NULL when memory ran out. Borrowed. */
cairo_surface_t *tb__leaves_add(tb_leaves *leaves, const tb_leaf *leaf);

/* A heading with words below it, w_mm wide; returns where the page goes on. */
double tb__page_head(tb_sheets *sheets, double w_mm, const char *title, const char *words);

/* The content's plan, or the usual one, which the caller frees as *own. NULL without an
 * inspection. */
TB_NODISCARD tb_status tb__plan_of(
        const tb_plan **plan, tb_plan **own, const tb_sheet_content *content, tb_error *err);

/* Numbers the entry holes in the order of the plan and finds room for the numbers. */
TB_NODISCARD tb_status tb__labels_place(tb_sheets *sheets, tb_error *err);

/* Half the cross that marks an entry hole. */
double tb__cross_mm(const tb_entry_hole *hole);

#endif
