/* Trilinear sampling. */
#include "field.h"

#include "base/alloc.h"

bool field_init(field *f, vec3 low, vec3 high, float pitch)
{
    f->nx = (int)((high.x - low.x) / pitch) + 2;
    f->ny = (int)((high.y - low.y) / pitch) + 2;
    f->nz = (int)((high.z - low.z) / pitch) + 2;
    f->low = low;
    f->pitch = pitch;
    f->samples = tb_calloc((size_t)f->nx * (size_t)f->ny * (size_t)f->nz, sizeof(float));
    return f->samples != NULL;
}

void field_clear(field *f)
{
    tb_free(f->samples);
    f->samples = NULL;
}

typedef struct {
    field *f;
    field_cb *value_cb;
    const void *payload;
} filling;

static void fill_slices(void *payload, size_t first, size_t end)
{
    const filling *fill = payload;
    const field *f = fill->f;
    for (size_t z = first; z < end; z++)
        for (int y = 0; y < f->ny; y++)
            for (int x = 0; x < f->nx; x++) {
                vec3 p = along(f->low, vec((float)x, (float)y, (float)z), f->pitch);
                size_t at = (z * (size_t)f->ny + (size_t)y) * (size_t)f->nx + (size_t)x;
                f->samples[at] = fill->value_cb(fill->payload, p);
            }
}

void field_fill(field *f, const tb_job *job, field_cb *value_cb, const void *payload)
{
    filling fill = {f, value_cb, payload};
    tb_job_rows(job, (size_t)f->nz, 4, fill_slices, &fill);
}

/* The cell that holds p, and where in it p lies. */
static size_t cell_of(const field *f, vec3 p, vec3 *part)
{
    vec3 q = scale(sub(p, f->low), 1 / f->pitch);
    q.x = clamp(q.x, 0, (float)f->nx - 1.001f);
    q.y = clamp(q.y, 0, (float)f->ny - 1.001f);
    q.z = clamp(q.z, 0, (float)f->nz - 1.001f);
    size_t x = (size_t)q.x, y = (size_t)q.y, z = (size_t)q.z;
    *part = vec(q.x - (float)x, q.y - (float)y, q.z - (float)z);
    return (z * (size_t)f->ny + y) * (size_t)f->nx + x;
}

bool field_holds(const field *f, vec3 p)
{
    vec3 q = scale(sub(p, f->low), 1 / f->pitch);
    return q.x >= 0 && q.y >= 0 && q.z >= 0 && q.x <= (float)(f->nx - 2) &&
           q.y <= (float)(f->ny - 2) && q.z <= (float)(f->nz - 2);
}

float field_read(const field *f, vec3 p)
{
    vec3 t;
    const float *s = f->samples + cell_of(f, p, &t);
    size_t row = (size_t)f->nx, slice = row * (size_t)f->ny;
    float near = mix(mix(s[0], s[1], t.x), mix(s[row], s[row + 1], t.x), t.y);
    s += slice;
    float far = mix(mix(s[0], s[1], t.x), mix(s[row], s[row + 1], t.x), t.y);
    return mix(near, far, t.z);
}

void field_drop(field *f, vec3 p, float amount)
{
    if (!field_holds(f, p))
        return;
    vec3 t;
    float *s = f->samples + cell_of(f, p, &t);
    size_t row = (size_t)f->nx, slice = row * (size_t)f->ny;
    for (int i = 0; i < 8; i++) {
        float wx = i & 1 ? t.x : 1 - t.x, wy = i & 2 ? t.y : 1 - t.y, wz = i & 4 ? t.z : 1 - t.z;
        s[(i & 1 ? 1 : 0) + (i & 2 ? row : 0) + (i & 4 ? slice : 0)] += amount * wx * wy * wz;
    }
}
