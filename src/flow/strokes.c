/* flow/strokes.c: see strokes.h. */
#include "flow/strokes.h"

#include "base/alloc.h"
#include "base/array.h"
#include "flow/stage_limits.h"

#include <math.h>
#include <string.h>

size_t tb__strokes_same(const tb__strokes *strokes, const tb_drawn *drawn, size_t n_drawn)
{
    size_t n = 0;
    while (n < n_drawn && n < strokes->n && drawn[n].id == strokes->ids[n])
        n++;
    return n;
}

static void forget_placed(tb__strokes *strokes, size_t n_left)
{
    while (strokes->n_placed > n_left)
        tb_stroke_clear(&strokes->placed[--strokes->n_placed]);
}

void tb__strokes_forget(tb__strokes *strokes, size_t n_left)
{
    forget_placed(strokes, n_left);
    while (strokes->n > n_left)
        tb_stroke_clear(&strokes->drawn[--strokes->n]);
}

void tb__strokes_clear(tb__strokes *strokes)
{
    tb__strokes_forget(strokes, 0);
    tb_free(strokes->ids);
    tb_free(strokes->drawn);
    tb_free(strokes->framed);
    tb_free(strokes->placed);
    *strokes = (tb__strokes){0};
}

static tb_status reserve(tb__strokes *strokes, tb_error *err)
{
    if (strokes->n < strokes->room)
        return TB_OK;
    size_t room = strokes->room + strokes->room / 2 + 16;
    if (!tb_array_resize(&strokes->ids, room) || !tb_array_resize(&strokes->drawn, room) ||
            !tb_array_resize(&strokes->framed, room) || !tb_array_resize(&strokes->placed, room))
        return tb_fail_memory(err);
    strokes->room = room;
    return TB_OK;
}

tb_status tb__strokes_add(
        tb__strokes *strokes, const tb_drawn *drawn, const tb_photo_info *photo, tb_error *err)
{
    tb_status status = reserve(strokes, err);
    if (status)
        return status;
    const size_t n = strokes->n;
    strokes->ids[n] = drawn->id;
    status = tb__view_of(&strokes->framed[n], drawn->framed, photo, err);
    if (!status)
        status = tb_stroke_copy(&strokes->drawn[n], &drawn->stroke, err);
    if (!status)
        strokes->n++;
    else
        tb_stroke_clear(&strokes->drawn[n]);
    return status;
}

static bool same_view(const tb_photo_view *a, const tb_photo_view *b)
{
    return a->x == b->x && a->y == b->y && a->w == b->w && a->h == b->h &&
           a->turn_rad == b->turn_rad && a->width_px == b->width_px &&
           a->height_px == b->height_px && a->px_per_mm == b->px_per_mm;
}

/* Pixels of the photograph for each thousandth of a millimetre on the board. */
static double scale_of(const tb_photo_view *view)
{
    return view->w / (view->width_px / view->px_per_mm * 1000);
}

/* Places that went far beyond every board stay at the limit there. */
static int32_t bounded(double um, int32_t least, int32_t most)
{
    return (int32_t)lround(fmin(fmax(um, least), most));
}

tb_stroke_point tb__point_follow(
        tb_stroke_point p, const tb_photo_view *then, const tb_photo_view *now, bool keeps_width)
{
    if (same_view(then, now))
        return p;
    const double from = scale_of(then), to = scale_of(now);
    /* From the middle of the part that the board showed, in pixels of the photograph, upright. */
    double x = p.x_um * from - then->w / 2, y = p.y_um * from - then->h / 2;
    double c = cos(-then->turn_rad), s = sin(-then->turn_rad);
    double px = then->x + then->w / 2 + x * c - y * s;
    double py = then->y + then->h / 2 + x * s + y * c;
    c = cos(now->turn_rad);
    s = sin(now->turn_rad);
    x = px - now->x - now->w / 2;
    y = py - now->y - now->h / 2;
    const int32_t far = TB_STROKE_MAX_UM;
    return (tb_stroke_point){
            bounded((x * c - y * s + now->w / 2) / to, -far, far),
            bounded((x * s + y * c + now->h / 2) / to, -far, far),
            keeps_width ? p.width_um : bounded(p.width_um * from / to, 0, TB_STROKE_MAX_WIDTH_UM),
    };
}

tb_status tb__strokes_place(tb__strokes *strokes, const tb_photo_view *now, tb_error *err)
{
    if (!same_view(&strokes->now, now))
        forget_placed(strokes, 0);
    strokes->now = *now;
    while (strokes->n_placed < strokes->n) {
        const size_t i = strokes->n_placed;
        tb_stroke *placed = &strokes->placed[i];
        tb_status status = tb_stroke_copy(placed, &strokes->drawn[i], err);
        if (status)
            return status;
        for (size_t k = 0; k < placed->n_points; k++)
            placed->points[k] = tb__point_follow(
                    placed->points[k], &strokes->framed[i], now, placed->kind == TB_STROKE_BRIDGE);
        strokes->n_placed++;
    }
    return TB_OK;
}
