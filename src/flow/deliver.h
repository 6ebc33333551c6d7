/* flow/deliver.h: all files of one pattern, made side by side.
 *
 * pattern.png, pattern.svg, sheets.pdf, share.jpg, preview.png, project.tombolo and report.json.
 * They are added to a set of outputs and appear with its commit.
 *
 * Errors  TB_EWRITE, TB_EEXIST, TB_EINVAL (paper), TB_ENOMEM, TB_ECANCELLED
 */
#ifndef TB_FLOW_DELIVER_H
#define TB_FLOW_DELIVER_H

#include "base/num.h"
#include "flow/flow.h"
#include "flow/output.h"
#include "flow/report.h"
#include "project/project.h"

/* All borrowed. */
typedef struct {
    const tb_outcome *outcome; /* reached up to the inspection */
    const tb_project_start *project;
    tb_unit unit; /* named first on the sheets */
} tb_delivery;

/* *report is what report.json holds; to be freed by json_decref(). */
TB_NODISCARD tb_status tb_deliver(json_t **report, tb_outputs *set, const char *folder,
        const tb_delivery *delivery, const tb_job *job, tb_error *err);

/* Refuses what would be refused at the end: before the work. */
TB_NODISCARD tb_status tb_deliver_check(const tb_outputs *set, const char *folder, tb_error *err);

#endif
