/* photo/picture_angle.c: a picture taken at an angle, set square.
 *
 * What stands on the ground and is widest, a board or its sheet, has a corner farthest in each of
 * the four slanting directions. Between two corners its side is looked for from outside, to parts
 * of a pixel, and a straight line fitted to what is found. Where the four lines meet are the
 * corners; if the board's true sides are known, they give the one homography that maps it to a
 * rectangle.
 */
#include "photo/picture_private.h"

#include "base/alloc.h"
#include "image/label.h"

#include <math.h>

enum { N_LOOKS = 200, N_FITS = 5 };

/* A side is a line if so many of the looks lie on it, within 1 px and STRAIGHT of its length. */
static const double LINE_LEAST = 0.7, STRAIGHT = 0.0005, AREA_LEAST = 0.2;
/* How far the shape that is seen may be from that of the board: foreshortening at 15 degrees is 4
 * %, and a near camera adds as much. */
static const double OTHER_SHAPE = 0.1;

/* The pieces of the cells in which anything stands on the ground. */
static tb_status find_pieces(tb_labels **out, int *size_px, const tb__grey *grey,
        const tb__tones *tones, bool dark_ground, const tb_job *job, tb_error *err)
{
    tb__cells c;
    tb_mask *mask = NULL;
    tb_status status = tb__cells_new(&c, grey, dark_ground, err);
    if (status)
        return status;
    status = tb_mask_new(&mask, c.width, c.height, 1, err);
    for (size_t i = 0; !status && i < tb_mask_area_px(mask); i++)
        mask->px[i] = (c.tone[i] < tones->level) != dark_ground;
    if (!status)
        status = tb_label_wood(out, mask, job, err);
    *size_px = c.size_px;
    tb_mask_free(mask);
    tb_free(c.tone);
    return status;
}

/* The corners of the widest piece, clockwise from the top left, in cells. */
static bool find_corners(tb__spot corner[4], const tb_labels *labels)
{
    static const int WAY[4][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
    int32_t widest = tb__widest(labels);
    int most[4] = {INT32_MIN, INT32_MIN, INT32_MIN, INT32_MIN};
    if (widest < 0 || labels->pieces[widest].at_edge)
        return false;
    for (size_t i = 0; i < labels->n_runs; i++) {
        const tb_run *run = &labels->runs[i];
        for (int k = 0; k < 4 && run->piece == widest; k++) {
            int x = WAY[k][0] < 0 ? run->x_px : run->end_px, y = run->y_px + (WAY[k][1] > 0);
            if (WAY[k][0] * x + WAY[k][1] * y > most[k]) {
                most[k] = WAY[k][0] * x + WAY[k][1] * y;
                corner[k] = (tb__spot){x, y};
            }
        }
    }
    return true;
}

typedef struct {
    double along, out; /* of a look: where from, and how far outside the side stands */
} look;

/* The line from corner to corner, moved and turned so that it fits. False: that is no line. */
static bool fit(tb__spot line[2], const look *looks, int n, double length)
{
    double shift = 0, slope = 0, rms = 1e9;
    tb__spot a = line[0], b = line[1];
    int kept = 0;
    for (int round = 0; round < N_FITS; round++) {
        double m = 0, su = 0, sv = 0, suu = 0, suv = 0, off = 0, reach = fmax(1, 2.5 * rms);
        for (int i = 0; i < n; i++) {
            double u = looks[i].along, v = looks[i].out, error = v - shift - slope * u;
            if (fabs(error) > reach)
                continue;
            m++;
            su += u;
            sv += v;
            suu += u * u;
            suv += u * v;
        }
        if (m < 2 || !(m * suu - su * su > 0))
            return false;
        slope = (m * suv - su * sv) / (m * suu - su * su);
        shift = (sv - slope * su) / m;
        kept = 0;
        for (int i = 0; i < n; i++) {
            double error = looks[i].out - shift - slope * looks[i].along;
            if (fabs(error) > reach)
                continue;
            kept++;
            off += error * error;
        }
        rms = sqrt(off / fmax(kept, 1));
    }
    double dx = (b.x - a.x) / length, dy = (b.y - a.y) / length, end = shift + slope * length;
    line[0] = (tb__spot){a.x + dy * shift, a.y - dx * shift};
    line[1] = (tb__spot){b.x + dy * end, b.y - dx * end};
    return kept >= LINE_LEAST * N_LOOKS && rms <= 1 + STRAIGHT * length;
}

/* Looks for a side from `reach` outside the line between two corners to as far inside. */
static bool find_line(tb__spot line[2], const tb__grey *grey, const tb__tones *tones,
        bool dark_ground, double reach)
{
    look looks[N_LOOKS];
    tb__spot a = line[0], b = line[1];
    double length = hypot(b.x - a.x, b.y - a.y), step = 0.5;
    double dx = (b.x - a.x) / length, dy = (b.y - a.y) / length;
    uint8_t ground = dark_ground ? tones->dark : tones->light;
    int n = 0;
    for (int i = 0; i < N_LOOKS && length > 0; i++) {
        double along = (0.04 + 0.92 * (i + 0.5) / N_LOOKS) * length, last = ground;
        for (double out = reach; out >= -reach; out -= step) {
            double x = a.x + dx * along + dy * out, y = a.y + dy * along - dx * out;
            double here = tb__grey_at(grey, x, y, ground);
            if ((here < tones->level) != dark_ground) {
                /* The level lies between whole tones. */
                double share = last == here ? 0 : (here - (tones->level - 0.5)) / (here - last);
                looks[n++] = (look){along, out + step * fmin(fmax(share, 0), 1)};
                break;
            }
            last = here;
        }
    }
    return n >= LINE_LEAST * N_LOOKS && fit(line, looks, n, length);
}

static tb__spot meet(const tb__spot p[2], const tb__spot q[2])
{
    double ax = p[1].x - p[0].x, ay = p[1].y - p[0].y, bx = q[1].x - q[0].x, by = q[1].y - q[0].y;
    double cross = ax * by - ay * bx;
    double t = ((q[0].x - p[0].x) * by - (q[0].y - p[0].y) * bx) / cross;
    return (tb__spot){p[0].x + t * ax, p[0].y + t * ay};
}

static double direction(tb__spot from, tb__spot to)
{
    return atan2(to.y - from.y, to.x - from.x);
}

/* By how much opposite sides converge, or neighbours lean from a right angle, at most. */
static double off_square(const tb__spot c[4])
{
    double top = direction(c[0], c[1]), bottom = direction(c[3], c[2]);
    double left = direction(c[0], c[3]), right = direction(c[1], c[2]);
    double lean = (left + right - top - bottom) / 2 - 1.5707963267948966;
    return fmax(fmax(fabs(top - bottom), fabs(left - right)), fabs(lean));
}

tb_status tb__angle_find(tb__angle *out, const tb__grey *grey, const tb__tones *tones,
        bool dark_ground, const tb_job *job, tb_error *err)
{
    tb_labels *labels;
    tb__spot corner[4], lines[4][2];
    int size;
    *out = (tb__angle){0};
    tb_status status = find_pieces(&labels, &size, grey, tones, dark_ground, job, err);
    if (status)
        return status;
    bool found = find_corners(corner, labels);
    tb_labels_free(labels);
    for (int k = 0; k < 4 && found; k++)
        corner[k] = (tb__spot){corner[k].x * size - 0.5, corner[k].y * size - 0.5};
    for (int k = 0; k < 4 && found; k++) {
        lines[k][0] = corner[k];
        lines[k][1] = corner[(k + 1) % 4];
        found = find_line(lines[k], grey, tones, dark_ground, 4 * size + 4);
    }
    for (int k = 0; k < 4 && found; k++)
        out->corner[k] = meet(lines[(k + 3) % 4], lines[k]);
    const tb__spot *c = out->corner;
    double area =
            fabs((c[2].x - c[0].x) * (c[3].y - c[1].y) - (c[2].y - c[0].y) * (c[3].x - c[1].x)) / 2;
    out->found = found && area >= AREA_LEAST * grey->width_px * (double)grey->height_px;
    out->off_rad = out->found ? off_square(c) : 0;
    return TB_OK;
}

/* The homography of the unit square to four corners (Heckbert 1989, Fundamentals of Texture Mapping
 * and Image Warping, 2.2.3), and the rectangle it is asked for. */
typedef struct {
    tb__grey *to;
    const tb__grey *from;
    double a, b, c, d, e, f, g, h;
    double width, height, margin; /* of the rectangle; around it */
    uint8_t beyond;
    const tb_job *job;
} warping;

static void set_corners(warping *w, const tb__spot q[4])
{
    double dx1 = q[1].x - q[2].x, dy1 = q[1].y - q[2].y, dx2 = q[3].x - q[2].x,
           dy2 = q[3].y - q[2].y;
    double sx = q[0].x - q[1].x + q[2].x - q[3].x, sy = q[0].y - q[1].y + q[2].y - q[3].y;
    double cross = dx1 * dy2 - dx2 * dy1;
    w->g = (sx * dy2 - dx2 * sy) / cross;
    w->h = (dx1 * sy - sx * dy1) / cross;
    w->a = q[1].x - q[0].x + w->g * q[1].x;
    w->b = q[3].x - q[0].x + w->h * q[3].x;
    w->c = q[0].x;
    w->d = q[1].y - q[0].y + w->g * q[1].y;
    w->e = q[3].y - q[0].y + w->h * q[3].y;
    w->f = q[0].y;
}

static void warp_rows(void *payload, size_t first, size_t end)
{
    const warping *w = payload;
    for (size_t y = first; y < end && !tb_job_stopped(w->job); y++) {
        uint8_t *row = w->to->px + y * (size_t)w->to->width_px;
        double v = ((double)y + 0.5 - w->margin) / w->height;
        for (int x = 0; x < w->to->width_px; x++) {
            double u = (x + 0.5 - w->margin) / w->width, z = w->g * u + w->h * v + 1;
            row[x] = tb__grey_at(w->from, (w->a * u + w->b * v + w->c) / z,
                    (w->d * u + w->e * v + w->f) / z, w->beyond);
        }
    }
}

tb_status tb__angle_square(bool *done, tb__grey *grey, const tb__angle *angle, double width_mm,
        double height_mm, uint8_t beyond, const tb_job *job, tb_error *err)
{
    const tb__spot *c = angle->corner;
    double across =
            (hypot(c[1].x - c[0].x, c[1].y - c[0].y) + hypot(c[2].x - c[3].x, c[2].y - c[3].y)) / 2;
    double down =
            (hypot(c[3].x - c[0].x, c[3].y - c[0].y) + hypot(c[2].x - c[1].x, c[2].y - c[1].y)) / 2;
    *done = fabs(across * height_mm / (down * width_mm) - 1) <= OTHER_SHAPE;
    if (!*done)
        return TB_OK;
    double px_per_mm = sqrt(across * down / (width_mm * height_mm));
    warping w = {.from = grey,
            .width = round(width_mm * px_per_mm),
            .height = round(height_mm * px_per_mm),
            .margin = ceil(fmax(across, down) * 0.02) + 8,
            .beyond = beyond,
            .job = job};
    tb__grey square = {(int)(w.width + 2 * w.margin), (int)(w.height + 2 * w.margin), NULL};
    square.px = tb_malloc((size_t)square.width_px * (size_t)square.height_px, 1);
    if (!square.px)
        return tb_fail_memory(err);
    w.to = &square;
    set_corners(&w, c);
    tb_job_rows(job, (size_t)square.height_px, 64, warp_rows, &w);
    tb_free(grey->px);
    *grey = square;
    return tb_job_stopped(job) ? tb_fail_cancelled(err) : TB_OK;
}
