/* flow/report.c: see report.h.
 *
 * Values are handed to jansson without a look at what came back: it refuses NULL wherever a value
 * is wanted, so one flag gathers every failure, and is looked at once, at the end.
 */
#include "flow/report.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

json_t *tb_json_number(double value, int decimals)
{
    double scale = pow(10, decimals);
    return isfinite(value) ? json_real(round(value * scale) / scale + 0.0) : json_null();
}

static json_t *mm(double value)
{
    return tb_json_number(value, 3);
}

/* Puts value under key into object; both failures, of value and of object, end up in *good. */
static void put(bool *good, json_t *object, const char *key, json_t *value)
{
    *good = json_object_set_new(object, key, value) == 0 && *good;
}

static void push(bool *good, json_t *array, json_t *value)
{
    *good = json_array_append_new(array, value) == 0 && *good;
}

static json_t *limits_json(bool *good, const tb_limits *l)
{
    const struct {
        const char *key;
        double value;
    } ROWS[] = {{"bridge_must_mm", l->bridge_must_mm}, {"bridge_should_mm", l->bridge_should_mm},
            {"bridge_across_mm", l->bridge_across_mm}, {"split_kerf_mm", l->split_kerf_mm},
            {"kerf_mm", l->kerf_mm}, {"slot_must_kerfs", l->slot_must_kerfs},
            {"slot_should_kerfs", l->slot_should_kerfs}, {"drill_mm", l->drill_mm},
            {"drill_room_mm", l->drill_room_mm}, {"hole_clear_mm", l->hole_clear_mm},
            {"turn_radius_mm", l->turn_radius_mm}, {"frame_mm", l->frame_mm},
            {"speck_mm2", l->speck_mm2}, {"thickness_mm", l->thickness_mm},
            {"strength_along_mpa", l->strength_along_mpa},
            {"strength_across_mpa", l->strength_across_mpa},
            {"grain_deg", l->grain_rad * 180 / 3.14159265358979323846}, {"safety", l->safety},
            {"load_n", l->load_n}};
    json_t *out = json_object();
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++)
        put(good, out, ROWS[i].key, tb_json_number(ROWS[i].value, 4));
    return out;
}

/* In the order of sawing. */
static json_t *holes_json(bool *good, const tb_inspection *inspection, const tb_plan *plan)
{
    json_t *out = json_array();
    for (size_t i = 0; i < plan->n_steps; i++) {
        const tb_saw_step *step = &plan->steps[i];
        const tb_entry_hole *hole = &inspection->holes[step->hole];
        json_t *row = json_object();
        put(good, row, "x_mm", mm(hole->x_mm));
        put(good, row, "y_mm", mm(hole->y_mm));
        put(good, row, "drill_mm", mm(hole->drill_mm));
        put(good, row, "opening", json_integer(hole->opening));
        put(good, row, "cut_mm", tb_json_number(step->cut_mm, 1));
        if (plan->order != TB_ORDER_CENTRE)
            put(good, row, "weak", json_boolean(step->weak));
        push(good, out, row);
    }
    return out;
}

static json_t *plan_json(bool *good, const tb_plan *plan, const tb_remark *remark)
{
    json_t *out = json_object();
    put(good, out, "order", json_string(TB_SAW_ORDERS[plan->order]));
    put(good, out, "minutes", tb_json_number(plan->minutes, 0));
    put(good, out, "outline_mm", tb_json_number(plan->outline_mm, 1));
    put(good, out, "stack_most", json_integer(plan->stack_most));
    put(good, out, "blade_remark", json_string(remark->text));
    return out;
}

static json_t *findings_json(bool *good, const tb_inspection *inspection)
{
    json_t *out = json_array();
    for (size_t i = 0; i < inspection->n_findings; i++) {
        const tb_finding *finding = &inspection->findings[i];
        json_t *row = json_object();
        put(good, row, "kind", json_string(tb_finding_kind_name(finding->kind)));
        put(good, row, "severity", json_string(finding->severity == TB_MUST ? "must" : "should"));
        put(good, row, "x_mm", mm(finding->x_mm));
        put(good, row, "y_mm", mm(finding->y_mm));
        put(good, row, "measured", mm(finding->measured));
        put(good, row, "limit", mm(finding->limit));
        put(good, row, "unit", json_string(finding->unit ? finding->unit : ""));
        put(good, row, "advice", json_string(finding->advice));
        push(good, out, row);
    }
    return out;
}

static json_t *bridges_json(bool *good, const tb_tie_account *tie)
{
    json_t *out = json_array();
    for (size_t i = 0; tie && i < tie->n_bridges; i++) {
        const tb_bridge *bridge = &tie->bridges[i];
        json_t *row = json_object(), *path = json_array();
        for (size_t p = 0; p < bridge->n_path; p++) {
            json_t *point = json_array();
            push(good, point, mm(bridge->path[p].x_mm));
            push(good, point, mm(bridge->path[p].y_mm));
            push(good, path, point);
        }
        put(good, row, "path_mm", path);
        put(good, row, "width_mm", mm(bridge->width_mm));
        put(good, row, "length_mm", mm(bridge->length_mm));
        put(good, row, "likeness_cost", tb_json_number(bridge->likeness_cost, 6));
        push(good, out, row);
    }
    return out;
}

static json_t *dropped_json(bool *good, const tb_tie_account *tie)
{
    json_t *out = json_array();
    for (size_t i = 0; tie && i < tie->n_dropped; i++) {
        const tb_dropped *island = &tie->dropped[i];
        json_t *row = json_object();
        put(good, row, "x_mm", mm(island->x_mm));
        put(good, row, "y_mm", mm(island->y_mm));
        put(good, row, "area_mm2", mm(island->area_mm2));
        put(good, row, "likeness_cost", tb_json_number(island->likeness_cost, 6));
        push(good, out, row);
    }
    return out;
}

static void put_tie(bool *good, json_t *out, const tb_tie_account *tie)
{
    put(good, out, "bridges", bridges_json(good, tie));
    put(good, out, "dropped_islands", dropped_json(good, tie));
    json_t *likeness = json_object();
    put(good, likeness, "before_tie", tb_json_number(tie ? tie->likeness_before : NAN, 6));
    put(good, likeness, "after_tie", tb_json_number(tie ? tie->likeness_after : NAN, 6));
    put(good, out, "likeness", likeness);
    json_t *sums = tie ? json_object() : json_null();
    if (tie) {
        put(good, sums, "cost", tb_json_number(tie->cost, 6));
        put(good, sums, "lower_bound", tb_json_number(tie->lower_bound, 6));
        put(good, sums, "gap_percent", tb_json_number(tie->gap_percent, 4));
    }
    put(good, out, "tie", sums);
}

static json_t *photo_json(bool *good, const tb_report *report)
{
    static const char *const KEYS[4] = {"x_mm", "y_mm", "w_mm", "h_mm"};
    if (!report->has_photo)
        return json_null();
    json_t *out = json_object();
    for (int i = 0; i < 4; i++)
        put(good, out, KEYS[i], mm(report->photo_mm[i]));
    return out;
}

static json_t *timings_json(bool *good, const tb_report *report)
{
    json_t *out = json_object();
    for (size_t i = 0; i < report->n_timings; i++)
        put(good, out, report->timings[i].name, tb_json_number(report->timings[i].ms, 2));
    return out;
}

static json_t *text_json(const char *text)
{
    return text ? json_string(text) : json_null();
}

/* A file's name may be any bytes; JSON takes only UTF-8. */
static json_t *name_json(const char *name)
{
    json_t *out = json_string(name);
    if (out)
        return out;
    char *plain = malloc(strlen(name) + 1);
    if (!plain)
        return NULL;
    strcpy(plain, name);
    for (char *c = plain; *c; c++)
        if ((unsigned char)*c >= 0x80)
            *c = '?';
    out = json_string(plain);
    free(plain);
    return out;
}

tb_status tb_report_json(json_t **out, const tb_report *report, tb_error *err)
{
    const tb_inspection *inspection = report->inspection;
    bool good = true;
    json_t *size = json_array(), *r = json_object();
    push(&good, size, mm(report->width_mm));
    push(&good, size, mm(report->height_mm));
    if (report->file)
        put(&good, r, "file", name_json(report->file));
    put(&good, r, "verdict", json_string(tb_verdict_of(inspection).text));
    put(&good, r, "size_mm", size);
    put(&good, r, "px_per_mm", tb_json_number(report->px_per_mm, 6));
    put(&good, r, "photo_on_board", photo_json(&good, report));
    put(&good, r, "stock", text_json(report->stock));
    put(&good, r, "blade", text_json(report->blade));
    put(&good, r, "limits", limits_json(&good, report->limits));
    put(&good, r, "pieces", json_integer(inspection->n_pieces));
    put(&good, r, "openings", json_integer((json_int_t)inspection->n_openings));
    put(&good, r, "narrowest_wood_mm", mm(inspection->narrowest_wood_mm));
    put(&good, r, "narrowest_opening_mm", mm(inspection->narrowest_opening_mm));
    put(&good, r, "cut_length_mm", tb_json_number(inspection->cut_length_mm, 1));
    put(&good, r, "findings", findings_json(&good, inspection));
    put_tie(&good, r, report->tie);
    put(&good, r, "entry_holes", holes_json(&good, inspection, report->plan));
    put(&good, r, "plan", plan_json(&good, report->plan, &report->remark));
    put(&good, r, "timings_ms", timings_json(&good, report));
    put(&good, r, "version", json_string(TB_VERSION));
    *out = r;
    if (good)
        return TB_OK;
    json_decref(r);
    *out = NULL;
    return tb_fail_memory(err);
}

tb_status tb_json_text(char **out, const json_t *value, bool one_line, tb_error *err)
{
    /* Values are rounded before; 12 digits write them as they were rounded. */
    size_t flags = JSON_REAL_PRECISION(12) | (one_line ? JSON_COMPACT : JSON_INDENT(2));
    char *text = json_dumps(value, flags | JSON_ENCODE_ANY);
    char *line = text ? realloc(text, strlen(text) + 2) : NULL;
    *out = line;
    if (!line) {
        free(text);
        return tb_fail_memory(err);
    }
    strcat(line, "\n");
    return TB_OK;
}
