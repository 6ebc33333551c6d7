/* demo/noise.h: chance that is the same on every run.
 *
 * Everything here is a pure function of its arguments; a dice is its own state.
 */
#ifndef DEMO_NOISE_H
#define DEMO_NOISE_H

#include "vec.h"

#include <stdint.h>

typedef struct {
    uint32_t state;
} dice;

uint32_t noise_hash(uint32_t a);

/* Even in 0..1, and about normal with mean 0 and variance 1. */
float dice_even(dice *d);
float dice_normal(dice *d);

/* Smooth value noise in -1..1 with cells of size 1; and its sum over octaves, each half as big. */
float noise_at(vec3 p);
float noise_octaves(vec3 p, int n_octaves);

#endif
