/* photo/picture_tones.c: the two tones of a picture, if two there are.
 *
 * The commonest tone, with what lies about it, is one; the commonest of those well apart from it
 * is the other. Between them lie the pixels of the line: few, and beside both tones. Where many
 * pixels lie between and do not stand on a steep edge, the picture is a photograph.
 */
#include "photo/picture_private.h"

#include <stdlib.h>

/* A tone is all within SPREAD of its middle; two tones are APART, of which the rarer has one pixel
 * in RARE. Half a million pixels tell enough. */
enum { SPREAD = 10, APART = 24, RARE = 500, LOOK = 500000 };
static const double PURE_LEAST = 0.75, FLAT_MAX = 0.03, OTHER_MAX = 0.12;

static void count(uint32_t histogram[256], const tb__grey *grey)
{
    size_t n = (size_t)grey->width_px * (size_t)grey->height_px;
    size_t step = n / (LOOK * 8) + 1; /* whole cache lines are read anyway */
    step |= 1;                        /* does not fall in with the rows */
    for (size_t i = 0; i < n; i += step)
        histogram[grey->px[i]]++;
}

static uint32_t count_about(const uint32_t histogram[256], int tone)
{
    uint32_t sum = 0;
    for (int t = tone - SPREAD; t <= tone + SPREAD; t++)
        if (t >= 0 && t < 256)
            sum += histogram[t];
    return sum;
}

/* The middle of the commonest tone not within APART of `not`. */
static int commonest(const uint32_t histogram[256], int not, uint32_t *share)
{
    int best = 0;
    *share = 0;
    for (int tone = 0; tone < 256; tone++) {
        uint32_t sum = abs(tone - not ) < APART ? 0 : count_about(histogram, tone);
        if (sum > *share) {
            *share = sum;
            best = tone;
        }
    }
    return best;
}

/* The median of what lies within SPREAD of a tone. */
static int median_about(const uint32_t histogram[256], int tone, uint32_t share)
{
    uint32_t sum = 0;
    int t = tone > SPREAD ? tone - SPREAD : 0;
    for (; t < 255 && t < tone + SPREAD; t++) {
        sum += histogram[t];
        if (2 * sum >= share)
            break;
    }
    return t;
}

typedef struct {
    size_t n, pure, between, flat, other;
} census;

/* Counts pixels of the tones, between them, those of these that stand on no edge, and others. */
static census take_census(const tb__grey *grey, const tb__tones *tones)
{
    enum { BESIDE = 3 };
    census c = {0};
    int apart = tones->light - tones->dark, near = apart / 6 > SPREAD ? apart / 6 : SPREAD;
    int low = tones->dark + apart / 4, high = tones->light - apart / 4;
    size_t area = (size_t)grey->width_px * (size_t)grey->height_px;
    int step = 1;
    while (area / (size_t)(step * step) > LOOK)
        step++;
    ptrdiff_t row = grey->width_px;
    for (int y = BESIDE; y < grey->height_px - BESIDE; y += step) {
        for (int x = BESIDE; x < grey->width_px - BESIDE; x += step) {
            const uint8_t *px = grey->px + y * row + x;
            c.n++;
            c.pure += abs(*px - tones->dark) <= near || abs(*px - tones->light) <= near;
            c.other += *px < tones->dark - apart / 3 - SPREAD ||
                       *px > tones->light + apart / 3 + SPREAD;
            if (*px <= low || *px >= high)
                continue;
            c.between++;
            int across = abs(px[-BESIDE] - px[BESIDE]);
            int down = abs(px[-BESIDE * row] - px[BESIDE * row]);
            int curve = abs(px[-BESIDE] + px[BESIDE] - 2 * *px) / 2 +
                        abs(px[-BESIDE * row] + px[BESIDE * row] - 2 * *px) / 2;
            c.flat += across + down + curve < apart / 3;
        }
    }
    return c;
}

tb_status tb__tones_find(tb__tones *out, const tb__grey *grey, tb_error *err)
{
    uint32_t histogram[256] = {0}, first_share, second_share;
    count(histogram, grey);
    int first = commonest(histogram, -APART, &first_share);
    int second = commonest(histogram, first, &second_share);
    if (second_share < first_share / RARE + 1)
        return tb_fail(err, TB_EREAD, "this picture has one tone only, so there is nothing to saw");
    first = median_about(histogram, first, first_share);
    second = median_about(histogram, second, second_share);
    int dark = first < second ? first : second, light = first < second ? second : first;
    *out = (tb__tones){(uint8_t)dark, (uint8_t)light, (uint8_t)((dark + light + 1) / 2), 0};
    census c = take_census(grey, out);
    out->soft = c.n ? (double)c.between / (double)c.n : 0;
    double n = (double)c.n;
    bool valley = 2 * count_about(histogram, out->level) < second_share;
    if (!valley || (double)c.pure < PURE_LEAST * n || (double)c.flat > FLAT_MAX * n ||
            (double)c.other > OTHER_MAX * n)
        return tb_fail(
                err, TB_EREAD, "this picture is not two-tone; for a photograph, use: tombolo make");
    return TB_OK;
}
