/* flow/output.c: see output.h. */
#define _GNU_SOURCE
#include "flow/output.h"

#include "base/alloc.h"
#include "base/array.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct {
    char *path, *temporary; /* temporary is NULL once renamed */
    bool replaces;
} output;

struct tb_outputs {
    bool force, committed;
    output *items;
    size_t n, room;
    char **folders; /* made for this set, outermost first */
    size_t n_folders, folders_room;
};

static tb_status fail_write(tb_error *err, const char *path)
{
    switch (errno) {
    case ENOSPC:
    case EDQUOT:
        return tb_fail(err, TB_EWRITE, "%.120s: no room left on the disk", path);
    case EFBIG:
        return tb_fail(err, TB_EWRITE, "%.120s: larger than may be written here", path);
    case EACCES:
    case EPERM:
        return tb_fail(err, TB_EWRITE, "%.120s: no permission to write there", path);
    case EROFS:
        return tb_fail(err, TB_EWRITE, "%.120s: that disk can only be read", path);
    case ENOENT:
        return tb_fail(err, TB_EWRITE, "%.120s: there is no such folder", path);
    case ENOTDIR:
        return tb_fail(err, TB_EWRITE, "%.120s: a file stands where a folder is needed", path);
    default:
        return tb_fail(err, TB_EWRITE, "%.120s: %s", path, strerror(errno));
    }
}

tb_status tb_outputs_new(tb_outputs **out, bool force, tb_error *err)
{
    *out = tb_calloc(1, sizeof **out);
    if (!*out)
        return tb_fail_memory(err);
    (*out)->force = force;
    return TB_OK;
}

void tb_outputs_free(tb_outputs *set)
{
    if (!set)
        return;
    for (size_t i = 0; i < set->n; i++) {
        if (set->items[i].temporary)
            unlink(set->items[i].temporary);
        tb_free(set->items[i].temporary);
        tb_free(set->items[i].path);
    }
    while (set->n_folders-- > 0) {
        if (!set->committed)
            rmdir(set->folders[set->n_folders]);
        tb_free(set->folders[set->n_folders]);
    }
    tb_free(set->folders);
    tb_free(set->items);
    tb_free(set);
}

/* Makes one folder, unless it is there. */
static tb_status make_folder(tb_outputs *set, const char *path, tb_error *err)
{
    struct stat about;
    if (stat(path, &about) == 0) {
        errno = ENOTDIR;
        return S_ISDIR(about.st_mode) ? TB_OK : fail_write(err, path);
    }
    char *copy = tb_strdup(path);
    if (!copy || !tb_array_reserve(&set->folders, &set->folders_room, set->n_folders, 1)) {
        tb_free(copy);
        return tb_fail_memory(err);
    }
    if (mkdir(path, 0777) != 0) {
        tb_free(copy);
        return fail_write(err, path);
    }
    set->folders[set->n_folders++] = copy;
    return TB_OK;
}

tb_status tb_outputs_folder(tb_outputs *set, const char *path, tb_error *err)
{
    char part[PATH_MAX];
    size_t n = strlen(path);
    tb_status status = TB_OK;
    if (n == 0 || n >= sizeof part)
        return tb_fail(err, TB_EWRITE, "'%.60s' is no name for a folder", path);
    memcpy(part, path, n + 1);
    for (size_t i = 1; i <= n && !status; i++)
        if (path[i] == '/' || path[i] == '\0') {
            part[i] = '\0';
            status = make_folder(set, part, err);
            part[i] = path[i];
        }
    return status;
}

tb_status tb_outputs_check(const tb_outputs *set, const char *path, tb_error *err)
{
    struct stat about;
    if (stat(path, &about) != 0)
        return errno == ENOENT ? TB_OK : fail_write(err, path);
    if (S_ISDIR(about.st_mode))
        return tb_fail(err, TB_EWRITE, "%.120s is a folder; give a file", path);
    if (!S_ISREG(about.st_mode))
        return tb_fail(err, TB_EWRITE, "%.120s is no ordinary file", path);
    if (!set->force)
        return tb_fail(err, TB_EEXIST, "%.120s exists; add --force to replace it", path);
    return TB_OK;
}

/* Creates an empty file of an unused name beside the place; its name is *temporary. */
static int create_beside(char **temporary, const char *path)
{
    const char *slash = strrchr(path, '/');
    int before = slash ? (int)(slash + 1 - path) : 0, fd = -1;
    size_t room = strlen(path) + 32;
    *temporary = tb_malloc(room, 1);
    errno = ENOMEM;
    for (int i = 0; *temporary && i < 100; i++) {
        snprintf(
                *temporary, room, "%.*s.%s.%ld-%d", before, path, path + before, (long)getpid(), i);
        fd = open(*temporary, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (fd >= 0 || errno != EEXIST)
            break;
    }
    return fd;
}

static tb_status create(int *fd, tb_outputs *set, const char *path, tb_error *err)
{
    *fd = -1;
    tb_status status = tb_outputs_check(set, path, err);
    if (status)
        return status;
    if (!tb_array_reserve(&set->items, &set->room, set->n, 1))
        return tb_fail_memory(err);
    output item = {.path = tb_strdup(path), .replaces = access(path, F_OK) == 0};
    if (!item.path)
        return tb_fail_memory(err);
    *fd = create_beside(&item.temporary, path);
    if (*fd < 0) {
        status = fail_write(err, path);
        tb_free(item.temporary);
        tb_free(item.path);
        return status;
    }
    set->items[set->n++] = item;
    return TB_OK;
}

static bool write_all(int fd, const char *bytes, size_t n)
{
    while (n > 0) {
        ssize_t done = write(fd, bytes, n);
        if (done < 0 && errno != EINTR)
            return false;
        if (done > 0) {
            bytes += done;
            n -= (size_t)done;
        }
    }
    return true;
}

tb_status tb_outputs_add(
        tb_outputs *set, const char *path, const void *bytes, size_t n_bytes, tb_error *err)
{
    int fd;
    tb_status status = create(&fd, set, path, err);
    if (status)
        return status;
    if (!write_all(fd, bytes, n_bytes))
        status = fail_write(err, path);
    if (close(fd) != 0 && !status)
        status = fail_write(err, path);
    return status;
}

tb_status tb_outputs_reserve(
        tb_outputs *set, const char *path, const char **temporary, tb_error *err)
{
    int fd;
    tb_status status = create(&fd, set, path, err);
    *temporary = status ? NULL : set->items[set->n - 1].temporary;
    if (!status)
        close(fd);
    return status;
}

/* Some file systems can't sync a folder and say EINVAL; they then have nothing to sync. */
static bool sync_path(const char *path, int flags)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC | flags);
    if (fd < 0)
        return false;
    bool good = fsync(fd) == 0 || errno == EINVAL;
    int error = errno;
    close(fd);
    errno = error;
    return good;
}

static bool sync_folder_of(const char *path)
{
    char copy[PATH_MAX];
    if (snprintf(copy, sizeof copy, "%s", path) >= (int)sizeof copy) {
        errno = ENAMETOOLONG;
        return false;
    }
    return sync_path(dirname(copy), O_DIRECTORY);
}

static tb_status put_in_place(const tb_outputs *set, output *item, tb_error *err)
{
    int failed = -1;
    if (!set->force)
        failed = renameat2(AT_FDCWD, item->temporary, AT_FDCWD, item->path, RENAME_NOREPLACE);
    /* Where the file system does not know the flag, the check made before must do. */
    if (set->force || (failed && errno == EINVAL))
        failed = rename(item->temporary, item->path);
    if (failed && errno == EEXIST)
        return tb_outputs_check(set, item->path, err);
    if (failed)
        return fail_write(err, item->path);
    tb_free(item->temporary);
    item->temporary = NULL;
    return TB_OK;
}

static bool same_folder(const char *a, const char *b)
{
    const char *end_a = strrchr(a, '/'), *end_b = strrchr(b, '/');
    size_t n_a = end_a ? (size_t)(end_a - a) : 0, n_b = end_b ? (size_t)(end_b - b) : 0;
    return n_a == n_b && strncmp(a, b, n_a) == 0;
}

tb_status tb_outputs_commit(tb_outputs *set, tb_error *err)
{
    tb_status status = TB_OK;
    for (size_t i = 0; i < set->n && !status; i++)
        if (!sync_path(set->items[i].temporary, 0))
            status = fail_write(err, set->items[i].path);
    for (size_t i = 0; i < set->n && !status; i++)
        status = put_in_place(set, &set->items[i], err);
    for (size_t i = 0; i < set->n && !status; i++)
        if (i == 0 || !same_folder(set->items[i].path, set->items[i - 1].path))
            if (!sync_folder_of(set->items[i].path))
                status = fail_write(err, set->items[i].path);
    for (size_t i = 0; i < set->n && status; i++)
        if (!set->items[i].temporary && !set->items[i].replaces)
            unlink(set->items[i].path);
    set->committed = !status;
    return status;
}

tb_status tb_outputs_replace(const char *path, const void *bytes, size_t n_bytes, tb_error *err)
{
    tb_outputs *set;
    tb_status status = tb_outputs_new(&set, true, err);
    if (status)
        return status;
    status = tb_outputs_add(set, path, bytes, n_bytes, err);
    if (!status)
        status = tb_outputs_commit(set, err);
    tb_outputs_free(set);
    return status;
}
