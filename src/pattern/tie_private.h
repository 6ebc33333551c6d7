/* pattern/tie_private.h: what the parts of tie share.
 *
 * Worth and cost are in mm² of picture: what wood all wrong for one mm² costs a likeness without
 * blur. See tie_field.c.
 */
#ifndef TB_PATTERN_TIE_PRIVATE_H
#define TB_PATTERN_TIE_PRIVATE_H

#include "graph/grid_path.h"
#include "image/label.h"
#include "pattern/likeness.h"
#include "pattern/ridge.h"
#include "pattern/tie.h"

#include <math.h>
#include <stdbool.h>

typedef struct tb__field tb__field;

/* A neck that is wide enough. */
typedef struct {
    int32_t px;   /* of its pass */
    tb_rect seen; /* what had a say in that */
} tb__sound_neck;

/* A small change of the wood that can be taken back; see tie_edit.h. */
typedef struct {
    size_t first, end; /* its pixels */
    tb_rect box;
    double cost_mm2; /* of likeness; below 0 where it gains */
    bool undone;
} tb__edit;

typedef struct {
    tb__edit *items;
    size_t n, room;
    int32_t *px; /* ~px where wood was taken away */
    size_t n_px, px_room;
} tb__edits;

struct tb_tie_memory {
    tb_inspector *inspector;
    double bridge_px;
    tb_mask *wood; /* the maps are of; NULL: nothing yet */
    uint16_t *depth_sq;
    tb_ridge *ridge;       /* of depth_sq */
    tb__sound_neck *sound; /* by pixel */
    size_t n_sound;
};

typedef struct {
    const tb_tie_options *options;
    const tb_job *job;
    tb_mask *wood;    /* the pattern as it stands */
    tb_mask *corners; /* of its openings, as it came: too narrow, but left as they are */
    tb__field *field;
    tb_tie_memory *memory;
    double bridge_px; /* a grain more than the limit, so that no rounding makes it less */
    bool solved;      /* the account holds the cost of the tie problem */
    bool advised;     /* and what should be mended has been, as far as it will be */
    tb__edits edits;  /* by which it was */
    tb_tie_account *account;
    size_t bridges_room, dropped_room;
} tb__tie;

/* Fields on a grid of cells of about a quarter of a bridge. */
enum { TB__REACH_MAX = 32, TB__DISC_REACH_MAX = 8 };

struct tb__field {
    int32_t width, height;
    int cell_px;
    float *pattern, *picture; /* 0 … 1, blurred twice by the eye */
    float *open;              /* share of the cell that is no wood */
    float *flat;              /* 1 where the picture shows nothing a bridge could hide in … 0 */
    float *loss;              /* what making the cell wood costs, a mm²; 0 where it is wood */
    float *strip;             /* its mean under a bridge's disc about the cell */
    float strip_share, worth_factor;
    int reach, disc_reach;
    float kernel[TB__REACH_MAX + 1]; /* half of it, middle first */
    float disc[2 * TB__DISC_REACH_MAX + 1][2 * TB__DISC_REACH_MAX + 1];
};

TB_NODISCARD tb_status tb__field_new(tb__field **out, const tb__tie *t, tb_error *err);
void tb__field_free(tb__field *field);

/* Takes up the pattern as it stands now. */
TB_NODISCARD tb_status tb__field_update(const tb__tie *t, tb_error *err);

/* What a mm² of wood in a strip as wide as a bridge costs at a pixel; below 0 where it gains. */
float tb__field_cost(const tb__tie *t, int x_px, int y_px);

/* What a mm² of the wood that stands there is worth. */
float tb__field_worth(const tb__tie *t, int x_px, int y_px);

/* How much a pixel matters. */
float tb__field_weight(const tb__tie *t, int x_px, int y_px);

/* What a bridge's disc about a place, in pixels, would cost; where that is below 0, the field takes
 * it up as wood. */
float tb__field_try_disc(const tb__tie *t, double x_px, double y_px);

/* Whether wood is deepest there across, in one of four directions. */
static inline bool tb__is_ridge(const uint16_t *d, size_t width)
{
    const size_t across[4] = {1, width, width + 1, width - 1};
    for (int i = 0; i < 4; i++) {
        uint16_t before = d[-(ptrdiff_t)across[i]], behind = d[across[i]];
        if (*d >= before && *d >= behind && (*d > before || *d > behind))
            return true;
    }
    return false;
}

/* Makes wood painted by hand as wide as a bridge. TB_EUNSAWABLE where openings painted by hand
 * leave no room for that. See tie_painted.c. */
TB_NODISCARD tb_status tb__keep_painted(tb__tie *t, tb_error *err);

/* Thickens what is too thin of the wood, wherever that gains likeness, and opens the rest away.
 * See tie_thin.c. */
TB_NODISCARD tb_status tb__thicken(tb__tie *t, tb_error *err);

/* Moves outlines a little where there is too much or too little light. See tie_balance.c. */
TB_NODISCARD tb_status tb__balance(tb__tie *t, tb_error *err);

/* Thickens every neck that is thinner than a bridge. See tie_neck.c. *changed becomes true if
 * anything did change. */
TB_NODISCARD tb_status tb__mend_necks(tb__tie *t, bool *changed, tb_error *err);

/* Widens (if it may carve wood) or fills every opening that no drill fits into. */
TB_NODISCARD tb_status tb__mend_openings(tb__tie *t, bool may_carve, bool *changed, tb_error *err);

/* Ties, widens or trims every peninsula that is found to be too weak; the field is to be up to
 * date. See tie_limb.c. */
TB_NODISCARD tb_status tb__mend_limbs(
        tb__tie *t, const tb_inspection *in, bool *changed, tb_error *err);

/* Inspects the wood and mends what must be. See tie_repair.c. */
TB_NODISCARD tb_status tb__repair(tb__tie *t, bool *changed, tb_error *err);

/* Puts back what opening took of the pattern as given, where that leaves it sound. See tie_keep.c.
 */
TB_NODISCARD tb_status tb__keep_drawn(tb__tie *t, const tb_mask *given, tb_error *err);

void tb__edits_clear(tb__edits *edits);

/* Mends, once, what should be mended, wherever that costs the likeness next to nothing. See
 * tie_advice.c. */
TB_NODISCARD tb_status tb__take_advice(
        tb__tie *t, const tb_inspection *in, bool *changed, tb_error *err);

/* Takes back the edits that have to do with a finding; false where none has. */
bool tb__take_back(tb__tie *t, const tb_finding *finding);

/* Enters the widths of all bridges as they were inspected last. */
void tb__measure_bridges(tb__tie *t);

/* Sets all pixels of a piece. */
void tb__fill_piece(tb_mask *mask, const tb_labels *labels, int32_t piece, uint8_t value);

/* The field's grid over the board. A way over it is the way of the middle of a disc as wide as a
 * bridge: so what the disc sweeps is wide enough wherever it goes. Sources are the cells where the
 * disc lies wholly in one room; they are free. */
typedef struct {
    int32_t left, top; /* cell of the field that is its first: not 0 where it was cut out */
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

/* What of it lies within some cells of (x, y), in pixels, as a sea of its own. */
TB_NODISCARD tb_status tb__sea_cut(
        tb__sea **out, const tb__sea *sea, double x_px, double y_px, int32_t within, tb_error *err);

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

/* How many mm of it lead over openings where the picture is flat. */
double tb__channel_bare_mm(const tb__tie *t, const tb__sea *sea, const tb_grid_paths *paths,
        const tb__channel *channel);

/* Of the disc that sweeps a bridge. */
static inline double tb__bridge_radius(const tb__tie *t)
{
    return t->bridge_px / 2 + 0.1;
}

/* And of one that thickens a place: what was too thin last round gets more, and from the third
 * round on much more, so that it ends soon. */
static inline double tb__mending_radius(const tb__tie *t)
{
    double late = fmax(t->account->n_rounds - 1, 0);
    return tb__bridge_radius(t) + 0.5 * late + fmax(late - 1, 0);
}

/* Turns a disc about the pixel that holds (x, y) into wood: about its centre, because opening
 * counts in discs of pixels, and one must fit wherever this one went; returns what those of its
 * pixels cost that were not wood, as if each were one mm². Openings painted by hand stay open. */
double tb__stamp(const tb__tie *t, double x_px, double y_px, double radius_px);

/* Draws a bridge along a channel and enters it in the account. */
TB_NODISCARD tb_status tb__bridge_draw(tb__tie *t, const tb__sea *sea, const tb_grid_paths *paths,
        const tb__channel *channel, tb_error *err);

#endif
