/* app/model/picture.h: an 8-bit picture at every size that the bench shows.
 *
 * Level 0 is the picture itself; each further level halves both sides by means of four. So a zoom
 * below 1 reads from a level between once and twice its own size.
 *
 * Thread  built by a worker; changed and read by the main thread only
 */
#ifndef TB_APP_PICTURE_H
#define TB_APP_PICTURE_H

#include "image/mask.h"
#include "image/plane.h"
#include "image/rect.h"

enum { TB_PICTURE_LEVELS = 12 };

typedef struct {
    int width_px, height_px;
    uint8_t *px; /* [height_px][width_px] */
} tb_level;

typedef struct {
    double px_per_mm; /* of level 0 */
    int n_levels;
    tb_level levels[TB_PICTURE_LEVELS];
} tb_picture;

/* 255 wood, 0 opening. NULL when memory ran out. */
tb_picture *tb_picture_of_mask(const tb_mask *mask);
/* L* as sRGB grey. */
tb_picture *tb_picture_of_lightness(const tb_plane *lightness);
/* [height_px][width_px], copied. */
tb_picture *tb_picture_of_bytes(const uint8_t *px, int width_px, int height_px, double px_per_mm);
/* NULL when memory ran out. */
tb_picture *tb_picture_copy(const tb_picture *picture);
void tb_picture_free(tb_picture *picture);

/* Takes over what the mask holds in a rectangle, at every level. */
void tb_picture_refresh(tb_picture *picture, const tb_mask *mask, tb_rect rect);

#endif
