/* project/project.c: see project.h.
 *
 * Every change goes the same way: what it needs in memory is reserved, the transaction is made, and
 * only then memory follows, by steps that can't fail.
 */
#include "project/inner.h"

#include "base/alloc.h"
#include "project/stroke.h"

#include <string.h>
#include <time.h>

#define INT(value) ((tb_cell){.kind = TB_CELL_INT, .whole = (value)})
#define TEXT(text) ((tb_cell){.kind = TB_CELL_TEXT, .bytes = (text), .n = strlen(text)})
#define BLOB(bytes_, n_) ((tb_cell){.kind = TB_CELL_BLOB, .bytes = (bytes_), .n = (n_)})
#define N_OF(list) (sizeof(list) / sizeof *(list))

int64_t tb__now_s(void)
{
    return (int64_t)time(NULL);
}

/* ---- reading ---- */

static tb_status read_state(tb_project *project, int64_t state[4], tb_error *err)
{
    tb_cell cells[5] = {INT(0), INT(0), INT(0), INT(0), INT(0)};
    sqlite3_stmt *ask;
    bool more = false;
    tb_status status = tb_store_ask(
            &ask, &project->store, "SELECT id, head, tip, actions, snapshots, sum FROM state", err);
    if (!status)
        status = tb_store_row(&more, &project->store, ask, cells, N_OF(cells), err);
    if (!status && !more)
        status = tb_fail(err, TB_EREAD, "the project is damaged (it has no state)");
    for (int i = 0; i < 4 && !status; i++)
        state[i] = cells[i + 1].whole;
    sqlite3_finalize(ask);
    return status;
}

static tb_status read_action(tb_project *project, const tb_cell *cells, tb_error *err)
{
    const int64_t id = (int64_t)project->log.n_actions + 1;
    uint8_t *body = tb_malloc(cells[4].n, 1);
    if (!body)
        return tb_fail_memory(err);
    if (cells[4].n > 0)
        memcpy(body, cells[4].bytes, cells[4].n);
    if (cells[0].whole != id || cells[2].whole < 0 || cells[2].whole > INT32_MAX) {
        tb_free(body);
        return tb_fail(err, TB_EREAD, "the project is damaged (action %lld)", (long long)id);
    }
    return tb_log_append_take(&project->log, (tb_action_kind)cells[2].whole, cells[1].whole,
            cells[3].whole, body, cells[4].n, err);
}

static tb_status read_actions(tb_project *project, tb_error *err)
{
    tb_cell cells[5] = {INT(0), INT(0), INT(0), INT(0), BLOB(NULL, 0)};
    sqlite3_stmt *ask;
    bool more = true;
    tb_status status = tb_store_ask(&ask, &project->store,
            "SELECT id, parent, kind, at, body, sum FROM action ORDER BY id", err);
    while (!status && more) {
        status = tb_store_row(&more, &project->store, ask, cells, N_OF(cells), err);
        if (!status && more)
            status = read_action(project, cells, err);
    }
    sqlite3_finalize(ask);
    return status;
}

static tb_status check_snapshots(tb_project *project, tb_error *err)
{
    tb_snapshot *snapshots;
    size_t n;
    tb_status status = tb_project_snapshots(&snapshots, &n, project, err);
    if (status)
        return status;
    bool sound = n == (size_t)project->n_snapshots;
    for (size_t i = 0; i < n; i++)
        sound = sound && snapshots[i].action > 0 &&
                snapshots[i].action <= (int64_t)project->log.n_actions;
    tb_free(snapshots);
    return sound ? TB_OK : tb_fail(err, TB_EREAD, "the project is damaged (a snapshot is missing)");
}

static tb_status load(tb_project *project, tb_error *err)
{
    int64_t state[4];
    tb_log *log = &project->log;
    tb_log_clear(log);
    tb_status status = read_state(project, state, err);
    if (!status)
        status = read_actions(project, err);
    if (status)
        return status;
    if (state[2] != (int64_t)log->n_actions || !tb_log_holds(log, state[0], state[1]))
        return tb_fail(err, TB_EREAD, "the project is damaged (an action is missing)");
    log->head = state[0];
    log->tip = state[1];
    project->n_snapshots = state[3];
    tb_log_fold(log);
    return check_snapshots(project, err);
}

tb_status tb_project_photo(tb_project *project, const uint8_t **bytes, size_t *n_bytes,
        const char **name, tb_error *err)
{
    tb_cell cells[3] = {INT(0), {.kind = TB_CELL_TEXT}, BLOB(NULL, 0)};
    sqlite3_stmt *ask = NULL;
    tb_status status = TB_OK;
    bool more = false;
    *bytes = NULL;
    if (!project->photo) {
        status = tb_store_ask(
                &ask, &project->store, "SELECT id, name, bytes, sum FROM photograph", err);
        if (!status)
            status = tb_store_row(&more, &project->store, ask, cells, N_OF(cells), err);
        if (!status && !more)
            status = tb_fail(err, TB_EREAD, "the project is damaged (its photograph is missing)");
    }
    if (!status && more) {
        project->photo = tb_malloc(cells[2].n, 1);
        project->photo_name = tb_calloc(cells[1].n + 1, 1);
        if (!project->photo || !project->photo_name) {
            tb_free(project->photo);
            tb_free(project->photo_name);
            project->photo = NULL;
            project->photo_name = NULL;
            status = tb_fail_memory(err);
        } else {
            if (cells[2].n > 0)
                memcpy(project->photo, cells[2].bytes, cells[2].n);
            memcpy(project->photo_name, cells[1].bytes, cells[1].n);
            project->n_photo = cells[2].n;
        }
    }
    sqlite3_finalize(ask);
    if (status)
        return status;
    *bytes = project->photo;
    *n_bytes = project->n_photo;
    if (name)
        *name = project->photo_name;
    return TB_OK;
}

/* ---- writing ---- */

tb_status tb__project_begin(tb_project *project, tb_error *err)
{
    if (project->broken)
        return tb_fail(err, TB_EREAD, "the project has to be opened again");
    if (!project->store.can_change)
        return tb_fail(err, project->store.newer ? TB_ENEWER : TB_EWRITE, "%s",
                project->store.remark[0] ? project->store.remark
                                         : "the project was opened to be looked at only");
    return tb_store_begin(&project->store, err);
}

/* After a failure: what the file holds is what holds. */
static void follow_file(tb_project *project)
{
    int64_t state[4];
    tb_log *log = &project->log;
    tb_store_rollback(&project->store);
    project->drag = 0;
    if (read_state(project, state, NULL)) {
        project->broken = true;
        return;
    }
    if (state[0] != log->head || state[1] != log->tip || state[2] != (int64_t)log->n_actions ||
            state[3] != project->n_snapshots)
        project->broken = load(project, NULL) != TB_OK;
}

tb_status tb__project_end(tb_project *project, tb_status status, int64_t head, int64_t tip,
        int64_t n_actions, int64_t n_snapshots, tb_error *err)
{
    const tb_cell cells[] = {INT(1), INT(head), INT(tip), INT(n_actions), INT(n_snapshots)};
    if (!status)
        status = tb_store_put(&project->store,
                "INSERT OR REPLACE INTO state(id, head, tip, actions, snapshots, sum) "
                "VALUES(?1, ?2, ?3, ?4, ?5, ?6)",
                cells, N_OF(cells), err);
    if (!status)
        status = tb_store_commit(&project->store, err);
    if (status)
        follow_file(project);
    else
        project->n_snapshots = n_snapshots;
    return status;
}

/* Records an action as the child of `parent`; id may be the last action, which it then replaces. */
static tb_status record_take(tb_project *project, int64_t id, int64_t parent, tb_action_kind kind,
        uint8_t *body, size_t n_body, tb_error *err)
{
    tb_log *log = &project->log;
    const int64_t now = tb__now_s(), n = (int64_t)log->n_actions;
    const tb_cell cells[] = {INT(id), INT(parent), INT(kind), INT(now), BLOB(body, n_body)};
    /* The action is taken up in memory first, behind the end, where nothing sees it. */
    tb_action old = {0};
    bool replaces = id <= n;
    if (replaces)
        old = log->actions[--log->n_actions];
    uint8_t *kept = tb_malloc(n_body, 1);
    tb_status status = kept ? TB_OK : tb_fail_memory(err);
    if (!status) {
        memcpy(kept, body, n_body);
        status = tb_log_append_take(log, kind, parent, now, kept, n_body, err);
    }
    if (status) {
        if (replaces)
            log->actions[log->n_actions++] = old;
        tb_free(body);
        return status;
    }
    tb_action taken = log->actions[--log->n_actions];
    if (replaces)
        log->actions[log->n_actions++] = old;
    status = tb__project_begin(project, err);
    if (!status) {
        status = tb_store_put(&project->store,
                "INSERT OR REPLACE INTO action(id, parent, kind, at, body, sum) "
                "VALUES(?1, ?2, ?3, ?4, ?5, ?6)",
                cells, N_OF(cells), err);
        status = tb__project_end(
                project, status, id, id, replaces ? n : n + 1, project->n_snapshots, err);
    }
    if (status) {
        tb_stroke_clear(&taken.stroke);
        tb_free(taken.body);
    } else {
        if (replaces) {
            tb_stroke_clear(&old.stroke);
            tb_free(old.body);
            log->n_actions--;
        }
        log->actions[log->n_actions++] = taken;
        tb_log_move(log, id, id);
    }
    tb_free(body);
    return status;
}

static tb_status record_next_take(
        tb_project *project, tb_action_kind kind, uint8_t *body, size_t n_body, tb_error *err)
{
    project->drag = 0;
    return record_take(project, (int64_t)project->log.n_actions + 1, project->log.head, kind, body,
            n_body, err);
}

static tb_status move_head(tb_project *project, int64_t head, tb_error *err)
{
    tb_log *log = &project->log;
    project->drag = 0;
    tb_status status = tb__project_begin(project, err);
    if (status)
        return status;
    status = tb__project_end(
            project, TB_OK, head, log->tip, (int64_t)log->n_actions, project->n_snapshots, err);
    if (!status)
        tb_log_move(log, head, log->tip);
    return status;
}

/* ---- a project's life ---- */

static tb_status fill(tb_project *project, const tb_project_start *start, tb_error *err)
{
    tb_packer packer = {0};
    tb_choices choices = {0};
    choices.settings = start->settings;
    choices.words = start->words;
    const char *name = start->photo_name ? start->photo_name : "";
    const tb_cell cells[] = {INT(1), TEXT(name), BLOB(start->photo, start->n_photo)};
    tb_status status = tb_choices_check(&choices, err);
    if (!status && start->n_photo > TB_PHOTO_MAX_BYTES)
        status = tb_fail(
                err, TB_EINVAL, "a photograph of more than %d MB", (int)(TB_PHOTO_MAX_BYTES >> 20));
    if (!status)
        status = tb_store_put(&project->store,
                "INSERT INTO photograph(id, name, bytes, sum) VALUES(?1, ?2, ?3, ?4)", cells,
                N_OF(cells), err);
    if (status)
        return status;
    tb_choices_pack(&packer, &choices, NULL);
    if (packer.failed) {
        tb_free(packer.bytes);
        return tb_fail_memory(err);
    }
    return record_take(project, 1, 0, TB_ACTION_SET, packer.bytes, packer.n, err);
}

static tb_status begin_life(tb_project **out, tb_error *err)
{
    *out = tb_calloc(1, sizeof **out);
    if (!*out)
        return tb_fail_memory(err);
    (*out)->store.lock_fd = -1;
    return TB_OK;
}

static tb_status end_if(tb_project **out, tb_status status)
{
    if (status) {
        tb_project_close(*out);
        *out = NULL;
    }
    return status;
}

tb_status tb_project_new(tb_project **out, const tb_project_start *start, tb_error *err)
{
    tb_status status = begin_life(out, err);
    if (status)
        return status;
    status = tb_store_memory(&(*out)->store, err);
    if (!status)
        status = fill(*out, start, err);
    return end_if(out, status);
}

tb_status tb_project_create(tb_project **out, const char *path, bool replace,
        const tb_project_start *start, tb_error *err)
{
    tb_project *draft;
    *out = NULL;
    tb_status status = tb_project_new(&draft, start, err);
    if (!status)
        status = tb_project_copy(draft, path, replace, err);
    tb_project_close(draft);
    return status ? status : tb_project_open(out, path, true, err);
}

tb_status tb_project_open(tb_project **out, const char *path, bool to_change, tb_error *err)
{
    tb_status status = begin_life(out, err);
    if (status)
        return status;
    status = tb_store_open(&(*out)->store, path, to_change, err);
    if (!status)
        status = load(*out, err);
    return end_if(out, status);
}

void tb_project_close(tb_project *project)
{
    if (!project)
        return;
    tb_log_clear(&project->log);
    tb_store_close(&project->store);
    tb_free(project->photo);
    tb_free(project->photo_name);
    tb_free(project);
}

tb_status tb_project_copy(tb_project *project, const char *path, bool replace, tb_error *err)
{
    return tb_store_copy(&project->store, path, replace, err);
}

bool tb_project_can_change(const tb_project *project)
{
    return project->store.can_change && !project->broken;
}

const char *tb_project_remark(const tb_project *project)
{
    return project->store.remark;
}

const char *tb_project_path(const tb_project *project)
{
    return project->store.path;
}

const tb_project_state *tb_project_state_now(const tb_project *project)
{
    return &project->log.state;
}

/* ---- actions ---- */

tb_status tb_project_draw(tb_project *project, const tb_stroke *stroke, tb_error *err)
{
    uint8_t *body;
    size_t n_body;
    tb_status status = tb_stroke_encode(&body, &n_body, stroke, err);
    return status ? status : record_next_take(project, TB_ACTION_STROKE, body, n_body, err);
}

/* Records what differs from now; with a drag, as a change of that drag's action if it is the
 * latest thing that happened. */
static tb_status choose(
        tb_project *project, const tb_choices *choices, unsigned drag, tb_error *err)
{
    tb_log *log = &project->log;
    const tb_choices now = tb_log_choices(log);
    const bool again = drag != 0 && drag == project->drag && log->head == project->drag_action &&
                       log->tip == log->head;
    const tb_choices before = again ? project->drag_before : now;
    bool changes = false;
    tb_status status = tb_choices_check(choices, err);
    for (size_t i = 0; i < TB_N_FIELDS; i++)
        changes = changes || !tb_field_equal(&TB_FIELDS[i], choices, &now);
    if (status || !changes)
        return status;
    tb_packer packer = {0};
    tb_choices_pack(&packer, choices, &before);
    if (packer.failed) {
        tb_free(packer.bytes);
        return tb_fail_memory(err);
    }
    int64_t id = again ? log->head : (int64_t)log->n_actions + 1;
    int64_t parent = again ? log->actions[id - 1].parent : log->head;
    status = record_take(project, id, parent, TB_ACTION_SET, packer.bytes, packer.n, err);
    project->drag = status ? 0 : drag;
    project->drag_action = id;
    project->drag_before = before;
    return status;
}

tb_status tb_project_set(
        tb_project *project, const tb_settings *settings, unsigned drag, tb_error *err)
{
    tb_choices choices = tb_log_choices(&project->log);
    choices.settings = *settings;
    return choose(project, &choices, drag, err);
}

tb_status tb_project_write(tb_project *project, const tb_words *words, tb_error *err)
{
    tb_choices choices = tb_log_choices(&project->log);
    choices.words = *words;
    return choose(project, &choices, 0, err);
}

static const tb_note *note_at(const tb_project *project, int64_t id)
{
    const tb_project_state *state = &project->log.state;
    for (size_t i = 0; i < state->n_notes; i++)
        if (state->notes[i].id == id)
            return &state->notes[i];
    return NULL;
}

tb_status tb_project_ring(tb_project *project, tb_note *note, tb_error *err)
{
    if (note->id && !note_at(project, note->id))
        return tb_fail(err, TB_EINVAL, "there is no note %lld", (long long)note->id);
    if (!memchr(note->text, 0, sizeof note->text) || !tb_text_fits(note->text, sizeof note->text))
        return tb_fail(err, TB_EINVAL, "the note is too long, or no UTF-8");
    if (!note->text[strspn(note->text, " ")])
        return tb_fail(err, TB_EINVAL, "the note has no words");
    if (!(note->radius_mm >= 0 && note->radius_mm <= 1e5 && note->x_mm >= -1e5 &&
                note->x_mm <= 1e5 && note->y_mm >= -1e5 && note->y_mm <= 1e5))
        return tb_fail(err, TB_EINVAL, "the note lies far beyond any board");
    size_t n_body;
    uint8_t *body = tb_note_pack(note, &n_body);
    if (!body)
        return tb_fail_memory(err);
    int64_t id = (int64_t)project->log.n_actions + 1;
    tb_status status = record_next_take(project, TB_ACTION_RING, body, n_body, err);
    if (!status && !note->id)
        note->id = id;
    return status;
}

static tb_status record_number(
        tb_project *project, tb_action_kind kind, int64_t number, const char *name, tb_error *err)
{
    tb_packer packer = {0};
    tb_pack_uint(&packer, (uint64_t)number);
    if (name)
        tb_pack_text(&packer, name);
    if (packer.failed) {
        tb_free(packer.bytes);
        return tb_fail_memory(err);
    }
    return record_next_take(project, kind, packer.bytes, packer.n, err);
}

tb_status tb_project_unring(tb_project *project, int64_t note_id, tb_error *err)
{
    if (!note_at(project, note_id))
        return tb_fail(err, TB_EINVAL, "there is no note %lld", (long long)note_id);
    return record_number(project, TB_ACTION_UNRING, note_id, NULL, err);
}

tb_status tb_project_restore(tb_project *project, const char *snapshot, tb_error *err)
{
    tb_snapshot *snapshots;
    size_t n;
    int64_t action = 0;
    tb_status status = tb_project_snapshots(&snapshots, &n, project, err);
    if (status)
        return status;
    for (size_t i = 0; i < n; i++)
        if (strcmp(snapshots[i].name, snapshot) == 0)
            action = snapshots[i].action;
    tb_free(snapshots);
    if (action == 0)
        return tb_fail(err, TB_EINVAL, "there is no snapshot \"%.80s\"", snapshot);
    return tb_project_take_up(project, action, snapshot, err);
}

tb_status tb_project_take_up(tb_project *project, int64_t action, const char *name, tb_error *err)
{
    if (action < 1 || action > (int64_t)project->log.n_actions ||
            !tb_text_fits(name, TB_SNAPSHOT_NAME_ROOM))
        return tb_fail(err, TB_EINVAL, "there is no snapshot \"%.80s\"", name);
    if (action == project->log.head)
        return TB_OK;
    return record_number(project, TB_ACTION_RESTORE, action, name, err);
}

tb_status tb_project_undo(tb_project *project, tb_error *err)
{
    const tb_log *log = &project->log;
    if (log->head <= 1)
        return tb_fail(err, TB_EINVAL, "there is nothing to undo");
    return move_head(project, log->actions[log->head - 1].parent, err);
}

tb_status tb_project_redo(tb_project *project, tb_error *err)
{
    int64_t next = tb_log_next(&project->log);
    if (next == 0)
        return tb_fail(err, TB_EINVAL, "there is nothing to redo");
    return move_head(project, next, err);
}
