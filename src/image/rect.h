/* image/rect.h: a rectangle of pixels, ends exclusive. Empty when it holds no pixel. */
#ifndef TB_IMAGE_RECT_H
#define TB_IMAGE_RECT_H

#include <stdbool.h>

typedef struct {
    int left_px, top_px, right_px, bottom_px;
} tb_rect;

static inline bool tb_rect_empty(tb_rect r)
{
    return r.left_px >= r.right_px || r.top_px >= r.bottom_px;
}

/* What both hold. */
static inline tb_rect tb_rect_meet(tb_rect a, tb_rect b)
{
    return (tb_rect){
            a.left_px > b.left_px ? a.left_px : b.left_px,
            a.top_px > b.top_px ? a.top_px : b.top_px,
            a.right_px < b.right_px ? a.right_px : b.right_px,
            a.bottom_px < b.bottom_px ? a.bottom_px : b.bottom_px,
    };
}

/* The smallest that holds both. */
static inline tb_rect tb_rect_join(tb_rect a, tb_rect b)
{
    if (tb_rect_empty(a))
        return b;
    if (tb_rect_empty(b))
        return a;
    return (tb_rect){
            a.left_px < b.left_px ? a.left_px : b.left_px,
            a.top_px < b.top_px ? a.top_px : b.top_px,
            a.right_px > b.right_px ? a.right_px : b.right_px,
            a.bottom_px > b.bottom_px ? a.bottom_px : b.bottom_px,
    };
}

#endif
