/* pattern/stroke.h: one decision of the designer's hand.
 *
 * A stroke lies on the board, not on the pixels: thousandths of a millimetre from the board's top
 * left, as whole numbers, so that what is drawn, stored and drawn again is the same to the pixel.
 * Every point has its own width (pen pressure); between two points place and width run evenly.
 *
 * On the mask
 *   wood, saw     everything under the stroke becomes wood, or opening
 *   bridge        wood from bank to bank: through its points, straight for two, bent for more, and
 *                 on beyond both ends until it meets wood; one point: the shortest way across there
 *   take_out      the piece of wood at the first point goes; never one at the board's edge
 *   close         the opening at the first point becomes wood (for both: width is how far from the
 *                 point to look; two more points, if there are, are corners of a rectangle beyond
 *                 which nothing is touched)
 *   keep_open     what is opening under the stroke stays so: no bridge crosses it; wood stays wood
 *
 * On the tone
 *   lighten, darken      by amount, fading towards the stroke's side
 *   keep_detail          fine features are neither smoothed nor dropped here
 *   keep_in, leave_out   seeds of what belongs to the portrait and what does not; they spread to
 *                        the edges of the picture
 */
#ifndef TB_PATTERN_STROKE_H
#define TB_PATTERN_STROKE_H

#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Numbers are written into project files: they never change their meaning. */
typedef enum {
    TB_STROKE_WOOD = 0,
    TB_STROKE_SAW = 1,
    TB_STROKE_BRIDGE = 2,
    TB_STROKE_TAKE_OUT = 3,
    TB_STROKE_CLOSE = 4,
    TB_STROKE_LIGHTEN = 5,
    TB_STROKE_DARKEN = 6,
    TB_STROKE_KEEP_DETAIL = 7,
    TB_STROKE_KEEP_IN = 8,
    TB_STROKE_LEAVE_OUT = 9,
    TB_STROKE_KEEP_OPEN = 10,
    TB_N_STROKE_KINDS
} tb_stroke_kind;

enum {
    TB_STROKE_MAX_POINTS = 65536,
    TB_STROKE_MAX_UM = 10000000,      /* |x|, |y|: ten metres */
    TB_STROKE_MAX_WIDTH_UM = 1000000, /* one metre */
    TB_STROKE_MAX_AMOUNT = 10000,     /* the whole of L* */
    TB_STROKE_AMOUNT = 2500,          /* what one pass of lighten or darken does: 25 L* */
};

typedef struct {
    int32_t x_um, y_um;
    int32_t width_um;
} tb_stroke_point;

typedef struct {
    tb_stroke_kind kind;
    int amount; /* of lighten and darken, in hundredths of L*; others: 0 */
    tb_stroke_point *points;
    size_t n_points, room;
} tb_stroke;

#define TB_STROKE_INIT(kind_)                                                                      \
    {                                                                                              \
        .kind = (kind_), .amount = (kind_) == TB_STROKE_LIGHTEN || (kind_) == TB_STROKE_DARKEN     \
                                           ? TB_STROKE_AMOUNT                                      \
                                           : 0                                                     \
    }

/* Adds a point. TB_EINVAL beyond the limits above, TB_ENOMEM. */
TB_NODISCARD tb_status tb_stroke_add(
        tb_stroke *stroke, double x_mm, double y_mm, double width_mm, tb_error *err);
TB_NODISCARD tb_status tb_stroke_copy(tb_stroke *out, const tb_stroke *stroke, tb_error *err);
void tb_stroke_clear(tb_stroke *stroke);
bool tb_stroke_equal(const tb_stroke *a, const tb_stroke *b);

/* TB_EINVAL for no point, a number out of limits, a kind that there is not. */
TB_NODISCARD tb_status tb_stroke_check(const tb_stroke *stroke, tb_error *err);

/* Whether it works on the mask (else on the tone). */
static inline bool tb_stroke_on_mask(tb_stroke_kind kind)
{
    return kind <= TB_STROKE_CLOSE || kind == TB_STROKE_KEEP_OPEN;
}

/* "wood", "take-out": as commands and files name it; static. */
const char *tb_stroke_kind_name(tb_stroke_kind kind);
/* False if there is none of that name. */
bool tb_stroke_kind_find(tb_stroke_kind *kind, const char *name);

#endif
