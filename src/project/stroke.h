/* project/stroke.h: strokes as bytes.
 *
 * Version 1: the version (1), the kind, the amount, the number of points; then for each point the
 * steps of x, y and width from the point before (the first from 0). Kind, amount and number are
 * varints, steps are zigzag varints (pack.h). About four bytes a point.
 *
 * Every stroke has one encoding: the reader refuses any other (numbers written longer than needed,
 * bytes left over), points out of limits and counts that the bytes can't hold, and allocates no
 * more than the bytes justify.
 */
#ifndef TB_PROJECT_STROKE_H
#define TB_PROJECT_STROKE_H

#include "pattern/stroke.h"

/* *bytes is to be freed by tb_free(). TB_EINVAL for a stroke out of limits, TB_ENOMEM. */
TB_NODISCARD tb_status tb_stroke_encode(
        uint8_t **bytes, size_t *n_bytes, const tb_stroke *stroke, tb_error *err);
/* stroke is to be cleared by tb_stroke_clear(). TB_EREAD, TB_ENOMEM; stroke is empty then. */
TB_NODISCARD tb_status tb_stroke_decode(
        tb_stroke *stroke, const uint8_t *bytes, size_t n_bytes, tb_error *err);

#endif
