/* image/bits.c: see bits.h.
 *
 * Eight bytes of 0 or 1 become eight bits by one product: the byte of pixel i is moved to bit
 * 56 + i, and no two terms of the product fall on the same bit, so nothing carries. Every x86-64
 * machine has an instruction that gathers sixteen. The other way round a byte of eight bits is
 * doubled three times, and of each copy one bit is looked at.
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

typedef uint8_t sixteen_bytes __attribute__((vector_size(16)));
typedef uint64_t two_words __attribute__((vector_size(16)));

/* Of bytes that hold the same eight bits, eight at a time. */
static void store16(uint8_t *px, sixteen_bytes eightfold)
{
    const sixteen_bytes bit = {1, 2, 4, 8, 16, 32, 64, 128, 1, 2, 4, 8, 16, 32, 64, 128};
    sixteen_bytes set = (sixteen_bytes)((eightfold & bit) == bit) & 1;
    memcpy(px, &set, sizeof set);
}

static void unpack64(uint8_t *px, uint64_t word)
{
    sixteen_bytes once = (sixteen_bytes)(two_words){word, 0};
    sixteen_bytes twice =
            __builtin_shufflevector(once, once, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7);
    sixteen_bytes low =
            __builtin_shufflevector(twice, twice, 0, 1, 0, 1, 2, 3, 2, 3, 4, 5, 4, 5, 6, 7, 6, 7);
    sixteen_bytes high = __builtin_shufflevector(
            twice, twice, 8, 9, 8, 9, 10, 11, 10, 11, 12, 13, 12, 13, 14, 15, 14, 15);
    store16(px, __builtin_shufflevector(low, low, 0, 1, 2, 3, 0, 1, 2, 3, 4, 5, 6, 7, 4, 5, 6, 7));
    store16(px + 16, __builtin_shufflevector(
                             low, low, 8, 9, 10, 11, 8, 9, 10, 11, 12, 13, 14, 15, 12, 13, 14, 15));
    store16(px + 32,
            __builtin_shufflevector(high, high, 0, 1, 2, 3, 0, 1, 2, 3, 4, 5, 6, 7, 4, 5, 6, 7));
    store16(px + 48, __builtin_shufflevector(high, high, 8, 9, 10, 11, 8, 9, 10, 11, 12, 13, 14, 15,
                             12, 13, 14, 15));
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

static void unpack64(uint8_t *px, uint64_t word)
{
    static const uint64_t ONES = UINT64_C(0x0101010101010101);
    static const uint64_t DIAGONAL = UINT64_C(0x8040201008040201);
    for (int k = 0; k < 8; k++) {
        uint64_t apart = (word >> 8 * k & 0xff) * ONES & DIAGONAL;
        uint64_t eight = (apart + 0x7f * ONES) >> 7 & ONES;
        memcpy(px + 8 * k, &eight, sizeof eight);
    }
}
#endif

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

void tb_bits_unpack(uint8_t *px, const uint64_t *words, int width_px, bool invert)
{
    uint64_t flip = invert ? ~UINT64_C(0) : 0;
    size_t n_whole = (size_t)width_px / 64;
    int n_rest = width_px % 64;
    for (size_t i = 0; i < n_whole; i++, px += 64)
        unpack64(px, words[i] ^ flip);
    for (int k = 0; k < n_rest; k++)
        px[k] = (words[n_whole] ^ flip) >> k & 1;
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
