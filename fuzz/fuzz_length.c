/* Any text as a length: refused with a reason, or a length within its limits. */
#include "fuzz.h"

#include "base/alloc.h"
#include "base/num.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = tb_malloc(size + 1, 1);
    if (!text)
        return 0;
    memcpy(text, data, size);
    text[size] = '\0';
    for (int unit = TB_UNIT_MM; unit <= TB_UNIT_IN; unit++) {
        tb_error err = {TB_OK, ""};
        double mm = 0;
        tb_status status = tb_length_parse(&mm, text, (tb_unit)unit, &err);
        if (status ? !err.text[0] : !(mm > 0 && mm <= 1e5))
            abort();
    }
    tb_free(text);
    return 0;
}
