/* A small board for the tests of this folder: a frame, and openings with islands tied to it. */
#ifndef TB_TESTS_SHEET_BOARD_H
#define TB_TESTS_SHEET_BOARD_H

#include "sheet/sheet.h"

#include <glib.h>
#include <math.h>

/* All wood. */
static inline tb_mask *board_new(double width_mm, double height_mm, double px_per_mm)
{
    tb_mask *mask = NULL;
    g_assert_cmpint(tb_mask_new(&mask, (int)lround(width_mm * px_per_mm),
                            (int)lround(height_mm * px_per_mm), px_per_mm, NULL),
            ==, TB_OK);
    for (size_t i = 0; i < tb_mask_area_px(mask); i++)
        mask->px[i] = 1;
    return mask;
}

static inline void board_set_disc(
        tb_mask *mask, double x_mm, double y_mm, double radius_mm, uint8_t wood)
{
    for (int y = 0; y < mask->height_px; y++)
        for (int x = 0; x < mask->width_px; x++) {
            double dx = (x + 0.5) / mask->px_per_mm - x_mm;
            double dy = (y + 0.5) / mask->px_per_mm - y_mm;
            if (dx * dx + dy * dy < radius_mm * radius_mm)
                mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] = wood;
        }
}

static inline void board_set_box(tb_mask *mask, double left_mm, double top_mm, double right_mm,
        double bottom_mm, uint8_t wood)
{
    for (int y = 0; y < mask->height_px; y++)
        for (int x = 0; x < mask->width_px; x++) {
            double at_x = (x + 0.5) / mask->px_per_mm, at_y = (y + 0.5) / mask->px_per_mm;
            if (at_x > left_mm && at_x < right_mm && at_y > top_mm && at_y < bottom_mm)
                mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] = wood;
        }
}

static inline tb_outline *board_trace(const tb_mask *mask)
{
    tb_outline_options options = TB_OUTLINE_OPTIONS_INIT;
    tb_outline *outline = NULL;
    g_assert_cmpint(tb_outline_trace(&outline, mask, &options, NULL, NULL), ==, TB_OK);
    return outline;
}

#endif
