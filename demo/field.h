/* demo/field.h: a box of samples, read between them.
 *
 * Holds the figure's distance for the long walks (towards the lamp, about a point), and the hair's
 * density, where the exact functions would be far too slow or do not exist.
 */
#ifndef DEMO_FIELD_H
#define DEMO_FIELD_H

#include "base/job.h"
#include "vec.h"

#include <stdbool.h>

typedef struct {
    float *samples; /* x fastest, then y, then z */
    int nx, ny, nz;
    vec3 low;
    float pitch;
} field;

/* All zero; false when memory ran out. */
bool field_init(field *f, vec3 low, vec3 high, float pitch);
void field_clear(field *f);

typedef float field_cb(const void *payload, vec3 p);

void field_fill(field *f, const tb_job *job, field_cb *value_cb, const void *payload);

bool field_holds(const field *f, vec3 p);

/* Outside the box: the nearest value on its face. */
float field_read(const field *f, vec3 p);

/* Shares amount out among the eight samples about p; nothing outside the box. */
void field_drop(field *f, vec3 p, float amount);

#endif
