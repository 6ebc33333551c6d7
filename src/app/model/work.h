/* app/model/work.h: the piece of work on the bench: an open project and the pattern that comes of
 * it.
 *
 * Every change goes into the project at once, durably; the pattern follows from a worker thread.
 * Requests run together: a running one that is overtaken is done within moments and shown, or
 * stopped; then the newest runs. A change made in the course of a drag is answered on a coarse grid
 * first.
 *
 * Signals
 *   changed   the project has another state (settings, strokes, notes, history)
 *   pattern   tb_work_pattern() is another
 *   photo     tb_work_photo_picture() is another
 *   busy      tb_work_busy() is another
 *   set-aside (n) a change left what had been undone before: n actions that redo won't bring back
 *   trouble   (text) something could not be done; one line for the user
 *
 * Thread  main thread only
 */
#ifndef TB_APP_WORK_H
#define TB_APP_WORK_H

#include "app/model/picture.h"
#include "flow/flow.h"
#include "project/history.h"
#include "project/project.h"

#include <gio/gio.h>

#define TB_TYPE_WORK (tb_work_get_type())
G_DECLARE_FINAL_TYPE(TbWork, tb_work, TB, WORK, GObject)

/* A finished pattern and its picture for the bench; shared, never changed. */
typedef struct {
    tb_result *result;
    tb_picture *picture;
    tb_settings settings; /* it was made by */
    bool coarse;          /* a first answer in the course of a drag */
} tb_work_pattern;

/* A new project of a photograph, at project_path; settings may be NULL. */
TbWork *tb_work_new_from_photo(const char *photo_path, const char *project_path,
        const tb_settings *settings, GError **error);
/* The same of a file's bytes. */
TbWork *tb_work_new_from_bytes(const char *name, const uint8_t *bytes, size_t n_bytes,
        const char *project_path, const tb_settings *settings, GError **error);
TbWork *tb_work_open(const char *project_path, GError **error);

/* Borrowed until the next change. */
const tb_project_state *tb_work_state(TbWork *self);
/* The n notes as they lie on the board now; NULL where there are none, or no board. Borrowed until
 * the next change. */
const tb_note *tb_work_notes(TbWork *self, size_t *n);
tb_project *tb_work_project(TbWork *self);
const tb_photo_info *tb_work_photo_info(TbWork *self);

/* NULL until there is one; borrowed until the next `pattern` signal. */
const tb_work_pattern *tb_work_pattern_now(TbWork *self);
const tb_picture *tb_work_photo_picture(TbWork *self);
/* The photograph whole and upright, on a coarse grid of its own; tells of itself by `photo`. */
const tb_picture *tb_work_whole_photo(TbWork *self);
/* How weak the wood of the present pattern is (strength.h); NULL until it has been worked out,
 * which begins with the first time it is asked for and tells of itself by `photo`. */
const tb_picture *tb_work_strength(TbWork *self);
bool tb_work_busy(TbWork *self);
/* The pattern is of the newest state, on the full grid. */
bool tb_work_settled(TbWork *self);
/* How far the running request is, 0..1, as far as can be told. */
double tb_work_progress(TbWork *self);
/* Stops the running request: there is no pattern of the newest state then, which is a trouble. */
void tb_work_halt(TbWork *self);
/* "" or why there is no pattern of the newest state. */
const char *tb_work_trouble(TbWork *self);
/* What the user can do about it; "" where there is no trouble. Static. */
const char *tb_work_remedy(TbWork *self);

void tb_work_set(TbWork *self, const tb_settings *settings);
/* The same in the course of a drag, answered on the coarse grid first. The drag ends by itself when
 * nothing has come for a third of a second; all of it is one action. */
void tb_work_slide(TbWork *self, const tb_settings *settings);
void tb_work_draw(TbWork *self, const tb_stroke *stroke);
/* What is known of the newest pattern that was looked over: NULL where there is none, where only a
 * first answer is, or where what was asked for since could not be made. Borrowed. */
tb_result *tb_work_inspected(TbWork *self);
/* A hold on it, to be let go by tb_result_release(); NULL as above. */
tb_result *tb_work_inspected_hold(TbWork *self);
/* Draws a stroke that mends a finding of `inspected`. False, and `trouble` tells why, where that is
 * not the inspection at hand any more or the board lies otherwise by now. */
bool tb_work_mend(
        TbWork *self, const tb_result *inspected, size_t finding, const tb_stroke *stroke);
/* Draws of n strokes, in their order, as many as take a moment; how many. The pattern follows when
 * the last is drawn. 0 after a failure, which is a trouble. */
int tb_work_draw_some(TbWork *self, const tb_stroke *strokes, size_t n);
/* Lets no bridge go where this one of the tie goes: another way is taken, or the island dropped. */
void tb_work_refuse(TbWork *self, const tb_bridge *bridge);
/* An empty one is taken away, or not made at all. */
void tb_work_ring(TbWork *self, tb_note *note);
void tb_work_unring(TbWork *self, int64_t note_id);
void tb_work_write(TbWork *self, const tb_words *words);
void tb_work_undo(TbWork *self);
/* The last n actions at once. */
void tb_work_take_back(TbWork *self, int n);
void tb_work_redo(TbWork *self);
void tb_work_snapshot(TbWork *self, const char *name);
void tb_work_restore(TbWork *self, const char *name);
/* What was set aside (tb_project_asides()); undo calls it by that name. */
void tb_work_take_up(TbWork *self, int64_t action, const char *name);

/* Stops the worker for good: before the last holder lets go. A new project of a picture that no
 * pattern came of goes with it, unless something was changed. */
void tb_work_stop(TbWork *self);

#endif
