/* cli/project.h: what the verbs that work on a project share. */
#ifndef TB_CLI_PROJECT_H
#define TB_CLI_PROJECT_H

#include "cli/cli.h"
#include "project/history.h"
#include "project/project.h"

/* Opens the one file among the plain words; the error names it. To change: TB_EWRITE or TB_ENEWER
 * where that can't be. */
TB_NODISCARD tb_status tb_cli_project(
        tb_project **out, const char *path, bool to_change, tb_error *err);

/* "X,Y" or "X,Y,WIDTH" in millimetres; *n is how many numbers there were. */
TB_NODISCARD tb_status tb_cli_point(double xyw[3], int *n, const char *word, tb_error *err);

/* After an action: a line that says what was done, or as JSON that and how the project stands. */
TB_NODISCARD tb_status tb_cli_done(
        const tb_project *project, bool json, const char *what, tb_error *err);

/* Seconds since 1970 as "2026-11-25T09:30:00Z". */
typedef struct {
    char text[32];
} tb_cli_time;
tb_cli_time tb_cli_time_of(int64_t at_s);

#endif
