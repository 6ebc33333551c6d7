/* photo/picture.h: pattern pictures in: a two-tone picture, ours or anybody's, becomes a mask.
 *
 * In     a PNG, JPEG, TIFF or WebP (HEIC too) of two tones: clean, anti-aliased, JPEG-compressed,
 *        printed in pale grey, or scanned and slightly askew; limits as in photo.h
 * Out    the board: paper margin and drawn outline taken off, straightened, 1 = wood
 * Light  where it falls unevenly, so that there seem to be more tones than two, it is evened
 * Tones  the line lies half-way between the two commonest tones. Which of them is wood:
 *        1. the tone of the outermost pixels is the ground; an unbroken, even, straight-sided frame
 *           of the other tone standing on it is wood, and the ground outside it is paper;
 *        2. a thin line drawn around everything is no frame: what lies inside is looked at alone;
 *        3. else whichever tone is more nearly one piece, in doubt the ground. There is doubt where
 *           both are one piece, as a large shape on paper is, or both are several.
 *        options.wood overrules all three. What is light and opaque on a clear ground is wood.
 * Marks  on a pale print, outlines, crosses and numbers darker than both tones are looked through
 * Beside dark around the sheet of paper, at some sides or all, with straight ends and joined to no
 *        wood, is a scanner's bed or a table, and left out. All round, it could be a frame with a
 *        loose piece in it; it is none where that piece is a board: convex, with light in it
 * Skew   up to 3 degrees, told by straight lines, level and upright, of a third of a side at least
 * Angle  a photograph taken at an angle, up to 15 degrees, is set square if both width_mm and
 *        height_mm are given and the four sides of the board or its sheet can be seen
 * Size   of the board: width_mm or height_mm where given, else the density written in the file.
 *        A TIFF with other densities across and down, as a fax has, is made square first.
 *        Pictures coarser than 8 px/mm with soft edges are refined, so that a line keeps its place
 *        between pixels.
 * Errors TB_EREAD: unreadable, lines only, two patterns, or not two-tone (the text points to
 *        "make"); TB_EINVAL: size unknown or making no sense; TB_ENOMEM; TB_ECANCELLED. *out is
 *        NULL then
 * Cost   two bytes a pixel
 */
#ifndef TB_PHOTO_PICTURE_H
#define TB_PHOTO_PICTURE_H

#include "base/job.h"
#include "image/mask.h"
#include "photo/photo.h"

#include <stdbool.h>

typedef enum { TB_WOOD_FOUND, TB_WOOD_DARK, TB_WOOD_LIGHT } tb_wood_tone;

typedef struct {
    double width_mm, height_mm; /* of the board; 0: follows the other, or the file's density */
    tb_wood_tone wood;          /* TB_WOOD_FOUND: told by the rule above */
} tb_picture_options;

typedef struct {
    tb_photo_info file;
    tb_wood_tone wood;   /* dark or light, as used */
    bool wood_in_doubt;  /* found, but the other tone may be meant */
    bool edge_undrawn;   /* light wood, and the picture's edge is the board's */
    uint8_t dark, light; /* the two tones */
    double turn_rad;     /* by which it stood askew, clockwise */
    bool straightened;   /* it was turned back, as that made a pixel or more */
    bool squared;        /* it was taken at an angle, and set square */
    bool at_angle;       /* it was, but one side's length is not known */
    int left_px, top_px, right_px, bottom_px; /* the board in the straightened picture */
    bool size_from_file;
} tb_picture_info;

/* info may be NULL. tb_photo_start() must have been called. */
TB_NODISCARD tb_status tb_picture_read(tb_mask **out, tb_picture_info *info, const uint8_t *bytes,
        size_t n_bytes, const tb_picture_options *options, const tb_job *job, tb_error *err);

#endif
