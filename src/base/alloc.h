/* base/alloc.h: memory.
 *
 * All memory of the core comes from here. The allocator is injected at link time: the product
 * links alloc.c, the fault tests link tests/base/alloc_failing.c, which fails the nth call. So
 * there is no global to set and nothing to pass around.
 *
 * Blocks of TB_ALLOC_LARGE bytes and more are aligned to a huge page and advised to use them:
 * touching fresh memory by 4 KiB pages costs more than most of our filters do.
 *
 * Errors  NULL when memory ran out or n * size overflows; asking for 0 bytes gives a valid block
 * Cost    tb_calloc touches every page it gives
 */
#ifndef TB_BASE_ALLOC_H
#define TB_BASE_ALLOC_H

#include <stddef.h>

#define TB_ALLOC_LARGE ((size_t)1 << 20)

void *tb_malloc(size_t n, size_t size) __attribute__((malloc));
void *tb_calloc(size_t n, size_t size) __attribute__((malloc));
/* Grows or shrinks; on failure returns NULL and block stays as it was. */
void *tb_realloc(void *block, size_t n, size_t size) __attribute__((warn_unused_result));
void tb_free(void *block);

/* A copy of a string; NULL gives NULL. */
char *tb_strdup(const char *text);

#endif
