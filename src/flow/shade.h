/* flow/shade.h: what the hand does to the tone, all of it together.
 *
 * Internal to flow.
 */
#ifndef TB_FLOW_SHADE_H
#define TB_FLOW_SHADE_H

#include "base/job.h"
#include "image/mask.h"
#include "image/plane.h"
#include "pattern/stroke.h"

/* Results of the hand's work on the tone; each NULL where there are no such strokes. */
typedef struct {
    tb_plane *tone;   /* shaded; plain wood's tone where it is left out */
    tb_plane *detail; /* 0 … 1: where fine features are kept */
    tb_mask *left_out;
} tb__shade;

/* left_out is worked out only where it is NULL: it doesn't rest on the tone. */
TB_NODISCARD tb_status tb__shade_update(tb__shade *shade, const tb_plane *tone,
        const tb_plane *lightness, const tb_stroke *strokes, size_t n_strokes, double fine_mm,
        const tb_job *job, tb_error *err);
/* Frees tone and detail; all of it with the seeds. */
void tb__shade_drop(tb__shade *shade, bool with_left_out);

/* Weighs the cells of a coarser grid by 0 where they are left out. */
void tb__shade_weigh(const tb__shade *shade, tb_plane *weight);

/* What was kept by hand is not tidied. */
void tb__shade_keep(const tb__shade *shade, tb_mask *tidy, const tb_mask *split);

#endif
