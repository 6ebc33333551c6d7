/* project/store.h: the project's file as SQLite keeps it; knows tables, not what they mean. For
 * project.c and history.c alone.
 *
 * Opened with distrust: the schema must be word for word ours, SQLite checks every page, and each
 * row ends in a check sum over all that stands before it, which tb_store_row() compares.
 *
 * Writing  holds an advisory lock on the whole file, so that the second process is told at once
 *          rather than in the middle of its work; readers are kept out for moments only
 */
#ifndef TB_PROJECT_STORE_H
#define TB_PROJECT_STORE_H

#include "base/status.h"

#include <sqlite3.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { TB_STORE_ID = 0x546f6d62, TB_STORE_VERSION = 1 };

typedef struct {
    sqlite3 *db;
    char *path;  /* NULL in memory */
    int lock_fd; /* -1: none */
    bool can_change;
    bool newer;
    char remark[160];
} tb_store;

typedef enum { TB_CELL_INT, TB_CELL_TEXT, TB_CELL_BLOB } tb_cell_kind;

typedef struct {
    tb_cell_kind kind;
    int64_t whole;
    const void *bytes; /* text need not end with a zero; borrowed until the statement moves on */
    size_t n;
} tb_cell;

TB_NODISCARD tb_status tb_store_memory(tb_store *store, tb_error *err);
TB_NODISCARD tb_status tb_store_open(
        tb_store *store, const char *path, bool to_change, tb_error *err);
void tb_store_close(tb_store *store);

/* A whole copy at path, which appears at once: written beside it, synced, renamed. */
TB_NODISCARD tb_status tb_store_copy(
        tb_store *store, const char *path, bool replace, tb_error *err);

TB_NODISCARD tb_status tb_store_begin(tb_store *store, tb_error *err);
TB_NODISCARD tb_status tb_store_commit(tb_store *store, tb_error *err);
void tb_store_rollback(tb_store *store);

/* Runs an INSERT or UPDATE with the cells as ?1 … ?n and their check sum as ?(n + 1). */
TB_NODISCARD tb_status tb_store_put(
        tb_store *store, const char *sql, const tb_cell *cells, size_t n, tb_error *err);

/* A statement to be stepped by tb_store_row() and finalised with sqlite3_finalize(). */
TB_NODISCARD tb_status tb_store_ask(
        sqlite3_stmt **out, tb_store *store, const char *sql, tb_error *err);
/* Reads n cells, whose kinds are given, and the check sum behind them. *more: there was a row. */
TB_NODISCARD tb_status tb_store_row(bool *more, tb_store *store, sqlite3_stmt *statement,
        tb_cell *cells, size_t n, tb_error *err);

#endif
