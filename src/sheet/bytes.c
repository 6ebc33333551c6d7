/* sheet/bytes.c: see bytes.h. */
#include "sheet/bytes.h"

#include "base/alloc.h"
#include "base/array.h"
#include "base/num.h"

#include <string.h>

void tb_bytes_clear(tb_bytes *bytes)
{
    tb_free(bytes->data);
    *bytes = (tb_bytes){0};
}

bool tb_bytes_add(tb_bytes *bytes, const void *data, size_t n)
{
    if (!tb_array_reserve(&bytes->data, &bytes->room, bytes->n, n))
        return false;
    if (n > 0)
        memcpy(bytes->data + bytes->n, data, n);
    bytes->n += n;
    return true;
}

bool tb_bytes_add_text(tb_bytes *bytes, const char *text)
{
    return tb_bytes_add(bytes, text, strlen(text));
}

bool tb_bytes_add_number(tb_bytes *bytes, double value, int decimals)
{
    return tb_bytes_add_text(bytes, tb_num_of(value, decimals).text);
}
