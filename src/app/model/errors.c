/* app/model/errors.c: see errors.h. */
#include "app/model/errors.h"

G_DEFINE_QUARK(tb - work - error - quark, tb_work_error)

void tb_work_error_set(GError **error, const tb_error *err)
{
    g_set_error_literal(error, TB_WORK_ERROR, err->code, err->text);
}
