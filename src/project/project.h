/* project/project.h: the designer's decisions, kept in one file.
 *
 * A project holds the photograph as it came, and a log of actions: strokes, settings, words, ringed
 * notes. What holds now follows from the log up to a place in it, the head; undo and redo move the
 * head, without end and across restarts. Nothing is ever taken out of the log: an action made after
 * an undo starts a new branch, and a snapshot is a name for a place.
 *
 * Every action is one durable transaction: when the call returns TB_OK the action is on the disk.
 * When it returns anything else the project is as before; should the disk have failed after it
 * took the action and before it said so, memory follows the disk.
 * The file is described in docs/project-file.md.
 *
 * One process at a time may change a project (TB_EBUSY for the second); any number may read it.
 * A project belongs to one thread at a time.
 *
 * Errors  TB_EREAD: not a project, or damaged (every row has a check sum); TB_EBUSY; TB_EWRITE: not
 *         written, the disk may be full; TB_EEXIST; TB_EINVAL; TB_ENOMEM; TB_ENEWER: not to be
 *         changed with this version
 */
#ifndef TB_PROJECT_PROJECT_H
#define TB_PROJECT_PROJECT_H

#include "pattern/stroke.h"
#include "project/settings.h"

typedef struct tb_project tb_project;

enum { TB_WORDS_ROOM = 240, TB_NOTE_ROOM = 400, TB_PHOTO_MAX_BYTES = 512 << 20 };

typedef struct {
    char title[TB_WORDS_ROOM], designer[TB_WORDS_ROOM];
    char credit[TB_WORDS_ROOM], permission[TB_WORDS_ROOM];
} tb_words;

/* A ringed spot. */
typedef struct {
    int64_t id;                   /* given by the project */
    double x_mm, y_mm, radius_mm; /* on the board as it was then */
    char text[TB_NOTE_ROOM];
    const tb_settings *framed; /* the settings then, given by the project: see tb_drawn */
} tb_note;

typedef struct {
    int64_t id;
    tb_stroke stroke;          /* borrowed from the project */
    const tb_settings *framed; /* the settings when it was drawn: where on the photograph it lies */
} tb_drawn;

/* What holds now. Borrowed until the project is changed or closed. */
typedef struct {
    int64_t head; /* the action after which this holds */
    tb_settings settings;
    tb_words words;
    const tb_drawn *strokes;
    size_t n_strokes;
    const tb_note *notes;
    size_t n_notes;
    size_t n_undone;  /* actions that redo can bring back */
    size_t n_actions; /* actions that undo can take back */
} tb_project_state;

typedef struct {
    const uint8_t *photo; /* the file's bytes, borrowed */
    size_t n_photo;
    const char *photo_name; /* without folder; NULL: none */
    tb_settings settings;   /* with a size: what is left to the locale is settled before */
    tb_words words;
} tb_project_start;

/* In memory; keep it with tb_project_copy(). */
TB_NODISCARD tb_status tb_project_new(
        tb_project **out, const tb_project_start *start, tb_error *err);
/* At path, whole or not at all, and opened for changes. TB_EEXIST unless it may replace. */
TB_NODISCARD tb_status tb_project_create(tb_project **out, const char *path, bool replace,
        const tb_project_start *start, tb_error *err);

/* Opens and checks the whole file. Where changing it is not possible (newer version, write
 * protected) it is opened to be read and tb_project_remark() says why. */
TB_NODISCARD tb_status tb_project_open(
        tb_project **out, const char *path, bool to_change, tb_error *err);
void tb_project_close(tb_project *project);

/* A whole copy, also in the middle of the work. */
TB_NODISCARD tb_status tb_project_copy(
        tb_project *project, const char *path, bool replace, tb_error *err);

bool tb_project_can_change(const tb_project *project);
const char *tb_project_remark(const tb_project *project); /* "" or one line for the user */
const char *tb_project_path(const tb_project *project);   /* NULL in memory */
const tb_project_state *tb_project_state_now(const tb_project *project);
/* Borrowed until the project is closed; name may be NULL. */
TB_NODISCARD tb_status tb_project_photo(tb_project *project, const uint8_t **bytes, size_t *n_bytes,
        const char **name, tb_error *err);

/* ---- actions; no action is made where nothing would change ---- */

TB_NODISCARD tb_status tb_project_draw(tb_project *project, const tb_stroke *stroke, tb_error *err);
/* Changes of one drag (the same number, not 0) become one action. */
TB_NODISCARD tb_status tb_project_set(
        tb_project *project, const tb_settings *settings, unsigned drag, tb_error *err);
TB_NODISCARD tb_status tb_project_write(tb_project *project, const tb_words *words, tb_error *err);
/* note->id 0: a new note, which gets its id; else the note is changed. TB_EINVAL without words. */
TB_NODISCARD tb_status tb_project_ring(tb_project *project, tb_note *note, tb_error *err);
TB_NODISCARD tb_status tb_project_unring(tb_project *project, int64_t note_id, tb_error *err);
TB_NODISCARD tb_status tb_project_restore(tb_project *project, const char *snapshot, tb_error *err);
/* The same of any action (tb_project_asides()); name is what undo calls it by. */
TB_NODISCARD tb_status tb_project_take_up(
        tb_project *project, int64_t action, const char *name, tb_error *err);

/* TB_EINVAL when there is nothing to undo or redo. */
TB_NODISCARD tb_status tb_project_undo(tb_project *project, tb_error *err);
TB_NODISCARD tb_status tb_project_redo(tb_project *project, tb_error *err);

#endif
