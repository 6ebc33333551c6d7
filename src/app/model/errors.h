/* app/model/errors.h: the one place where a tb_error becomes a GError. */
#ifndef TB_APP_ERRORS_H
#define TB_APP_ERRORS_H

#include "base/status.h"

#include <glib.h>

#define TB_WORK_ERROR (tb_work_error_quark())
GQuark tb_work_error_quark(void);

/* code is the tb_status. */
void tb_work_error_set(GError **error, const tb_error *err);

#endif
