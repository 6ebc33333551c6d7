/* sheet/along.c: lines along the pixels' sides; see along.h.
 *
 * Walks with the wood on its right hand. Where two pixels of wood meet at a corner only, it turns
 * right, around the one it came along: they do not hang together, and the openings do.
 */
#include "sheet/along.h"

#include "base/alloc.h"
#include "base/array.h"

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

static bool walk(tb_loop *l, walker start, const tb_mask *mask)
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

/* Twice the area of the polygon of the curves' ends, with its sign. */
static double signed_area(const tb_path *path)
{
    double sum = 0;
    tb_point from = path->start;
    for (size_t i = 0; i < path->n_curves; i++) {
        tb_point to = path->curves[i].to;
        sum += from.x_mm * to.y_mm - to.x_mm * from.y_mm;
        from = to;
    }
    return sum;
}

static void reverse(tb_loop *l)
{
    for (size_t i = 0; i < l->n / 2; i++) {
        tb_point swap = l->at[i];
        l->at[i] = l->at[l->n - 1 - i];
        l->at[l->n - 1 - i] = swap;
    }
    l->area_px = -l->area_px;
}

tb_status tb__loop_of(tb_loop *l, const tb_path *path, const tb_mask *mask, tb_error *err)
{
    double scale = mask->px_per_mm, wanted = path->area_mm2 * scale * scale;
    walker start = {0};
    for (size_t i = 0; i < path->n_curves; i++) {
        tb_point p = path->curves[i].to;
        *l = (tb_loop){0};
        if (!nearest(&start, mask, p.x_mm * scale, p.y_mm * scale, 4))
            continue;
        bool walked = walk(l, start, mask);
        if (walked && fabs(fabs(l->area_px) / 2 - wanted) < 0.5) {
            if ((l->area_px < 0) != (signed_area(path) < 0))
                reverse(l);
            return TB_OK;
        }
        tb_free(l->at);
        if (!walked)
            return tb_fail_memory(err);
    }
    return tb_fail(err, TB_EINVAL, "the outline could not be drawn along the pixels");
}

/* A line through points, px. */
typedef struct {
    tb_point *at;
    size_t n, room;
} chain;

static bool in_line(tb_point a, tb_point b, tb_point c)
{
    double dx = b.x_mm - a.x_mm, dy = b.y_mm - a.y_mm;
    double ex = c.x_mm - b.x_mm, ey = c.y_mm - b.y_mm;
    return dx * ey == dy * ex && dx * ex + dy * ey >= 0;
}

/* Room must be there. A point in line between its neighbours is dropped: middles are exact halves,
 * so that is told exactly. */
static void add_point(chain *c, tb_point p)
{
    while (c->n >= 2 && in_line(c->at[c->n - 2], c->at[c->n - 1], p))
        c->n--;
    c->at[c->n++] = p;
}

/* Where two sides at right angles meet. */
static tb_point corner_of(tb_point a, tb_point b)
{
    bool level = a.x_mm != floor(a.x_mm);
    return level ? (tb_point){b.x_mm, a.y_mm} : (tb_point){a.x_mm, b.y_mm};
}

/* The middles from first on, n of them, with the corners between them where they are wanted. */
static bool add_middles(chain *c, const tb_loop *l, size_t first, size_t n, bool corners)
{
    if (!tb_array_reserve(&c->at, &c->room, c->n, 2 * n + 2))
        return false;
    for (size_t i = 0; i < n; i++) {
        tb_point here = l->at[(first + i) % l->n];
        if (corners && i > 0) {
            tb_point before = l->at[(first + i - 1) % l->n];
            if (before.x_mm != here.x_mm && before.y_mm != here.y_mm)
                add_point(c, corner_of(before, here));
        }
        add_point(c, here);
    }
    return true;
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
    return length > 0 ? between(a, b, fmin(0.5, 0.5 / length)) : a;
}

static tb_point to_mm(tb_point p, double px_per_mm)
{
    return (tb_point){p.x_mm / px_per_mm, p.y_mm / px_per_mm};
}

static void add_line(
        tb_curves *curves, tb_point from, tb_point to, tb_path_drawn drawn, double scale)
{
    tb_point a = to_mm(from, scale), b = to_mm(to, scale);
    if (a.x_mm != b.x_mm || a.y_mm != b.y_mm)
        curves->items[curves->n++] = (tb_curve){a, b, b, true, drawn};
}

static void add_bend(tb_curves *curves, tb_point from, tb_point corner, tb_point to, double scale)
{
    curves->items[curves->n++] = (tb_curve){to_mm(between(from, corner, 2 / 3.0), scale),
            to_mm(between(to, corner, 2 / 3.0), scale), to_mm(to, scale), false, TB_DRAWN_CLOSE};
}

static tb_status draw_chain(
        tb_curves *curves, chain *c, tb_path_drawn drawn, double px_per_mm, tb_error *err)
{
    if (!tb_array_reserve(&curves->items, &curves->room, curves->n, 2 * c->n + 2))
        return tb_fail_memory(err);
    tb_point at = c->at[0];
    for (size_t i = 1; i < c->n; i++) {
        tb_point here = c->at[i];
        if (drawn == TB_DRAWN_EXACT || i + 1 == c->n) {
            add_line(curves, at, here, drawn, px_per_mm);
            at = here;
            continue;
        }
        tb_point in = eased(here, at), out = eased(here, c->at[i + 1]);
        add_line(curves, at, in, drawn, px_per_mm);
        add_bend(curves, in, here, out, px_per_mm);
        at = out;
    }
    return TB_OK;
}

static size_t nearest_middle(const tb_loop *l, tb_point p)
{
    double best = INFINITY;
    size_t found = 0;
    for (size_t i = 0; i < l->n; i++) {
        double dx = l->at[i].x_mm - p.x_mm, dy = l->at[i].y_mm - p.y_mm, d = dx * dx + dy * dy;
        if (d < best) {
            best = d;
            found = i;
        }
    }
    return found;
}

tb_status tb__append_along(tb_curves *curves, bool *found, const tb_loop *loop, tb_point from,
        tb_point to, double expected_px, tb_path_drawn drawn, double px_per_mm, tb_error *err)
{
    size_t first = nearest_middle(loop, from), last = nearest_middle(loop, to);
    size_t n = (last + loop->n - first) % loop->n + 1;
    chain c = {0};
    /* A line across the grid meets as many sides as it is long, and at most root two as many. */
    *found = (double)n <= 2 * expected_px + 8 && (double)n >= 0.8 * expected_px - 4;
    if (!*found)
        return TB_OK;
    bool good = tb_array_reserve(&c.at, &c.room, 0, 2);
    if (good) {
        add_point(&c, from);
        good = add_middles(&c, loop, first, n, drawn == TB_DRAWN_EXACT);
    }
    if (good)
        add_point(&c, to);
    tb_status status = good ? draw_chain(curves, &c, drawn, px_per_mm, err) : tb_fail_memory(err);
    tb_free(c.at);
    return status;
}

tb_status tb__append_loop(tb_curves *curves, const tb_loop *loop, tb_path_drawn drawn,
        double px_per_mm, tb_error *err)
{
    chain c = {0};
    bool good = add_middles(&c, loop, 0, loop->n + 1, drawn == TB_DRAWN_EXACT);
    tb_status status = good ? draw_chain(curves, &c, drawn, px_per_mm, err) : tb_fail_memory(err);
    tb_free(c.at);
    return status;
}
