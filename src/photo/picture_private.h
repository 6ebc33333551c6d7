/* photo/picture_private.h: the steps of picture.h. */
#ifndef TB_PHOTO_PICTURE_PRIVATE_H
#define TB_PHOTO_PICTURE_PRIVATE_H

#include "base/job.h"
#include "image/label.h"
#include "photo/picture.h"

typedef struct {
    int width_px, height_px;
    uint8_t *px; /* [height_px][width_px] */
} tb__grey;

typedef struct {
    uint8_t dark, light;
    uint8_t level; /* below it is dark */
    double soft;   /* share of pixels between the tones */
} tb__tones;

/* The two commonest tones; TB_EREAD when there is but one, or more than two. */
tb_status tb__tones_find(tb__tones *out, const tb__grey *grey, tb_error *err);

/* Takes out, in place, light that falls unevenly: paper has one tone then. */
tb_status tb__light_even(tb__grey *grey, tb_error *err);

/* The angle, clockwise, by which the longest straight lines stand askew; 0 when there are none. */
tb_status tb__skew_find(
        double *turn_rad, const tb__grey *grey, const tb__tones *tones, tb_error *err);

/* The tone at a place, with straight lines between pixels, whose centres are at whole numbers. */
uint8_t tb__grey_at(const tb__grey *from, double x, double y, uint8_t beyond);

/* What is left of `from` at the wanted step (in its pixels): sampled with straight lines between
 * pixels, from the place (x, y) of the first pixel's centre on, turned. What lies more than a pixel
 * beyond the picture is `beyond`. */
typedef struct {
    double x, y, step, turn_rad;
    uint8_t beyond;
} tb__view;
void tb__grey_sample(tb__grey *to, const tb__grey *from, const tb__view *view, const tb_job *job);

typedef struct {
    int left, top, right, bottom; /* ends exclusive */
} tb__box;

static inline double tb__box_area(tb__box box)
{
    return (double)(box.right - box.left) * (box.bottom - box.top);
}

static inline tb__box tb__box_of(const tb_piece *piece)
{
    return (tb__box){piece->left_px, piece->top_px, piece->right_px, piece->bottom_px};
}

/* A picture in cells: the darkest, or the lightest, tone of each cell's pixels. */
typedef struct {
    int size_px, width, height; /* of a cell; of the picture in cells */
    uint8_t *tone;              /* [height][width]; tb_free() */
} tb__cells;
tb_status tb__cells_new(tb__cells *out, const tb__grey *grey, bool lightest, tb_error *err);

/* The piece with the largest box; -1 where there is none. */
int32_t tb__widest(const tb_labels *labels);

/* Where the sheet of paper lies in the dark of a scanner's bed or a table: that is painted over in
 * place, and the picture cut down to *sheet; else that is all of it. TB_ENOMEM, TB_ECANCELLED. */
tb_status tb__bed_lift(tb__grey *grey, tb__box *sheet, const tb_job *job, tb_error *err);

typedef struct {
    double x, y;
} tb__spot;

/* The four-sided thing that stands on the ground, and by how much it is not square. */
typedef struct {
    bool found;
    tb__spot corner[4]; /* clockwise from the top left, between pixels' centres */
    double off_rad;
} tb__angle;
tb_status tb__angle_find(tb__angle *out, const tb__grey *grey, const tb__tones *tones,
        bool dark_ground, const tb_job *job, tb_error *err);

/* Makes a rectangle of it, of these true sides, with some of what is around; not if it can't have
 * that shape. TB_ENOMEM, TB_ECANCELLED. */
tb_status tb__angle_square(bool *done, tb__grey *grey, const tb__angle *angle, double width_mm,
        double height_mm, uint8_t beyond, const tb_job *job, tb_error *err);

/* Where the board lies, and whether its wood is the dark tone. dark: 1 = dark. */
typedef struct {
    tb__box box;
    bool wood_is_dark, in_doubt;
    bool undrawn; /* paper is wood, up to the picture's edge */
} tb__board;
tb_status tb__board_find(
        tb__board *out, const tb_mask *dark, tb_wood_tone wood, const tb_job *job, tb_error *err);

/* Lets the tones below marks show that were drawn on a pale print. TB_ENOMEM, TB_ECANCELLED. */
tb_status tb__ink_lift(tb__grey *grey, const tb__tones *tones, const tb_job *job, tb_error *err);

#endif
