/* project/history.h: what a project can tell about its log, its snapshots and its preview. */
#ifndef TB_PROJECT_HISTORY_H
#define TB_PROJECT_HISTORY_H

#include "project/project.h"

enum { TB_ACTION_NAME_ROOM = 96, TB_SNAPSHOT_NAME_ROOM = 120 };

typedef struct {
    int64_t id;
    int64_t at_s; /* seconds since 1970, UTC */
    bool undone;
    char name[TB_ACTION_NAME_ROOM]; /* "bridge", "darkness", "note": behind "Undo" in a menu */
} tb_action_line;

/* From the start to the last action that redo can bring back. The first line is the start itself,
 * which can't be undone. To be freed by tb_free(). */
TB_NODISCARD tb_status tb_project_history(
        tb_action_line **out, size_t *n, const tb_project *project, tb_error *err);

/* The name of what undo would take back, or redo bring back; false if there is nothing. */
bool tb_project_undo_name(const tb_project *project, char name[TB_ACTION_NAME_ROOM]);
bool tb_project_redo_name(const tb_project *project, char name[TB_ACTION_NAME_ROOM]);

/* A way that was undone and left for another change. */
typedef struct {
    int64_t action; /* its last */
    int64_t at_s;   /* when that was done */
    size_t n;       /* actions that stand on no other way */
} tb_aside;

/* Newest first, without those that were taken up again; to be freed by tb_free(). */
TB_NODISCARD tb_status tb_project_asides(
        tb_aside **out, size_t *n, const tb_project *project, tb_error *err);

typedef struct {
    char name[TB_SNAPSHOT_NAME_ROOM];
    int64_t action; /* holds what held after it */
    int64_t at_s;
} tb_snapshot;

/* Names the present state. TB_EEXIST if there is one of that name, TB_EINVAL for a bad name. */
TB_NODISCARD tb_status tb_project_snapshot(tb_project *project, const char *name, tb_error *err);
/* Oldest first; to be freed by tb_free(). */
TB_NODISCARD tb_status tb_project_snapshots(
        tb_snapshot **out, size_t *n, tb_project *project, tb_error *err);

/* A small PNG of the pattern for file managers and lists. Not an action. *png is to be freed by
 * tb_free(), and NULL when there is none. */
TB_NODISCARD tb_status tb_project_set_preview(
        tb_project *project, const uint8_t *png, size_t n_png, tb_error *err);
TB_NODISCARD tb_status tb_project_preview(
        uint8_t **png, size_t *n_png, tb_project *project, tb_error *err);

#endif
