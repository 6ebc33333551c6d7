/* base/status.c: see status.h. */
#include "base/status.h"

#include <stdarg.h>
#include <stdio.h>

void tb__fail(tb_error *err, tb_status code, const char *format, ...)
{
    if (!err)
        return;
    va_list args;
    va_start(args, format);
    vsnprintf(err->text, sizeof err->text, format, args);
    va_end(args);
    err->code = code;
    for (char *c = err->text; *c; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7f)
            *c = ' ';
}
