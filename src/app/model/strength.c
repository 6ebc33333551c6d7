/* app/model/strength.c: see strength.h. */
#include "app/model/strength.h"

#include "base/alloc.h"
#include "image/width.h"

#include <math.h>
#include <string.h>

enum { SHOULD = 128, MUST = 255, BESIDE_PX = 3 };

/* Wood that no disc of that diameter covers. */
static bool mark_narrow(
        uint8_t *weak, const tb_mask *mask, double diameter_mm, uint8_t value, const tb_job *job)
{
    tb_mask *wide;
    size_t n = tb_mask_area_px(mask);
    if (tb_open_wood(&wide, mask, diameter_mm, false, job, NULL))
        return false;
    for (size_t i = 0; i < n; i++)
        if (mask->px[i] && !wide->px[i])
            weak[i] = value;
    tb_mask_free(wide);
    return true;
}

/* Whether a level line through y crosses the polygon's side from a to b, and where. */
static bool crosses(double *x, tb_point a, tb_point b, double y)
{
    if ((a.y_mm <= y) == (b.y_mm <= y))
        return false;
    *x = a.x_mm + (y - a.y_mm) / (b.y_mm - a.y_mm) * (b.x_mm - a.x_mm);
    return true;
}

/* Pixels of the row whose centres lie within the polygon: even-odd, crossing by crossing. */
static void mark_row(uint8_t *weak, const tb_mask *mask, const tb_finding *finding, int y_px)
{
    double y = (y_px + 0.5) / mask->px_per_mm, x;
    uint8_t value = finding->severity == TB_MUST ? MUST : SHOULD;
    size_t row = (size_t)y_px * (size_t)mask->width_px;
    for (int x_px = 0; x_px < mask->width_px; x_px++) {
        size_t i = row + (size_t)x_px;
        bool inside = false;
        if (!mask->px[i] || weak[i] >= value)
            continue;
        for (size_t k = 0; k < finding->n_extent; k++)
            if (crosses(&x, finding->extent[k], finding->extent[(k + 1) % finding->n_extent], y) &&
                    x > (x_px + 0.5) / mask->px_per_mm)
                inside = !inside;
        if (inside)
            weak[i] = value;
    }
}

static void mark_hanging(uint8_t *weak, const tb_mask *mask, const tb_finding *finding)
{
    double top = INFINITY, bottom = -INFINITY;
    for (size_t k = 0; k < finding->n_extent; k++) {
        top = fmin(top, finding->extent[k].y_mm);
        bottom = fmax(bottom, finding->extent[k].y_mm);
    }
    int first = (int)fmax(0, floor(top * mask->px_per_mm));
    int end = (int)fmin(mask->height_px, ceil(bottom * mask->px_per_mm));
    for (int y = first; y < end; y++)
        mark_row(weak, mask, finding, y);
}

/* Openings take on what stands within so many pixels of them, along one axis. */
static void spread(uint8_t *to, const uint8_t *from, const tb_mask *mask, bool down)
{
    size_t w = (size_t)mask->width_px, h = (size_t)mask->height_px;
    size_t step = down ? w : 1, n = w * h;
    memcpy(to, from, n);
    for (size_t i = 0; i < n; i++) {
        size_t at = down ? i / w : i % w, length = down ? h : w;
        if (mask->px[i])
            continue;
        for (size_t by = 1; by <= BESIDE_PX; by++) {
            if (at >= by && from[i - by * step] > to[i])
                to[i] = from[i - by * step];
            if (at + by < length && from[i + by * step] > to[i])
                to[i] = from[i + by * step];
        }
    }
}

tb_picture *tb_picture_of_strength(const tb_mask *mask, const tb_inspection *inspection,
        const tb_limits *limits, const tb_job *job)
{
    size_t n = tb_mask_area_px(mask);
    uint8_t *weak = tb_calloc(n, sizeof *weak), *across = tb_malloc(n, sizeof *across);
    tb_picture *picture = NULL;
    bool good = weak && across && mark_narrow(weak, mask, limits->bridge_should_mm, SHOULD, job) &&
                mark_narrow(weak, mask, limits->bridge_must_mm, MUST, job);
    for (size_t i = 0; good && i < inspection->n_findings; i++)
        if (inspection->findings[i].kind == TB_FINDING_WEAK_PENINSULA)
            mark_hanging(weak, mask, &inspection->findings[i]);
    if (good) {
        spread(across, weak, mask, false);
        spread(weak, across, mask, true);
        picture = tb_picture_of_bytes(weak, mask->width_px, mask->height_px, mask->px_per_mm);
    }
    tb_free(weak);
    tb_free(across);
    return picture;
}
