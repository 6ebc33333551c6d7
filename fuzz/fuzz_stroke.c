/* Any bytes as a stroke: refused, or read and written again to the same bytes. */
#include "fuzz.h"

#include "base/alloc.h"
#include "project/stroke.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    tb_stroke stroke;
    uint8_t *bytes;
    size_t n;
    if (tb_stroke_decode(&stroke, data, size, NULL))
        return 0;
    if (tb_stroke_encode(&bytes, &n, &stroke, NULL) || n != size || memcmp(bytes, data, n) != 0)
        abort();
    tb_free(bytes);
    tb_stroke_clear(&stroke);
    return 0;
}
