/* sheet/bytes.h: a finished file in memory.
 *
 * Everything in this folder writes into memory; only the flow touches files.
 */
#ifndef TB_SHEET_BYTES_H
#define TB_SHEET_BYTES_H

#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct {
    uint8_t *data; /* tb_free(), or tb_bytes_clear() */
    size_t n, room;
} tb_bytes;

void tb_bytes_clear(tb_bytes *bytes);

/* Appends; false when memory ran out (what was there stays). */
bool tb_bytes_add(tb_bytes *bytes, const void *data, size_t n);
bool tb_bytes_add_text(tb_bytes *bytes, const char *text);

/* Appends the digits of value, at most `decimals` behind the point (base/num.h). */
bool tb_bytes_add_number(tb_bytes *bytes, double value, int decimals);

#endif
