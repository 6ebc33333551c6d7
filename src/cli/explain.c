/* cli/explain.c: see explain.h. */
#include "cli/explain.h"

#include "cli/cli.h"
#include "facts/blade.h"
#include "facts/practice.h"
#include "facts/stock.h"
#include "flow/report.h"
#include "pattern/limb.h"

#include <stdio.h>
#include <string.h>

typedef struct {
    const char *key, *title, *unit;
    double value, usual; /* as used; as the source has it */
    const char *source;
    tb_standing standing;
} limit;

enum { MAX_LIMITS = 32 };

static void add_practice(limit *list, int *n, const char *key, const char *row, double value)
{
    const tb_practice *p = tb_practice_find(row);
    if (p)
        list[(*n)++] = (limit){key, p->title, p->unit, value, p->value, p->source, p->standing};
}

static double usual(const char *key)
{
    return tb_practice_find(key)->value;
}

static int gather(
        limit list[MAX_LIMITS], const tb_limits *l, const tb_stock *stock, const tb_blade *blade)
{
    int n = 0;
    add_practice(list, &n, "bridge_must_mm", "bridge_must_mm", l->bridge_must_mm);
    add_practice(list, &n, "bridge_should_mm", "bridge_should_mm", l->bridge_should_mm);
    if (!stock->plywood)
        list[n++] = (limit){"bridge_across_mm", "bridge across the grain", "mm",
                l->bridge_across_mm, usual("bridge_across_share") * stock->thickness_mm,
                tb_practice_find("bridge_across_share")->source,
                tb_practice_find("bridge_across_share")->standing};
    list[n++] = (limit){"strand_roots", "strand: held at one end, longer than", "× root",
            TB_STRAND_ROOTS, TB_STRAND_ROOTS,
            "judged by its width, as a bridge: our own rule, at the trade's ratio for peninsulas",
            TB_STANDING_JUDGEMENT};
    list[n++] = (limit){"kerf_mm", "slot that the blade leaves", "mm", l->kerf_mm,
            tb_blade_kerf_mm(blade),
            blade->spiral ? "a generic spiral blade's"
                          : "thickness of a generic blade, from memory, + 0.05 to 0.10 mm",
            blade->spiral ? blade->standing : TB_STANDING_JUDGEMENT};
    if (l->split_kerf_mm > 0)
        list[n++] = (limit){"split_kerf_mm", "off the wood, the line being split", "mm",
                l->split_kerf_mm, 0, "half a kerf a side, as you asked by --split-line",
                TB_STANDING_DERIVED};
    add_practice(list, &n, "slot_must_kerfs", "slot_must_kerfs", l->slot_must_kerfs);
    add_practice(list, &n, "slot_should_kerfs", "slot_should_kerfs", l->slot_should_kerfs);
    list[n++] = (limit){"drill_mm", "bit for entry holes", "mm", l->drill_mm,
            tb_blade_drill(blade, TB_DRILL_NUMBER)->diameter_mm,
            "the thinnest bit that lets the blade through easily", TB_STANDING_DERIVED};
    add_practice(list, &n, "drill_room_mm", "drill_room_mm", l->drill_room_mm);
    add_practice(list, &n, "hole_clear_mm", "hole_clear_mm", l->hole_clear_mm);
    list[n++] = (limit){"turn_radius_mm", "tightest turn of the blade", "mm", l->turn_radius_mm,
            tb_blade_turn_mm(blade),
            blade->spiral ? "half its slot, for it saws every way"
                          : "about twice the width of a generic blade, from memory",
            blade->spiral ? TB_STANDING_DERIVED : TB_STANDING_PRACTICE};
    add_practice(list, &n, "frame_mm", "frame_mm", l->frame_mm);
    add_practice(list, &n, "speck_mm2", "speck_mm2", l->speck_mm2);
    list[n++] = (limit){"thickness_mm", "thickness of the board", "mm", l->thickness_mm,
            stock->thickness_mm, stock->plywood ? stock->source : "as the stock's name has it",
            stock->plywood ? stock->standing : TB_STANDING_DERIVED};
    list[n++] = (limit){"strength_along_mpa", "strength along the grain", "MPa",
            l->strength_along_mpa, stock->strength_along_mpa, stock->source,
            stock->plywood ? stock->strength_standing : TB_STANDING_TRANSCRIBED};
    list[n++] = (limit){"strength_across_mpa", "strength across the grain", "MPa",
            l->strength_across_mpa, stock->strength_across_mpa,
            stock->plywood ? stock->source
            : stock->strength_standing == TB_STANDING_JUDGEMENT
                    ? "assumed, for the Handbook leaves out its tension across the grain"
                    : "tension across the grain, of the same tables, stands for it",
            stock->strength_standing};
    list[n++] = (limit){"grain_deg", "direction of the grain, 90 upright", "°",
            l->grain_rad * 180 / 3.14159265358979323846, 90,
            "upright carries a portrait's own weight; --grain says otherwise",
            TB_STANDING_JUDGEMENT};
    add_practice(list, &n, "safety", stock->plywood ? "safety_ply" : "safety_solid", l->safety);
    add_practice(list, &n, "load_n", "load_n", l->load_n);
    add_practice(list, &n, "opening_min", "opening_min", usual("opening_min"));
    list[n++] = (limit){"rate_mm_s", "rate along a line longer than that", "mm/s",
            tb_practice_rate_mm_s(stock->thickness_mm), tb_practice_rate_mm_s(stock->thickness_mm),
            "detail in 1/4 in plywood 1 to 2.5 mm/s; 1/8 in × 1.5", TB_STANDING_JUDGEMENT};
    add_practice(list, &n, "stack_thin", "stack_thin", usual("stack_thin"));
    add_practice(list, &n, "stack_thick", "stack_thick", usual("stack_thick"));
    return n;
}

static tb_status print_json(const limit *list, int n, tb_error *err)
{
    json_t *rows = json_array();
    for (int i = 0; i < n; i++)
        json_array_append_new(rows,
                json_pack("{s:s, s:s, s:o, s:s, s:o, s:s, s:s}", "limit", list[i].key, "title",
                        list[i].title, "value", tb_json_number(list[i].value, 4), "unit",
                        list[i].unit, "usual", tb_json_number(list[i].usual, 4), "source",
                        list[i].source, "standing", tb_standing_text(list[i].standing)));
    tb_status status = json_array_size(rows) == (size_t)n ? tb_cli_print_json(rows, true, err)
                                                          : tb_fail_memory(err);
    json_decref(rows);
    return status;
}

/* Columns are counted in characters, not in bytes, of which "²" and "×" have two. */
static int padding(const char *text, int width)
{
    int n = 0;
    for (; *text; text++)
        n += ((unsigned char)*text & 0xC0) != 0x80;
    return n < width ? width - n : 0;
}

/* Where lengths are told in inches, strengths and loads are in pounds. */
static void tell_value(char *to, size_t room, const limit *l, tb_unit unit)
{
    char metric[80];
    if (unit == TB_UNIT_IN && strcmp(l->unit, "MPa") == 0)
        snprintf(metric, sizeof metric, "%s psi", tb_num_of(l->value / 0.006894757, 0).text);
    else if (unit == TB_UNIT_IN && strcmp(l->unit, "N") == 0)
        snprintf(metric, sizeof metric, "%s lb", tb_num_of(l->value / 4.4482216, 2).text);
    else
        snprintf(metric, sizeof metric, "%s %s", tb_num_of(l->value, 2).text, l->unit);
    tb_num_text(to, room, metric, unit);
}

static void print_row(const limit *l, tb_unit unit)
{
    char value[80];
    tell_value(value, sizeof value, l, unit);
    printf("%s%*s  %s%*s  %s (%s)", l->title, padding(l->title, 36), "", value, padding(value, 10),
            "", l->source, tb_standing_text(l->standing));
    if (strcmp(tb_num_of(l->value, 2).text, tb_num_of(l->usual, 2).text) != 0)
        printf("; usually %s", strcmp(l->unit, "mm") == 0 ? tb_num_length(l->usual, 2, unit).text
                                                          : tb_num_of(l->usual, 2).text);
    putchar('\n');
}

tb_status tb_explain_limits(const tb_limits *limits, const tb_settings *settings, bool json,
        tb_unit unit, tb_error *err)
{
    limit list[MAX_LIMITS];
    tb_stock stock;
    const tb_blade *blade = tb_blade_find(settings->blade);
    tb_status status = tb_stock_find(&stock, settings->stock, err);
    if (status)
        return status;
    if (!blade)
        return tb_fail(err, TB_EINVAL, "there is no blade '%.40s'", settings->blade);
    int n = gather(list, limits, &stock, blade);
    if (json)
        return print_json(list, n, err);
    printf("%s, blade %s. None of these is a standard; every one may be changed.\n\n", stock.title,
            blade->name);
    for (int i = 0; i < n; i++)
        print_row(&list[i], unit);
    return tb_cli_print("\n", err);
}
