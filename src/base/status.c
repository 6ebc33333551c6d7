/* base/status.c: see status.h. */
#include "base/status.h"

#include <stdarg.h>
#include <stdio.h>

tb_status tb_fail(tb_error *err, tb_status code, const char *format, ...)
{
    if (err) {
        va_list args;
        va_start(args, format);
        vsnprintf(err->text, sizeof err->text, format, args);
        va_end(args);
        err->code = code;
        for (char *c = err->text; *c; c++)
            if ((unsigned char)*c < 0x20 || *c == 0x7f)
                *c = ' ';
    }
    return code;
}

tb_status tb_fail_memory(tb_error *err)
{
    return tb_fail(err, TB_ENOMEM, "not enough memory for this picture at this size");
}

tb_status tb_fail_cancelled(tb_error *err)
{
    return tb_fail(err, TB_ECANCELLED, "stopped");
}
