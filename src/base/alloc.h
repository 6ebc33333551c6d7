/* base/alloc.h: memory.
 *
 * All memory of the core comes from here. The allocator is injected at link time: the product
 * links alloc.c, the fault tests link tests/base/alloc_failing.c, which fails the nth call. So
 * there is no global to set and nothing to pass around.
 *
 * Touching fresh memory by 4 KiB pages costs more than most of our filters do. So blocks of
 * TB_ALLOC_LARGE bytes and more are advised to use huge pages, and a program that calls
 * tb_alloc_prepare() first thing in main() keeps what was freed for the next that asks.
 *
 * Errors  NULL when memory ran out or n * size overflows; asking for 0 bytes gives a valid block
 * Cost    tb_calloc touches every page it gives
 */
#ifndef TB_BASE_ALLOC_H
#define TB_BASE_ALLOC_H

#include <stddef.h>

#define TB_ALLOC_LARGE ((size_t)1 << 20)

/* Tells the C library to keep freed memory and to share it among threads. Once, before any thread
 * is started; memory in use falls back to the system only at exit. */
void tb_alloc_prepare(void);

void *tb_malloc(size_t n, size_t size) __attribute__((malloc));
void *tb_calloc(size_t n, size_t size) __attribute__((malloc));
/* Grows or shrinks; on failure returns NULL and block stays as it was. */
void *tb_realloc(void *block, size_t n, size_t size) __attribute__((warn_unused_result));
void tb_free(void *block);

/* A copy of a string; NULL gives NULL. */
char *tb_strdup(const char *text);

#endif
