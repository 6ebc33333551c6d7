/* app/model/strength.h: how weak the wood is, as a picture.
 *
 * 0 holds; 128 should be better: narrower than the limit that is wished for, or a peninsula that is
 * found so; 255 must be mended. What is seen of it in an opening is what the wood beside it is, so
 * that a smaller picture of it doesn't pale along the line.
 */
#ifndef TB_APP_STRENGTH_H
#define TB_APP_STRENGTH_H

#include "app/model/picture.h"
#include "base/job.h"
#include "pattern/inspect.h"

/* NULL when memory ran out or the job was stopped. */
tb_picture *tb_picture_of_strength(const tb_mask *mask, const tb_inspection *inspection,
        const tb_limits *limits, const tb_job *job);

#endif
