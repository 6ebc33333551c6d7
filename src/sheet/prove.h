/* sheet/prove.h: is the outline true to the mask? Internal to this folder.
 *
 * Both set fails[i] for every curve that has to be drawn again and leave the others; curves are
 * counted on over all paths, as in flat.h.
 */
#ifndef TB_SHEET_PROVE_H
#define TB_SHEET_PROVE_H

#include "sheet/flat.h"

/* What is known of a mask from proof to proof. */
typedef struct {
    const tb_mask *mask;
    uint16_t *apart; /* [height][width] squared distance to what is no wood, capped */
    uint8_t *
            ticked; /* [height + 1][width + 1]: 1 the line has come by the side above, 2 the left */
} tb_proof;

TB_NODISCARD tb_status tb__proof_begin(
        tb_proof *proof, const tb_mask *mask, const tb_job *job, tb_error *err);
void tb__proof_end(tb_proof *proof);

/* Distance between line and mask's edge, both ways, and necks of wood; see outline.h. Once `again`,
 * what is drawn smoothly is known not to stray. */
TB_NODISCARD tb_status tb__prove_distance(bool *fails, tb_proof *proof, const tb_flat *flat,
        bool again, const tb_outline_options *options, const tb_job *job, tb_error *err);

/* Pieces and openings, rastered at 1200 dpi. */
TB_NODISCARD tb_status tb__prove_pieces(bool *fails, const tb_flat *flat, const tb_outline *outline,
        double px_per_mm, const tb_job *job, tb_error *err);

/* Both. *fails has an entry for every curve; to be freed by tb_free(). Not `again`, whatever the
 * proof knew is forgotten. */
TB_NODISCARD tb_status tb__prove(bool **fails, tb_proof *proof, const tb_outline *outline,
        bool again, const tb_outline_options *options, const tb_job *job, tb_error *err);

#endif
