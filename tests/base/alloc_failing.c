/* tests/base/alloc_failing.c: see alloc_failing.h. */
#include "alloc_failing.h"

#include "base/alloc.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static atomic_long countdown, live;
static atomic_bool failed;

void alloc_fail_at(long n)
{
    atomic_store(&countdown, n);
    atomic_store(&failed, false);
}

bool alloc_has_failed(void)
{
    return atomic_load(&failed);
}

long alloc_n_live(void)
{
    return atomic_load(&live);
}

static bool fails(void)
{
    /* Below 1 it goes on counting down, and no call fails any more. */
    bool now = atomic_fetch_sub(&countdown, 1) == 1;
    if (now)
        atomic_store(&failed, true);
    return now;
}

void *tb_malloc(size_t n, size_t size)
{
    size_t bytes;
    if (__builtin_mul_overflow(n, size, &bytes) || bytes > PTRDIFF_MAX || fails())
        return NULL;
    void *block = malloc(bytes ? bytes : 1);
    if (block)
        atomic_fetch_add(&live, 1);
    return block;
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
    if (__builtin_mul_overflow(n, size, &bytes) || bytes > PTRDIFF_MAX || fails())
        return NULL;
    void *grown = realloc(block, bytes ? bytes : 1);
    if (grown && !block)
        atomic_fetch_add(&live, 1);
    return grown;
}

void tb_free(void *block)
{
    if (block)
        atomic_fetch_sub(&live, 1);
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
