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
#include <stddef.h>

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

/* Reading is inline: it is done a hundred million times a picture. */
static inline bool field_holds(const field *f, vec3 p)
{
    vec3 q = scale(sub(p, f->low), 1 / f->pitch);
    return q.x >= 0 && q.y >= 0 && q.z >= 0 && q.x <= (float)(f->nx - 2) &&
           q.y <= (float)(f->ny - 2) && q.z <= (float)(f->nz - 2);
}

/* The cell that holds p, and where in it p lies. */
static inline size_t field_cell(const field *f, vec3 p, vec3 *part)
{
    vec3 q = scale(sub(p, f->low), 1 / f->pitch);
    q.x = clamp(q.x, 0, (float)f->nx - 1.001f);
    q.y = clamp(q.y, 0, (float)f->ny - 1.001f);
    q.z = clamp(q.z, 0, (float)f->nz - 1.001f);
    size_t x = (size_t)q.x, y = (size_t)q.y, z = (size_t)q.z;
    *part = vec(q.x - (float)x, q.y - (float)y, q.z - (float)z);
    return (z * (size_t)f->ny + y) * (size_t)f->nx + x;
}

/* Outside the box: the nearest value on its face. */
static inline float field_read(const field *f, vec3 p)
{
    vec3 t;
    const float *s = f->samples + field_cell(f, p, &t);
    size_t row = (size_t)f->nx, slice = row * (size_t)f->ny;
    float near = mix(mix(s[0], s[1], t.x), mix(s[row], s[row + 1], t.x), t.y);
    s += slice;
    float far = mix(mix(s[0], s[1], t.x), mix(s[row], s[row + 1], t.x), t.y);
    return mix(near, far, t.z);
}

/* Shares amount out among the eight samples about p; nothing outside the box. */
void field_drop(field *f, vec3 p, float amount);

#endif
