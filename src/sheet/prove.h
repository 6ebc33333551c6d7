/* sheet/prove.h: is the outline true to the mask? Internal to this folder.
 *
 * Both set fails[i] for every path that has to be drawn again and leave the others.
 */
#ifndef TB_SHEET_PROVE_H
#define TB_SHEET_PROVE_H

#include "sheet/flat.h"

/* Distance between line and mask's edge, both ways, and necks of wood; see outline.h. */
TB_NODISCARD tb_status tb__prove_distance(bool *fails, const tb_flat *flat, const tb_mask *mask,
        const tb_outline_options *options, const tb_job *job, tb_error *err);

/* Pieces and openings, rastered at 1200 dpi. */
TB_NODISCARD tb_status tb__prove_pieces(bool *fails, const tb_flat *flat, const tb_outline *outline,
        double px_per_mm, const tb_job *job, tb_error *err);

/* Draws path again along the pixels' sides: TB_DRAWN_CLOSE through the middles of the sides, with
 * corners eased (never farther than 0.36 px from them), TB_DRAWN_EXACT along them. The path's box
 * is not measured. TB_EINVAL where the mask has no edge near that encloses the same area. */
TB_NODISCARD tb_status tb__draw_along_pixels(
        tb_path *path, tb_path_drawn drawn, const tb_mask *mask, tb_error *err);

#endif
