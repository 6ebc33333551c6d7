/* pattern/mend_private.h: what the files of mend share. */
#ifndef TB_PATTERN_MEND_PRIVATE_H
#define TB_PATTERN_MEND_PRIVATE_H

#include "pattern/mend.h"

/* Adds to out the way along a thin bridge, so wide that it is thin no more. */
TB_NODISCARD tb_status tb__mend_thicken(tb_stroke *out, const tb_finding *finding,
        const tb_mask *mask, double width_mm, tb_error *err);

#endif
