/* project/log.c: see log.h. */
#include "project/log.h"

#include "base/alloc.h"
#include "base/array.h"
#include "project/stroke.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void tb_log_clear(tb_log *log)
{
    for (size_t i = 0; i < log->n_actions; i++) {
        tb_stroke_clear(&log->actions[i].stroke);
        tb_free(log->actions[i].body);
    }
    tb_free(log->actions);
    tb_free(log->way);
    tb_free(log->strokes);
    tb_free(log->notes);
    tb_free(log->settings);
    *log = (tb_log){0};
}

tb_status tb_log_reserve(tb_log *log, tb_error *err)
{
    if (!tb_array_reserve(&log->actions, &log->actions_room, log->n_actions, 1))
        return tb_fail_memory(err);
    const size_t n = log->actions_room;
    if (log->room >= n)
        return TB_OK;
    if (!tb_array_resize(&log->way, n) || !tb_array_resize(&log->strokes, n) ||
            !tb_array_resize(&log->notes, n) || !tb_array_resize(&log->settings, n))
        return tb_fail_memory(err);
    log->room = n;
    /* The state points into what may have moved. */
    tb_log_fold(log);
    return TB_OK;
}

/* ---- bodies ---- */

uint8_t *tb_note_pack(const tb_note *note, size_t *n_body)
{
    tb_packer packer = {0};
    tb_pack_uint(&packer, (uint64_t)note->id);
    tb_pack_real(&packer, note->x_mm);
    tb_pack_real(&packer, note->y_mm);
    tb_pack_real(&packer, note->radius_mm);
    tb_pack_text(&packer, note->text);
    *n_body = packer.n;
    if (!packer.failed)
        return packer.bytes;
    tb_free(packer.bytes);
    return NULL;
}

static tb_unpacker body_of(const tb_action *action)
{
    /* A stroke has no body, and nothing may be added to NULL, not even nothing. */
    const uint8_t *end = action->body ? action->body + action->n_body : NULL;
    return (tb_unpacker){action->body, end, false};
}

static tb_note note_of(const tb_action *action, bool *sound)
{
    tb_note note = {0};
    tb_unpacker in = body_of(action);
    note.id = (int64_t)tb_unpack_uint(&in, INT64_MAX);
    note.x_mm = tb_unpack_real(&in);
    note.y_mm = tb_unpack_real(&in);
    note.radius_mm = tb_unpack_real(&in);
    tb_unpack_text(&in, note.text, sizeof note.text);
    *sound = tb_unpack_done(&in) && fabs(note.x_mm) <= 1e5 && fabs(note.y_mm) <= 1e5 &&
             note.radius_mm >= 0 && note.radius_mm <= 1e5;
    return note;
}

static int64_t number_of(const tb_action *action, char name[TB_SNAPSHOT_NAME_ROOM], bool *sound)
{
    tb_unpacker in = body_of(action);
    int64_t number = (int64_t)tb_unpack_uint(&in, INT64_MAX);
    name[0] = '\0';
    if (action->kind == TB_ACTION_RESTORE)
        tb_unpack_text(&in, name, TB_SNAPSHOT_NAME_ROOM);
    *sound = tb_unpack_done(&in) && number > 0;
    return number;
}

int64_t tb_action_target(const tb_action *action)
{
    char name[TB_SNAPSHOT_NAME_ROOM];
    bool sound;
    return number_of(action, name, &sound);
}

static bool sound_body(const tb_action *action, int64_t id)
{
    char name[TB_SNAPSHOT_NAME_ROOM];
    tb_choices choices = {0};
    const char *label;
    size_t n;
    bool sound = false;
    tb_unpacker in = body_of(action);
    switch (action->kind) {
    case TB_ACTION_SET:
        tb_choices_unpack(&in, &choices, &label, &n);
        return tb_unpack_done(&in);
    case TB_ACTION_RING:
        note_of(action, &sound);
        return sound;
    case TB_ACTION_UNRING:
    case TB_ACTION_RESTORE:
        return number_of(action, name, &sound) < id && sound;
    default:
        return false;
    }
}

tb_status tb_log_append_take(tb_log *log, tb_action_kind kind, int64_t parent, int64_t at_s,
        uint8_t *body, size_t n_body, tb_error *err)
{
    const int64_t id = (int64_t)log->n_actions + 1;
    tb_action action = {.kind = kind, .parent = parent, .at_s = at_s};
    tb_status status = tb_log_reserve(log, err);
    bool sound = id == 1 ? parent == 0 && kind == TB_ACTION_SET : parent > 0 && parent < id;
    if (!status && !sound)
        status = tb_fail(err, TB_EREAD, "the project is damaged (action %lld)", (long long)id);
    if (!status && kind == TB_ACTION_STROKE) {
        status = tb_stroke_decode(&action.stroke, body, n_body, err);
        tb_free(body);
        body = NULL;
    } else if (!status) {
        action.body = body;
        action.n_body = n_body;
        if (!sound_body(&action, id))
            status = tb_fail(err, TB_EREAD, "the project is damaged (action %lld)", (long long)id);
    }
    if (status)
        tb_free(body);
    else
        log->actions[log->n_actions++] = action;
    return status;
}

/* ---- what holds ---- */

tb_choices tb_log_choices(const tb_log *log)
{
    tb_choices choices = {0};
    choices.settings = log->state.settings;
    choices.words = log->state.words;
    return choices;
}

static size_t find_note(const tb_log *log, int64_t id)
{
    size_t i = 0;
    while (i < log->state.n_notes && log->notes[i].id != id)
        i++;
    return i;
}

static void take_note_away(tb_log *log, int64_t id)
{
    size_t i = find_note(log, id);
    if (i == log->state.n_notes)
        return;
    log->state.n_notes--;
    memmove(log->notes + i, log->notes + i + 1, (log->state.n_notes - i) * sizeof *log->notes);
}

static void put_note(tb_log *log, const tb_note *note, int64_t action)
{
    size_t i = note->id ? find_note(log, note->id) : log->state.n_notes;
    if (note->id && i == log->state.n_notes)
        return; /* A change of a note that is gone. */
    log->notes[i] = *note;
    if (!note->id) {
        log->notes[i].id = action;
        log->state.n_notes++;
    }
}

static void apply(tb_log *log, int64_t id)
{
    const tb_action *action = &log->actions[id - 1];
    tb_unpacker in = body_of(action);
    tb_choices choices;
    char name[TB_SNAPSHOT_NAME_ROOM];
    const char *label;
    bool sound;
    size_t n;
    tb_note note;
    switch (action->kind) {
    case TB_ACTION_SET:
        choices = tb_log_choices(log);
        tb_choices_unpack(&in, &choices, &label, &n);
        log->state.settings = log->settings[log->n_settings++] = choices.settings;
        log->state.words = choices.words;
        break;
    case TB_ACTION_STROKE:
        log->strokes[log->state.n_strokes++] =
                (tb_drawn){id, action->stroke, &log->settings[log->n_settings - 1]};
        break;
    case TB_ACTION_RING:
        note = note_of(action, &sound);
        note.framed = &log->settings[log->n_settings - 1];
        put_note(log, &note, id);
        break;
    case TB_ACTION_UNRING:
        take_note_away(log, number_of(action, name, &sound));
        break;
    case TB_ACTION_RESTORE:
        break;
    }
}

void tb_log_fold(tb_log *log)
{
    char name[TB_SNAPSHOT_NAME_ROOM];
    size_t n = 0;
    bool sound;
    log->state = (tb_project_state){.strokes = log->strokes, .notes = log->notes};
    log->n_settings = 0;
    for (int64_t id = log->head; id > 0;) {
        const tb_action *action = &log->actions[id - 1];
        bool restore = action->kind == TB_ACTION_RESTORE;
        if (!restore)
            log->way[n++] = id;
        id = restore ? number_of(action, name, &sound) : action->parent;
    }
    while (n > 0)
        apply(log, log->way[--n]);
    log->state.head = log->head;
    for (int64_t id = log->head; id > 1; id = log->actions[id - 1].parent)
        log->state.n_actions++;
    for (int64_t id = log->tip; id > log->head; id = log->actions[id - 1].parent)
        log->state.n_undone++;
}

void tb_log_move(tb_log *log, int64_t head, int64_t tip)
{
    const int64_t from = log->head;
    const tb_action *before = from > 0 ? &log->actions[from - 1] : NULL;
    const tb_action *after = &log->actions[head - 1];
    const size_t n_undone = log->state.n_undone;
    log->head = head;
    log->tip = tip;
    if (before && after->parent == from && after->kind != TB_ACTION_RESTORE) {
        apply(log, head);
        log->state.n_actions++;
        log->state.n_undone = tip == head ? 0 : n_undone - 1;
    } else if (before && before->parent == head && before->kind == TB_ACTION_STROKE) {
        log->state.n_strokes--;
        log->state.n_actions--;
        log->state.n_undone = n_undone + 1;
    } else {
        tb_log_fold(log);
    }
    log->state.head = head;
}

int64_t tb_log_next(const tb_log *log)
{
    int64_t next = 0;
    for (int64_t id = log->tip; id > log->head; id = log->actions[id - 1].parent)
        next = id;
    return next;
}

bool tb_log_holds(const tb_log *log, int64_t head, int64_t tip)
{
    if (head < 1 || tip < head || tip > (int64_t)log->n_actions)
        return false;
    while (tip > head)
        tip = log->actions[tip - 1].parent;
    return tip == head;
}

/* What the history calls a stroke: what the user chose, where the name in the file says less. */
static const char *stroke_label(tb_stroke_kind kind)
{
    static const char *const LABELS[TB_N_STROKE_KINDS] = {
            [TB_STROKE_TAKE_OUT] = "take out a piece",
            [TB_STROKE_CLOSE] = "close an opening",
            [TB_STROKE_KEEP_DETAIL] = "keep detail",
            [TB_STROKE_KEEP_IN] = "keep this in",
            [TB_STROKE_LEAVE_OUT] = "leave this out",
            [TB_STROKE_KEEP_OPEN] = "no bridge here",
    };
    return LABELS[kind] ? LABELS[kind] : tb_stroke_kind_name(kind);
}

void tb_action_name(const tb_action *action, char name[TB_ACTION_NAME_ROOM])
{
    char snapshot[TB_SNAPSHOT_NAME_ROOM];
    tb_choices choices = {0};
    tb_unpacker in = body_of(action);
    const char *label = "";
    bool sound = true;
    size_t n;
    switch (action->kind) {
    case TB_ACTION_SET:
        tb_choices_unpack(&in, &choices, &label, &n);
        if (action->parent == 0)
            label = "start";
        break;
    case TB_ACTION_STROKE:
        label = stroke_label(action->stroke.kind);
        break;
    case TB_ACTION_RING:
        label = note_of(action, &sound).id ? "change of a note" : "note";
        break;
    case TB_ACTION_UNRING:
        label = "removal of a note";
        break;
    case TB_ACTION_RESTORE:
        number_of(action, snapshot, &sound);
        snprintf(name, TB_ACTION_NAME_ROOM, "return to %.80s", snapshot);
        return;
    }
    snprintf(name, TB_ACTION_NAME_ROOM, "%s", label);
}
