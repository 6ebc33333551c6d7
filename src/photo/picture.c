/* photo/picture.c: see picture.h. From grey to mask, step by step. */
#include "photo/picture.h"

#include "base/alloc.h"
#include "base/num.h"
#include "photo/picture_private.h"

#include <math.h>

/* Finer than this no line needs to be placed between pixels; coarser than LEAST it can't be. */
static const double FINE_PX_PER_MM = 8, LEAST_PX_PER_MM = 2, MOST_PX_PER_MM = 80,
                    SOFT_LEAST = 0.003;
/* By how much sides that should be square to each other are not, in radians: so much that it
 * counts, and so much that nothing else than the view explains it. */
static const double OFF_SQUARE = 0.003, OFF_CLEARLY = 0.012;
enum { LEAST_BOARD_PX = 32, BOARD_MAX_MM = 3000 };

/* The tone along most of the picture's edge. */
static uint8_t edge_tone(const tb__grey *grey, const tb__tones *tones)
{
    int w = grey->width_px, h = grey->height_px, n_light = 0;
    for (int x = 0; x < w; x++)
        n_light += (grey->px[x] >= tones->level) +
                   (grey->px[(size_t)(h - 1) * (size_t)w + (size_t)x] >= tones->level);
    for (int y = 0; y < h; y++)
        n_light += (grey->px[(size_t)y * (size_t)w] >= tones->level) +
                   (grey->px[(size_t)y * (size_t)w + (size_t)w - 1] >= tones->level);
    return n_light > w + h ? tones->light : tones->dark;
}

/* The tones, of a picture in uneven light when that has been taken out. A picture that has not two
 * tones then either is told as it was. */
static tb_status find_tones(tb__tones *tones, tb__grey *grey, const tb_job *job, tb_error *err)
{
    tb_error told, still;
    tb_status status = tb__tones_find(tones, grey, &told);
    if (status == TB_EREAD && !tb_job_stopped(job) && !tb__light_even(grey, &still) &&
            !tb__tones_find(tones, grey, &still))
        return TB_OK;
    return status ? tb_fail(err, status, "%s", told.text) : TB_OK;
}

/* Straightens a picture that stands askew by more than a pixel over its length. */
static tb_status straighten(tb__grey *grey, double *turn_rad, bool *turned, const tb__tones *tones,
        const tb_job *job, tb_error *err)
{
    tb_status status = tb__skew_find(turn_rad, grey, tones, err);
    double length = fmax(grey->width_px, grey->height_px);
    *turned = !status && fabs(*turn_rad) * length >= 1;
    if (!*turned)
        return status;
    tb__grey straight = *grey;
    straight.px = tb_malloc((size_t)grey->width_px * (size_t)grey->height_px, 1);
    if (!straight.px)
        return tb_fail_memory(err);
    double c = cos(*turn_rad), s = sin(*turn_rad);
    double mid_x = (grey->width_px - 1) / 2.0, mid_y = (grey->height_px - 1) / 2.0;
    tb__view view = {mid_x - c * mid_x + s * mid_y, mid_y - s * mid_x - c * mid_y, 1, *turn_rad,
            edge_tone(grey, tones)};
    tb__grey_sample(&straight, grey, &view, job);
    tb_free(grey->px);
    *grey = straight;
    return tb_job_stopped(job) ? tb_fail_cancelled(err) : TB_OK;
}

/* Whether the paper's grain shows, as in a scan or a photograph: a drawing's has one tone. */
static bool is_grainy(const tb__grey *grey, const tb__tones *tones)
{
    enum { LOOK = 61 };
    size_t n = 0, n_same = 0, area = (size_t)grey->width_px * (size_t)grey->height_px;
    for (size_t i = 0; i < area; i += LOOK) {
        n += grey->px[i] >= tones->level;
        n_same += grey->px[i] == tones->light;
    }
    return 2 * n_same < n;
}

/* A picture taken at an angle is set square, if both of the board's sides are known. */
static tb_status set_square(tb_picture_info *info, tb__grey *grey, const tb__tones *tones,
        const tb_picture_options *options, const tb_job *job, tb_error *err)
{
    bool known = options->width_mm > 0 && options->height_mm > 0;
    uint8_t ground = edge_tone(grey, tones);
    tb__angle angle;
    if (!known && !is_grainy(grey, tones))
        return TB_OK;
    tb_status status = tb__angle_find(&angle, grey, tones, ground == tones->dark, job, err);
    if (status || angle.off_rad < (known ? OFF_SQUARE : OFF_CLEARLY))
        return status;
    info->at_angle = !known;
    if (known)
        status = tb__angle_square(&info->squared, grey, &angle, options->width_mm,
                options->height_mm, ground, job, err);
    return status;
}

typedef struct {
    const tb__grey *grey;
    uint8_t *px; /* may be grey's own */
    tb__box box;
    uint8_t level, one; /* what is light becomes `one`, the rest the other */
} splitting;

static void split_rows(void *payload, size_t first, size_t end)
{
    const splitting *s = payload;
    size_t width = (size_t)(s->box.right - s->box.left);
    for (size_t y = first; y < end; y++) {
        const uint8_t *from =
                s->grey->px + (y + (size_t)s->box.top) * (size_t)s->grey->width_px + s->box.left;
        uint8_t *to = s->px + y * width, level = s->level, flip = !s->one;
        for (size_t x = 0; x < width; x++)
            to[x] = (uint8_t)(from[x] >= level) ^ flip;
    }
}

static tb_status find_board(tb__board *board, const tb__grey *grey, const tb__tones *tones,
        tb_wood_tone wood, const tb_job *job, tb_error *err)
{
    tb_mask *dark;
    tb_status status = tb_mask_new(&dark, grey->width_px, grey->height_px, 1, err);
    if (status)
        return status;
    tb__box all = {0, 0, grey->width_px, grey->height_px};
    splitting s = {grey, dark->px, all, tones->level, false};
    tb_job_rows(job, (size_t)grey->height_px, 64, split_rows, &s);
    status = tb__board_find(board, dark, wood, job, err);
    tb_mask_free(dark);
    if (!status && (board->box.right - board->box.left < LEAST_BOARD_PX ||
                           board->box.bottom - board->box.top < LEAST_BOARD_PX))
        status = tb_fail(err, TB_EREAD, "no board can be made out in this picture");
    return status;
}

/* What programs write into a picture of whose size they know nothing. */
static bool says_nothing(double px_per_mm)
{
    return fabs(px_per_mm * 25.4 - 72) < 0.3 || fabs(px_per_mm * 25.4 - 96) < 0.3;
}

/* Pixels a millimetre of the board, by the wanted size or by the file. */
static tb_status find_scale(double *px_per_mm, bool *from_file, tb__box box,
        const tb_picture_options *options, double file_px_per_mm, tb_error *err)
{
    double by_width = options->width_mm > 0 ? (box.right - box.left) / options->width_mm : 0;
    double by_height = options->height_mm > 0 ? (box.bottom - box.top) / options->height_mm : 0;
    *from_file = by_width <= 0 && by_height <= 0;
    if (by_width > 0 && by_height > 0 && fabs(by_width / by_height - 1) > 0.02)
        return tb_fail(err, TB_EINVAL,
                "the board in this picture is %d x %d pixels, another shape than %s x %s mm",
                box.right - box.left, box.bottom - box.top, tb_num_of(options->width_mm, 1).text,
                tb_num_of(options->height_mm, 1).text);
    *px_per_mm = by_width > 0 ? by_width : by_height > 0 ? by_height : file_px_per_mm;
    if (*from_file && says_nothing(file_px_per_mm))
        return tb_fail(err, TB_EINVAL,
                "size unknown: %s pixels an inch is what programs write when they don't know; give "
                "--width or --height",
                tb_num_of(file_px_per_mm * 25.4, 0).text);
    if (!(*px_per_mm > 0))
        return tb_fail(err, TB_EINVAL,
                "size unknown: say how wide the piece is, as --width 200mm, or how high: --height");
    double longest = fmax(box.right - box.left, box.bottom - box.top) / *px_per_mm;
    if (*px_per_mm < LEAST_PX_PER_MM || *px_per_mm > MOST_PX_PER_MM || longest > BOARD_MAX_MM)
        return tb_fail(err, TB_EINVAL,
                "at this size (%s mm, %s pixels a millimetre) nothing can be measured; give "
                "--width "
                "or --height, or a finer picture",
                tb_num_of(longest, 0).text, tb_num_of(*px_per_mm, 2).text);
    return TB_OK;
}

/* Splits the board out of the grey picture; takes the grey's pixels where they serve. */
static tb_status make_mask(tb_mask **out, tb__grey *grey, const tb__tones *tones,
        const tb__board *board, double px_per_mm, const tb_job *job, tb_error *err)
{
    tb__box box = board->box;
    int finer = 1;
    if (tones->soft > SOFT_LEAST && px_per_mm < FINE_PX_PER_MM)
        finer = (int)ceil(FINE_PX_PER_MM / px_per_mm);
    int width = (box.right - box.left) * finer, height = (box.bottom - box.top) * finer;
    tb_mask *mask = tb_malloc(1, sizeof *mask);
    if (!mask)
        return tb_fail_memory(err);
    *mask = (tb_mask){width, height, px_per_mm * finer, grey->px};
    tb__grey fine = {width, height, NULL};
    splitting s = {grey, grey->px, box, tones->level, !board->wood_is_dark};
    tb_status status = tb_size_check(width, height, px_per_mm * finer, err);
    if (!status && finer > 1) {
        fine.px = mask->px = tb_malloc((size_t)width * (size_t)height, 1);
        if (!fine.px) {
            status = tb_fail_memory(err);
        } else {
            double first = 0.5 / finer - 0.5;
            tb__view view = {box.left + first, box.top + first, 1.0 / finer, 0, 0};
            tb__grey_sample(&fine, grey, &view, job);
            s = (splitting){&fine, fine.px, {0, 0, width, height}, tones->level, s.one};
            tb_job_rows(job, (size_t)height, 64, split_rows, &s);
        }
    } else if (!status) {
        /* Rows move towards the front of the same block, so they are split in their order. */
        split_rows(&s, 0, (size_t)height);
        grey->px = NULL;
    }
    if (!status && tb_job_stopped(job))
        status = tb_fail_cancelled(err);
    if (status) {
        tb_free(mask->px == grey->px ? NULL : mask->px);
        tb_free(mask);
    } else {
        *out = mask;
    }
    return status;
}

/* Outlines, hatching and dots are a tone that is thin all over: twice its area over the length of
 * its sides, which the steps of slanted lines make longer by a quarter. */
static tb_status check_thickness(const tb_mask *mask, tb_error *err)
{
    const double thin_mm = 0.5, long_boards = 2;
    size_t width = (size_t)mask->width_px, n_wood = 0, n_sides = 0;
    for (size_t y = 0; y < (size_t)mask->height_px; y++) {
        const uint8_t *row = mask->px + y * width, *above = y ? row - width : row;
        uint32_t wood = row[0], sides = row[0] ^ above[0];
        for (size_t x = 1; x < width; x++) {
            wood += row[x];
            sides += (uint32_t)(row[x] ^ row[x - 1]) + (uint32_t)(row[x] ^ above[x]);
        }
        n_wood += wood;
        n_sides += sides;
    }
    size_t area = tb_mask_area_px(mask), rarer = n_wood < area - n_wood ? n_wood : area - n_wood;
    double board_px = 2.0 * (mask->width_px + mask->height_px);
    if ((double)n_sides < 2 * long_boards * board_px ||
            2.0 * (double)rarer / (double)n_sides > thin_mm * mask->px_per_mm)
        return TB_OK;
    return tb_fail(err, TB_EREAD,
            "this picture has thin lines or dots only, so wood and openings can't be told apart: "
            "fill the openings, or save it undithered");
}

tb_status tb_picture_read(tb_mask **out, tb_picture_info *info, const uint8_t *bytes,
        size_t n_bytes, const tb_picture_options *options, const tb_job *job, tb_error *err)
{
    tb_picture_info seen = {0};
    tb__grey grey = {0};
    tb__tones tones;
    tb__board board;
    tb__box sheet;
    double px_per_mm;
    *out = NULL;
    tb_status status = tb_photo_grey(&grey.px, &seen.file, bytes, n_bytes, job, err);
    tb_wood_tone wood = options->wood;
    if (!status && wood == TB_WOOD_FOUND && seen.file.light_on_clear)
        wood = TB_WOOD_LIGHT;
    grey.width_px = seen.file.width_px;
    grey.height_px = seen.file.height_px;
    if (!status)
        status = tb__bed_lift(&grey, &sheet, job, err);
    if (!status)
        status = find_tones(&tones, &grey, job, err);
    if (!status)
        status = set_square(&seen, &grey, &tones, options, job, err);
    if (!status)
        status = straighten(&grey, &seen.turn_rad, &seen.straightened, &tones, job, err);
    if (!status)
        status = find_board(&board, &grey, &tones, wood, job, err);
    /* A drawn outline shows where the board lies; after that it hides where the wood ends. */
    if (!status)
        status = tb__ink_lift(&grey, &tones, job, err);
    if (!status)
        status = find_scale(
                &px_per_mm, &seen.size_from_file, board.box, options, seen.file.px_per_mm, err);
    if (!status)
        status = make_mask(out, &grey, &tones, &board, px_per_mm, job, err);
    if (!status && (status = check_thickness(*out, err))) {
        tb_mask_free(*out);
        *out = NULL;
    }
    if (!status && info) {
        *info = seen;
        info->wood = board.wood_is_dark ? TB_WOOD_DARK : TB_WOOD_LIGHT;
        info->wood_in_doubt = board.in_doubt;
        info->edge_undrawn = board.undrawn;
        info->dark = tones.dark;
        info->light = tones.light;
        info->left_px = board.box.left + sheet.left;
        info->top_px = board.box.top + sheet.top;
        info->right_px = board.box.right + sheet.left;
        info->bottom_px = board.box.bottom + sheet.top;
    }
    tb_free(grey.px);
    return status;
}
