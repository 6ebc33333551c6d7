/* pattern/mend_root.c: a peninsula's root, widened as the bending moment asks.
 *
 * The moment falls from the root to nothing at the end, and the width that bears it with it (as
 * stress goes by width alone, the board being as thick everywhere). The way goes down the middle of
 * the limb: cheapest from the root to its farthest part, where the open wood is dear. On the other
 * side of the root the arm is longer still; there the way goes on until the wood is wide.
 */
#include "pattern/mend_private.h"

#include "base/alloc.h"
#include "graph/grid_path.h"
#include "image/distance.h"

#include <math.h>

static const double CELL_MM = 0.3;
enum { CAP_PX = 255, PRICE_NARROW = 60 };

typedef struct {
    const tb_limb *limb;
    const tb_mask *mask;
    uint16_t *distance2;
    int cell_px, width, height;
    uint16_t *price;
    int32_t *source;
} root;

static double x_px(const root *r, int32_t cell)
{
    return (cell % r->width + 0.5) * r->cell_px;
}

static double y_px(const root *r, int32_t cell)
{
    return (cell / r->width + 0.5) * r->cell_px;
}

static double half_width_px(const root *r, double x, double y)
{
    int px = (int)x, py = (int)y;
    bool inside = px >= 0 && py >= 0 && px < r->mask->width_px && py < r->mask->height_px;
    return inside ? sqrt(r->distance2[(size_t)py * (size_t)r->mask->width_px + (size_t)px]) : 0;
}

/* Wood costs less the farther it is from its sides; the root is cut through. */
static void price_limb(root *r)
{
    double s = r->mask->px_per_mm, ux = cos(r->limb->towards_rad), uy = sin(r->limb->towards_rad);
    double half = r->limb->root_mm * s / 2 + 2 * r->cell_px;
    for (int32_t cell = 0; cell < r->width * r->height; cell++) {
        double x = x_px(r, cell), y = y_px(r, cell), deep = half_width_px(r, x, y);
        double dx = x - r->limb->x_mm * s, dy = y - r->limb->y_mm * s;
        bool cut = fabs(dx * ux + dy * uy) <= r->cell_px && fabs(dx * uy - dy * ux) <= half;
        r->source[cell] = -1;
        r->price[cell] =
                deep <= 0 || cut ? TB_GRID_BLOCKED : (uint16_t)(1 + PRICE_NARROW / (1 + deep));
    }
    double step = 2.5 * r->cell_px;
    int x = (int)((r->limb->x_mm * s + step * ux) / r->cell_px);
    int y = (int)((r->limb->y_mm * s + step * uy) / r->cell_px);
    if (x >= 0 && y >= 0 && x < r->width && y < r->height)
        r->source[y * r->width + x] = 0;
}

static tb_status add(tb_stroke *out, const tb__window *window, double x, double y, double width_px,
        tb_error *err)
{
    double s = window->mask->px_per_mm;
    return tb_stroke_add(
            out, window->left_mm + x / s, window->top_mm + y / s, fmin(width_px / s, 30), err);
}

/* From where the wood is wide to the root. */
static tb_status add_hold(
        tb_stroke *out, const root *r, const tb__window *window, double wide_px, tb_error *err)
{
    double s = r->mask->px_per_mm, reach = r->limb->reach_mm * s, far = 0;
    double x = r->limb->x_mm * s, y = r->limb->y_mm * s;
    double ux = cos(r->limb->towards_rad), uy = sin(r->limb->towards_rad);
    while (far < wide_px) {
        double half = half_width_px(r, x - far * ux, y - far * uy);
        if (half <= 0 || half > wide_px * (1 + far / reach) / 2)
            break;
        far += r->cell_px;
    }
    tb_status status = TB_OK;
    for (double back = fmax(far - r->cell_px, 0); !status && back >= 0; back -= r->cell_px)
        status = add(out, window, x - back * ux, y - back * uy, wide_px * (1 + back / reach), err);
    return status;
}

/* From the root on, only where the limb is narrower than it ought to be. */
static tb_status add_limb(tb_stroke *out, const root *r, const tb__window *window,
        const tb_grid_paths *paths, double wide_px, tb_error *err)
{
    int32_t end = -1, n = 0, size = r->width * r->height;
    double reach = r->limb->reach_mm * r->mask->px_per_mm, along = 0;
    for (int32_t cell = 0; cell < size; cell++)
        if (paths->cost[cell] != TB_GRID_FAR && (end < 0 || paths->cost[cell] > paths->cost[end]))
            end = cell;
    int32_t *way = tb_malloc((size_t)size, sizeof *way);
    if (!way)
        return tb_fail_memory(err);
    for (int32_t cell = end, back; cell >= 0; cell = back) {
        way[n++] = cell;
        back = tb_grid_paths_back(paths, cell);
        if (back == cell)
            break;
    }
    tb_status status = TB_OK;
    double x = r->limb->x_mm * r->mask->px_per_mm, y = r->limb->y_mm * r->mask->px_per_mm;
    for (int32_t i = n - 1; !status && i >= 0; i--) {
        along += hypot(x_px(r, way[i]) - x, y_px(r, way[i]) - y);
        x = x_px(r, way[i]);
        y = y_px(r, way[i]);
        double asked = wide_px * (1 - along / reach);
        if (asked < r->cell_px)
            break;
        status = add(out, window, x, y, asked, err);
    }
    tb_free(way);
    return status;
}

tb_status tb__mend_root(
        tb_stroke *out, const tb_limb *limb, const tb__window *window, double over, tb_error *err)
{
    const tb_mask *mask = window->mask;
    root r = {.limb = limb, .mask = mask};
    r.cell_px = (int)fmax(lround(CELL_MM * mask->px_per_mm), 1);
    r.width = mask->width_px / r.cell_px;
    r.height = mask->height_px / r.cell_px;
    size_t n = (size_t)r.width * (size_t)r.height;
    double wide_px = limb->root_mm * over * mask->px_per_mm;
    tb_grid_paths *paths = NULL;
    tb_status status = tb_distance_capped(&r.distance2, mask, CAP_PX, true, NULL, err);
    if (status)
        goto out;
    r.price = tb_malloc(n, sizeof *r.price);
    r.source = tb_malloc(n, sizeof *r.source);
    status = r.price && r.source ? TB_OK : tb_fail_memory(err);
    if (status)
        goto out;
    price_limb(&r);
    tb_grid grid = {r.width, r.height, r.price, r.source, 0};
    status = tb_grid_paths_find(&paths, &grid, NULL, err);
    if (!status)
        status = add_hold(out, &r, window, wide_px, err);
    if (!status)
        status = add_limb(out, &r, window, paths, wide_px, err);
out:
    tb_grid_paths_free(paths);
    tb_free(r.distance2);
    tb_free(r.price);
    tb_free(r.source);
    return status;
}
