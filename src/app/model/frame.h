/* app/model/frame.h: the part of the photograph that becomes the board, as a frame laid on it.
 *
 * The board shows what lies in the frame, the photograph turned clockwise about the frame's middle.
 * Where settings give both sides of the finished size the frame keeps that shape; where they give
 * one, any shape will do, and the finished size follows it: the longer side stays as long as it is.
 * Turned by a quarter, the frame's width lies along the photograph's height.
 *
 * Frame  upright pixels of the photograph, x right, y down; pulls go along the board's sides
 */
#ifndef TB_APP_FRAME_H
#define TB_APP_FRAME_H

#include "photo/photo.h"
#include "project/settings.h"

typedef struct {
    double x_px, y_px; /* the middle */
    double w_px, h_px;
    double turn_rad;
} tb_frame;

enum { TB_FRAME_SIDE_MOST_MM = 2000 }; /* of what the bench offers */

/* What is taken hold of: a side, two sides that meet, or all of it. */
enum {
    TB_GRIP_NONE = 0,
    TB_GRIP_LEFT = 1,
    TB_GRIP_RIGHT = 2,
    TB_GRIP_TOP = 4,
    TB_GRIP_BOTTOM = 8,
    TB_GRIP_WHOLE = 16,
};

tb_frame tb_frame_of(const tb_settings *settings, const tb_photo_info *photo);
/* Lays the frame into settings; the finished size follows where it is left to. */
void tb_frame_put(tb_settings *settings, const tb_frame *frame, const tb_photo_info *photo);
/* The frame as large as the photograph lets it be. */
void tb_frame_put_whole(tb_settings *settings, const tb_photo_info *photo);

/* Both sides of the finished board. */
void tb_frame_size(const tb_settings *settings, const tb_photo_info *photo, double *width_mm,
        double *height_mm);
/* The longest that the side may be (across: the width), so that neither is beyond what the bench
 * offers, TB_FRAME_SIDE_MOST_MM. */
double tb_frame_side_most(const tb_settings *settings, const tb_photo_info *photo, bool across);

bool tb_frame_keeps_shape(const tb_settings *settings);

/* The frame pulled by a grip; never beyond the photograph, never to nothing. */
tb_frame tb_frame_pulled(const tb_frame *frame, unsigned grip, double right_px, double down_px,
        bool keeps_shape, const tb_photo_info *photo);

/* The same part of the photograph, turned clockwise by a quarter. */
void tb_frame_turn_quarter(tb_settings *settings, const tb_photo_info *photo);
/* The straightening that is left when whole quarters are taken off. */
double tb_frame_straightening(const tb_settings *settings);
void tb_frame_straighten(tb_settings *settings, double turn_rad);

/* From a place on the photograph to one on the board, in parts of a board that is 1 × 1, and back.
 */
void tb_frame_to_board(const tb_frame *frame, double x_px, double y_px, double *x, double *y);
void tb_frame_to_photo(const tb_frame *frame, double x, double y, double *x_px, double *y_px);

#endif
