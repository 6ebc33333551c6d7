/* base/array.h: growing arrays.
 *
 * An array is three fields beside each other in its owner's struct: `T *items; size_t n, room;`.
 * tb_array_reserve() makes room for n_more items behind the n there are, doubling as it goes.
 *
 *     if (!tb_array_reserve(&list->items, &list->room, list->n, 1))
 *         return tb_fail_memory(err);
 *     list->items[list->n++] = item;
 */
#ifndef TB_BASE_ARRAY_H
#define TB_BASE_ARRAY_H

#include <stdbool.h>
#include <stddef.h>

#define tb_array_reserve(items, room, n, n_more)                                                   \
    tb__array_reserve((void **)(items), room, n, n_more, sizeof **(items))

/* Makes *items hold exactly n; for lists that grow side by side. */
#define tb_array_resize(items, n) tb__array_resize((void **)(items), n, sizeof **(items))

bool tb__array_resize(void **items, size_t n, size_t size);
bool tb__array_reserve(void **items, size_t *room, size_t n, size_t n_more, size_t size);

#endif
