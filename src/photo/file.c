/* photo/file.c: a whole file into memory, and words for every way that can fail. */
#define _POSIX_C_SOURCE 200809L
#include "base/alloc.h"
#include "photo/photo.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static tb_status fail_open(tb_error *err)
{
    switch (errno) {
    case ENOENT:
    case ENOTDIR:
        return tb_fail(err, TB_EREAD, "there is no such file");
    case EACCES:
    case EPERM:
        return tb_fail(err, TB_EREAD, "no permission to read this file");
    case EISDIR:
        return tb_fail(err, TB_EREAD, "this is a folder; give a file");
    default:
        return tb_fail(err, TB_EREAD, "can't be read: %s", strerror(errno));
    }
}

static tb_status fail_size(tb_error *err, size_t max_bytes)
{
    return tb_fail(err, TB_EREAD, "larger than %zu MB, the most that is read", max_bytes / 1000000);
}

/* Reads to the end of fd. room is what the file is thought to hold; a pipe may hold more. */
static tb_status read_all(
        uint8_t **bytes, size_t *n_bytes, int fd, size_t room, size_t max_bytes, tb_error *err)
{
    size_t n = 0;
    uint8_t *block = tb_malloc(room, 1);
    if (!block)
        return tb_fail_memory(err);
    for (;;) {
        if (n == room) {
            if (room > max_bytes) {
                tb_free(block);
                return fail_size(err, max_bytes);
            }
            room = room < max_bytes / 2 ? room * 2 : max_bytes + 1;
            uint8_t *grown = tb_realloc(block, room, 1);
            if (!grown) {
                tb_free(block);
                return tb_fail_memory(err);
            }
            block = grown;
        }
        ssize_t got = read(fd, block + n, room - n);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0) {
            tb_free(block);
            return fail_open(err);
        }
        if (got == 0)
            break;
        n += (size_t)got;
    }
    *bytes = block;
    *n_bytes = n;
    return TB_OK;
}

tb_status tb_file_read(
        uint8_t **bytes, size_t *n_bytes, const char *path, size_t max_bytes, tb_error *err)
{
    *bytes = NULL;
    *n_bytes = 0;
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return fail_open(err);
    tb_status status = TB_OK;
    struct stat about;
    if (fstat(fd, &about) != 0)
        status = fail_open(err);
    else if (S_ISDIR(about.st_mode))
        status = tb_fail(err, TB_EREAD, "this is a folder; give a file");
    else if (S_ISREG(about.st_mode) && (size_t)about.st_size > max_bytes)
        status = fail_size(err, max_bytes);
    if (!status) {
        /* One byte more than the file holds, so that the end is seen without growing. */
        size_t room = S_ISREG(about.st_mode) ? (size_t)about.st_size + 1 : 65536;
        status = read_all(bytes, n_bytes, fd, room, max_bytes, err);
    }
    close(fd);
    if (!status && *n_bytes == 0) {
        tb_free(*bytes);
        *bytes = NULL;
        status = tb_fail(err, TB_EREAD, "the file is empty");
    }
    return status;
}
