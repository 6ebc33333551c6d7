/* cli/say.h: what several verbs say in the same words, on standard output and in the user's unit.
 */
#ifndef TB_CLI_SAY_H
#define TB_CLI_SAY_H

#include "cli/cli.h"
#include "flow/sawing.h"
#include "pattern/say.h"

/* The choices of --unit: "local", "mm", "in". */
extern const char *const TB_CLI_UNITS[];

/* --unit in a table of options; the verb's struct has an int, unit. */
#define TB_ARG_UNIT(type)                                                                          \
    {                                                                                              \
        .name = "unit", .kind = TB_ARG_CHOICE, .offset = offsetof(type, unit), .value = "UNIT",    \
        .choices = TB_CLI_UNITS, .help = "lengths in mm, in, or as your locale has them"           \
    }

/* What was chosen, for all that is said from now on. */
void tb_cli_speak(tb_cli *cli, int unit);

/* "150 × 112.4 mm". */
tb_said tb_cli_size(double width_mm, double height_mm, tb_unit unit);

/* Length and time, how many boards go together; and what is to be said of the blade. */
void tb_cli_print_plan(
        const tb_plan *plan, double cut_length_mm, const tb_settings *settings, tb_unit unit);

#endif
