/* Masks drawn with letters, for tests: '#' is wood, anything else opening. */
#ifndef TB_TESTS_DRAWN_H
#define TB_TESTS_DRAWN_H

#include "image/mask.h"

#include <glib.h>
#include <string.h>

/* n_rows strings of one length. */
static inline tb_mask *drawn(const char *const *rows, int n_rows)
{
    int width = (int)strlen(rows[0]);
    tb_mask *mask;
    g_assert_cmpint(tb_mask_new(&mask, width, n_rows, 10, NULL), ==, TB_OK);
    for (int y = 0; y < n_rows; y++)
        for (int x = 0; x < width; x++)
            mask->px[y * width + x] = rows[y][x] == '#';
    return mask;
}

/* Half noise: about as many pieces as there can be. */
static inline tb_mask *noisy(int width_px, int height_px, guint32 seed)
{
    GRand *rand = g_rand_new_with_seed(seed);
    tb_mask *mask;
    g_assert_cmpint(tb_mask_new(&mask, width_px, height_px, 10, NULL), ==, TB_OK);
    for (size_t i = 0; i < tb_mask_area_px(mask); i++)
        mask->px[i] = (uint8_t)g_rand_boolean(rand);
    g_rand_free(rand);
    return mask;
}

#endif
