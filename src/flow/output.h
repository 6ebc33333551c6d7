/* flow/output.h: files that appear whole or not at all.
 *
 * A set of files is written beside their places under other names, made durable, and only then
 * renamed, all together. Until tb_outputs_commit() nothing can be seen of them, and a set freed
 * without it leaves nothing behind: no file, no part of one, no folder made for it.
 *
 *     tb_outputs *set;
 *     tb_outputs_new(&set, force, err);
 *     tb_outputs_add(set, "out/pattern.png", bytes, n, err);
 *     tb_outputs_commit(set, err);
 *     tb_outputs_free(set);
 *
 * Without force a file that exists is refused, when it is added and again, against races, when it
 * is renamed. What is no ordinary file (a folder, a device) is refused always.
 *
 * Errors  TB_EEXIST, TB_EWRITE (with the path and the reason), TB_ENOMEM
 */
#ifndef TB_FLOW_OUTPUT_H
#define TB_FLOW_OUTPUT_H

#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct tb_outputs tb_outputs;

TB_NODISCARD tb_status tb_outputs_new(tb_outputs **out, bool force, tb_error *err);

/* Takes back what was not committed. */
void tb_outputs_free(tb_outputs *set);

/* Sees to it that a folder is there, with those above it. */
TB_NODISCARD tb_status tb_outputs_folder(tb_outputs *set, const char *path, tb_error *err);

/* Refuses the path now if it would be refused later: before the work, not after it. */
TB_NODISCARD tb_status tb_outputs_check(const tb_outputs *set, const char *path, tb_error *err);

/* Writes one file. The bytes are borrowed for the call. */
TB_NODISCARD tb_status tb_outputs_add(
        tb_outputs *set, const char *path, const void *bytes, size_t n_bytes, tb_error *err);

/* For what writes its file itself: *temporary (borrowed from the set) is the name to write to, an
 * empty file by now. */
TB_NODISCARD tb_status tb_outputs_reserve(
        tb_outputs *set, const char *path, const char **temporary, tb_error *err);

/* Makes all durable and visible. On failure what was new is taken away again. */
TB_NODISCARD tb_status tb_outputs_commit(tb_outputs *set, tb_error *err);

/* One file by itself, in the place of what stood there. */
TB_NODISCARD tb_status tb_outputs_replace(
        const char *path, const void *bytes, size_t n_bytes, tb_error *err);

#endif
