/* cli/explain.h: every limit with where it comes from and how well it is known. */
#ifndef TB_CLI_EXPLAIN_H
#define TB_CLI_EXPLAIN_H

#include "base/num.h"
#include "base/status.h"
#include "pattern/limits.h"
#include "project/settings.h"

#include <stdbool.h>

TB_NODISCARD tb_status tb_explain_limits(const tb_limits *limits, const tb_settings *settings,
        bool json, tb_unit unit, tb_error *err);

#endif
