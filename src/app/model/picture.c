/* app/model/picture.c: see picture.h. */
#include "app/model/picture.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>

static tb_picture *picture_new(int width_px, int height_px, double px_per_mm)
{
    tb_picture *picture = tb_calloc(1, sizeof *picture);
    if (!picture)
        return NULL;
    picture->px_per_mm = px_per_mm;
    while (picture->n_levels < TB_PICTURE_LEVELS) {
        tb_level *level = &picture->levels[picture->n_levels];
        *level = (tb_level){width_px, height_px,
                tb_malloc((size_t)width_px * (size_t)height_px, sizeof *level->px)};
        if (!level->px) {
            tb_picture_free(picture);
            return NULL;
        }
        picture->n_levels++;
        if (width_px <= 64 || height_px <= 64)
            break;
        width_px = (width_px + 1) / 2;
        height_px = (height_px + 1) / 2;
    }
    return picture;
}

void tb_picture_free(tb_picture *picture)
{
    if (!picture)
        return;
    for (int i = 0; i < picture->n_levels; i++)
        tb_free(picture->levels[i].px);
    tb_free(picture);
}

/* Fills a rectangle of one level from the one above it. */
static void halve(const tb_level *from, tb_level *to, tb_rect rect)
{
    for (int y = rect.top_px; y < rect.bottom_px; y++) {
        int below = 2 * y + 1 < from->height_px ? 2 * y + 1 : 2 * y;
        const uint8_t *upper = from->px + (size_t)(2 * y) * (size_t)from->width_px;
        const uint8_t *lower = from->px + (size_t)below * (size_t)from->width_px;
        uint8_t *row = to->px + (size_t)y * (size_t)to->width_px;
        for (int x = rect.left_px; x < rect.right_px; x++) {
            int right = 2 * x + 1 < from->width_px ? 2 * x + 1 : 2 * x;
            row[x] = (uint8_t)((upper[2 * x] + upper[right] + lower[2 * x] + lower[right] + 2) / 4);
        }
    }
}

static void halve_all(tb_picture *picture, tb_rect rect)
{
    for (int i = 1; i < picture->n_levels; i++) {
        tb_level *to = &picture->levels[i];
        rect = tb_rect_meet((tb_rect){rect.left_px / 2, rect.top_px / 2, (rect.right_px + 1) / 2,
                                    (rect.bottom_px + 1) / 2},
                (tb_rect){0, 0, to->width_px, to->height_px});
        halve(&picture->levels[i - 1], to, rect);
    }
}

void tb_picture_refresh(tb_picture *picture, const tb_mask *mask, tb_rect rect)
{
    tb_level *whole = &picture->levels[0];
    rect = tb_rect_meet(rect, (tb_rect){0, 0, whole->width_px, whole->height_px});
    if (tb_rect_empty(rect))
        return;
    for (int y = rect.top_px; y < rect.bottom_px; y++) {
        size_t row = (size_t)y * (size_t)whole->width_px;
        for (int x = rect.left_px; x < rect.right_px; x++)
            whole->px[row + (size_t)x] = (uint8_t)-mask->px[row + (size_t)x];
    }
    halve_all(picture, rect);
}

tb_picture *tb_picture_of_mask(const tb_mask *mask)
{
    tb_picture *picture = picture_new(mask->width_px, mask->height_px, mask->px_per_mm);
    if (picture)
        tb_picture_refresh(picture, mask, (tb_rect){0, 0, mask->width_px, mask->height_px});
    return picture;
}

tb_picture *tb_picture_of_bytes(const uint8_t *px, int width_px, int height_px, double px_per_mm)
{
    tb_picture *picture = picture_new(width_px, height_px, px_per_mm);
    if (!picture)
        return NULL;
    memcpy(picture->levels[0].px, px, (size_t)width_px * (size_t)height_px);
    halve_all(picture, (tb_rect){0, 0, width_px, height_px});
    return picture;
}

tb_picture *tb_picture_copy(const tb_picture *picture)
{
    const tb_level *whole = &picture->levels[0];
    tb_picture *copy = picture_new(whole->width_px, whole->height_px, picture->px_per_mm);
    for (int i = 0; copy && i < copy->n_levels; i++) {
        const tb_level *level = &picture->levels[i];
        memcpy(copy->levels[i].px, level->px, (size_t)level->width_px * (size_t)level->height_px);
    }
    return copy;
}

/* L* (CIE 15) to sRGB (IEC 61966-2-1), 8-bit. */
static uint8_t grey_of(double l)
{
    double f = (l + 16) / 116;
    double y = l > 8 ? f * f * f : l / 903.3;
    double v = y <= 0.0031308 ? 12.92 * y : 1.055 * pow(y, 1 / 2.4) - 0.055;
    return (uint8_t)fmin(fmax(v * 255 + 0.5, 0), 255);
}

tb_picture *tb_picture_of_lightness(const tb_plane *lightness)
{
    enum { STEPS = 1024 };
    uint8_t grey[STEPS];
    tb_picture *picture =
            picture_new(lightness->width_px, lightness->height_px, lightness->px_per_mm);
    if (!picture)
        return NULL;
    for (int i = 0; i < STEPS; i++)
        grey[i] = grey_of(100.0 * i / (STEPS - 1));
    size_t n = tb_plane_area_px(lightness);
    for (size_t i = 0; i < n; i++) {
        float l = lightness->px[i] * (STEPS - 1) / 100;
        picture->levels[0].px[i] = grey[l < 0 ? 0 : l > STEPS - 1 ? STEPS - 1 : (int)l];
    }
    halve_all(picture, (tb_rect){0, 0, lightness->width_px, lightness->height_px});
    return picture;
}
