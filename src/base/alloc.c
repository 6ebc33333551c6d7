/* base/alloc.c: the product's allocator: the C library's, with advice.
 *
 * Prepared, glibc takes everything from one heap that only grows: a plane freed by one stage is
 * the plane of the next, its pages already there. The heap's large blocks are advised to use huge
 * pages; neighbours share the advice, so no alignment is needed.
 */
#define _DEFAULT_SOURCE
#include "base/alloc.h"

#include <limits.h>
#include <malloc.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

enum { PAGE = 4096, GROW_BY = 32 << 20 };

void tb_alloc_prepare(void)
{
    mallopt(M_ARENA_MAX, 1);
    mallopt(M_MMAP_THRESHOLD, INT_MAX);
    mallopt(M_TRIM_THRESHOLD, INT_MAX);
    mallopt(M_TOP_PAD, GROW_BY);
}

static void *large(size_t bytes)
{
    char *block = malloc(bytes);
    if (block) {
        uintptr_t first = ((uintptr_t)block + PAGE - 1) / PAGE * PAGE;
        uintptr_t end = ((uintptr_t)block + bytes) / PAGE * PAGE;
        madvise(block + (first - (uintptr_t)block), end - first, MADV_HUGEPAGE);
    }
    return block;
}

void *tb_malloc(size_t n, size_t size)
{
    size_t bytes;
    if (__builtin_mul_overflow(n, size, &bytes) || bytes > PTRDIFF_MAX)
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
