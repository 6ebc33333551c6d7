/* pattern/lines.c: what can be said of the lines to saw.
 *
 * Outlines are walked one after the other; so many at once are measured side by side, and judged in
 * order again.
 */
#include "base/alloc.h"
#include "base/array.h"
#include "pattern/outline.h"
#include "pattern/survey.h"
#include "pattern/turn.h"

#include <math.h>
#include <string.h>

/* Steps that are gathered before they are measured. */
enum { AT_ONCE = 1 << 20 };

typedef struct {
    tb_outline outline;
    size_t first; /* of its steps in the list of all */
    int32_t piece;
    int opening;
    bool speck;
    double length_px;
    tb_turn *turns;
    size_t n_turns, room_turns;
    tb_status status;
} line;

typedef struct {
    tb__survey *s;
    uint8_t *steps;
    size_t n_steps, room_steps;
    line *items;
    size_t n, room;
} lines;

static tb_status add_tight_turn(tb__survey *s, const tb_turn *turn)
{
    tb_finding *finding =
            tb__add_finding(s, TB_FINDING_TIGHT_TURN, TB_SHOULD, turn->x_px, turn->y_px);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = turn->radius_px / s->px_per_mm;
    finding->limit = s->limits->turn_radius_mm;
    tb__advise(finding, "Ease this turn, or saw it as a corner in two passes.");
    double r = 2 * turn->radius_px, x = turn->x_px, y = turn->y_px;
    tb_point box[4] = {{x - r, y - r}, {x + r, y - r}, {x + r, y + r}, {x - r, y + r}};
    return tb__set_extent(s, finding, box, 4);
}

/* A bend less than this is eased by the saw without anybody seeing it; beyond, the line comes back
 * on itself. */
#define BACK_RAD 1.85

/* A turn that the blade can't follow is either a bend or a corner. Half a blade's width of radius
 * is a corner, and so is any turn round wood, which the saw overshoots into the waste. */
static tb_status judge_turn(tb__survey *s, const tb_turn *turn, int opening)
{
    double radius_mm = turn->radius_px / s->px_per_mm, tightest = s->limits->turn_radius_mm;
    if (radius_mm >= tightest)
        return TB_OK;
    if (radius_mm >= tightest / 4 && turn->turn_rad > 0)
        return turn->turn_rad < BACK_RAD ? TB_OK : add_tight_turn(s, turn);
    tb_inspection *result = s->result;
    if (!tb_array_reserve(&result->corners, &s->room_corners, result->n_corners, 1))
        return tb_fail_memory(s->err);
    result->corners[result->n_corners++] = (tb_corner){
            turn->x_px / s->px_per_mm, turn->y_px / s->px_per_mm, turn->turn_rad, opening};
    if (opening >= 0)
        result->openings[opening].n_corners++;
    return TB_OK;
}

static void measure_line(void *payload, size_t i)
{
    const lines *l = payload;
    const tb__survey *s = l->s;
    line *at = &l->items[i];
    at->outline.step = l->steps + at->first;
    at->piece = tb_labels_at(s->openings, at->outline.x_px, at->outline.y_px - 1);
    at->opening = at->piece < 0 ? -1 : s->opening_of[at->piece];
    at->speck = at->opening >= 0 && tb__is_speck(s, &s->openings->pieces[at->piece]);
    int32_t wood = tb_labels_at(s->wood, at->outline.x_px, at->outline.y_px);
    at->speck |= tb__is_speck(s, &s->wood->pieces[wood]);
    at->length_px = tb_outline_length_px(&at->outline);
    if (!at->speck)
        at->status = tb_turns_find(&at->turns, &at->n_turns, &at->room_turns, &at->outline,
                s->limits->turn_radius_mm * s->px_per_mm, NULL);
}

static tb_status judge_line(tb__survey *s, const line *at)
{
    double length_mm = at->length_px / s->px_per_mm;
    s->result->cut_length_mm += length_mm;
    if (at->opening >= 0)
        s->result->openings[at->opening].cut_length_mm += length_mm;
    if (at->speck)
        return TB_OK;
    tb_status status = at->status ? tb_fail_memory(s->err) : TB_OK;
    for (size_t i = 0; i < at->n_turns && !status; i++)
        status = judge_turn(s, &at->turns[i], at->opening);
    return status ? status : tb__find_ends(s, &at->outline);
}

/* Measures and judges what was gathered, as long as all is well, and forgets it. */
static tb_status work_off(lines *l, tb_status status)
{
    if (!status)
        tb_job_each(l->s->job, l->n, measure_line, l);
    for (size_t i = 0; i < l->n; i++) {
        if (!status)
            status = judge_line(l->s, &l->items[i]);
        tb_free(l->items[i].turns);
    }
    l->n = l->n_steps = 0;
    return status;
}

static tb_status gather_cb(void *payload, const tb_outline *outline)
{
    lines *l = payload;
    if (!tb_array_reserve(&l->items, &l->room, l->n, 1) ||
            !tb_array_reserve(&l->steps, &l->room_steps, l->n_steps, outline->n_steps))
        return tb_fail_memory(l->s->err);
    l->items[l->n++] = (line){.outline = *outline, .first = l->n_steps};
    memcpy(l->steps + l->n_steps, outline->step, outline->n_steps);
    l->n_steps += outline->n_steps;
    return l->n_steps < AT_ONCE ? TB_OK : work_off(l, TB_OK);
}

tb_status tb__inspect_outlines(tb__survey *s)
{
    lines l = {.s = s};
    tb_status status = tb_outlines_walk(s->mask, gather_cb, &l, s->job, s->err);
    status = work_off(&l, status);
    tb_free(l.items);
    tb_free(l.steps);
    return status;
}
