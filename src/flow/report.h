/* flow/report.h: what is known about a pattern, as JSON.
 *
 * The same fields for every pattern, whether it was made of a photograph or read from a picture;
 * docs/report.schema.json says which. Lengths in mm, areas in mm², times in ms.
 */
#ifndef TB_FLOW_REPORT_H
#define TB_FLOW_REPORT_H

#include "flow/sawing.h"
#include "image/mask.h"
#include "pattern/inspect.h"
#include "pattern/limits.h"
#include "pattern/tie.h"

#include <jansson.h>

typedef struct {
    const char *name;
    double ms;
} tb_timing;

/* All borrowed. */
typedef struct {
    const char *file;           /* NULL: not named */
    double width_mm, height_mm; /* of the board */
    double px_per_mm;
    const char *stock, *blade;
    const tb_limits *limits;
    const tb_inspection *inspection;
    const tb_tie_account *tie; /* NULL: not tied */
    const tb_plan *plan;
    tb_remark remark; /* on the blade; "" */
    bool has_photo;   /* the photograph covers photo_mm: left, top, width, height */
    double photo_mm[4];
    const tb_timing *timings;
    size_t n_timings;
} tb_report;

/* To be freed by json_decref(). */
TB_NODISCARD tb_status tb_report_json(json_t **out, const tb_report *report, tb_error *err);

/* The text of a JSON value with a line break at its end: on one line, or indented for people. To
 * be freed by free(). */
TB_NODISCARD tb_status tb_json_text(char **out, const json_t *value, bool one_line, tb_error *err);

/* value rounded to so many decimals; null when it is not finite. */
json_t *tb_json_number(double value, int decimals);

#endif
