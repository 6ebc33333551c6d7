/* sheet/exact.c: the line along the pixels' sides, exactly or through their middles; see prove.h.
 *
 * Walks with the wood on its right hand. Where two pixels of wood meet at a corner only, it turns
 * right, around the one it came along: they do not hang together, and the openings do.
 */
#include "base/alloc.h"
#include "base/array.h"
#include "sheet/prove.h"

#include <math.h>

typedef struct {
    int x, y, turn; /* corner of pixels; way onward: 0 right, 1 down, 2 left, 3 up */
} walker;

static const int DX[] = {1, 0, -1, 0}, DY[] = {0, 1, 0, -1};

static int wood(const tb_mask *mask, int x, int y)
{
    if (x < 0 || y < 0 || x >= mask->width_px || y >= mask->height_px)
        return 0;
    return mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x];
}

/* The pixel ahead of the walker, on its right or left hand. */
static int ahead(const tb_mask *mask, walker w, bool right)
{
    int side = right ? 1 : -1;
    int x2 = 2 * w.x + DX[w.turn] - side * DY[w.turn];
    int y2 = 2 * w.y + DY[w.turn] + side * DX[w.turn];
    return wood(mask, (x2 - 1) / 2, (y2 - 1) / 2);
}

/* Takes one step and turns. */
static void step(walker *w, const tb_mask *mask)
{
    w->x += DX[w->turn];
    w->y += DY[w->turn];
    if (!ahead(mask, *w, true))
        w->turn = (w->turn + 1) & 3;
    else if (ahead(mask, *w, false))
        w->turn = (w->turn + 3) & 3;
}

typedef struct {
    tb_point *at; /* px; the middles of all cracks, in order */
    size_t n, room;
    double area_px; /* twice, with its sign */
} loop;

static bool walk(loop *l, walker start, const tb_mask *mask)
{
    walker w = start;
    do {
        int x = w.x, y = w.y;
        if (!tb_array_reserve(&l->at, &l->room, l->n, 1))
            return false;
        l->at[l->n++] = (tb_point){x + 0.5 * DX[w.turn], y + 0.5 * DY[w.turn]};
        step(&w, mask);
        l->area_px += (double)x * w.y - (double)w.x * y;
    } while (w.x != start.x || w.y != start.y || w.turn != start.turn);
    return true;
}

/* The crack nearest to p, as where a walk along it begins. */
static bool nearest(walker *found, const tb_mask *mask, double px, double py, int reach)
{
    double best = INFINITY;
    for (int y = (int)py - reach; y <= (int)py + reach; y++)
        for (int x = (int)px - reach; x <= (int)px + reach; x++) {
            int here = wood(mask, x, y);
            double above = hypot(px - x - 0.5, py - y), left = hypot(px - x, py - y - 0.5);
            if (above < best && here != wood(mask, x, y - 1)) {
                best = above;
                *found = here ? (walker){x, y, 0} : (walker){x + 1, y, 2};
            }
            if (left < best && here != wood(mask, x - 1, y)) {
                best = left;
                *found = here ? (walker){x, y + 1, 3} : (walker){x, y, 1};
            }
        }
    return isfinite(best);
}

/* The middles of the cracks that path is a drawing of. */
static tb_status find_loop(loop *l, const tb_path *path, const tb_mask *mask, tb_error *err)
{
    double scale = mask->px_per_mm, wanted = path->area_mm2 * scale * scale;
    walker start = {0};
    for (size_t i = 0; i < path->n_curves; i++) {
        tb_point p = path->curves[i].to;
        *l = (loop){0};
        if (!nearest(&start, mask, p.x_mm * scale, p.y_mm * scale, 4))
            continue;
        bool walked = walk(l, start, mask);
        if (walked && fabs(fabs(l->area_px) / 2 - wanted) < 0.5)
            return TB_OK;
        tb_free(l->at);
        if (!walked)
            return tb_fail_memory(err);
    }
    return tb_fail(err, TB_EINVAL, "the outline could not be drawn along the pixels");
}

static bool in_line(tb_point a, tb_point b, tb_point c)
{
    double dx = b.x_mm - a.x_mm, dy = b.y_mm - a.y_mm;
    return dx * (c.y_mm - b.y_mm) == dy * (c.x_mm - b.x_mm);
}

/* Drops what lies in line with its neighbours; the walk's coordinates are exact halves. */
static void drop_straight(loop *l)
{
    size_t n = 0;
    tb_point first = l->at[0], before = l->at[l->n - 1];
    for (size_t i = 0; i < l->n; i++) {
        tb_point here = l->at[i], next = i + 1 < l->n ? l->at[i + 1] : first;
        if (!in_line(before, here, next))
            l->at[n++] = here;
        before = here;
    }
    l->n = n;
}

/* The corners themselves: where two cracks at right angles meet, half a step from both middles. */
static void middles_to_corners(loop *l)
{
    size_t n = 0;
    tb_point first = l->at[0];
    for (size_t i = 0; i < l->n; i++) {
        tb_point a = l->at[i], b = i + 1 < l->n ? l->at[i + 1] : first;
        bool a_level = a.x_mm != floor(a.x_mm), b_level = b.x_mm != floor(b.x_mm);
        if (a_level != b_level)
            l->at[n++] = (tb_point){a_level ? b.x_mm : a.x_mm, a_level ? a.y_mm : b.y_mm};
    }
    l->n = n;
}

static tb_point between(tb_point from, tb_point to, double way)
{
    return (tb_point){
            from.x_mm + (to.x_mm - from.x_mm) * way, from.y_mm + (to.y_mm - from.y_mm) * way};
}

/* Where the rounding of corner a towards b ends: half a pixel on, or half the way. */
static tb_point eased(tb_point a, tb_point b)
{
    double length = hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    return between(a, b, fmin(0.5, 0.5 / length));
}

static void round_corners(tb_path *path, const loop *l)
{
    path->start = eased(l->at[0], l->at[l->n - 1]);
    tb_point at = path->start;
    for (size_t i = 0; i < l->n; i++) {
        tb_point corner = l->at[i], next = l->at[i + 1 < l->n ? i + 1 : 0];
        tb_point out = eased(corner, next), in = eased(next, corner);
        path->curves[path->n_curves++] =
                (tb_curve){between(at, corner, 2 / 3.0), between(out, corner, 2 / 3.0), out, false};
        path->curves[path->n_curves++] = (tb_curve){out, in, in, true};
        at = in;
    }
}

static void keep_corners(tb_path *path, const loop *l)
{
    path->start = l->at[0];
    for (size_t i = 0; i < l->n; i++) {
        tb_point next = l->at[i + 1 < l->n ? i + 1 : 0];
        path->curves[path->n_curves++] = (tb_curve){l->at[i], next, next, true};
    }
}

static void to_mm(tb_path *path, double px_per_mm)
{
    path->start = (tb_point){path->start.x_mm / px_per_mm, path->start.y_mm / px_per_mm};
    for (size_t i = 0; i < path->n_curves; i++) {
        tb_point *at[] = {&path->curves[i].a, &path->curves[i].b, &path->curves[i].to};
        for (int k = 0; k < 3; k++)
            *at[k] = (tb_point){at[k]->x_mm / px_per_mm, at[k]->y_mm / px_per_mm};
    }
}

tb_status tb__draw_along_pixels(
        tb_path *path, tb_path_drawn drawn, const tb_mask *mask, tb_error *err)
{
    loop l;
    tb_status status = find_loop(&l, path, mask, err);
    if (status)
        return status;
    if (drawn == TB_DRAWN_CLOSE)
        drop_straight(&l);
    else
        middles_to_corners(&l);
    tb_curve *curves = tb_malloc(l.n, 2 * sizeof *curves);
    if (curves) {
        tb_free(path->curves);
        path->curves = curves;
        path->n_curves = 0;
        path->drawn = drawn;
        if (drawn == TB_DRAWN_CLOSE)
            round_corners(path, &l);
        else
            keep_corners(path, &l);
        to_mm(path, mask->px_per_mm);
    }
    tb_free(l.at);
    return curves ? TB_OK : tb_fail_memory(err);
}
