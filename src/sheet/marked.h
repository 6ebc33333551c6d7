/* sheet/marked.h: what an inspection found, drawn on the pattern.
 *
 * One picture in true size: the pattern pale, every finding ringed and numbered, a grid along the
 * edges, and below it the list of the findings with what to do. libvips must have been started.
 *
 * Errors TB_EINVAL (too large a picture), TB_ENOMEM, TB_EWRITE; out stays empty then
 */
#ifndef TB_SHEET_MARKED_H
#define TB_SHEET_MARKED_H

#include "sheet/sheet.h"

/* content with an inspection. A PDF of one page, or a PNG of about 200 dpi with its density. */
TB_NODISCARD tb_status tb_marked_pdf(
        tb_bytes *out, const tb_sheet_content *content, tb_unit unit, tb_error *err);
TB_NODISCARD tb_status tb_marked_png(
        tb_bytes *out, const tb_sheet_content *content, tb_unit unit, tb_error *err);

#endif
