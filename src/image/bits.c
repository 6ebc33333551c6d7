/* image/bits.c: see bits.h.
 *
 * Eight bytes of 0 or 1 become eight bits by one product: the byte of pixel i is moved to bit
 * 56 + i, and no two terms of the product fall on the same bit, so nothing carries. Every x86-64
 * machine has an instruction that gathers sixteen.
 */
#include "image/bits.h"

#include "base/clones.h"

#include <string.h>

#ifdef __SSE2__
typedef char sixteen_pixels __attribute__((vector_size(16)));

static uint64_t pack64(const uint8_t *px)
{
    uint64_t word = 0;
    for (int k = 0; k < 4; k++) {
        sixteen_pixels px16;
        memcpy(&px16, px + 16 * k, sizeof px16);
        word |= (uint64_t)(unsigned)__builtin_ia32_pmovmskb128(-px16) << 16 * k;
    }
    return word;
}
#else
static uint64_t pack64(const uint8_t *px)
{
    uint64_t word = 0;
    for (int k = 0; k < 8; k++) {
        uint64_t eight;
        memcpy(&eight, px + 8 * k, sizeof eight);
        word |= eight * UINT64_C(0x0102040810204080) >> 56 << 8 * k;
    }
    return word;
}
#endif

static const uint64_t ONES = UINT64_C(0x0101010101010101);
static const uint64_t DIAGONAL = UINT64_C(0x8040201008040201);

void tb_bits_pack(uint64_t *words, const uint8_t *px, int width_px, bool invert)
{
    uint64_t flip = invert ? ~UINT64_C(0) : 0;
    size_t n_whole = (size_t)width_px / 64;
    int n_rest = width_px % 64;
    for (size_t i = 0; i < n_whole; i++, px += 64)
        words[i] = pack64(px) ^ flip;
    if (n_rest) {
        uint8_t rest[64] = {0};
        memcpy(rest, px, (size_t)n_rest);
        words[n_whole] = (pack64(rest) ^ flip) & ((UINT64_C(1) << n_rest) - 1);
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

TB_CLONES size_t tb_bits_count_runs(const uint64_t *words, size_t n_words)
{
    size_t n = 0;
    uint64_t before = 0;
    for (size_t i = 0; i < n_words; i++) {
        n += (size_t)__builtin_popcountll(words[i] & ~(words[i] << 1 | before));
        before = words[i] >> 63;
    }
    return n;
}
