/* pattern/opening.c: what can be said of openings: whether a drill and a blade fit, how far they
 * keep from the board's edge, and where to drill.
 *
 * A part of an opening is what is left of it where it is no narrower than the kerf. The saw can't
 * pass from part to part, so each has its own entry hole.
 */
#include "base/alloc.h"
#include "base/array.h"
#include "base/num.h"
#include "pattern/breadth.h"
#include "pattern/entry.h"
#include "pattern/survey.h"

#include <math.h>

#define PI 3.14159265358979323846

typedef struct {
    tb__survey *s;
    tb_disc *discs;         /* of each opening */
    const tb_labels *parts; /* openings no narrower than the kerf */
    tb_disc *part_discs;    /* of each part, in the opening as drawn */
    double need_px;         /* from an entry hole's centre to the centre of the nearest wood */
} openings;

static uint16_t d2_at(const tb__survey *s, int x, int y)
{
    return s->ground->opening_d2[(size_t)y * (size_t)s->mask->width_px + (size_t)x];
}

static void fill_openings(openings *o)
{
    tb__survey *s = o->s;
    tb_inspection *result = s->result;
    for (int32_t i = 0; i < s->openings->n_pieces; i++) {
        int32_t index = s->opening_of[i];
        if (index < 0)
            continue;
        const tb_piece *piece = &s->openings->pieces[i];
        tb_opening *opening = &result->openings[index];
        double mm = 1 / s->px_per_mm;
        opening->area_mm2 = (double)piece->area_px * mm * mm;
        opening->left_mm = piece->left_px * mm;
        opening->top_mm = piece->top_px * mm;
        opening->right_mm = piece->right_px * mm;
        opening->bottom_mm = piece->bottom_px * mm;
        opening->x_mm = o->discs[i].x_px * mm;
        opening->y_mm = o->discs[i].y_px * mm;
        opening->disc_mm = 2 * o->discs[i].radius_px * mm;
    }
}

static bool is_tight(const openings *o, int32_t piece)
{
    const tb_limits *limits = o->s->limits;
    double disc_mm = (2 * o->discs[piece].radius_px + TB__GRAIN_PX) / o->s->px_per_mm;
    return disc_mm < limits->drill_mm + limits->drill_room_mm;
}

static tb_status check_tight(openings *o, int32_t piece)
{
    tb__survey *s = o->s;
    if (!is_tight(o, piece))
        return TB_OK;
    const tb_disc *disc = &o->discs[piece];
    tb_finding *finding =
            tb__add_finding(s, TB_FINDING_TIGHT_OPENING, TB_MUST, disc->x_px, disc->y_px);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = 2 * disc->radius_px / s->px_per_mm;
    finding->limit = s->limits->drill_mm + s->limits->drill_room_mm;
    tb__advise(finding, "Widen this opening until a disc of %s mm fits, or close it.",
            tb_num_of(finding->limit, 2).text);
    return tb__set_piece_extent(s, finding, s->openings, piece);
}

/* Whether the run ends where its piece comes nearest to side 0 left, 2 right of the board. */
static bool reaches_side(const tb_run *run, const tb_piece *p, int side)
{
    return side == 0 ? run->x_px == p->left_px : run->end_px == p->right_px;
}

/* Where the opening comes nearest to side 0 left, 1 top, 2 right, 3 bottom of the board: the middle
 * of the first such stretch, in pixels, on the opening's line. */
static tb_point nearest_to_side(const tb__survey *s, int32_t piece, int side)
{
    const tb_labels *labels = s->openings;
    const tb_piece *p = &labels->pieces[piece];
    int first = side == 3 ? p->bottom_px - 1 : p->top_px;
    for (size_t i = labels->row_runs[first]; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        if (run->piece != piece)
            continue;
        if (side & 1)
            return (tb_point){(run->x_px + run->end_px) / 2.0, run->y_px + (side == 3)};
        if (!reaches_side(run, p, side))
            continue;
        int x = side == 0 ? p->left_px : p->right_px - 1, end = run->y_px + 1;
        while (end < p->bottom_px && tb_labels_at(labels, x, end) == piece)
            end++;
        return (tb_point){x + (side == 2), (run->y_px + end) / 2.0};
    }
    return (tb_point){p->x_px, p->y_px};
}

/* The wood between an opening and a side of the board, to a whole pixel at first. */
typedef struct {
    tb_point at, edge; /* its ends, px */
    double width_px;
} rim;

static rim measure_rim(const tb__survey *s, int32_t piece, int side, int margin_px)
{
    rim r = {.at = nearest_to_side(s, piece, side), .width_px = margin_px};
    r.edge = r.at;
    if (side & 1)
        r.edge.y_mm = side == 1 ? 0 : s->mask->height_px;
    else
        r.edge.x_mm = side == 0 ? 0 : s->mask->width_px;
    tb_breadth breadth;
    double x = (r.at.x_mm + r.edge.x_mm) / 2, y = (r.at.y_mm + r.edge.y_mm) / 2;
    if (tb_breadth_measure(&breadth, s->mask, 1, true, (int)x, (int)y, margin_px / 2.0) &&
            breadth.sure && fabs(breadth.width_px - margin_px) < 1)
        r.width_px = breadth.width_px;
    return r;
}

static tb_status add_thin_frame(tb__survey *s, const rim *r, int side)
{
    tb_point at = r->at, edge = r->edge;
    double width = s->mask->width_px, height = s->mask->height_px;
    double frame_mm = r->width_px / s->px_per_mm;
    bool must = frame_mm < s->limits->bridge_must_mm - TB__GRAIN_PX / s->px_per_mm;
    tb_finding *finding = tb__add_finding(s, TB_FINDING_THIN_FRAME, must ? TB_MUST : TB_SHOULD,
            (at.x_mm + edge.x_mm) / 2, (at.y_mm + edge.y_mm) / 2);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = frame_mm;
    finding->limit = must ? s->limits->bridge_must_mm : s->limits->frame_mm;
    tb__advise(finding, "Keep this opening %s mm away from the board's edge.",
            tb_num_of(s->limits->frame_mm, 2).text);
    /* A piece of the frame, half its proper width to either side. */
    double reach = s->limits->frame_mm / 2 * s->px_per_mm;
    double along_x = side & 1 ? reach : 0, along_y = side & 1 ? 0 : reach;
    tb_point box[4];
    for (int k = 0; k < 4; k++) {
        tb_point corner = k & 1 ? at : edge;
        double sign = k & 2 ? 1 : -1;
        box[k].x_mm = fmin(fmax(corner.x_mm + sign * along_x, 0), width);
        box[k].y_mm = fmin(fmax(corner.y_mm + sign * along_y, 0), height);
    }
    return tb__set_extent(s, finding, box, 4);
}

static tb_status check_frame(openings *o, int32_t piece)
{
    tb__survey *s = o->s;
    const tb_piece *p = &s->openings->pieces[piece];
    int margin[4] = {p->left_px, p->top_px, s->mask->width_px - p->right_px,
            s->mask->height_px - p->bottom_px};
    int side = 0;
    for (int k = 1; k < 4; k++)
        if (margin[k] < margin[side])
            side = k;
    double *narrowest = &s->result->narrowest_wood_mm;
    if (margin[side] - 1 > fmax(s->limits->frame_mm, *narrowest) * s->px_per_mm)
        return TB_OK;
    rim r = measure_rim(s, piece, side, margin[side]);
    *narrowest = fmin(*narrowest, r.width_px / s->px_per_mm);
    /* A frame drawn at its proper width may have lost part of a pixel. */
    if ((margin[side] + 0.999) / s->px_per_mm >= s->limits->frame_mm)
        return TB_OK;
    return add_thin_frame(s, &r, side);
}

/* The pixel of this part, clear of the line, that lies nearest to a corner; false if none lies
 * within three times what is needed. */
static bool hole_at_corner(
        int *x_out, int *y_out, const openings *o, int32_t part, const tb_corner *corner)
{
    const tb__survey *s = o->s;
    double cx = corner->x_mm * s->px_per_mm, cy = corner->y_mm * s->px_per_mm;
    int reach = (int)(3 * o->need_px), left = (int)cx - reach, top = (int)cy - reach;
    double nearest = (double)reach * reach, need_d2 = o->need_px * o->need_px;
    bool found = false;
    for (int y = top < 0 ? 0 : top; y < top + 2 * reach && y < s->mask->height_px; y++)
        for (int x = left < 0 ? 0 : left; x < left + 2 * reach && x < s->mask->width_px; x++) {
            double dx = x + 0.5 - cx, dy = y + 0.5 - cy, r2 = dx * dx + dy * dy;
            if (r2 >= nearest || d2_at(s, x, y) < need_d2 || tb_labels_at(o->parts, x, y) != part)
                continue;
            nearest = r2;
            *x_out = x;
            *y_out = y;
            found = true;
        }
    return found;
}

static bool has_room(const openings *o, int32_t part, int x, int y)
{
    const tb_mask *mask = o->s->mask;
    bool inside = x >= 0 && y >= 0 && x < mask->width_px && y < mask->height_px;
    return inside && d2_at(o->s, x, y) >= o->need_px * o->need_px &&
           tb_labels_at(o->parts, x, y) == part;
}

/* As far from the corner again: the sides of a tip are twice as far apart there, and neither a bit
 * that wanders nor the blade being threaded hurts them. */
static void leave_tip(int *x, int *y, const openings *o, int32_t part, const tb_corner *corner)
{
    int at_x = (int)floor(2 * (*x + 0.5) - corner->x_mm * o->s->px_per_mm);
    int at_y = (int)floor(2 * (*y + 0.5) - corner->y_mm * o->s->px_per_mm);
    if (!has_room(o, part, at_x, at_y))
        return;
    *x = at_x;
    *y = at_y;
}

/* From the middle of the largest disc straight towards the line, by the shortest of so many ways:
 * as near as is clear of it, and its own width back. */
static void hole_near_line(
        int *x_out, int *y_out, const openings *o, int32_t part, const tb_disc *disc)
{
    enum { WAYS = 16 };
    const double back_px = o->s->limits->drill_mm * o->s->px_per_mm;
    double shortest = INFINITY, across = 0, down = 0;
    for (int way = 0; way < WAYS; way++) {
        double angle = 2 * PI * way / WAYS, far = 1;
        while (far < shortest && has_room(o, part, (int)floor(disc->x_px + far * cos(angle)),
                                         (int)floor(disc->y_px + far * sin(angle))))
            far++;
        if (far >= shortest)
            continue;
        shortest = far;
        across = cos(angle);
        down = sin(angle);
    }
    double far = fmax(shortest - 1 - back_px, 0);
    *x_out = (int)floor(disc->x_px + far * across);
    *y_out = (int)floor(disc->y_px + far * down);
}

enum { CORNERS_TRIED = 8, ROOMY = 3 };

/* The opening's corners, sharpest first, at most CORNERS_TRIED. */
static int sharpest_corners(
        const tb_corner *corners[CORNERS_TRIED], const tb_inspection *result, int opening)
{
    int n = 0;
    for (size_t i = 0; i < result->n_corners; i++) {
        const tb_corner *corner = &result->corners[i];
        if (corner->opening != opening || corner->turn_rad <= 0)
            continue;
        int k = n < CORNERS_TRIED ? n++ : CORNERS_TRIED;
        for (; k > 0 && corners[k - 1]->turn_rad < corner->turn_rad; k--)
            if (k < CORNERS_TRIED)
                corners[k] = corners[k - 1];
        if (k < CORNERS_TRIED)
            corners[k] = corner;
    }
    return n;
}

static tb_status check_crowded(
        openings *o, int32_t piece, const tb_entry_hole *hole, double clear_mm)
{
    tb__survey *s = o->s;
    double grain_mm = TB__GRAIN_PX / s->px_per_mm;
    if (clear_mm >= s->limits->hole_clear_mm - grain_mm || is_tight(o, piece) ||
            tb__is_speck(s, &s->openings->pieces[piece]))
        return TB_OK;
    double x = hole->x_mm * s->px_per_mm, y = hole->y_mm * s->px_per_mm;
    tb_finding *finding = tb__add_finding(s, TB_FINDING_CROWDED_HOLE, TB_MUST, x, y);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = fmax(clear_mm, 0);
    finding->limit = s->limits->hole_clear_mm;
    tb__advise(finding, "Widen this opening at its entry hole, or drill smaller than %s mm.",
            tb_num_of(hole->drill_mm, 2).text);
    double r = (hole->drill_mm / 2 + s->limits->hole_clear_mm) * s->px_per_mm;
    tb_point box[4] = {{x - r, y - r}, {x + r, y - r}, {x + r, y + r}, {x - r, y + r}};
    return tb__set_extent(s, finding, box, 4);
}

/* Puts the hole of a part (-1: of an opening too narrow to have any). */
static tb_status add_hole(openings *o, int32_t piece, int32_t part, const tb_disc *disc)
{
    tb__survey *s = o->s;
    tb_inspection *result = s->result;
    int opening = s->opening_of[piece], x = (int)disc->x_px, y = (int)disc->y_px;
    double at_x = disc->x_px, at_y = disc->y_px, clear_px = disc->radius_px;
    if (part >= 0 && d2_at(s, x, y) >= o->need_px * o->need_px) {
        const tb_corner *corners[CORNERS_TRIED];
        int n = sharpest_corners(corners, result, opening), k = 0;
        while (k < n && !hole_at_corner(&x, &y, o, part, corners[k]))
            k++;
        if (k == n)
            hole_near_line(&x, &y, o, part, disc);
        else if (disc->radius_px >= ROOMY * o->need_px)
            leave_tip(&x, &y, o, part, corners[k]);
        at_x = x + 0.5;
        at_y = y + 0.5;
        clear_px = sqrt(d2_at(s, x, y)) - 0.5;
    }
    if (!tb_array_reserve(&result->holes, &s->room_holes, result->n_holes, 1))
        return tb_fail_memory(s->err);
    tb_entry_hole hole = {at_x / s->px_per_mm, at_y / s->px_per_mm, s->limits->drill_mm, opening};
    result->holes[result->n_holes++] = hole;
    return check_crowded(o, piece, &hole, clear_px / s->px_per_mm - hole.drill_mm / 2);
}

/* One hole for each part worth the name, or for the opening itself. */
static tb_status add_holes(openings *o)
{
    tb__survey *s = o->s;
    bool *drilled = tb_calloc((size_t)s->openings->n_pieces, sizeof *drilled);
    if (!drilled)
        return tb_fail_memory(s->err);
    tb_status status = TB_OK;
    for (int32_t i = 0; i < o->parts->n_pieces && !status; i++) {
        const tb_run *run = &o->parts->runs[o->parts->pieces[i].first_run];
        int32_t piece = tb_labels_at(s->openings, run->x_px, run->y_px);
        if (piece < 0 || s->opening_of[piece] < 0)
            continue;
        bool small = tb__is_speck(s, &o->parts->pieces[i]);
        if (small && !tb__is_speck(s, &s->openings->pieces[piece]))
            continue;
        status = add_hole(o, piece, i, &o->part_discs[i]);
        drilled[piece] = true;
    }
    for (int32_t i = 0; i < s->openings->n_pieces && !status; i++)
        if (s->opening_of[i] >= 0 && !drilled[i])
            status = add_hole(o, i, -1, &o->discs[i]);
    tb_free(drilled);
    return status;
}

/* The discs of the openings and those of the parts, which have nothing to do with each other. */
enum { OF_OPENINGS, OF_PARTS };

typedef struct {
    openings *o;
    tb_error err[2];
    tb_status status[2];
} finding_discs;

static void find_discs_cb(void *payload, size_t i)
{
    finding_discs *f = payload;
    openings *o = f->o;
    tb__survey *s = o->s;
    bool parts = i == OF_PARTS;
    f->status[i] = tb__ground_discs(parts ? o->part_discs : o->discs, s->ground,
            parts ? &s->ground->parts : &s->ground->openings, parts ? o->parts : s->openings,
            s->mask, s->changed, s->job, &f->err[i]);
}

static tb_status find_discs(openings *o)
{
    tb__survey *s = o->s;
    o->parts = s->ground->part_pieces;
    o->discs = tb_malloc((size_t)s->openings->n_pieces, sizeof *o->discs);
    o->part_discs = tb_malloc((size_t)o->parts->n_pieces, sizeof *o->part_discs);
    if (!o->discs || !o->part_discs)
        return tb_fail_memory(s->err);
    finding_discs f = {.o = o};
    tb_job_each(s->job, 2, find_discs_cb, &f);
    for (int i = 0; i < 2; i++)
        if (f.status[i])
            return tb_fail(s->err, f.status[i], "%s", f.err[i].text);
    return TB_OK;
}

static tb_status check_openings(openings *o)
{
    tb__survey *s = o->s;
    tb_status status = TB_OK;
    for (int32_t i = 0; i < s->openings->n_pieces && !status; i++) {
        if (s->opening_of[i] < 0 || tb__is_speck(s, &s->openings->pieces[i]))
            continue;
        double disc_mm = s->result->openings[s->opening_of[i]].disc_mm;
        double *narrowest = &s->result->narrowest_opening_mm;
        if (*narrowest == 0 || disc_mm < *narrowest)
            *narrowest = disc_mm;
        status = check_tight(o, i);
        if (!status)
            status = check_frame(o, i);
    }
    return status;
}

tb_status tb__inspect_openings(tb__survey *s)
{
    double need_mm = s->limits->drill_mm / 2 + s->limits->hole_clear_mm;
    openings o = {.s = s, .need_px = need_mm * s->px_per_mm + 0.5};
    tb_status status = find_discs(&o);
    if (!status)
        fill_openings(&o);
    if (!status)
        status = tb__inspect_rim(s);
    if (!status)
        status = check_openings(&o);
    if (!status)
        status = add_holes(&o);
    tb_free(o.discs);
    tb_free(o.part_discs);
    return status;
}
