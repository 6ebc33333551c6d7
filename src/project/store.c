/* project/store.c: see store.h. */
#define _DEFAULT_SOURCE
#include "project/store.h"

#include "base/alloc.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

static const struct {
    const char *name, *sql;
} TABLES[] = {
        {"action", "CREATE TABLE action(id INTEGER PRIMARY KEY, parent INTEGER, kind INTEGER, "
                   "at INTEGER, body BLOB, sum INTEGER)"},
        {"photograph", "CREATE TABLE photograph(id INTEGER PRIMARY KEY, name TEXT, bytes BLOB, "
                       "sum INTEGER)"},
        {"preview", "CREATE TABLE preview(id INTEGER PRIMARY KEY, png BLOB, sum INTEGER)"},
        {"snapshot", "CREATE TABLE snapshot(id INTEGER PRIMARY KEY, name TEXT, action INTEGER, "
                     "at INTEGER, sum INTEGER)"},
        {"state", "CREATE TABLE state(id INTEGER PRIMARY KEY, head INTEGER, tip INTEGER, "
                  "actions INTEGER, snapshots INTEGER, sum INTEGER)"},
};
enum { N_TABLES = sizeof TABLES / sizeof *TABLES };
enum { HEADER = 100, VERSION_AT = 60, ID_AT = 68, MAX_CELL_BYTES = 600 << 20, BUSY_MS = 3000 };

static tb_status fail(tb_store *store, int rc, tb_status otherwise, tb_error *err)
{
    switch (rc & 0xff) {
    case SQLITE_NOMEM:
        return tb_fail_memory(err);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return tb_fail(err, TB_EBUSY, "another program is using this project");
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
    case SQLITE_SCHEMA:
    case SQLITE_ERROR:
    case SQLITE_MISMATCH:
        return tb_fail(err, TB_EREAD, "the project is damaged (%s)", sqlite3_errmsg(store->db));
    case SQLITE_FULL:
    case SQLITE_IOERR:
        /* Which of the two it was, a quota for one does not tell. */
        if (otherwise == TB_EWRITE)
            return tb_fail(err, TB_EWRITE,
                    "the project could not be written: the disk is full, or it fails");
        /* fall through */
    default:
        if (otherwise == TB_EWRITE)
            return tb_fail(err, TB_EWRITE, "the project could not be written (%s)",
                    sqlite3_errmsg(store->db));
        return tb_fail(
                err, otherwise, "the project could not be read (%s)", sqlite3_errmsg(store->db));
    }
}

static tb_status run(tb_store *store, const char *sql, tb_status otherwise, tb_error *err)
{
    int rc = sqlite3_exec(store->db, sql, NULL, NULL, NULL);
    return rc == SQLITE_OK ? TB_OK : fail(store, rc, otherwise, err);
}

/* The one value a pragma answers with must be `wanted`. */
static tb_status expect(tb_store *store, const char *sql, const char *wanted, tb_error *err)
{
    sqlite3_stmt *statement = NULL;
    int rc = sqlite3_prepare_v2(store->db, sql, -1, &statement, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(statement);
    tb_status status = TB_OK;
    if (rc != SQLITE_ROW) {
        status = fail(store, rc, TB_EREAD, err);
    } else {
        const char *text = (const char *)sqlite3_column_text(statement, 0);
        /* quick_check tells of memory that ran out in words only. */
        if (!text || strstr(text, "error code=7"))
            status = tb_fail_memory(err);
        else if (strcmp(text, wanted) != 0)
            status = tb_fail(err, TB_EREAD, "the project is damaged (%s)", text);
    }
    sqlite3_finalize(statement);
    return status;
}

static tb_status configure(tb_store *store, tb_error *err)
{
    sqlite3_extended_result_codes(store->db, 1);
    sqlite3_busy_timeout(store->db, BUSY_MS);
    sqlite3_limit(store->db, SQLITE_LIMIT_LENGTH, MAX_CELL_BYTES);
    sqlite3_limit(store->db, SQLITE_LIMIT_TRIGGER_DEPTH, 0);
    sqlite3_db_config(store->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(store->db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    sqlite3_db_config(store->db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
    sqlite3_db_config(store->db, SQLITE_DBCONFIG_ENABLE_VIEW, 0, NULL);
    /* EXTRA is FULL and syncs the folder when the journal goes: only then is an action durable. */
    return run(store,
            "PRAGMA trusted_schema=OFF; PRAGMA cell_size_check=ON; PRAGMA mmap_size=0;"
            "PRAGMA temp_store=MEMORY; PRAGMA synchronous=EXTRA",
            TB_EREAD, err);
}

tb_status tb_store_memory(tb_store *store, tb_error *err)
{
    *store = (tb_store){.lock_fd = -1, .can_change = true};
    int rc = sqlite3_open_v2(
            ":memory:", &store->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, NULL);
    tb_status status = rc == SQLITE_OK ? configure(store, err) : fail(store, rc, TB_ENOMEM, err);
    char sql[96];
    snprintf(sql, sizeof sql, "PRAGMA application_id=%d; PRAGMA user_version=%d", TB_STORE_ID,
            TB_STORE_VERSION);
    if (!status)
        status = run(store, sql, TB_EWRITE, err);
    for (size_t i = 0; i < N_TABLES && !status; i++)
        status = run(store, TABLES[i].sql, TB_EWRITE, err);
    if (status)
        tb_store_close(store);
    return status;
}

/* ---- opening ---- */

static uint32_t big_endian(const uint8_t *at)
{
    return (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
}

/* Says in plain words what SQLite would only call "not a database". */
static tb_status look(tb_store *store, const char *path, tb_error *err)
{
    uint8_t header[HEADER];
    struct stat info;
    if (fstat(store->lock_fd, &info) || !S_ISREG(info.st_mode))
        return tb_fail(err, TB_EREAD, "%s is not a file", path);
    if (pread(store->lock_fd, header, HEADER, 0) != HEADER ||
            memcmp(header, "SQLite format 3", 16) != 0 || big_endian(header + ID_AT) != TB_STORE_ID)
        return tb_fail(err, TB_EREAD, "%s is not a Tombolo project", path);
    uint32_t version = big_endian(header + VERSION_AT);
    if (version < 1 || version > INT32_MAX)
        return tb_fail(err, TB_EREAD, "the project is damaged (version %u)", version);
    store->newer = version > TB_STORE_VERSION;
    return TB_OK;
}

/* Locks the file that stands at path now: it may be replaced while we wait for nothing. */
static tb_status lock(tb_store *store, const char *path, tb_error *err)
{
    struct stat held, there;
    if (flock(store->lock_fd, LOCK_EX | LOCK_NB))
        return errno == EWOULDBLOCK
                       ? tb_fail(err, TB_EBUSY, "another program is working on this project")
                       : tb_fail(err, TB_EREAD, "%s can't be locked: %s", path, strerror(errno));
    if (fstat(store->lock_fd, &held) || stat(path, &there) || held.st_ino != there.st_ino ||
            held.st_dev != there.st_dev)
        return tb_fail(err, TB_EBUSY, "another program is replacing this project");
    return TB_OK;
}

/* The folder of path as a new string; NULL without memory. */
static char *folder_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    char *folder = tb_strdup(slash ? path : ".");
    if (folder && slash)
        folder[slash == path ? 1 : slash - path] = '\0';
    return folder;
}

/* Whether changes can be written, and if not why not. */
static tb_status look_for_rights(tb_store *store, tb_error *err)
{
    char *folder = folder_of(store->path);
    if (!folder)
        return tb_fail_memory(err);
    const char *why = NULL;
    if (store->newer)
        why = "this project was written by a newer version of Tombolo";
    else if (sqlite3_db_readonly(store->db, "main") || access(store->path, W_OK))
        why = "this project is write protected";
    else if (access(folder, W_OK))
        why = "the folder of this project is write protected";
    tb_free(folder);
    store->can_change = !why;
    if (why)
        snprintf(store->remark, sizeof store->remark, "%s: it can be looked at, not changed", why);
    return TB_OK;
}

static tb_status check_schema(tb_store *store, tb_error *err)
{
    sqlite3_stmt *statement;
    tb_status status = tb_store_ask(
            &statement, store, "SELECT type, name, sql FROM sqlite_schema ORDER BY name", err);
    size_t n = 0;
    while (!status) {
        int rc = sqlite3_step(statement);
        if (rc == SQLITE_DONE)
            break;
        if (rc != SQLITE_ROW) {
            status = fail(store, rc, TB_EREAD, err);
            break;
        }
        const char *type = (const char *)sqlite3_column_text(statement, 0);
        const char *name = (const char *)sqlite3_column_text(statement, 1);
        const char *sql = (const char *)sqlite3_column_text(statement, 2);
        bool ours = n < N_TABLES && type && name && sql && strcmp(type, "table") == 0 &&
                    strcmp(name, TABLES[n].name) == 0 && strcmp(sql, TABLES[n].sql) == 0;
        if (!ours)
            status = tb_fail(err, TB_EREAD, "the project is damaged (its tables are not ours)");
        n++;
    }
    sqlite3_finalize(statement);
    if (!status && n != N_TABLES)
        status = tb_fail(err, TB_EREAD, "the project is damaged (a table is missing)");
    return status;
}

static tb_status check(tb_store *store, tb_error *err)
{
    tb_status status = expect(store, "PRAGMA quick_check(1)", "ok", err);
    if (!status)
        status = expect(store, "PRAGMA encoding", "UTF-8", err);
    /* A newer version may have added tables; the rows that we know are still checked one by one. */
    if (!status && !store->newer)
        status = check_schema(store, err);
    return status;
}

static tb_status open_db(tb_store *store, bool to_change, tb_error *err)
{
    /* Opened to be written even for readers: a journal left by a crash must be played back first.
     * Where it may not be written SQLite itself opens it to be read. */
    int rc = sqlite3_open_v2(store->path, &store->db, SQLITE_OPEN_READWRITE, NULL);
    if (rc != SQLITE_OK)
        return fail(store, rc, TB_EREAD, err);
    tb_status status = configure(store, err);
    if (!status)
        status = look_for_rights(store, err);
    if (!status)
        status = check(store, err);
    if (!status && store->can_change && to_change)
        status = expect(store, "PRAGMA journal_mode=DELETE", "delete", err);
    if (!to_change) {
        store->can_change = false;
        if (!store->newer)
            store->remark[0] = '\0';
    }
    if (!status && !store->can_change)
        status = run(store, "PRAGMA query_only=ON", TB_EREAD, err);
    return status;
}

tb_status tb_store_open(tb_store *store, const char *path, bool to_change, tb_error *err)
{
    tb_status status = TB_OK;
    *store = (tb_store){.lock_fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK)};
    if (store->lock_fd < 0)
        return tb_fail(err, TB_EREAD, "%s can't be opened: %s", path, strerror(errno));
    /* "./" keeps a name from being taken for anything but a file's. */
    size_t n = strlen(path) + 3;
    store->path = tb_malloc(n, 1);
    if (!store->path)
        status = tb_fail_memory(err);
    else
        snprintf(store->path, n, "%s%s", path[0] == '/' ? "" : "./", path);
    if (!status)
        status = look(store, path, err);
    if (!status && to_change)
        status = lock(store, path, err);
    if (!status)
        status = open_db(store, to_change, err);
    if (status)
        tb_store_close(store);
    return status;
}

void tb_store_close(tb_store *store)
{
    /* The order matters: closing any descriptor of a file drops SQLite's own locks on it. */
    sqlite3_close(store->db);
    if (store->lock_fd >= 0)
        close(store->lock_fd);
    tb_free(store->path);
    *store = (tb_store){.lock_fd = -1};
}

/* ---- copies ---- */

static tb_status sync_at(const char *path, int flags, tb_error *err)
{
    int fd = open(path, flags | O_CLOEXEC);
    bool good = fd >= 0 && fsync(fd) == 0;
    int why = errno;
    if (fd >= 0)
        close(fd);
    return good ? TB_OK
                : tb_fail(err, TB_EWRITE, "%s could not be written: %s", path, strerror(why));
}

/* Moves the finished copy to its place. */
static tb_status put_in_place(const char *copy, const char *path, bool replace, tb_error *err)
{
    tb_store there = {.lock_fd = -1};
    tb_status status = TB_OK;
    if (replace) {
        /* Nobody may be working on what is replaced: he would go on in a file without a name. */
        there.lock_fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
        if (there.lock_fd >= 0)
            status = lock(&there, path, err);
    }
    if (!status && (replace ? rename(copy, path) : link(copy, path)))
        status = errno == EEXIST ? tb_fail(err, TB_EEXIST, "%s exists already", path)
                                 : tb_fail(err, TB_EWRITE, "%s could not be written: %s", path,
                                           strerror(errno));
    if (there.lock_fd >= 0)
        close(there.lock_fd);
    return status;
}

tb_status tb_store_copy(tb_store *store, const char *path, bool replace, tb_error *err)
{
    sqlite3_stmt *statement = NULL;
    size_t n = strlen(path) + 48;
    char *copy = tb_malloc(n, 1), *journal = tb_malloc(n, 1), *folder = folder_of(path);
    tb_status status = copy && journal && folder ? TB_OK : tb_fail_memory(err);
    if (status)
        goto out;
    snprintf(copy, n, "%s%s.part-%ld", path[0] == '/' ? "" : "./", path, (long)getpid());
    snprintf(journal, n, "%s-journal", copy);
    unlink(copy);
    if (!replace && access(path, F_OK) == 0) {
        status = tb_fail(err, TB_EEXIST, "%s exists already", path);
        goto out;
    }
    status = run(store, "PRAGMA query_only=OFF", TB_EWRITE, err);
    if (!status)
        status = tb_store_ask(&statement, store, "VACUUM INTO ?1", err);
    if (!status) {
        int rc = sqlite3_bind_text(statement, 1, copy, -1, SQLITE_STATIC);
        if (rc == SQLITE_OK && (rc = sqlite3_step(statement)) == SQLITE_DONE)
            rc = SQLITE_OK;
        if (rc != SQLITE_OK)
            status = fail(store, rc, TB_EWRITE, err);
    }
    sqlite3_finalize(statement);
    if (!store->can_change && run(store, "PRAGMA query_only=ON", TB_EWRITE, NULL) && !status)
        status = tb_fail_memory(err);
    if (!status)
        status = sync_at(copy, O_RDWR, err);
    if (!status)
        status = put_in_place(copy, path, replace, err);
    /* Of a copy that failed its journal may be left, too. */
    unlink(copy);
    unlink(journal);
    if (!status)
        status = sync_at(folder, O_RDONLY | O_DIRECTORY, err);
out:
    tb_free(copy);
    tb_free(journal);
    tb_free(folder);
    return status;
}

/* ---- rows ---- */

tb_status tb_store_begin(tb_store *store, tb_error *err)
{
    return run(store, "BEGIN IMMEDIATE", TB_EWRITE, err);
}

tb_status tb_store_commit(tb_store *store, tb_error *err)
{
    return run(store, "COMMIT", TB_EWRITE, err);
}

void tb_store_rollback(tb_store *store)
{
    if (!sqlite3_get_autocommit(store->db))
        sqlite3_exec(store->db, "ROLLBACK", NULL, NULL, NULL);
}

static int64_t sum_of(const tb_cell *cells, size_t n)
{
    uLong sum = crc32_z(0, NULL, 0);
    for (size_t i = 0; i < n; i++) {
        uint8_t head[9] = {(uint8_t)cells[i].kind};
        uint64_t number =
                cells[i].kind == TB_CELL_INT ? (uint64_t)cells[i].whole : (uint64_t)cells[i].n;
        for (int k = 0; k < 8; k++)
            head[k + 1] = (uint8_t)(number >> 8 * k);
        sum = crc32_z(sum, head, sizeof head);
        if (cells[i].kind != TB_CELL_INT && cells[i].n > 0)
            sum = crc32_z(sum, cells[i].bytes, cells[i].n);
    }
    return (int64_t)sum;
}

static int bind(sqlite3_stmt *statement, int at, const tb_cell *cell)
{
    /* A NULL pointer would be bound as NULL, not as nothing. */
    const void *bytes = cell->n > 0 ? cell->bytes : "";
    switch (cell->kind) {
    case TB_CELL_INT:
        return sqlite3_bind_int64(statement, at, cell->whole);
    case TB_CELL_TEXT:
        return sqlite3_bind_text64(statement, at, bytes, cell->n, SQLITE_STATIC, SQLITE_UTF8);
    default:
        return sqlite3_bind_blob64(statement, at, bytes, cell->n, SQLITE_STATIC);
    }
}

tb_status tb_store_put(
        tb_store *store, const char *sql, const tb_cell *cells, size_t n, tb_error *err)
{
    sqlite3_stmt *statement;
    tb_status status = tb_store_ask(&statement, store, sql, err);
    if (status)
        return status;
    int rc = SQLITE_OK;
    for (size_t i = 0; i < n && rc == SQLITE_OK; i++)
        rc = bind(statement, (int)i + 1, &cells[i]);
    if (rc == SQLITE_OK)
        rc = sqlite3_bind_int64(statement, (int)n + 1, sum_of(cells, n));
    if (rc == SQLITE_OK)
        rc = sqlite3_step(statement);
    if (rc != SQLITE_DONE)
        status = fail(store, rc, TB_EWRITE, err);
    sqlite3_finalize(statement);
    return status;
}

tb_status tb_store_ask(sqlite3_stmt **out, tb_store *store, const char *sql, tb_error *err)
{
    *out = NULL;
    int rc = sqlite3_prepare_v2(store->db, sql, -1, out, NULL);
    return rc == SQLITE_OK ? TB_OK : fail(store, rc, TB_EREAD, err);
}

tb_status tb_store_row(bool *more, tb_store *store, sqlite3_stmt *statement, tb_cell *cells,
        size_t n, tb_error *err)
{
    static const int TYPES[] = {SQLITE_INTEGER, SQLITE_TEXT, SQLITE_BLOB};
    *more = false;
    int rc = sqlite3_step(statement);
    if (rc == SQLITE_DONE)
        return TB_OK;
    if (rc != SQLITE_ROW)
        return fail(store, rc, TB_EREAD, err);
    bool sound = sqlite3_column_type(statement, (int)n) == SQLITE_INTEGER;
    for (size_t i = 0; i < n; i++) {
        sound = sound && sqlite3_column_type(statement, (int)i) == TYPES[cells[i].kind];
        if (cells[i].kind == TB_CELL_INT) {
            cells[i].whole = sqlite3_column_int64(statement, (int)i);
            continue;
        }
        cells[i].bytes = cells[i].kind == TB_CELL_TEXT
                                 ? (const void *)sqlite3_column_text(statement, (int)i)
                                 : sqlite3_column_blob(statement, (int)i);
        cells[i].n = (size_t)sqlite3_column_bytes(statement, (int)i);
        if (!cells[i].bytes && cells[i].n > 0)
            return tb_fail_memory(err);
    }
    if (!sound || sqlite3_column_int64(statement, (int)n) != sum_of(cells, n))
        return tb_fail(err, TB_EREAD, "the project is damaged (a row does not add up)");
    *more = true;
    return TB_OK;
}
