/* photo/picture_board.c: where the board lies in a two-tone picture, and which tone is its wood.
 * The rule is in picture.h; this is how its words are measured.
 */
#include "photo/picture_private.h"

#include "base/alloc.h"
#include "image/label.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A frame covers FRAME_COVER of each of its sides, and stands alone, as wide as it is anywhere, at
 * FRAME_EVEN of the places or more on three sides at least. It encloses LEAST_AREA of the picture.
 * Sides closer than LINE_SHARE of the board's size enclose a drawn line. What fills SOLID of its
 * box holds no picture: it is an opening. */
static const double FRAME_COVER = 0.98, FRAME_EVEN = 0.08, LEAST_AREA = 0.2, LINE_SHARE = 0.006,
                    SOLID = 0.99;
/* Of the widest board, that another has; of the picture, that both have. Of the largest piece, that
 * one of no account has. Of several, that the largest has. Of the picture, that a shape has. */
static const double OTHER_LEAST = 0.25, BOTH_LEAST = 0.3, SMALL = 0.005, MOST = 0.6,
                    SHAPE_LEAST = 0.2;
enum { N_PLACES = 200, LEAST_TOLERANCE_PX = 3 };

typedef struct {
    int64_t area_px;
    tb__box box;
} piece;

/* How nearly one tone is one piece: the share of its largest. The widest, which encloses most, may
 * be another: a drawn line. */
typedef struct {
    double share;
    piece largest, widest, beside; /* beside: the next widest that does not overlap that */
    int64_t second_px;             /* area of the largest but one */
    int64_t area_px;               /* of all */
} pieces;

static bool apart(tb__box a, tb__box b)
{
    return a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top;
}

static tb_status find_pieces(
        pieces *out, const tb_mask *dark, bool of_dark, const tb_job *job, tb_error *err)
{
    tb_labels *labels;
    tb_status status = of_dark ? tb_label_wood(&labels, dark, job, err)
                               : tb_label_openings(&labels, dark, job, err);
    *out = (pieces){0};
    if (status)
        return status;
    for (int32_t i = 0; i < labels->n_pieces; i++) {
        piece this = {labels->pieces[i].area_px, tb__box_of(&labels->pieces[i])};
        out->area_px += this.area_px;
        if (this.area_px > out->largest.area_px) {
            out->second_px = out->largest.area_px;
            out->largest = this;
        } else if (this.area_px > out->second_px) {
            out->second_px = this.area_px;
        }
        if (tb__box_area(this.box) > tb__box_area(out->widest.box))
            out->widest = this;
    }
    for (int32_t i = 0; i < labels->n_pieces; i++) {
        piece this = {labels->pieces[i].area_px, tb__box_of(&labels->pieces[i])};
        if (apart(this.box, out->widest.box) &&
                tb__box_area(this.box) > tb__box_area(out->beside.box))
            out->beside = this;
    }
    out->share = out->area_px ? (double)out->largest.area_px / (double)out->area_px : 0;
    tb_labels_free(labels);
    return TB_OK;
}

static bool at(const tb_mask *dark, int x, int y)
{
    return dark->px[(size_t)y * (size_t)dark->width_px + (size_t)x];
}

static bool ground_of(const tb_mask *dark)
{
    int w = dark->width_px, h = dark->height_px;
    int n = 0;
    for (int x = 0; x < w; x++)
        n += at(dark, x, 0) + at(dark, x, h - 1);
    for (int y = 0; y < h; y++)
        n += at(dark, 0, y) + at(dark, w - 1, y);
    return n > w + h;
}

/* Walks from outside across one side of a box. */
typedef struct {
    double covered, even; /* shares of the places */
    int thin;             /* how wide the tone stands where it stands thin */
    int thick;            /* and nearly everywhere, at most */
    int past;             /* how far in it has ended nearly everywhere */
} survey;

static int compare(const void *a, const void *b)
{
    return *(const int *)a - *(const int *)b;
}

/* side: 0 left, 1 top, 2 right, 3 bottom. tone: the value in dark that stands on the ground. */
static survey walk(const tb_mask *dark, tb__box box, int side, bool tone, int tolerance)
{
    bool upright = side % 2 == 0; /* a walk along x */
    int length = upright ? box.bottom - box.top : box.right - box.left;
    int depth = upright ? box.right - box.left : box.bottom - box.top;
    int width[N_PLACES], past[N_PLACES], n = 0;
    for (int i = 0; i < N_PLACES; i++) {
        int along = (int)((0.02 + 0.96 * (i + 0.5) / N_PLACES) * length);
        int in = 0, first;
#define TONE_AT(k)                                                                                 \
    (at(dark, upright ? (side == 0 ? box.left + (k) : box.right - 1 - (k)) : box.left + along,     \
             upright ? box.top + along : (side == 1 ? box.top + (k) : box.bottom - 1 - (k))) ==    \
            tone)
        while (in < tolerance && in < depth && !TONE_AT(in))
            in++;
        first = in;
        while (in < depth && TONE_AT(in))
            in++;
#undef TONE_AT
        if (in > first) {
            past[n] = in;
            width[n++] = in - first;
        }
    }
    if (n == 0)
        return (survey){0};
    qsort(width, (size_t)n, sizeof *width, compare);
    qsort(past, (size_t)n, sizeof *past, compare);
    survey s = {(double)n / N_PLACES, 0, width[n / 20], width[n * 9 / 10], past[n * 9 / 10]};
    int slack = s.thin / 8 > 2 ? s.thin / 8 : 2;
    for (int i = 0; i < n; i++)
        s.even += abs(width[i] - s.thin) <= slack;
    s.even /= N_PLACES;
    return s;
}

typedef enum { NO_FRAME, FRAME, DRAWN_LINE } standing;

static standing judge_frame(
        const tb_mask *dark, const piece *ring, bool tone, int tolerance, int *line_px)
{
    tb__box box = ring->box;
    int w = box.right - box.left, h = box.bottom - box.top, least = w < h ? w : h;
    int thinnest = least, thickest = 0, n_even = 0;
    if (tb__box_area(box) < LEAST_AREA * (double)tb_mask_area_px(dark) ||
            (double)ring->area_px > SOLID * tb__box_area(box))
        return NO_FRAME;
    *line_px = 0;
    for (int side = 0; side < 4; side++) {
        survey s = walk(dark, box, side, tone, tolerance);
        if (s.covered < FRAME_COVER)
            return NO_FRAME;
        n_even += s.even >= FRAME_EVEN;
        thinnest = s.thin < thinnest ? s.thin : thinnest;
        thickest = s.thin > thickest ? s.thin : thickest;
        *line_px = s.thick > *line_px ? s.thick : *line_px;
    }
    if (n_even < 3 || thickest > 2 * thinnest + 4)
        return NO_FRAME;
    /* A drawn line is thin, and nothing hangs on it. */
    bool line = *line_px <= LINE_SHARE * least + 2 &&
                (double)ring->area_px < 2.0 * *line_px * (2.0 * w + 2.0 * h);
    return line ? DRAWN_LINE : FRAME;
}

/* Straight on all four sides, and not solid. */
static bool is_boxed(const tb_mask *dark, const piece *p, bool tone, int tolerance)
{
    if ((double)p->area_px > SOLID * tb__box_area(p->box))
        return false;
    for (int side = 0; side < 4; side++)
        if (walk(dark, p->box, side, tone, tolerance).covered < FRAME_COVER)
            return false;
    return true;
}

/* Two such beside each other, neither small, are two boards. */
static bool has_two_boards(const tb_mask *dark, const pieces *figure, bool tone, int tolerance)
{
    double one = tb__box_area(figure->widest.box), other = tb__box_area(figure->beside.box);
    return other >= OTHER_LEAST * one &&
           one + other >= BOTH_LEAST * (double)tb_mask_area_px(dark) &&
           is_boxed(dark, &figure->widest, tone, tolerance) &&
           is_boxed(dark, &figure->beside, tone, tolerance);
}

/* Letters and dust around it count for nothing. */
static bool is_one(const pieces *p)
{
    return (double)p->second_px < SMALL * (double)p->largest.area_px;
}

/* Both tones are one piece, as a shape on paper and the paper are; or both are several, most of it
 * in the largest. A ground of dark is wood: nobody prints paper. */
static bool in_doubt(const tb_mask *dark, const pieces *figure, const pieces *rest, int tolerance)
{
    if (is_one(figure) != is_one(rest) || is_boxed(dark, &figure->widest, true, tolerance))
        return false;
    if (is_one(figure))
        return (double)figure->area_px > SHAPE_LEAST * (double)tb_mask_area_px(dark) &&
               (double)figure->largest.area_px < SOLID * tb__box_area(figure->largest.box);
    return fmin(figure->share, rest->share) > MOST;
}

/* Moves each side in past a drawn line, which is within reach. */
static tb__box step_inside(const tb_mask *dark, tb__box box, bool tone, int reach)
{
    tb__box inside = {box.left + walk(dark, box, 0, tone, reach).past,
            box.top + walk(dark, box, 1, tone, reach).past,
            box.right - walk(dark, box, 2, tone, reach).past,
            box.bottom - walk(dark, box, 3, tone, reach).past};
    return inside;
}

/* How far in a side has to move until the tone covers it, as nearly as it does within reach. A side
 * that is straight nowhere stays. */
static int sliver(const tb_mask *dark, tb__box box, int side, bool tone, int reach)
{
    double most = 0;
    int best = 0;
    for (int i = 0; i <= reach; i++) {
        double covered = walk(dark, box, side, tone, 0).covered;
        if (covered > most + 0.002) {
            most = covered;
            best = i;
        }
        if (covered >= 0.995)
            break;
        box.left += side == 0;
        box.top += side == 1;
        box.right -= side == 2;
        box.bottom -= side == 3;
    }
    return most >= FRAME_COVER ? best : 0;
}

/* Moves each side in to where the wood covers it, so that no sliver of paper stays. */
static tb__box trim(const tb_mask *dark, tb__box box, bool tone, int reach)
{
    int by[4];
    for (int side = 0; side < 4; side++)
        by[side] = sliver(dark, box, side, tone, reach);
    return (tb__box){box.left + by[0], box.top + by[1], box.right - by[2], box.bottom - by[3]};
}

static tb_status cut(tb_mask **out, const tb_mask *mask, tb__box box, tb_error *err)
{
    tb_status status =
            tb_mask_new(out, box.right - box.left, box.bottom - box.top, mask->px_per_mm, err);
    for (int y = box.top; !status && y < box.bottom; y++)
        memcpy((*out)->px + (size_t)(y - box.top) * (size_t)(*out)->width_px,
                mask->px + (size_t)y * (size_t)mask->width_px + box.left, (size_t)(*out)->width_px);
    return status;
}

static tb_status find_board(tb__board *out, const tb_mask *dark, tb_wood_tone wood, bool in_line,
        const tb_job *job, tb_error *err);

/* ground: the tone that both lies outside the drawn line and begins inside it. Outside it shows in
 * the box, too, where the line is not quite level. */
static tb_status find_inside(tb__board *out, const tb_mask *dark, tb__box box, bool ground,
        int tolerance, tb_wood_tone wood, const tb_job *job, tb_error *err)
{
    tb_mask *inside;
    tb__box within = trim(dark, step_inside(dark, box, !ground, tolerance), ground, tolerance);
    tb_status status = cut(&inside, dark, within, err);
    if (status)
        return status;
    status = find_board(out, inside, wood, true, job, err);
    tb_mask_free(inside);
    out->box.left += within.left;
    out->box.right += within.left;
    out->box.top += within.top;
    out->box.bottom += within.top;
    return status;
}

static tb_status find_board(tb__board *out, const tb_mask *dark, tb_wood_tone wood, bool in_line,
        const tb_job *job, tb_error *err)
{
    int w = dark->width_px, h = dark->height_px, line_px;
    int tolerance = (w < h ? w : h) / 250;
    if (tolerance < LEAST_TOLERANCE_PX)
        tolerance = LEAST_TOLERANCE_PX;
    bool ground = ground_of(dark);
    pieces figure, rest;
    tb_status status = find_pieces(&figure, dark, !ground, job, err);
    if (!status)
        status = find_pieces(&rest, dark, ground, job, err);
    if (status)
        return status;
    standing frame = judge_frame(dark, &figure.widest, !ground, tolerance, &line_px);
    if (!in_line && has_two_boards(dark, &figure, !ground, tolerance))
        return tb_fail(err, TB_EREAD, "two patterns stand on this sheet; give a picture of each");
    if (frame == DRAWN_LINE && !in_line)
        return find_inside(
                out, dark, figure.widest.box, ground, tolerance + line_px, wood, job, err);
    bool figure_is_wood = frame == FRAME || figure.share > rest.share + 0.002;
    bool on_paper = frame != FRAME && !in_line && !ground;
    out->in_doubt = on_paper && wood == TB_WOOD_FOUND && in_doubt(dark, &figure, &rest, tolerance);
    if (wood != TB_WOOD_FOUND)
        figure_is_wood = (wood == TB_WOOD_DARK) == !ground;
    out->wood_is_dark = figure_is_wood != ground;
    out->box = (tb__box){0, 0, w, h};
    out->undrawn = on_paper && !figure_is_wood;
    if (figure_is_wood)
        out->box = trim(
                dark, frame == FRAME ? figure.widest.box : figure.largest.box, !ground, tolerance);
    return TB_OK;
}

tb_status tb__board_find(
        tb__board *out, const tb_mask *dark, tb_wood_tone wood, const tb_job *job, tb_error *err)
{
    *out = (tb__board){{0, 0, dark->width_px, dark->height_px}, false, false, false};
    return find_board(out, dark, wood, false, job, err);
}
