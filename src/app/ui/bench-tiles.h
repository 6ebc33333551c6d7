/* app/ui/bench-tiles.h: what the bench shows, cut into tiles of device pixels.
 *
 * A tile holds a render node that is appended again, the same pointer, until what it shows
 * changes; the renderer then redraws changed tiles only.
 */
#ifndef TB_APP_BENCH_TILES_H
#define TB_APP_BENCH_TILES_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

typedef struct tb_tiles tb_tiles;

tb_tiles *tb_tiles_new(void);
void tb_tiles_free(tb_tiles *tiles);

/* What the tiles are of. Borrowed; a change drops the tiles it touches. */
typedef struct {
    const tb_picture *pattern, *photo, *strength; /* each may be NULL */
    tb_view view;
    tb_ink ink;       /* of the view of ink on paper */
    bool hatched;     /* openings carry a hatch */
    double px_per_mm; /* device pixels on a millimetre of the board */
    double width_mm, height_mm;
} tb_scene;

void tb_tiles_set(tb_tiles *tiles, const tb_scene *scene);
/* Another picture of the pattern, which shows the same: no tile is dropped. */
void tb_tiles_follow(tb_tiles *tiles, const tb_picture *pattern);
/* Half as fine in both directions, and drawn in a quarter of the time: while the zoom moves. */
void tb_tiles_hasten(tb_tiles *tiles, bool quick);
/* All is another picture now, of the same scene otherwise. */
void tb_tiles_drop(tb_tiles *tiles);
void tb_tiles_drop_rect(
        tb_tiles *tiles, double left_mm, double top_mm, double right_mm, double bottom_mm);

/* Appends the tiles that show in width × height units, the board's corner at left, top (device
 * pixels); scale: device pixels to a unit. Returns how many had to be drawn. */
int tb_tiles_snapshot(tb_tiles *tiles, GtkSnapshot *snapshot, int left_px, int top_px, int width_px,
        int height_px, int scale);

#endif
