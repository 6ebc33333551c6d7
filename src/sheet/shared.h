/* sheet/shared.h: the pattern as one drawing, with its credit line below. Internal to this folder.
 *
 * credit is clean (sheet/words.h); "" for none.
 */
#ifndef TB_SHEET_SHARED_H
#define TB_SHEET_SHARED_H

#include "sheet/sheet.h"

/* As tb_sheet_svg(); the drawing grows by a strip for the credit line, the pattern stays true. */
TB_NODISCARD tb_status tb__svg(
        tb_bytes *out, const tb_sheet_content *content, const char *credit, tb_error *err);

/* One page as large as it has to be, in solid ink, true to size. */
TB_NODISCARD tb_status tb__share_pdf(
        tb_bytes *out, const tb_sheet_content *content, const char *credit, tb_error *err);

#endif
