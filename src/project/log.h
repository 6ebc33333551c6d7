/* project/log.h: the log of actions in memory, and what follows from it. For project.c and
 * history.c alone.
 *
 * Actions are numbered from 1 without gaps; each knows the action it was made after, its parent,
 * which always has a smaller number, so every way back ends at action 1, the start. A restore
 * stands for all that held at its target; undo leaves it by its parent all the same.
 *
 * What holds after an action follows by folding all before it, from the start: the one truth.
 */
#ifndef TB_PROJECT_LOG_H
#define TB_PROJECT_LOG_H

#include "project/fields.h"
#include "project/history.h"
#include "project/project.h"

/* Numbers are written into project files: they never change their meaning. */
typedef enum {
    TB_ACTION_SET = 1,     /* changed settings and words (fields.h) */
    TB_ACTION_STROKE = 2,  /* a stroke (stroke.h) */
    TB_ACTION_RING = 3,    /* a note: number (0: new), x, y, radius, text */
    TB_ACTION_UNRING = 4,  /* a note's number */
    TB_ACTION_RESTORE = 5, /* the action whose state is taken up, the snapshot's name */
} tb_action_kind;

typedef struct {
    tb_action_kind kind;
    int64_t parent, at_s;
    tb_stroke stroke; /* of a stroke */
    uint8_t *body;    /* of the others */
    size_t n_body;
} tb_action;

typedef struct {
    tb_action *actions; /* action i is actions[i - 1] */
    size_t n_actions, actions_room;
    int64_t head, tip; /* tip: what redo leads to; head is among its forebears, or it */

    /* What holds at head; each list has room for as many as there are actions. */
    tb_project_state state;
    int64_t *way;
    tb_drawn *strokes;
    tb_note *notes;
    tb_settings *settings; /* one for each change, so that strokes can point to theirs */
    size_t n_settings;
    size_t room;
} tb_log;

void tb_log_clear(tb_log *log);

/* Room for one more action, so that tb_log_append() and tb_log_fold() can't fail. */
TB_NODISCARD tb_status tb_log_reserve(tb_log *log, tb_error *err);

/* Takes the body. TB_EREAD if it makes no sense as the next action of the log. */
TB_NODISCARD tb_status tb_log_append_take(tb_log *log, tb_action_kind kind, int64_t parent,
        int64_t at_s, uint8_t *body, size_t n_body, tb_error *err);

/* Works out the state at head, from the start. */
void tb_log_fold(tb_log *log);
/* Moves on by an action or back by one, or anywhere else; works out only what differs. */
void tb_log_move(tb_log *log, int64_t head, int64_t tip);

tb_choices tb_log_choices(const tb_log *log);

/* The action that redo would bring back, 0: none. */
int64_t tb_log_next(const tb_log *log);
/* Whether the log can stand at head with tip. */
bool tb_log_holds(const tb_log *log, int64_t head, int64_t tip);

/* What a restore took up. */
int64_t tb_action_target(const tb_action *action);
void tb_action_name(const tb_action *action, char name[TB_ACTION_NAME_ROOM]);

/* Bodies; NULL without memory. */
uint8_t *tb_note_pack(const tb_note *note, size_t *n_body);

#endif
