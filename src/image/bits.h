/* image/bits.h: rows of a mask, one bit for each pixel.
 *
 * A row is an array of 64-bit words; pixel x is bit x % 64 of word x / 64, and bits behind the
 * last pixel are 0. A row of 64 pixels costs one step where bytes cost 64.
 */
#ifndef TB_IMAGE_BITS_H
#define TB_IMAGE_BITS_H

#include "image/plane.h"

#include <stdbool.h>
#include <stdint.h>

enum { TB_ROW_MAX_WORDS = TB_SIDE_MAX_PX / 64 + 1 };

static inline size_t tb_bits_words(int width_px)
{
    return ((size_t)width_px + 63) / 64;
}

/* px holds 0 or 1; invert gives the openings of a mask. Writes tb_bits_words(width_px) words. */
void tb_bits_pack(uint64_t *words, const uint8_t *px, int width_px, bool invert);

/* The way back: writes width_px bytes of 0 or 1. */
void tb_bits_unpack(uint8_t *px, const uint64_t *words, int width_px, bool invert);

/* Runs of ones in a row. */
size_t tb_bits_count_runs(const uint64_t *words, size_t n_words);

/* The first run that begins at or behind *end_px: true and *x_px, *end_px, or false when there is
 * none. Begin with *end_px = 0. */
static inline bool tb_bits_next_run(const uint64_t *words, size_t n_words, int *x_px, int *end_px)
{
    size_t i = (size_t)*end_px / 64;
    if (i >= n_words)
        return false;
    uint64_t word = words[i] & (~UINT64_C(0) << (*end_px % 64));
    while (!word) {
        if (++i == n_words)
            return false;
        word = words[i];
    }
    int first = __builtin_ctzll(word);
    *x_px = (int)(i * 64) + first;
    word = ~(word | ((UINT64_C(1) << first) - 1));
    while (!word && ++i < n_words)
        word = ~words[i];
    *end_px = (int)(i * 64) + (i < n_words ? __builtin_ctzll(word) : 0);
    return true;
}

#endif
