/* image/squares.h: which parts of a picture have changed, in squares of TB_SQUARE_PX.
 *
 * A map that depends on the picture within some distance alone is made anew only where squares are
 * set, grown by that distance.
 *
 * Errors TB_ENOMEM; *out is NULL then
 * Cost   tb_squares_differing(): one reading of both; the rest next to nothing
 */
#ifndef TB_IMAGE_SQUARES_H
#define TB_IMAGE_SQUARES_H

#include "image/mask.h"
#include "image/rect.h"

#include <stdbool.h>
#include <stdint.h>

enum { TB_SQUARE_PX = 32 };

typedef struct {
    int width_px, height_px; /* of the picture */
    int across, down;
    uint8_t *set; /* [down][across] 0 or 1 */
} tb_squares;

/* Set where two masks of one size differ. */
TB_NODISCARD tb_status tb_squares_differing(
        tb_squares **out, const tb_mask *a, const tb_mask *b, tb_error *err);

/* Set wherever a pixel lies within by_px of a square that is; and a little beyond. */
TB_NODISCARD tb_status tb_squares_grown(
        tb_squares **out, const tb_squares *squares, int by_px, tb_error *err);

/* Whether a rectangle, which may reach beyond the picture, touches a square that is set. */
bool tb_squares_meet(const tb_squares *squares, tb_rect rect);

/* What is set as rectangles that don't overlap, cut to the picture; to be freed by tb_free(). */
TB_NODISCARD tb_status tb_squares_rects(
        tb_rect **out, size_t *n, const tb_squares *squares, tb_error *err);

void tb_squares_free(tb_squares *squares);

#endif
