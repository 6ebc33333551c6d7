/* sheet/look.h: what a board looks like: colour and grain by species, drawn from nothing.
 *
 * A board is a cut through a log: growth rings about a pith that runs below the face and a little
 * askew, wandering as trees do; over them fibres along the grain, and pores where the species has
 * them. The same place on the same board has the same colour at any resolution and thread count.
 * Colours are common practice, judged by eye.
 */
#ifndef TB_SHEET_LOOK_H
#define TB_SHEET_LOOK_H

typedef struct {
    const char *name;
    float early[3], late[3]; /* sRGB, 0 … 1 */
    float ring_mm;           /* from ring to ring on the log's end */
    float contrast;          /* 0 … 1, of rings */
    float sharp;             /* how much of a ring is late wood: higher is less */
    float fibre;             /* 0 … 1 */
    float pores;             /* 0 … 1 */
    float pith_mm;           /* depth of the pith below the face: small gives arches */
} tb_look;

/* The wood whose name occurs in text ("yellow birch", "birch-ply-6.5"); birch if none does. */
const tb_look *tb__look_find(const char *text);

/* The face of one board: all that is the same at each of its places. */
enum { TB_FACE_PROFILE = 128 };

typedef struct {
    const tb_look *look;
    double c, s;                    /* of the grain's angle */
    float profile[TB_FACE_PROFILE]; /* of a ring, from early wood to late */
} tb_face;

tb_face tb__face_of(const tb_look *look, double grain_rad);

/* sRGB colours of n places, step_mm apart along +x from (x_mm, y_mm); rgb [3][n], 0 … 1. The
 * board's middle is at the origin. */
void tb__face_row(float *rgb, const tb_face *face, double x_mm, double y_mm, double step_mm, int n);

#endif
