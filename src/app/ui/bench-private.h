/* app/ui/bench-private.h: what the files of the bench share. */
#ifndef TB_APP_BENCH_PRIVATE_H
#define TB_APP_BENCH_PRIVATE_H

#include "app/model/frame.h"
#include "app/ui/bench-tiles.h"
#include "app/ui/bench.h"
#include "pattern/hand.h"

struct _TbBench {
    GtkWidget parent_instance;

    /* what it shows */
    TbDesk *desk;
    TbWork *work; /* the desk's */
    GSignalGroup *work_signals;
    tb_tiles *tiles;

    /* where: device pixels to a millimetre, and the board's corner in device pixels */
    double px_per_mm;
    int left_px, top_px;
    bool fitted; /* shows the whole, and follows the size of the widget */
    struct {
        double px_per_mm; /* 0: the whole */
        int left_px, top_px;
    } looks[2]; /* of the board and of the photograph, while the other is on the bench */
    bool on_photo;
    guint glide;
    guint refine; /* the zoom has just moved: tiles are coarse until it rests */
    double glide_x_mm, glide_y_mm;

    /* the hand at work: a copy of the pattern that follows the pointer until the stroke ends */
    tb_stroke stroke;
    bool pressed, moving;
    tb_hand *hand;
    tb_picture *live;
    int drag_left_px, drag_top_px;
    tb_result *before; /* held: the pattern before a stroke on the tone, until its own is there */

    /* the frame on the photograph, while it is pulled */
    tb_frame frame, frame_before;
    unsigned grip;
    tb_frame board_frame; /* of the board on the bench, with the photograph's pixels on a mm */
    double board_frame_px_per_mm;
    const tb_level *photo_level; /* of the whole photograph, as photo_surface holds it */
    cairo_surface_t *photo_surface;

    /* pointer and keyboard cursor, in millimetres; NAN: not there */
    double pointer_x_mm, pointer_y_mm;
    bool keyed; /* the cursor was moved by keys last */

    /* the marks over the picture, as last drawn, and where the board lay then */
    GskRenderNode *marks;
    bool marks_stale;
    double marks_px_per_mm;
    int marks_left_px, marks_top_px, marks_width, marks_height;

    double frame_ms;
    int frame_tiles;
};

/* bench-input.c */
void tb__bench_add_controllers(TbBench *self);
void tb__bench_drop_live(TbBench *self);

/* bench-keys.c */
void tb__bench_add_keys(TbBench *self);

/* bench-frame.c: in the photo step the whole photograph is seen, the board's frame on it */
bool tb__bench_framing(TbBench *self);
void tb__bench_frame_extent(
        TbBench *self, double *left_mm, double *top_mm, double *right_mm, double *bottom_mm);
void tb__bench_draw_photo(TbBench *self, cairo_t *cr);
void tb__bench_draw_frame(TbBench *self, cairo_t *cr);
unsigned tb__bench_grip_at(TbBench *self, double x, double y);
const char *tb__bench_grip_cursor(unsigned grip);
void tb__bench_frame_take(TbBench *self, unsigned grip);
void tb__bench_frame_pull(TbBench *self, double dx, double dy);
void tb__bench_frame_release(TbBench *self);
/* One step of the keyboard; grows: the size, else the place. */
void tb__bench_frame_step(TbBench *self, int right, int down, bool grows);
/* Keeps the photograph where it is on the screen when the board is framed otherwise. */
void tb__bench_frame_follow(TbBench *self, const tb_frame *before, double before_px_per_mm);
/* The frame that the board on the bench has, and the photograph's pixels on a millimetre of it. */
tb_frame tb__bench_frame_shown(TbBench *self, double *px_per_mm);

/* bench-overlay.c */
void tb__bench_draw_marks(TbBench *self, cairo_t *cr);
/* The note whose ring or words are there; NULL: none. */
const tb_note *tb__bench_note_at(TbBench *self, double x, double y);
/* The brush under the pointer; false: there is none. */
bool tb__bench_brush_bounds(TbBench *self, graphene_rect_t *bounds);
void tb__bench_draw_brush(TbBench *self, cairo_t *cr);

/* bench.c */
void tb__bench_to_board(TbBench *self, double x, double y, double *x_mm, double *y_mm);
void tb__bench_to_widget(TbBench *self, double x_mm, double y_mm, double *x, double *y);
void tb__bench_board_size(TbBench *self, double *width_mm, double *height_mm);
void tb__bench_zoom_about(TbBench *self, double factor, double x, double y);
void tb__bench_move(TbBench *self, double dx, double dy);
void tb__bench_show_scene(TbBench *self);
/* Draws the marks anew; what moves with the pointer is drawn anew by itself. */
void tb__bench_marks_changed(TbBench *self);

#endif
