/* base/array.c: see array.h. */
#include "base/array.h"

#include "base/alloc.h"

bool tb__array_resize(void **items, size_t n, size_t size)
{
    void *grown = tb_realloc(*items, n, size);
    if (grown)
        *items = grown;
    return grown != NULL;
}

bool tb__array_reserve(void **items, size_t *room, size_t n, size_t n_more, size_t size)
{
    size_t need;
    if (__builtin_add_overflow(n, n_more, &need))
        return false;
    if (need <= *room)
        return true;
    size_t wanted = *room + *room / 2 + 8;
    if (wanted < need)
        wanted = need;
    if (!tb__array_resize(items, wanted, size))
        return false;
    *room = wanted;
    return true;
}
