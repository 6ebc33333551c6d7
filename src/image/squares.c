/* image/squares.c: see squares.h. */
#include "image/squares.h"

#include "base/alloc.h"
#include "base/array.h"

#include <string.h>

static tb_status squares_new(tb_squares **out, int width_px, int height_px, tb_error *err)
{
    tb_squares *squares = tb_calloc(1, sizeof *squares);
    *out = NULL;
    if (!squares)
        return tb_fail_memory(err);
    squares->width_px = width_px;
    squares->height_px = height_px;
    squares->across = (width_px + TB_SQUARE_PX - 1) / TB_SQUARE_PX;
    squares->down = (height_px + TB_SQUARE_PX - 1) / TB_SQUARE_PX;
    squares->set = tb_calloc((size_t)squares->across * (size_t)squares->down, 1);
    if (!squares->set) {
        tb_free(squares);
        return tb_fail_memory(err);
    }
    *out = squares;
    return TB_OK;
}

static void compare_row(uint8_t *set, const uint8_t *a, const uint8_t *b, size_t n)
{
    if (memcmp(a, b, n) == 0)
        return;
    for (size_t x = 0; x < n; x += TB_SQUARE_PX) {
        size_t wide = n - x < TB_SQUARE_PX ? n - x : TB_SQUARE_PX;
        set[x / TB_SQUARE_PX] |= memcmp(a + x, b + x, wide) != 0;
    }
}

tb_status tb_squares_differing(tb_squares **out, const tb_mask *a, const tb_mask *b, tb_error *err)
{
    tb_status status = squares_new(out, a->width_px, a->height_px, err);
    size_t n = (size_t)a->width_px;
    for (int y = 0; !status && y < a->height_px; y++)
        compare_row((*out)->set + (size_t)(y / TB_SQUARE_PX) * (size_t)(*out)->across,
                a->px + (size_t)y * n, b->px + (size_t)y * n, n);
    return status;
}

static void set_around(tb_squares *to, int x, int y, int by)
{
    int left = x - by > 0 ? x - by : 0, right = x + by < to->across ? x + by : to->across - 1;
    int top = y - by > 0 ? y - by : 0, bottom = y + by < to->down ? y + by : to->down - 1;
    for (int v = top; v <= bottom; v++)
        memset(to->set + v * to->across + left, 1, (size_t)right + 1 - (size_t)left);
}

tb_status tb_squares_grown(tb_squares **out, const tb_squares *squares, int by_px, tb_error *err)
{
    tb_status status = squares_new(out, squares->width_px, squares->height_px, err);
    int by = (by_px + TB_SQUARE_PX - 1) / TB_SQUARE_PX;
    for (int y = 0; !status && y < squares->down; y++)
        for (int x = 0; x < squares->across; x++)
            if (squares->set[y * squares->across + x])
                set_around(*out, x, y, by);
    return status;
}

bool tb_squares_meet(const tb_squares *squares, tb_rect rect)
{
    tb_rect r = tb_rect_meet(rect, (tb_rect){0, 0, squares->width_px, squares->height_px});
    if (tb_rect_empty(r))
        return false;
    int left = r.left_px / TB_SQUARE_PX, right = (r.right_px - 1) / TB_SQUARE_PX;
    for (int y = r.top_px / TB_SQUARE_PX; y <= (r.bottom_px - 1) / TB_SQUARE_PX; y++)
        if (memchr(squares->set + y * squares->across + left, 1, (size_t)right + 1 - (size_t)left))
            return true;
    return false;
}

static tb_rect rect_of(const tb_squares *squares, int left, int right, int y)
{
    tb_rect r = {
            left * TB_SQUARE_PX, y * TB_SQUARE_PX, right * TB_SQUARE_PX, (y + 1) * TB_SQUARE_PX};
    return tb_rect_meet(r, (tb_rect){0, 0, squares->width_px, squares->height_px});
}

/* Makes a rectangle of the row above longer, if one is as wide as this. */
static bool lengthen(tb_rect *rects, size_t n, tb_rect r)
{
    for (size_t i = n; i-- > 0;)
        if (rects[i].bottom_px == r.top_px && rects[i].left_px == r.left_px &&
                rects[i].right_px == r.right_px) {
            rects[i].bottom_px = r.bottom_px;
            return true;
        }
    return false;
}

tb_status tb_squares_rects(tb_rect **out, size_t *n, const tb_squares *squares, tb_error *err)
{
    size_t room = 0;
    *out = NULL;
    *n = 0;
    for (int y = 0; y < squares->down; y++) {
        const uint8_t *row = squares->set + y * squares->across;
        for (int x = 0, end; x < squares->across; x = end) {
            for (end = x + 1; end < squares->across && row[end] == row[x]; end++)
                ;
            tb_rect r = rect_of(squares, x, end, y);
            if (!row[x] || lengthen(*out, *n, r))
                continue;
            if (!tb_array_reserve(out, &room, *n, 1)) {
                tb_free(*out);
                *out = NULL;
                return tb_fail_memory(err);
            }
            (*out)[(*n)++] = r;
        }
    }
    return TB_OK;
}

void tb_squares_free(tb_squares *squares)
{
    if (squares)
        tb_free(squares->set);
    tb_free(squares);
}
