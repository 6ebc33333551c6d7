/* sheet/preview.h: the piece as it will hang, as pixels. Internal to this folder. */
#ifndef TB_SHEET_PREVIEW_H
#define TB_SHEET_PREVIEW_H

#include "sheet/encode.h"
#include "sheet/sheet.h"

/* pixels lie in *rgb, which is to be freed by tb_free(). on_paper: before white. */
TB_NODISCARD tb_status tb__preview(uint8_t **rgb, tb_pixels *pixels,
        const tb_sheet_content *content, int longest_px, bool on_paper, const tb_job *job,
        tb_error *err);

/* Of the board's longer side, all around it. */
extern const double TB_PREVIEW_BORDER_SHARE;

#endif
