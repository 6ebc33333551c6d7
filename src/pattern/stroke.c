/* pattern/stroke.c: see stroke.h. */
#include "pattern/stroke.h"

#include "base/alloc.h"
#include "base/array.h"

#include <math.h>
#include <string.h>

static const char *const NAMES[TB_N_STROKE_KINDS] = {
        [TB_STROKE_WOOD] = "wood",
        [TB_STROKE_SAW] = "saw",
        [TB_STROKE_BRIDGE] = "bridge",
        [TB_STROKE_TAKE_OUT] = "take-out",
        [TB_STROKE_CLOSE] = "close",
        [TB_STROKE_LIGHTEN] = "lighten",
        [TB_STROKE_DARKEN] = "darken",
        [TB_STROKE_KEEP_DETAIL] = "keep-detail",
        [TB_STROKE_KEEP_IN] = "keep-in",
        [TB_STROKE_LEAVE_OUT] = "leave-out",
        [TB_STROKE_KEEP_OPEN] = "keep-open",
};

const char *tb_stroke_kind_name(tb_stroke_kind kind)
{
    return (unsigned)kind < TB_N_STROKE_KINDS ? NAMES[kind] : "";
}

bool tb_stroke_kind_find(tb_stroke_kind *kind, const char *name)
{
    for (int i = 0; i < TB_N_STROKE_KINDS; i++)
        if (strcmp(NAMES[i], name) == 0) {
            *kind = (tb_stroke_kind)i;
            return true;
        }
    return false;
}

static bool point_fits(tb_stroke_point p)
{
    return p.x_um >= -TB_STROKE_MAX_UM && p.x_um <= TB_STROKE_MAX_UM &&
           p.y_um >= -TB_STROKE_MAX_UM && p.y_um <= TB_STROKE_MAX_UM && p.width_um >= 0 &&
           p.width_um <= TB_STROKE_MAX_WIDTH_UM;
}

tb_status tb_stroke_add(tb_stroke *stroke, double x_mm, double y_mm, double width_mm, tb_error *err)
{
    const double most = TB_STROKE_MAX_UM / 1000;
    if (!(fabs(x_mm) <= most && fabs(y_mm) <= most && width_mm >= 0 &&
                width_mm <= TB_STROKE_MAX_WIDTH_UM / 1000))
        return tb_fail(err, TB_EINVAL, "a point of the stroke lies far beyond any board");
    if (stroke->n_points >= TB_STROKE_MAX_POINTS)
        return tb_fail(
                err, TB_EINVAL, "a stroke of more than %d points", (int)TB_STROKE_MAX_POINTS);
    if (!tb_array_reserve(&stroke->points, &stroke->room, stroke->n_points, 1))
        return tb_fail_memory(err);
    stroke->points[stroke->n_points++] = (tb_stroke_point){
            (int32_t)lround(x_mm * 1000),
            (int32_t)lround(y_mm * 1000),
            (int32_t)lround(width_mm * 1000),
    };
    return TB_OK;
}

tb_status tb_stroke_copy(tb_stroke *out, const tb_stroke *stroke, tb_error *err)
{
    *out = (tb_stroke){.kind = stroke->kind, .amount = stroke->amount};
    if (!tb_array_reserve(&out->points, &out->room, 0, stroke->n_points))
        return tb_fail_memory(err);
    if (stroke->n_points > 0)
        memcpy(out->points, stroke->points, stroke->n_points * sizeof *stroke->points);
    out->n_points = stroke->n_points;
    return TB_OK;
}

void tb_stroke_clear(tb_stroke *stroke)
{
    tb_free(stroke->points);
    *stroke = (tb_stroke){0};
}

bool tb_stroke_equal(const tb_stroke *a, const tb_stroke *b)
{
    return a->kind == b->kind && a->amount == b->amount && a->n_points == b->n_points &&
           (a->n_points == 0 || memcmp(a->points, b->points, a->n_points * sizeof *a->points) == 0);
}

tb_status tb_stroke_check(const tb_stroke *stroke, tb_error *err)
{
    if ((unsigned)stroke->kind >= TB_N_STROKE_KINDS)
        return tb_fail(err, TB_EINVAL, "a stroke of no known kind");
    if (stroke->n_points < 1 || stroke->n_points > TB_STROKE_MAX_POINTS)
        return tb_fail(err, TB_EINVAL, "a stroke has 1 to %d points", (int)TB_STROKE_MAX_POINTS);
    if (stroke->amount < 0 || stroke->amount > TB_STROKE_MAX_AMOUNT)
        return tb_fail(err, TB_EINVAL, "a stroke lightens or darkens by 0 to 100");
    for (size_t i = 0; i < stroke->n_points; i++)
        if (!point_fits(stroke->points[i]))
            return tb_fail(err, TB_EINVAL, "a point of the stroke lies far beyond any board");
    return TB_OK;
}
