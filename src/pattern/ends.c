/* pattern/ends.c: where wood comes to a round end.
 *
 * A limb is found by the ways that lead up through it, and a way has to begin somewhere. Sharp ends
 * are among the corners of the outlines. A broad round end is none, and where its strand is of one
 * width or tapers towards it, no pass lies there either. So each outline is looked at by its every
 * so many steps, with arms of three lengths: where both arms are bent round wood by 60° or more,
 * most sharply for an arm's length about, wood comes to an end. An arm sees ends up to as wide as
 * it is long twice; wider wood is no limb.
 */
#include "base/alloc.h"
#include "base/array.h"
#include "pattern/survey.h"

#include <math.h>

static const double STRIDE_MM = 0.4;
static const size_t ARMS[] = {3, 7, 18}; /* strides: up to the widest wood that is no room */
static const double LEAST_BEND_COS = 0.5;

typedef struct {
    int32_t x, y;
    int32_t px; /* of wood beside it */
} stop;

static size_t mark_stops(stop *stops, const tb_outline *outline, size_t stride, const tb_mask *mask)
{
    size_t n = 0;
    int x = outline->x_px, y = outline->y_px;
    for (size_t i = 0; i < outline->n_steps; i++) {
        int step = outline->step[i];
        if (i % stride == 0 && i + stride <= outline->n_steps)
            stops[n++] =
                    (stop){x, y, (y + TB_RIGHT_Y[step]) * mask->width_px + x + TB_RIGHT_X[step]};
        x += TB_STEP_X[step];
        y += TB_STEP_Y[step];
    }
    return n;
}

/* Cosine of the bend round wood at stop i; 1 where it bends round the opening. */
static float bend_cos(const stop *stops, size_t n, size_t i, size_t arm)
{
    stop a = stops[i < arm ? i + n - arm : i - arm], b = stops[i],
         c = stops[i + arm < n ? i + arm : i + arm - n];
    double ux = b.x - a.x, uy = b.y - a.y, vx = c.x - b.x, vy = c.y - b.y;
    if (ux * vy - uy * vx <= 0)
        return 1;
    return (float)((ux * vx + uy * vy) / sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy)));
}

static bool sharpest_nearby(const float *bend, size_t n, size_t i, size_t arm)
{
    for (size_t k = 1; k <= arm; k++)
        if (bend[(i + k) % n] < bend[i] || bend[(i + n - k) % n] <= bend[i])
            return false;
    return true;
}

tb_status tb__find_ends(tb__survey *s, const tb_outline *outline)
{
    size_t stride = (size_t)fmax(lround(STRIDE_MM * s->px_per_mm), 1);
    size_t most = outline->n_steps / stride;
    if (most < 2 * ARMS[0] + 2)
        return TB_OK;
    stop *stops = tb_malloc(most, sizeof *stops);
    float *bend = tb_malloc(most, sizeof *bend);
    tb_status status = stops && bend ? TB_OK : tb_fail_memory(s->err);
    size_t n = status ? 0 : mark_stops(stops, outline, stride, s->mask);
    for (size_t k = 0; !status && k < sizeof ARMS / sizeof *ARMS && 2 * ARMS[k] + 2 <= n; k++) {
        for (size_t i = 0; i < n; i++)
            bend[i] = bend_cos(stops, n, i, ARMS[k]);
        for (size_t i = 0; i < n && !status; i++) {
            if (bend[i] > LEAST_BEND_COS || !sharpest_nearby(bend, n, i, ARMS[k]))
                continue;
            if (tb_array_reserve(&s->ends, &s->room_ends, s->n_ends, 1))
                s->ends[s->n_ends++] = stops[i].px;
            else
                status = tb_fail_memory(s->err);
        }
    }
    tb_free(stops);
    tb_free(bend);
    return status;
}
