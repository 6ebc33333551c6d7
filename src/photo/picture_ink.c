/* photo/picture_ink.c: taking off what is drawn on top of a pale print.
 *
 * On a working print the openings are pale, and their outlines, crosses and numbers are much
 * darker than either tone. Ink, and what lies so near to it that it is blurred, hides the tone
 * below; it gets that of the nearest place that can be seen. So a number on wood turns to wood,
 * and where an outline was, wood and opening meet in its middle.
 */
#include "photo/picture_private.h"

#include "base/alloc.h"
#include "image/width.h"

/* Ink is darker than the dark tone by half of what the tones lie apart, and DARKER at least. */
enum { DARKER = 30, RARE = 20000, BLURRED_PX = 2 };

static tb_status find_hidden(tb_mask **hidden, const tb__grey *grey, const tb__tones *tones,
        const tb_job *job, tb_error *err)
{
    size_t area = (size_t)grey->width_px * (size_t)grey->height_px, n_ink = 0;
    int apart = tones->light - tones->dark;
    int level = tones->dark - (apart / 2 > DARKER ? apart / 2 : DARKER);
    tb_mask *ink;
    for (size_t i = 0; level > 0 && i < area; i++)
        n_ink += grey->px[i] < level;
    if (n_ink <= area / RARE)
        return TB_OK;
    tb_status status = tb_mask_new(&ink, grey->width_px, grey->height_px, 1, err);
    if (status)
        return status;
    for (size_t i = 0; i < area; i++)
        ink->px[i] = grey->px[i] < level;
    status = tb_grow_wood(hidden, ink, BLURRED_PX, job, err);
    tb_mask_free(ink);
    return status;
}

typedef struct {
    tb__grey *grey;
    const tb__tones *tones;
    uint8_t *state; /* SEEN, HIDDEN or SHOWN */
    int32_t *queue; /* what has been shown, in order */
    size_t n;
} lifting;

enum { SEEN, HIDDEN, SHOWN };

/* Shows the hidden neighbours of a place that can be seen, or has been shown. */
static void show_around(lifting *l, int32_t at)
{
    int width = l->grey->width_px, height = l->grey->height_px;
    int x = at % width, y = at / width;
    const int32_t beside[4] = {x > 0 ? at - 1 : at, x < width - 1 ? at + 1 : at,
            y > 0 ? at - width : at, y < height - 1 ? at + width : at};
    uint8_t tone = l->grey->px[at] < l->tones->level ? l->tones->dark : l->tones->light;
    for (int k = 0; k < 4; k++) {
        if (l->state[beside[k]] != HIDDEN)
            continue;
        l->state[beside[k]] = SHOWN;
        l->grey->px[beside[k]] = tone;
        l->queue[l->n++] = beside[k];
    }
}

/* From all that is seen at once, step by step inwards. */
static void show_all(lifting *l, size_t area)
{
    size_t width = (size_t)l->grey->width_px;
    const uint8_t *state = l->state;
    for (size_t i = 0; i < area; i++) {
        bool beside = (i > 0 && state[i - 1] == HIDDEN) || (i + 1 < area && state[i + 1] == HIDDEN);
        bool above = i >= width && state[i - width] == HIDDEN;
        bool below = i + width < area && state[i + width] == HIDDEN;
        if (state[i] == SEEN && (beside || above || below))
            show_around(l, (int32_t)i);
    }
    for (size_t i = 0; i < l->n; i++)
        show_around(l, l->queue[i]);
}

tb_status tb__ink_lift(tb__grey *grey, const tb__tones *tones, const tb_job *job, tb_error *err)
{
    lifting l = {.grey = grey, .tones = tones};
    tb_mask *hidden = NULL;
    tb_status status = find_hidden(&hidden, grey, tones, job, err);
    if (status || !hidden)
        return status;
    size_t area = tb_mask_area_px(hidden), n_hidden = 0;
    for (size_t i = 0; i < area; i++)
        n_hidden += hidden->px[i];
    l.state = hidden->px; /* 1 is HIDDEN */
    l.queue = tb_malloc(n_hidden, sizeof *l.queue);
    if (l.queue)
        show_all(&l, area);
    else
        status = tb_fail_memory(err);
    tb_free(l.queue);
    tb_mask_free(hidden);
    return status;
}
