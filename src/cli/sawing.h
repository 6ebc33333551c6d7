/* cli/sawing.h: how long it takes at the saw, in a line or two. */
#ifndef TB_CLI_SAWING_H
#define TB_CLI_SAWING_H

#include "flow/sawing.h"

/* On stdout: length and time, how many boards go together; and what is to be said of the blade. */
void tb_cli_print_plan(
        const tb_plan *plan, double cut_length_mm, const tb_settings *settings, tb_unit unit);

#endif
