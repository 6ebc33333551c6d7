/* cli/mends.h: a mend tried for every finding, and what it comes to. */
#ifndef TB_CLI_MENDS_H
#define TB_CLI_MENDS_H

#include "base/job.h"
#include "base/num.h"
#include "pattern/mend.h"

#include <jansson.h>

/* Zeroed: none were tried. */
typedef struct {
    const tb_inspection *inspection;
    tb_proposal *proposals; /* [findings][TB_MENDS_MOST] */
} tb_cli_mends;

/* Of all findings; the inspection is borrowed. */
TB_NODISCARD tb_status tb_cli_mends_try(tb_cli_mends *out, const tb_mask *pattern,
        const tb_inspection *inspection, const tb_limits *limits, const tb_job *job, tb_error *err);
void tb_cli_mends_clear(tb_cli_mends *mends);

/* A line for each mend of one finding; nothing where none were tried. */
void tb_cli_mends_print(const tb_cli_mends *mends, size_t finding, tb_unit unit);

/* Adds "mends" to each of a report's findings; nothing where none were tried. */
TB_NODISCARD tb_status tb_cli_mends_json(json_t *report, const tb_cli_mends *mends, tb_error *err);

#endif
