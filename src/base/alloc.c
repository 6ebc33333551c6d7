/* base/alloc.c: the product's allocator.
 *
 * Small blocks are the C library's. Large ones are too, but asked for with the alignment of a huge
 * page and advised, so the kernel maps 2 MiB at a touch instead of 4 KiB. glibc gives large blocks
 * back to the system when freed, so peak memory follows use.
 */
#define _DEFAULT_SOURCE
#include "base/alloc.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

enum { HUGE_PAGE = 2 << 20 };

static void *large(size_t bytes)
{
    size_t whole = (bytes + HUGE_PAGE - 1) / HUGE_PAGE * HUGE_PAGE;
    void *block = aligned_alloc(HUGE_PAGE, whole);
    if (block)
        madvise(block, whole, MADV_HUGEPAGE);
    return block;
}

void *tb_malloc(size_t n, size_t size)
{
    size_t bytes;
    if (__builtin_mul_overflow(n, size, &bytes) || bytes > PTRDIFF_MAX - HUGE_PAGE)
        return NULL;
    return bytes >= TB_ALLOC_LARGE ? large(bytes) : malloc(bytes ? bytes : 1);
}

void *tb_calloc(size_t n, size_t size)
{
    void *block = tb_malloc(n, size);
    if (block)
        memset(block, 0, n * size);
    return block;
}

void *tb_realloc(void *block, size_t n, size_t size)
{
    size_t bytes;
    if (__builtin_mul_overflow(n, size, &bytes) || bytes > PTRDIFF_MAX)
        return NULL;
    return realloc(block, bytes ? bytes : 1);
}

void tb_free(void *block)
{
    free(block);
}

char *tb_strdup(const char *text)
{
    if (!text)
        return NULL;
    size_t bytes = strlen(text) + 1;
    char *copy = tb_malloc(bytes, 1);
    return copy ? memcpy(copy, text, bytes) : NULL;
}
