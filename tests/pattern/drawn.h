/* Masks drawn for tests: a board of wood with openings and wood put on it, in millimetres. */
#ifndef TB_TESTS_DRAWN_H
#define TB_TESTS_DRAWN_H

#include "image/mask.h"

#include <glib.h>
#include <math.h>

static inline tb_mask *drawn_board(double width_mm, double height_mm, double px_per_mm)
{
    tb_mask *mask;
    int width = (int)lround(width_mm * px_per_mm), height = (int)lround(height_mm * px_per_mm);
    g_assert_cmpint(tb_mask_new(&mask, width, height, px_per_mm, NULL), ==, TB_OK);
    for (size_t i = 0; i < tb_mask_area_px(mask); i++)
        mask->px[i] = 1;
    return mask;
}

/* Everything within radius_mm of the segment from (x0, y0) to (x1, y1) becomes tone; a disc where
 * both ends are one. */
static inline void drawn_line(
        tb_mask *mask, int tone, double x0, double y0, double x1, double y1, double radius_mm)
{
    double dx = x1 - x0, dy = y1 - y0, length2 = dx * dx + dy * dy;
    for (int y = 0; y < mask->height_px; y++)
        for (int x = 0; x < mask->width_px; x++) {
            double px = (x + 0.5) / mask->px_per_mm - x0, py = (y + 0.5) / mask->px_per_mm - y0;
            double t = length2 > 0 ? fmin(fmax((px * dx + py * dy) / length2, 0), 1) : 0;
            double ex = px - t * dx, ey = py - t * dy;
            if (ex * ex + ey * ey < radius_mm * radius_mm)
                mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] = (uint8_t)tone;
        }
}

/* A rectangle about (cx, cy), turned by turn_rad. */
static inline void drawn_box(tb_mask *mask, int tone, double cx, double cy, double width_mm,
        double height_mm, double turn_rad)
{
    double c = cos(turn_rad), s = sin(turn_rad);
    for (int y = 0; y < mask->height_px; y++)
        for (int x = 0; x < mask->width_px; x++) {
            double px = (x + 0.5) / mask->px_per_mm - cx, py = (y + 0.5) / mask->px_per_mm - cy;
            if (fabs(px * c + py * s) < width_mm / 2 && fabs(py * c - px * s) < height_mm / 2)
                mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] = (uint8_t)tone;
        }
}

#endif
