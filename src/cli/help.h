/* cli/help.h: words about the verbs, from the same tables that read their options. */
#ifndef TB_CLI_HELP_H
#define TB_CLI_HELP_H

#include "cli/cli.h"

TB_NODISCARD tb_status tb_help(tb_error *err);
TB_NODISCARD tb_status tb_help_verb(const tb_verb *verb, tb_error *err);

#endif
