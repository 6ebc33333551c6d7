/* pattern/tie_private.h: what the parts of tie share.
 *
 * Worth is counted in mm² of picture: a place whose tone is as light as can be is worth +1 a mm² as
 * wood, one as dark as can be -1, one at the cut line nothing. Where the eye compares picture and
 * pattern by squares, that is exactly what turning the place from opening into wood gains.
 */
#ifndef TB_PATTERN_TIE_PRIVATE_H
#define TB_PATTERN_TIE_PRIVATE_H

#include "graph/grid_path.h"
#include "image/label.h"
#include "pattern/likeness.h"
#include "pattern/tie.h"

#include <math.h>

typedef struct {
    const tb_tie_options *options;
    const tb_job *job;
    const tb_mask *given; /* the pattern as it came */
    tb_mask *wood;        /* and as it stands */
    double bridge_px;
    tb_tie_account *account;
    size_t bridges_room, dropped_room;
} tb__tie;

/* What a pixel is worth as wood, a mm² of it. Without a tone wood is as good as opening is not:
 * wood that is there is worth keeping, wood to be added costs the same. */
static inline double tb__worth(const tb__tie *t, size_t px)
{
    const tb_tie_options *o = t->options;
    double worth = -1;
    if (o->tone)
        worth = 2 * tb_likeness_want(o->tone->px[px], o->cut_line) - 1;
    else if (t->wood->px[px])
        worth = 1;
    return o->weight ? worth * o->weight->px[px] : worth;
}

/* A coarse grid over the board. A way over it is the way of the middle of a disc as wide as a
 * bridge: so what the disc sweeps is wide enough wherever it goes. Sources are the cells where the
 * disc lies wholly in one room; they are free. */
typedef struct {
    int32_t width, height;
    int cell_px;
    uint16_t *price; /* 1 and TB__PRICE_FULL for each unit that is lost a mm² under the disc */
    int32_t *source; /* room, -1 at sea */
    int32_t *seat;   /* pixel of a source cell where the disc lies deepest in its room */
} tb__sea;

enum { TB__PRICE_FULL = 250 };

TB_NODISCARD tb_status tb__sea_new(
        tb__sea **out, const tb__tie *t, const tb_labels *rooms, tb_error *err);
void tb__sea_free(tb__sea *sea);

/* mm² of worth that a cost of 1 on the sea stands for. */
double tb__sea_unit_mm2(const tb__tie *t, const tb__sea *sea);

/* The cheapest way between two rooms whose waters meet. */
typedef struct {
    int32_t a, b; /* rooms, a < b */
    uint32_t cost;
    int32_t cell_a, cell_b; /* neighbours where the two waters meet */
} tb__channel;

/* Ordered by (a, b); to be freed with tb_free(). */
TB_NODISCARD tb_status tb__channels_find(tb__channel **out, size_t *n, const tb__sea *sea,
        const tb_grid_paths *paths, tb_error *err);

/* Draws a bridge along a channel and enters it in the account. */
TB_NODISCARD tb_status tb__bridge_draw(tb__tie *t, const tb__sea *sea, const tb_grid_paths *paths,
        const tb__channel *channel, tb_error *err);

#endif
