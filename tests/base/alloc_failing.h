/* tests/base/alloc_failing.h: the allocator of the fault tests, linked in place of base/alloc.c.
 * Any one call can be made to fail, and what was not given back is counted.
 */
#ifndef TB_TESTS_BASE_ALLOC_FAILING_H
#define TB_TESTS_BASE_ALLOC_FAILING_H

#include <stdbool.h>

/* The nth call from now on fails, once; 0: none. */
void alloc_fail_at(long n);
/* Whether it has come to that. */
bool alloc_has_failed(void);
/* Blocks that are in use. */
long alloc_n_live(void);

#endif
