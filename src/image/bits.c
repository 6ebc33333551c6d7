/* image/bits.c: see bits.h.
 *
 * Eight bytes of 0 or 1 become eight bits by one product: the byte of pixel i is moved to bit
 * 56 + i, and no two terms of the product fall on the same bit, so nothing carries.
 */
#include "image/bits.h"

#include <string.h>

static const uint64_t GATHER = UINT64_C(0x0102040810204080);
static const uint64_t ONES = UINT64_C(0x0101010101010101);
static const uint64_t DIAGONAL = UINT64_C(0x8040201008040201);

static uint64_t load8(const uint8_t *px)
{
    uint64_t eight;
    memcpy(&eight, px, 8);
    return eight;
}

void tb_bits_pack(uint64_t *words, const uint8_t *px, int width_px, bool invert)
{
    uint64_t flip = invert ? ~UINT64_C(0) : 0;
    size_t n_whole = (size_t)width_px / 64;
    int n_rest = width_px % 64;
    for (size_t i = 0; i < n_whole; i++, px += 64) {
        uint64_t word = 0;
        for (int k = 0; k < 8; k++)
            word |= load8(px + 8 * k) * GATHER >> 56 << 8 * k;
        words[i] = word ^ flip;
    }
    if (n_rest) {
        uint64_t word = 0;
        for (int k = 0; k < n_rest; k++)
            word |= (uint64_t)px[k] << k;
        words[n_whole] = (word ^ flip) & ((UINT64_C(1) << n_rest) - 1);
    }
}

static uint64_t spread8(uint64_t bits)
{
    uint64_t apart = (bits & 0xff) * ONES & DIAGONAL;
    return (apart + 0x7f * ONES) >> 7 & ONES;
}

void tb_bits_unpack(uint8_t *px, const uint64_t *words, int width_px, bool invert)
{
    uint64_t flip = invert ? ~UINT64_C(0) : 0;
    int x = 0;
    for (; x + 8 <= width_px; x += 8) {
        uint64_t eight = spread8((words[x / 64] ^ flip) >> x % 64);
        memcpy(px + x, &eight, 8);
    }
    for (; x < width_px; x++)
        px[x] = (words[x / 64] ^ flip) >> x % 64 & 1;
}

size_t tb_bits_count_runs(const uint64_t *words, size_t n_words)
{
    size_t n = 0;
    uint64_t before = 0;
    for (size_t i = 0; i < n_words; i++) {
        n += (size_t)__builtin_popcountll(words[i] & ~(words[i] << 1 | before));
        before = words[i] >> 63;
    }
    return n;
}
