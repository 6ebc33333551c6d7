/* sheet/flat.c: see flat.h. */
#include "sheet/flat.h"

#include "base/alloc.h"
#include "base/array.h"

#include <math.h>

static const double TOLERANCE_PX = 0.02;

static tb_point scaled(tb_point at, double by)
{
    return (tb_point){at.x_mm * by, at.y_mm * by};
}

static double bend(tb_point a, tb_point b, tb_point c)
{
    return hypot(a.x_mm - 2 * b.x_mm + c.x_mm, a.y_mm - 2 * b.y_mm + c.y_mm);
}

/* A cubic cut into n equal parts lies within 3/4 of its bend / n² of them. */
static int n_parts(tb_point from, tb_point a, tb_point b, tb_point to)
{
    double most = fmax(bend(from, a, b), bend(a, b, to));
    return (int)fmin(64, fmax(1, ceil(sqrt(0.75 * most / TOLERANCE_PX))));
}

static tb_point cubic(tb_point from, tb_point a, tb_point b, tb_point to, double t)
{
    double s = 1 - t, w0 = s * s * s, w1 = 3 * s * s * t, w2 = 3 * s * t * t, w3 = t * t * t;
    return (tb_point){w0 * from.x_mm + w1 * a.x_mm + w2 * b.x_mm + w3 * to.x_mm,
            w0 * from.y_mm + w1 * a.y_mm + w2 * b.y_mm + w3 * to.y_mm};
}

static bool add_curve(tb_flat *flat, size_t *n, tb_point from, const tb_curve *curve, double scale)
{
    tb_point a = scaled(curve->a, scale), b = scaled(curve->b, scale);
    tb_point to = scaled(curve->to, scale);
    int parts = curve->straight ? 1 : n_parts(from, a, b, to);
    int32_t number = (int32_t)flat->n_curves++;
    if (!tb_array_reserve(&flat->at, &flat->room, *n, (size_t)parts))
        return false;
    for (int i = 1; i <= parts; i++) {
        tb_point at = i < parts ? cubic(from, a, b, to, (double)i / parts) : to;
        flat->at[(*n)++] =
                (tb_flat_corner){at.x_mm, at.y_mm, number, curve->drawn == TB_DRAWN_SMOOTH};
    }
    return true;
}

tb_status tb__flatten(tb_flat *flat, const tb_outline *outline, double px_per_mm, tb_error *err)
{
    *flat = (tb_flat){.n_paths = outline->n_paths};
    size_t n = 0;
    flat->first = tb_malloc(outline->n_paths + 1, sizeof *flat->first);
    if (!flat->first)
        return tb_fail_memory(err);
    for (size_t i = 0; i < outline->n_paths; i++) {
        const tb_path *path = &outline->paths[i];
        tb_point from = scaled(path->start, px_per_mm);
        flat->first[i] = n;
        for (size_t k = 0; k < path->n_curves; k++) {
            if (!add_curve(flat, &n, from, &path->curves[k], px_per_mm)) {
                tb__flat_clear(flat);
                return tb_fail_memory(err);
            }
            from = scaled(path->curves[k].to, px_per_mm);
        }
    }
    flat->first[outline->n_paths] = n;
    return TB_OK;
}

void tb__flat_clear(tb_flat *flat)
{
    tb_free(flat->at);
    tb_free(flat->first);
    *flat = (tb_flat){0};
}
