/* project/pack.c: see pack.h. */
#include "project/pack.h"

#include "base/alloc.h"
#include "base/array.h"

#include <string.h>

static uint8_t *room_for(tb_packer *packer, size_t n)
{
    if (packer->failed || !tb_array_reserve(&packer->bytes, &packer->room, packer->n, n)) {
        packer->failed = true;
        return NULL;
    }
    uint8_t *at = packer->bytes + packer->n;
    packer->n += n;
    return at;
}

void tb_pack_uint(tb_packer *packer, uint64_t value)
{
    for (bool more = true; more; value >>= 7) {
        more = value > 127;
        uint8_t *at = room_for(packer, 1);
        if (!at)
            return;
        *at = (uint8_t)((value & 127) | (more ? 0x80 : 0));
    }
}

void tb_pack_int(tb_packer *packer, int64_t value)
{
    uint64_t twice = (uint64_t)value << 1;
    tb_pack_uint(packer, value < 0 ? ~twice : twice);
}

void tb_pack_real(tb_packer *packer, double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    uint8_t *at = room_for(packer, 8);
    for (int i = 0; at && i < 8; i++)
        at[i] = (uint8_t)(bits >> 8 * i);
}

void tb_pack_text(tb_packer *packer, const char *text)
{
    size_t n = strlen(text);
    tb_pack_uint(packer, n);
    uint8_t *at = n > 0 ? room_for(packer, n) : NULL;
    if (at)
        memcpy(at, text, n);
}

uint64_t tb_unpack_uint(tb_unpacker *unpacker, uint64_t most)
{
    uint64_t value = 0;
    for (unsigned shift = 0; !unpacker->failed; shift += 7) {
        uint64_t byte = unpacker->at < unpacker->end ? *unpacker->at++ : 0x80;
        uint64_t bits = byte & 127;
        bool last = byte < 128;
        bool longer_than_needed = last && bits == 0 && shift > 0;
        if (shift > 63 || (shift == 63 && bits > 1) || longer_than_needed)
            break;
        value |= bits << shift;
        if (last) {
            unpacker->failed = value > most;
            return unpacker->failed ? 0 : value;
        }
    }
    unpacker->failed = true;
    return 0;
}

int64_t tb_unpack_int(tb_unpacker *unpacker)
{
    uint64_t value = tb_unpack_uint(unpacker, UINT64_MAX);
    uint64_t half = value >> 1;
    return value & 1 ? (int64_t)~half : (int64_t)half;
}

double tb_unpack_real(tb_unpacker *unpacker)
{
    uint64_t bits = 0;
    if (unpacker->failed || unpacker->end - unpacker->at < 8) {
        unpacker->failed = true;
        return 0;
    }
    for (int i = 0; i < 8; i++)
        bits |= (uint64_t)*unpacker->at++ << 8 * i;
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

void tb_unpack_text(tb_unpacker *unpacker, char *text, size_t room)
{
    text[0] = '\0';
    size_t n = (size_t)tb_unpack_uint(unpacker, room - 1);
    if (unpacker->failed || (size_t)(unpacker->end - unpacker->at) < n ||
            memchr(unpacker->at, 0, n)) {
        unpacker->failed = true;
        return;
    }
    memcpy(text, unpacker->at, n);
    text[n] = '\0';
    unpacker->at += n;
    if (!tb_text_fits(text, room)) {
        unpacker->failed = true;
        text[0] = '\0';
    }
}

bool tb_unpack_done(const tb_unpacker *unpacker)
{
    return !unpacker->failed && unpacker->at == unpacker->end;
}

bool tb_text_fits(const char *text, size_t room)
{
    const unsigned char *at = (const unsigned char *)text;
    for (; *at; at++) {
        int more = *at < 0x80 ? 0 : *at >= 0xf0 ? 3 : *at >= 0xe0 ? 2 : 1;
        uint32_t code = more == 0 ? *at : *at & (0x3fu >> more);
        if ((*at >= 0x80 && *at < 0xc2) || *at > 0xf4)
            return false;
        for (int i = 0; i < more; i++) {
            if ((*++at & 0xc0) != 0x80)
                return false;
            code = code << 6 | (*at & 0x3fu);
        }
        bool surrogate = code >= 0xd800 && code < 0xe000;
        if (surrogate || code > 0x10ffff || (more == 2 && code < 0x800) ||
                (more == 3 && code < 0x10000))
            return false;
    }
    return (size_t)(at - (const unsigned char *)text) < room;
}
