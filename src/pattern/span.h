/* pattern/span.h: pixels as spans of rows; how strokes and floods become pixels. For hand.c and
 * its tests.
 *
 * Under a stroke lie the pixels whose centres lie in the union of discs that run, place and radius
 * evenly, from each point to the next. For one such stretch that is the convex hull of two discs,
 * so that each row holds one span of it.
 *
 * Errors TB_ENOMEM; the list then holds what it held before, and more
 */
#ifndef TB_PATTERN_SPAN_H
#define TB_PATTERN_SPAN_H

#include "image/mask.h"
#include "image/rect.h"
#include "pattern/stroke.h"

typedef struct {
    int32_t y_px, x_px, end_px; /* pixels x_px … end_px - 1 of row y_px */
} tb_span;

typedef struct {
    tb_span *items;
    size_t n, room;
} tb_spans;

void tb_spans_clear(tb_spans *spans);
tb_rect tb_spans_bounds(const tb_spans *spans);

/* Adds what lies under the stretches that end in points first … n_points - 1 (a single point is a
 * stretch of its own), cut to a picture of mask's size. */
TB_NODISCARD tb_status tb_spans_stroke(
        tb_spans *spans, const tb_mask *mask, const tb_stroke *stroke, size_t first, tb_error *err);

/* Adds the piece of mask's pixels of value `from` that holds (x, y), within limit: connected by
 * sides for wood, by sides and corners for openings. mask is written to, and put back. */
TB_NODISCARD tb_status tb_spans_flood(tb_spans *spans, tb_mask *mask, int x_px, int y_px,
        uint8_t from, tb_rect limit, tb_error *err);

#endif
