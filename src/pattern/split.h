/* pattern/split.h: from tone to two tones, and the first tidying.
 *
 * tb_split()  wood where the tone lies above the cut line, and all over the outer frame_mm
 * tb_tidy()   widens narrow lines worth keeping, fills other openings too narrow or too small for
 *             the saw, drops specks of wood
 *
 * Errors TB_EINVAL, TB_ENOMEM, TB_ECANCELLED; *out is NULL then
 */
#ifndef TB_PATTERN_SPLIT_H
#define TB_PATTERN_SPLIT_H

#include "base/job.h"
#include "image/mask.h"

TB_NODISCARD tb_status tb_split(tb_mask **out, const tb_plane *tone, double cut_line,
        double frame_mm, const tb_job *job, tb_error *err);

typedef struct {
    double opening_mm;        /* openings narrower than this are filled there */
    double disc_mm;           /* every opening is given room for such a disc */
    double opening_speck_mm2; /* openings smaller than this are filled */
    double wood_speck_mm2;    /* islands smaller than this are dropped */
} tb_tidy_options;

#define TB_TIDY_OPTIONS_INIT                                                                       \
    {                                                                                              \
        0.8, 1.5, 2, 2                                                                             \
    }

TB_NODISCARD tb_status tb_tidy(tb_mask **out, const tb_mask *mask, const tb_tidy_options *options,
        const tb_job *job, tb_error *err);

#endif
