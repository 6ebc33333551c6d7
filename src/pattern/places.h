/* pattern/places.h: a few of many places, evenly spread over their order. Private.
 *
 * Set up with `most` (even, at most TB__PLACES_MAX) and every = 1.
 */
#ifndef TB_PATTERN_PLACES_H
#define TB_PATTERN_PLACES_H

#include <stddef.h>

enum { TB__PLACES_MAX = 48 };

typedef struct {
    int x[TB__PLACES_MAX], y[TB__PLACES_MAX];
    int n, most;
    size_t seen, every;
} tb__places;

/* Takes one place in `every`; where that makes too many, every second is given up. */
static inline void tb__places_take(tb__places *p, int x, int y)
{
    if (p->seen++ % p->every)
        return;
    if (p->n == p->most) {
        for (p->n = 0; p->n < p->most / 2; p->n++) {
            p->x[p->n] = p->x[2 * p->n];
            p->y[p->n] = p->y[2 * p->n];
        }
        p->every *= 2;
    }
    p->x[p->n] = x;
    p->y[p->n++] = y;
}

#endif
