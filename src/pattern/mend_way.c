/* pattern/mend_way.c: the way along a strand, and strokes that run along it.
 *
 * The strand is cut through at the place, and from either side of the cut a cheapest way is looked
 * for, open wood being dear near its banks, so that it keeps to the middle. It ends where the wood
 * is wide enough, or at a tip. What it loses in evenness to the pixels is smoothed away: a stroke
 * along it has even banks, and its width either stays, or falls evenly towards its ends.
 */
#include "pattern/mend_private.h"

#include "base/alloc.h"
#include "graph/grid_path.h"
#include "image/distance.h"

#include <math.h>
#include <string.h>

static const double FINE_MM = 0.1, COARSE_MM = 0.3; /* cells; coarse where the window is wide */
static const double COARSE_FROM_MM = 30;
static const double TAPER = 0.6;    /* width that a stroke loses a millimetre, where it ends */
static const double POINT_MM = 0.2; /* between points of a stroke */
static const double WIDTH_MOST_MM = 30;
enum { CAP_PX = 255, PRICE_NARROW = 60, HOLD = 0, ONWARD = 1 };

typedef struct {
    const tb__way_ask *ask;
    tb__window window;
    uint16_t *distance2;
    int cell_px, width, height;
    uint16_t *price;
    int32_t *source;
    double x, y, ux, uy; /* the place and the strand's direction there, in the window's pixels */
} search;

static double cell_x(const search *s, int32_t cell)
{
    return (cell % s->width + 0.5) * s->cell_px;
}

static double cell_y(const search *s, int32_t cell)
{
    return (cell / s->width + 0.5) * s->cell_px;
}

/* How far it is to the nearest bank, in pixels; 0 beyond one. */
static double deep(const search *s, double x, double y)
{
    const tb_mask *mask = s->window.mask;
    int px = (int)x, py = (int)y;
    if (x < 0 || y < 0 || px >= mask->width_px || py >= mask->height_px)
        return 0;
    double d2 = s->distance2[(size_t)py * (size_t)mask->width_px + (size_t)px];
    return d2 > 0 ? sqrt(d2) - 0.5 : 0;
}

/* The strand runs across the way to its nearest bank. */
static void find_direction(search *s)
{
    const tb_mask *mask = s->window.mask;
    double least = INFINITY;
    s->ux = 1;
    s->uy = 0;
    for (int i = 0; i < (int)tb_mask_area_px(mask); i++) {
        double dx = i % mask->width_px + 0.5 - s->x, dy = i / mask->width_px + 0.5 - s->y;
        double away = hypot(dx, dy);
        if (mask->px[i] || away >= least)
            continue;
        least = away;
        s->ux = away > 0 ? -dy / away : 1;
        s->uy = away > 0 ? dx / away : 0;
    }
}

static void put_source(search *s, int side)
{
    double sign = side == HOLD ? -1 : 1;
    for (double step = 2.5; step <= 6; step += 0.5) {
        int x = (int)(s->x / s->cell_px + sign * step * s->ux);
        int y = (int)(s->y / s->cell_px + sign * step * s->uy);
        if (x < 0 || y < 0 || x >= s->width || y >= s->height ||
                s->price[y * s->width + x] == TB_GRID_BLOCKED)
            continue;
        s->source[y * s->width + x] = 0;
        return;
    }
}

static void set_prices(search *s)
{
    double half = fmax(deep(s, s->x, s->y), s->cell_px) + 2 * s->cell_px;
    for (int32_t cell = 0; cell < s->width * s->height; cell++) {
        double x = cell_x(s, cell), y = cell_y(s, cell), d = deep(s, x, y);
        double along = (x - s->x) * s->ux + (y - s->y) * s->uy;
        double across = (x - s->x) * s->uy - (y - s->y) * s->ux;
        bool cut = fabs(along) <= s->cell_px && fabs(across) <= half;
        s->price[cell] = d <= 0 || cut ? TB_GRID_BLOCKED : (uint16_t)(1 + PRICE_NARROW / (1 + d));
    }
}

/* Where one side of the way ends: the nearest cell that is wide enough, or else the farthest; it
 * may go on then beyond the window. */
static int32_t find_end(bool *goes_on, const search *s, const tb_grid_paths *paths, int side)
{
    int32_t near = -1, far = -1;
    bool at_edge = false;
    double wide_px = s->ask->wide_mm * s->window.mask->px_per_mm;
    bool to_tip = side == ONWARD && s->ask->to_tip;
    for (int32_t cell = 0; cell < s->width * s->height; cell++) {
        if (paths->cost[cell] == TB_GRID_FAR)
            continue;
        if (far < 0 || paths->cost[cell] > paths->cost[far])
            far = cell;
        int x = cell % s->width, y = cell / s->width;
        at_edge = at_edge || x == 0 || y == 0 || x == s->width - 1 || y == s->height - 1;
        if (!to_tip && 2 * deep(s, cell_x(s, cell), cell_y(s, cell)) >= wide_px &&
                (near < 0 || paths->cost[cell] < paths->cost[near]))
            near = cell;
    }
    *goes_on = *goes_on || (near < 0 && at_edge && !to_tip);
    return near >= 0 ? near : far;
}

/* The cells of one side, from its end to the cut; empty where the strand does not go on there. */
static tb_status trace_side(
        int32_t **cells, size_t *n, bool *goes_on, search *s, int side, tb_error *err)
{
    size_t size = (size_t)s->width * (size_t)s->height;
    tb_grid grid = {s->width, s->height, s->price, s->source, 0};
    tb_grid_paths *paths = NULL;
    *n = 0;
    *cells = tb_malloc(size, sizeof **cells);
    if (!*cells)
        return tb_fail_memory(err);
    memset(s->source, 0xff, size * sizeof *s->source);
    put_source(s, side);
    tb_status status = tb_grid_paths_find(&paths, &grid, NULL, err);
    for (int32_t cell = status ? -1 : find_end(goes_on, s, paths, side), back; cell >= 0;
            cell = back) {
        (*cells)[(*n)++] = cell;
        back = tb_grid_paths_back(paths, cell);
        if (back == cell)
            break;
    }
    tb_grid_paths_free(paths);
    return status;
}

/* Each side is looked for by itself: round through thick wood the other might be nearer. */
static tb_status join_sides(tb__way *out, search *s, tb_error *err)
{
    size_t n_hold = 0, n_onward = 0;
    int32_t *hold = NULL, *onward = NULL;
    tb_status status = trace_side(&hold, &n_hold, &out->goes_on, s, HOLD, err);
    if (!status)
        status = trace_side(&onward, &n_onward, &out->goes_on, s, ONWARD, err);
    if (!status) {
        out->points = tb_calloc(n_hold + n_onward + 1, sizeof *out->points);
        status = out->points ? TB_OK : tb_fail_memory(err);
    }
    if (!status) {
        out->n = n_hold + n_onward + 1;
        out->place = n_hold;
        for (size_t i = 0; i < n_hold; i++)
            out->points[i] = (tb__way_point){.x = cell_x(s, hold[i]), .y = cell_y(s, hold[i])};
        out->points[n_hold] = (tb__way_point){.x = s->x, .y = s->y};
        for (size_t i = 0; i < n_onward; i++) {
            int32_t cell = onward[n_onward - 1 - i];
            out->points[n_hold + 1 + i] =
                    (tb__way_point){.x = cell_x(s, cell), .y = cell_y(s, cell)};
        }
    }
    tb_free(hold);
    tb_free(onward);
    return status;
}

/* Each point becomes the mean of those about it, as many on either side; the ends stay. */
static tb_status smooth(tb__way *way, size_t reach, tb_error *err)
{
    tb__way_point *was = tb_malloc(way->n, sizeof *was);
    if (!was)
        return tb_fail_memory(err);
    memcpy(was, way->points, way->n * sizeof *was);
    for (size_t i = 0; i < way->n; i++) {
        size_t from_end = way->n - 1 - i, k = i < from_end ? i : from_end;
        k = k < reach ? k : reach;
        double x = 0, y = 0;
        for (size_t j = i - k; j <= i + k; j++) {
            x += was[j].x;
            y += was[j].y;
        }
        way->points[i].x = x / (double)(2 * k + 1);
        way->points[i].y = y / (double)(2 * k + 1);
    }
    tb_free(was);
    return TB_OK;
}

/* In the board's millimetres from here on. */
static void measure(tb__way *way, const search *s)
{
    double scale = s->window.mask->px_per_mm;
    for (size_t i = 0; i < way->n; i++) {
        tb__way_point *p = &way->points[i];
        p->half_mm = deep(s, p->x, p->y) / scale;
        p->x = s->window.left_mm + p->x / scale;
        p->y = s->window.top_mm + p->y / scale;
    }
    for (size_t i = way->place + 1; i < way->n; i++) {
        tb__way_point *p = &way->points[i];
        p->along_mm = p[-1].along_mm + hypot(p->x - p[-1].x, p->y - p[-1].y);
    }
    for (size_t i = way->place; i-- > 0;) {
        tb__way_point *p = &way->points[i];
        p->along_mm = p[1].along_mm - hypot(p->x - p[1].x, p->y - p[1].y);
    }
}

static tb_status find(tb__way *out, search *s, tb_error *err)
{
    size_t n = (size_t)s->width * (size_t)s->height;
    s->price = tb_malloc(n, sizeof *s->price);
    s->source = tb_malloc(n, sizeof *s->source);
    if (!s->price || !s->source)
        return tb_fail_memory(err);
    set_prices(s);
    tb_status status = join_sides(out, s, err);
    size_t reach = (size_t)(s->ask->wide_mm * s->window.mask->px_per_mm / s->cell_px / 2) + 1;
    for (int i = 0; i < 2 && !status; i++)
        status = smooth(out, reach, err);
    if (!status)
        measure(out, s);
    return status;
}

tb_status tb__way_find(tb__way *out, const tb__way_ask *ask, const tb_mask *mask, tb_error *err)
{
    search s = {.ask = ask};
    tb_finding at = {.x_mm = ask->x_mm, .y_mm = ask->y_mm};
    double scale = mask->px_per_mm;
    *out = (tb__way){0};
    tb_status status = tb__window_cut(&s.window, mask, &at, ask->reach_mm, err);
    if (!status && ask->in_opening)
        tb_mask_invert(s.window.mask);
    if (!status)
        status = tb_distance_capped(&s.distance2, s.window.mask, CAP_PX, false, NULL, err);
    if (!status) {
        double cell_mm = ask->reach_mm > COARSE_FROM_MM ? COARSE_MM : FINE_MM;
        s.cell_px = (int)fmax(lround(cell_mm * scale), 1);
        s.width = s.window.mask->width_px / s.cell_px;
        s.height = s.window.mask->height_px / s.cell_px;
        s.x = ask->x_mm * scale - s.window.left_px;
        s.y = ask->y_mm * scale - s.window.top_px;
        s.ux = cos(ask->towards_rad);
        s.uy = sin(ask->towards_rad);
        if (isnan(ask->towards_rad))
            find_direction(&s);
        status = find(out, &s, err);
    }
    tb_free(s.price);
    tb_free(s.source);
    tb_free(s.distance2);
    tb_mask_free(s.window.mask);
    if (status)
        tb__way_clear(out);
    return status;
}

void tb__way_clear(tb__way *way)
{
    tb_free(way->points);
    *way = (tb__way){0};
}

double tb__way_width(const tb__way *way, size_t i, const tb__profile *profile)
{
    double along = way->points[i].along_mm;
    double width = profile->wide_mm;
    if (profile->moment_mm > 0)
        width *= 1 - along / profile->moment_mm;
    else
        width -= TAPER * fmax(fabs(along) - profile->core_mm, 0);
    return fmin(width, WIDTH_MOST_MM);
}

/* A round end reaches no farther than the tip does. */
static bool beyond_tip(const tb__way *way, size_t i, double width_mm)
{
    double to_end = way->points[way->n - 1].along_mm - way->points[i].along_mm;
    return way->points[way->n - 1].half_mm < width_mm / 4 && to_end < width_mm / 2 &&
           i > way->place;
}

tb_status tb__way_stroke(
        tb_stroke *out, const tb__way *way, const tb__profile *profile, tb_error *err)
{
    tb_status status = TB_OK;
    double last_mm = -INFINITY;
    for (size_t i = 0; i < way->n && !status; i++) {
        const tb__way_point *p = &way->points[i];
        const tb__way_point *a = &way->points[i > 2 ? i - 3 : 0];
        const tb__way_point *b = &way->points[i + 3 < way->n ? i + 3 : way->n - 1];
        double width_mm = tb__way_width(way, i, profile), length = hypot(b->x - a->x, b->y - a->y);
        if (width_mm < 0.1 || beyond_tip(way, i, width_mm) ||
                (p->along_mm - last_mm < POINT_MM - 1e-6 && i != way->place))
            continue;
        double aside = length > 0 ? profile->side * fmax(width_mm / 2 - p->half_mm, 0) / length : 0;
        last_mm = p->along_mm;
        status = tb_stroke_add(
                out, p->x - aside * (b->y - a->y), p->y + aside * (b->x - a->x), width_mm, err);
    }
    return status;
}
