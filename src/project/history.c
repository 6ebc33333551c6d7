/* project/history.c: see history.h. */
#include "project/history.h"

#include "base/alloc.h"
#include "base/array.h"
#include "project/inner.h"

#include <string.h>

tb_status tb_project_history(
        tb_action_line **out, size_t *n, const tb_project *project, tb_error *err)
{
    const tb_log *log = &project->log;
    *n = 0;
    for (int64_t id = log->tip; id > 0; id = log->actions[id - 1].parent)
        (*n)++;
    *out = tb_calloc(*n, sizeof **out);
    if (!*out) {
        *n = 0;
        return tb_fail_memory(err);
    }
    size_t i = *n;
    for (int64_t id = log->tip; id > 0; id = log->actions[id - 1].parent) {
        tb_action_line *line = &(*out)[--i];
        line->id = id;
        line->at_s = log->actions[id - 1].at_s;
        line->undone = id > log->head;
        tb_action_name(&log->actions[id - 1], line->name);
    }
    return TB_OK;
}

enum { PRESENT = -1 };

/* An action that is on the way of what comes after it; the present way comes first. */
static void give(int32_t *way, int64_t id, int32_t of)
{
    if (id > 0 && (way[id - 1] == 0 || of == PRESENT))
        way[id - 1] = of;
}

/* Parents and targets come before what names them: one pass from the end meets the last of each way
 * first. */
tb_status tb_project_asides(tb_aside **out, size_t *n, const tb_project *project, tb_error *err)
{
    const tb_log *log = &project->log;
    int32_t *way = tb_calloc(log->n_actions, sizeof *way); /* PRESENT, or which aside from 1 */
    size_t room = 0;
    *out = NULL;
    *n = 0;
    tb_status status = way ? TB_OK : tb_fail_memory(err);
    if (!status)
        give(way, log->tip, PRESENT);
    for (int64_t id = (int64_t)log->n_actions; id > 0 && !status; id--) {
        const tb_action *action = &log->actions[id - 1];
        if (way[id - 1] == 0 && !tb_array_reserve(out, &room, *n, 1)) {
            status = tb_fail_memory(err);
            break;
        }
        if (way[id - 1] == 0) {
            (*out)[(*n)++] = (tb_aside){.action = id, .at_s = action->at_s};
            way[id - 1] = (int32_t)*n;
        }
        if (way[id - 1] != PRESENT)
            (*out)[way[id - 1] - 1].n++;
        give(way, action->parent, way[id - 1]);
        if (action->kind == TB_ACTION_RESTORE)
            give(way, tb_action_target(action), way[id - 1]);
    }
    tb_free(way);
    if (status) {
        tb_free(*out);
        *out = NULL;
        *n = 0;
    }
    return status;
}

bool tb_project_undo_name(const tb_project *project, char name[TB_ACTION_NAME_ROOM])
{
    const tb_log *log = &project->log;
    name[0] = '\0';
    if (log->head > 1)
        tb_action_name(&log->actions[log->head - 1], name);
    return log->head > 1;
}

bool tb_project_redo_name(const tb_project *project, char name[TB_ACTION_NAME_ROOM])
{
    int64_t next = tb_log_next(&project->log);
    name[0] = '\0';
    if (next > 0)
        tb_action_name(&project->log.actions[next - 1], name);
    return next > 0;
}

tb_status tb_project_snapshots(tb_snapshot **out, size_t *n, tb_project *project, tb_error *err)
{
    tb_cell cells[4] = {{.kind = TB_CELL_INT}, {.kind = TB_CELL_TEXT}, {.kind = TB_CELL_INT},
            {.kind = TB_CELL_INT}};
    sqlite3_stmt *ask;
    size_t room = 0;
    bool more = true;
    *out = NULL;
    *n = 0;
    tb_status status = tb_store_ask(&ask, &project->store,
            "SELECT id, name, action, at, sum FROM snapshot ORDER BY id", err);
    while (!status) {
        status = tb_store_row(&more, &project->store, ask, cells, 4, err);
        if (status || !more)
            break;
        tb_snapshot snapshot = {.action = cells[2].whole, .at_s = cells[3].whole};
        if (cells[1].n >= sizeof snapshot.name)
            status = tb_fail(err, TB_EREAD, "the project is damaged (a snapshot's name)");
        else if (!tb_array_reserve(out, &room, *n, 1))
            status = tb_fail_memory(err);
        if (status)
            break;
        memcpy(snapshot.name, cells[1].bytes, cells[1].n);
        (*out)[(*n)++] = snapshot;
    }
    sqlite3_finalize(ask);
    if (status) {
        tb_free(*out);
        *out = NULL;
        *n = 0;
    }
    return status;
}

tb_status tb_project_snapshot(tb_project *project, const char *name, tb_error *err)
{
    tb_snapshot *snapshots;
    size_t n;
    bool taken = false;
    if (!*name || !tb_text_fits(name, TB_SNAPSHOT_NAME_ROOM))
        return tb_fail(err, TB_EINVAL, "a snapshot needs a name of at most %d bytes of UTF-8",
                (int)TB_SNAPSHOT_NAME_ROOM - 1);
    tb_status status = tb_project_snapshots(&snapshots, &n, project, err);
    if (status)
        return status;
    for (size_t i = 0; i < n; i++)
        taken = taken || strcmp(snapshots[i].name, name) == 0;
    tb_free(snapshots);
    if (taken)
        return tb_fail(err, TB_EEXIST, "there is a snapshot \"%.80s\" already", name);
    const tb_log *log = &project->log;
    const tb_cell cells[] = {{.kind = TB_CELL_INT, .whole = (int64_t)n + 1},
            {.kind = TB_CELL_TEXT, .bytes = name, .n = strlen(name)},
            {.kind = TB_CELL_INT, .whole = log->head}, {.kind = TB_CELL_INT, .whole = tb__now_s()}};
    /* The place that now has a name may not change any more. */
    project->drag = 0;
    status = tb__project_begin(project, err);
    if (status)
        return status;
    status = tb_store_put(&project->store,
            "INSERT INTO snapshot(id, name, action, at, sum) VALUES(?1, ?2, ?3, ?4, ?5)", cells, 4,
            err);
    return tb__project_end(project, status, log->head, log->tip, (int64_t)log->n_actions,
            project->n_snapshots + 1, err);
}

tb_status tb_project_set_preview(
        tb_project *project, const uint8_t *png, size_t n_png, tb_error *err)
{
    const tb_cell cells[] = {
            {.kind = TB_CELL_INT, .whole = 1}, {.kind = TB_CELL_BLOB, .bytes = png, .n = n_png}};
    const tb_log *log = &project->log;
    tb_status status = tb__project_begin(project, err);
    if (status)
        return status;
    status = tb_store_put(&project->store,
            "INSERT OR REPLACE INTO preview(id, png, sum) VALUES(?1, ?2, ?3)", cells, 2, err);
    return tb__project_end(project, status, log->head, log->tip, (int64_t)log->n_actions,
            project->n_snapshots, err);
}

tb_status tb_project_preview(uint8_t **png, size_t *n_png, tb_project *project, tb_error *err)
{
    tb_cell cells[2] = {{.kind = TB_CELL_INT}, {.kind = TB_CELL_BLOB}};
    sqlite3_stmt *ask;
    bool more = false;
    *png = NULL;
    *n_png = 0;
    tb_status status = tb_store_ask(&ask, &project->store, "SELECT id, png, sum FROM preview", err);
    if (!status)
        status = tb_store_row(&more, &project->store, ask, cells, 2, err);
    if (!status && more) {
        *png = tb_malloc(cells[1].n, 1);
        if (!*png)
            status = tb_fail_memory(err);
        else if (cells[1].n > 0)
            memcpy(*png, cells[1].bytes, cells[1].n);
        *n_png = *png ? cells[1].n : 0;
    }
    sqlite3_finalize(ask);
    return status;
}
