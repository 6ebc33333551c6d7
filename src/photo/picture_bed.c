/* photo/picture_bed.c: what a scan or photograph shows beside the sheet of paper.
 *
 * With the lid open, or on a table, the sheet lies in the dark. That dark reaches the picture's
 * edge, ends along straight sides, and no wood joins it to the pattern; a frame of wood that runs
 * to the picture's edge is joined to its openings' other sides. The picture is looked at in cells:
 *
 * 1. From the edge inwards all dark cells are followed; what remains has to be the sheet: convex,
 *    its sides near to level and upright.
 * 2. On it something has to be drawn. Where the dark goes all the way round, it could be a frame
 *    with a loose piece in it; it is none if that piece has a convex outline and light in it, for
 *    then that is the board.
 * 3. The dark is painted over with the paper nearest to it, and what lies beyond the sheet cut off.
 */
#include "photo/picture_private.h"

#include "base/alloc.h"
#include "image/label.h"
#include "image/width.h"

#include <math.h>
#include <string.h>

/* Paint reaches REACH cells into the sheet, over the blur. */
enum { REACH = 2, ASIDE = 2, LEAST_APART = 30, INK_APART = 24, LOOK = 61 };

/* Of a side, that the dark covers; of each, where it goes all round. Of the dark, that lies inside
 * the sheet's hull. Of its rim, that is a step. Of its box, that another sheet has. Of the hull's
 * length, that is neither level nor upright. Of the sheet, that is drawn on. Of its hull and of the
 * sheet, that a board fills; of what it encloses, that is dark. */
static const double SIDE_LEAST = 0.3, SIDE_ALL = 0.9, HOLLOW_MOST = 0.35, SHARP_LEAST = 0.8,
                    OTHER_MOST = 0.1, SLANT_MOST = 0.04, DRAWN_LEAST = 0.02, CONVEX = 0.97,
                    BOARD_LEAST = 0.2, SOLID = 0.99, INK_SHARE = 0.01;
static const double SLANT = 0.287; /* tan 16 degrees */

/* Masks of the picture's cells. */
typedef struct {
    const tb__grey *grey;
    int size_px;
    int level, step;  /* below it is dark; by which a sheet ends, at least */
    uint8_t *darkest; /* of each cell's pixels */
    tb_mask *beside;  /* the dark that reaches the edge */
    tb_mask *drawn;   /* what the sheet's paper encloses */
    bool several;     /* another sheet lies beside this */
} sheet_cells;

/* The tone that a share of the values lies below. */
static int quantile(const uint32_t histogram[256], double share)
{
    double n = 0, sum = 0;
    int tone = 0;
    for (int i = 0; i < 256; i++)
        n += histogram[i];
    while (tone < 255 && (sum += histogram[tone]) <= share * n)
        tone++;
    return tone;
}

/* The darkest of the four sides, by what a tenth of it is darker than. */
static int darkest_side(const tb__grey *grey)
{
    uint32_t sides[4][256] = {{0}};
    size_t w = (size_t)grey->width_px, h = (size_t)grey->height_px;
    for (size_t x = 0; x < w; x++) {
        sides[0][grey->px[x]]++;
        sides[1][grey->px[(h - 1) * w + x]]++;
    }
    for (size_t y = 0; y < h; y++) {
        sides[2][grey->px[y * w]]++;
        sides[3][grey->px[y * w + w - 1]]++;
    }
    int least = 255;
    for (int i = 0; i < 4; i++)
        least = quantile(sides[i], 0.1) < least ? quantile(sides[i], 0.1) : least;
    return least;
}

/* What a tenth of the picture is lighter than, by some of its pixels. */
static int lightest(const tb__grey *grey)
{
    uint32_t histogram[256] = {0};
    size_t n = (size_t)grey->width_px * (size_t)grey->height_px;
    for (size_t i = 0; i < n; i += LOOK)
        histogram[grey->px[i]]++;
    return quantile(histogram, 0.9);
}

/* A set of cells, filled between the first and the last in each row. */
typedef struct {
    double area, hull; /* of the set; of its hull */
    double around;     /* the length of the hull */
    double slanting;   /* the part of that that is neither level nor upright */
    tb__box box;
} shape;

typedef struct {
    int x, y;
} corner;

/* Adds a corner to one side of the hull, which turns one way: clockwise downwards on the right. */
static int extend(corner *hull, int n, corner to, bool right)
{
    while (n >= 2) {
        corner a = hull[n - 2], b = hull[n - 1];
        int64_t turn = (int64_t)(b.x - a.x) * (to.y - a.y) - (int64_t)(b.y - a.y) * (to.x - a.x);
        if (right ? turn > 0 : turn < 0)
            break;
        n--;
    }
    hull[n] = to;
    return n + 1;
}

static void add_side(shape *s, const corner *hull, int n, bool right)
{
    for (int i = 1; i < n; i++) {
        double dx = hull[i].x - hull[i - 1].x, dy = hull[i].y - hull[i - 1].y;
        double length = hypot(dx, dy);
        s->hull += (right ? 0.5 : -0.5) * dy * (hull[i].x + hull[i - 1].x);
        s->around += length;
        if (fabs(dx) > SLANT * fabs(dy) && fabs(dy) > SLANT * fabs(dx))
            s->slanting += length;
    }
}

/* Of what is, or is not, in a mask. */
static tb_status measure(shape *s, const tb_mask *mask, bool value, tb_error *err)
{
    int width = mask->width_px, height = mask->height_px, n[2] = {0, 0};
    corner *hull = tb_malloc(4 * (size_t)height, sizeof *hull), *sides[2] = {hull, NULL};
    *s = (shape){.box = {width, height, 0, 0}};
    if (!hull)
        return tb_fail_memory(err);
    sides[1] = hull + 2 * height;
    for (int y = 0; y < height; y++) {
        const uint8_t *row = mask->px + (size_t)y * (size_t)width;
        int first = 0, end = width;
        while (first < width && row[first] != value)
            first++;
        if (first == width)
            continue;
        while (row[end - 1] != value)
            end--;
        for (int side = 0; side < 2; side++) {
            int x = side ? end : first;
            n[side] = extend(sides[side], n[side], (corner){x, y}, side);
            n[side] = extend(sides[side], n[side], (corner){x, y + 1}, side);
        }
        s->area += end - first;
        tb__box *b = &s->box;
        *b = (tb__box){first < b->left ? first : b->left, y < b->top ? y : b->top,
                end > b->right ? end : b->right, y + 1};
    }
    for (int side = 0; side < 2; side++)
        add_side(s, sides[side], n[side], side);
    if (n[0])
        s->around += sides[1][0].x - sides[0][0].x + sides[1][n[1] - 1].x - sides[0][n[0] - 1].x;
    tb_free(hull);
    return TB_OK;
}

static bool at(const tb_mask *mask, int x, int y)
{
    return mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x];
}

static double count(const tb_mask *mask)
{
    size_t n = 0, area = tb_mask_area_px(mask);
    for (size_t i = 0; i < area; i++)
        n += mask->px[i];
    return (double)n;
}

/* Of the picture's sides that a mask covers: the least and the greatest share. */
static void cover_sides(double *least, double *most, const tb_mask *mask)
{
    int w = mask->width_px, h = mask->height_px, n[4] = {0};
    for (int x = 0; x < w; x++) {
        n[0] += mask->px[x];
        n[1] += mask->px[(size_t)(h - 1) * (size_t)w + (size_t)x];
    }
    for (int y = 0; y < h; y++) {
        n[2] += mask->px[(size_t)y * (size_t)w];
        n[3] += mask->px[(size_t)y * (size_t)w + (size_t)w - 1];
    }
    *least = 1;
    *most = 0;
    for (int i = 0; i < 4; i++) {
        double share = (double)n[i] / (i < 2 ? w : h);
        *least = fmin(*least, share);
        *most = fmax(*most, share);
    }
}

enum { AT_EDGE = -2 };

/* Takes a piece into a mask, or all that touch the edge. */
static void take(tb_mask *mask, const tb_labels *labels, int32_t piece)
{
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        if (piece == AT_EDGE ? labels->pieces[run->piece].at_edge : run->piece == piece)
            memset(mask->px + (size_t)run->y_px * (size_t)mask->width_px + run->x_px, 1,
                    (size_t)(run->end_px - run->x_px));
    }
}

/* A sheet ends in a step, light that falls unevenly in none. Looked at a cell beyond the two that a
 * step may be blurred over. */
static bool is_sharp(const sheet_cells *c)
{
    int w = c->beside->width_px, h = c->beside->height_px;
    size_t n = 0, n_sharp = 0;
    for (int y = ASIDE; y + ASIDE < h; y++)
        for (int x = ASIDE; x + ASIDE < w; x++)
            for (int k = 0; k < 2; k++) {
                int dx = k == 0, dy = k == 1;
                bool here = at(c->beside, x, y);
                if (here == at(c->beside, x + dx, y + dy))
                    continue;
                int before = c->darkest[(y - dy) * w + x - dx];
                int after = c->darkest[(y + 2 * dy) * w + x + 2 * dx];
                n++;
                n_sharp += (here ? after - before : before - after) >= c->step;
            }
    return (double)n_sharp >= SHARP_LEAST * (double)n;
}

/* The dark that reaches the edge, followed inwards, and all that is not the sheet. room: a mask. */
static tb_status find_beside(sheet_cells *c, tb_mask *room, const tb_job *job, tb_error *err)
{
    tb_labels *labels;
    size_t n = tb_mask_area_px(room);
    for (size_t i = 0; i < n; i++)
        room->px[i] = c->darkest[i] < c->level;
    tb_status status = tb_label_wood(&labels, room, job, err);
    if (status)
        return status;
    take(c->beside, labels, AT_EDGE);
    tb_labels_free(labels);
    status = tb_label_openings(&labels, c->beside, job, err);
    if (status)
        return status;
    const tb_piece *pieces = labels->pieces;
    int32_t sheet = tb__widest(labels);
    for (int32_t i = 0; i < labels->n_pieces; i++)
        c->several |= i != sheet && tb__box_area(tb__box_of(&pieces[i])) >
                                            OTHER_MOST * tb__box_area(tb__box_of(&pieces[sheet]));
    memset(room->px, 0, n);
    take(room, labels, sheet);
    for (size_t i = 0; i < n; i++)
        c->beside->px[i] = !room->px[i];
    tb_labels_free(labels);
    return TB_OK;
}

/* Between the paper and what is on it; 0 where nothing is. */
static int ink_level(const sheet_cells *c)
{
    uint32_t histogram[256] = {0};
    const tb__grey *grey = c->grey;
    for (int y = 0; y < c->beside->height_px; y++)
        for (int x = 0; x < c->beside->width_px; x++) {
            int at_x = x * c->size_px + c->size_px / 2, at_y = y * c->size_px + c->size_px / 2;
            if (!at(c->beside, x, y) && at_x < grey->width_px && at_y < grey->height_px)
                histogram[grey->px[(size_t)at_y * (size_t)grey->width_px + (size_t)at_x]]++;
        }
    int dark = quantile(histogram, INK_SHARE), light = quantile(histogram, 1 - INK_SHARE);
    return light - dark < INK_APART ? 0 : (dark + light + 1) / 2;
}

/* What the sheet's paper, its widest light piece, leaves of it. room: a mask. */
static tb_status find_drawn(sheet_cells *c, tb_mask *room, const tb_job *job, tb_error *err)
{
    tb_labels *labels;
    int level = ink_level(c);
    size_t n = tb_mask_area_px(room);
    for (size_t i = 0; i < n; i++)
        room->px[i] = !c->beside->px[i] && c->darkest[i] >= level;
    tb_status status = tb_label_wood(&labels, room, job, err);
    if (status)
        return status;
    memset(room->px, 0, n);
    take(room, labels, tb__widest(labels));
    for (size_t i = 0; i < n; i++)
        c->drawn->px[i] = !c->beside->px[i] && !room->px[i];
    tb_labels_free(labels);
    return TB_OK;
}

/* Whether the widest thing on the sheet has a convex outline, and light in it. room: a mask. */
static tb_status is_board(bool *board, const sheet_cells *c, tb_mask *room, double n_sheet,
        const tb_job *job, tb_error *err)
{
    tb_labels *labels;
    shape s;
    size_t n = tb_mask_area_px(room), n_dark = 0;
    int level = ink_level(c);
    tb_status status = tb_label_wood(&labels, c->drawn, job, err);
    if (status)
        return status;
    memset(room->px, 0, n);
    take(room, labels, tb__widest(labels));
    tb_labels_free(labels);
    for (size_t i = 0; i < n; i++)
        n_dark += room->px[i] && c->darkest[i] < level;
    status = measure(&s, room, true, err);
    *board = !status && s.area >= CONVEX * s.hull && s.area >= BOARD_LEAST * n_sheet &&
             (double)n_dark <= SOLID * s.area;
    return status;
}

/* Whether there is a sheet with something on it, beside which it is dark; and its box in cells. */
static tb_status find_sheet(
        bool *found, tb__box *box, sheet_cells *c, const tb_job *job, tb_error *err)
{
    shape s;
    tb_mask *room;
    double least, most, n_beside, n_sheet;
    *found = false;
    tb_status status = tb_mask_new(&room, c->beside->width_px, c->beside->height_px, 1, err);
    if (status)
        return status;
    status = find_beside(c, room, job, err);
    if (!status)
        status = measure(&s, c->beside, false, err);
    if (status)
        goto out;
    *box = s.box;
    n_beside = count(c->beside);
    n_sheet = (double)tb_mask_area_px(room) - n_beside;
    cover_sides(&least, &most, c->beside);
    if (c->several || most < SIDE_LEAST || s.hull - n_sheet > HOLLOW_MOST * n_beside ||
            s.slanting > SLANT_MOST * s.around || !is_sharp(c))
        goto out;
    status = find_drawn(c, room, job, err);
    if (status || count(c->drawn) < DRAWN_LEAST * n_sheet)
        goto out;
    *found = true;
    if (least >= SIDE_ALL)
        status = is_board(found, c, room, n_sheet, job, err);
out:
    tb_mask_free(room);
    return status;
}

/* Copies one cell's pixels to another. */
static void paint_cell(tb__grey *grey, int size, int to, int from, int across)
{
    int to_x = to % across * size, to_y = to / across * size;
    int from_x = from % across * size, from_y = from / across * size;
    int most_x = grey->width_px - 1, most_y = grey->height_px - 1;
    for (int y = 0; y < size && to_y + y <= most_y; y++)
        for (int x = 0; x < size && to_x + x <= most_x; x++) {
            int at_x = from_x + x < most_x ? from_x + x : most_x;
            int at_y = from_y + y < most_y ? from_y + y : most_y;
            grey->px[(size_t)(to_y + y) * (size_t)grey->width_px + (size_t)(to_x + x)] =
                    grey->px[(size_t)at_y * (size_t)grey->width_px + (size_t)at_x];
        }
}

/* Paints over what lies beside the sheet, cell by cell outwards from its paper. */
static tb_status paint(sheet_cells *c, tb__grey *grey, const tb_job *job, tb_error *err)
{
    tb_mask *over;
    int width = c->beside->width_px, height = c->beside->height_px;
    size_t n = tb_mask_area_px(c->beside), n_queued = 0;
    tb_status status = tb_grow_wood(&over, c->beside, REACH, job, err);
    if (status)
        return status;
    /* queue: cells in order; from: the paper's cell that each is painted with. */
    int32_t *queue = tb_malloc(2 * n, sizeof *queue), *from = queue ? queue + n : NULL;
    if (!queue)
        status = tb_fail_memory(err);
    for (size_t i = 0; i < n && !status; i++) {
        over->px[i] = over->px[i] && !c->drawn->px[i];
        if (!over->px[i] && !c->drawn->px[i]) {
            from[i] = (int32_t)i;
            queue[n_queued++] = (int32_t)i;
        }
    }
    for (size_t i = 0; i < n_queued; i++) {
        int at = queue[i], x = at % width, y = at / width;
        const int beside[4] = {x > 0 ? at - 1 : at, x < width - 1 ? at + 1 : at,
                y > 0 ? at - width : at, y < height - 1 ? at + width : at};
        for (int k = 0; k < 4; k++) {
            if (!over->px[beside[k]])
                continue;
            over->px[beside[k]] = 0;
            from[beside[k]] = from[at];
            queue[n_queued++] = beside[k];
            paint_cell(grey, c->size_px, beside[k], from[at], width);
        }
    }
    tb_free(queue);
    tb_mask_free(over);
    return status;
}

static void crop(tb__grey *grey, tb__box box)
{
    size_t width = (size_t)(box.right - box.left);
    for (int y = box.top; y < box.bottom; y++)
        memmove(grey->px + (size_t)(y - box.top) * width,
                grey->px + (size_t)y * (size_t)grey->width_px + box.left, width);
    grey->width_px = box.right - box.left;
    grey->height_px = box.bottom - box.top;
}

/* grey is wide enough for cells. */
static tb_status lift(
        tb__grey *grey, tb__box *sheet, sheet_cells *c, const tb_job *job, tb_error *err)
{
    bool found;
    tb__box box;
    tb_status status = find_sheet(&found, &box, c, job, err);
    if (status || !found)
        return status;
    status = paint(c, grey, job, err);
    if (status)
        return status;
    int size = c->size_px;
    *sheet = (tb__box){box.left * size, box.top * size,
            box.right * size < grey->width_px ? box.right * size : grey->width_px,
            box.bottom * size < grey->height_px ? box.bottom * size : grey->height_px};
    crop(grey, *sheet);
    return TB_OK;
}

tb_status tb__bed_lift(tb__grey *grey, tb__box *sheet, const tb_job *job, tb_error *err)
{
    int dark = darkest_side(grey), light = lightest(grey);
    sheet_cells c = {.grey = grey, .level = (dark + light + 1) / 2, .step = (light - dark) / 3};
    tb__cells all;
    *sheet = (tb__box){0, 0, grey->width_px, grey->height_px};
    if (light - dark < LEAST_APART)
        return TB_OK;
    tb_status status = tb__cells_new(&all, grey, false, err);
    if (status)
        return status;
    c.darkest = all.tone;
    c.size_px = all.size_px;
    status = tb_mask_new(&c.beside, all.width, all.height, 1, err);
    if (!status)
        status = tb_mask_new(&c.drawn, all.width, all.height, 1, err);
    if (!status)
        status = lift(grey, sheet, &c, job, err);
    tb_free(all.tone);
    tb_mask_free(c.beside);
    tb_mask_free(c.drawn);
    return status;
}
