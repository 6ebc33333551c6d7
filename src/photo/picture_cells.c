/* photo/picture_cells.c: a picture looked at in cells, a 360th of its shorter side each. */
#include "photo/picture_private.h"

#include "base/alloc.h"

#include <string.h>

enum { CELLS = 360 };

/* flip: 255 turns lightest and darkest round. */
static void darken(uint8_t *restrict least, const uint8_t *restrict row, size_t n, uint8_t flip)
{
    for (size_t x = 0; x < n; x++) {
        uint8_t tone = row[x] ^ flip;
        least[x] = tone < least[x] ? tone : least[x];
    }
}

/* row: room for a row of the picture. */
static void pool(tb__cells *c, const tb__grey *grey, uint8_t *row, uint8_t flip)
{
    int width = grey->width_px;
    for (int y = 0; y < c->height; y++) {
        uint8_t *cell = c->tone + (size_t)y * (size_t)c->width;
        int first = y * c->size_px, end = first + c->size_px;
        end = end < grey->height_px ? end : grey->height_px;
        memset(row, 255, (size_t)width);
        for (int k = first; k < end; k++)
            darken(row, grey->px + (size_t)k * (size_t)width, (size_t)width, flip);
        for (int x = 0, i = 0; x < c->width; x++) {
            uint8_t least = 255;
            for (int k = 0; k < c->size_px && i < width; k++, i++)
                least = row[i] < least ? row[i] : least;
            cell[x] = least ^ flip;
        }
    }
}

tb_status tb__cells_new(tb__cells *out, const tb__grey *grey, bool lightest, tb_error *err)
{
    int w = grey->width_px, h = grey->height_px, shorter = w < h ? w : h;
    int size = shorter < 2 * CELLS ? 1 : shorter / CELLS;
    *out = (tb__cells){size, (w + size - 1) / size, (h + size - 1) / size, NULL};
    uint8_t *row = tb_malloc((size_t)w, 1);
    out->tone = tb_malloc((size_t)out->width * (size_t)out->height, 1);
    if (!row || !out->tone) {
        tb_free(row);
        tb_free(out->tone);
        out->tone = NULL;
        return tb_fail_memory(err);
    }
    pool(out, grey, row, lightest ? 255 : 0);
    tb_free(row);
    return TB_OK;
}

int32_t tb__widest(const tb_labels *labels)
{
    double most = 0;
    int32_t best = -1;
    for (int32_t i = 0; i < labels->n_pieces; i++) {
        double box = tb__box_area(tb__box_of(&labels->pieces[i]));
        if (box > most) {
            most = box;
            best = i;
        }
    }
    return best;
}
