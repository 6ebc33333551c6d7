/* project/pack.h: small values as bytes, and back, the same on every machine.
 *
 * varint   seven bits a byte, least first, the eighth says "more"; the shortest form only
 * zigzag   0, -1, 1, -2 … as varints 0, 1, 2, 3 …
 * real     IEEE 754 double, least byte first
 * text     a varint of its length, then UTF-8 without a zero
 *
 * Both writer and reader remember that they failed, so that only the end has to be checked: a
 * reader that has failed gives zeros.
 */
#ifndef TB_PROJECT_PACK_H
#define TB_PROJECT_PACK_H

#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct {
    uint8_t *bytes;
    size_t n, room;
    bool failed; /* memory ran out */
} tb_packer;

void tb_pack_uint(tb_packer *packer, uint64_t value);
void tb_pack_int(tb_packer *packer, int64_t value);
void tb_pack_real(tb_packer *packer, double value);
void tb_pack_text(tb_packer *packer, const char *text);

typedef struct {
    const uint8_t *at, *end;
    bool failed;
} tb_unpacker;

uint64_t tb_unpack_uint(tb_unpacker *unpacker, uint64_t most);
int64_t tb_unpack_int(tb_unpacker *unpacker);
double tb_unpack_real(tb_unpacker *unpacker);
/* text always ends with a zero; fails when it does not fit into room bytes or is no UTF-8. */
void tb_unpack_text(tb_unpacker *unpacker, char *text, size_t room);
/* All was read, and nothing failed. */
bool tb_unpack_done(const tb_unpacker *unpacker);

/* Whether text is well-formed UTF-8 of at most room - 1 bytes (RFC 3629). */
bool tb_text_fits(const char *text, size_t room);

#endif
