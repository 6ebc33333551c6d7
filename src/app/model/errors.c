/* app/model/errors.c: see errors.h. */
#include "app/model/errors.h"

#include "flow/local.h"

G_DEFINE_QUARK(tb - work - error - quark, tb_work_error)

void tb_work_error_set(GError **error, const tb_error *err)
{
    g_autofree char *text = tb_local(err->text);
    g_set_error_literal(error, TB_WORK_ERROR, err->code, text);
}
