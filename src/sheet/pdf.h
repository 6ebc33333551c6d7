/* sheet/pdf.h: a PDF in memory. Internal to this folder.
 *
 * cairo draws the pages; qpdf then sets what cairo can't: no scaling on print, the language, and
 * an identifier that depends on nothing but the content.
 */
#ifndef TB_SHEET_PDF_H
#define TB_SHEET_PDF_H

#include "sheet/bytes.h"

#include <cairo-pdf.h>

extern const double TB_POINTS_PER_MM; /* 72 / 25.4 */

typedef struct {
    cairo_surface_t *surface;
    tb_bytes drawn; /* what cairo wrote so far */
} tb_pdf;

/* All texts are clean UTF-8 (sheet/words.h). */
tb_status tb__pdf_begin(tb_pdf *pdf, const char *title, const char *author, tb_error *err);
/* The size of the page that is drawn next. */
void tb__pdf_page(tb_pdf *pdf, double width_mm, double height_mm);
/* Ends the file; frees the surface in any case. language NULL: "en". */
TB_NODISCARD tb_status tb__pdf_finish(
        tb_pdf *pdf, tb_bytes *out, const char *language, tb_error *err);

#endif
