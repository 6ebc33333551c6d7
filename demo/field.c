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

void field_drop(field *f, vec3 p, float amount)
{
    if (!field_holds(f, p))
        return;
    vec3 t;
    float *s = f->samples + field_cell(f, p, &t);
    size_t row = (size_t)f->nx, slice = row * (size_t)f->ny;
    for (int i = 0; i < 8; i++) {
        float wx = i & 1 ? t.x : 1 - t.x, wy = i & 2 ? t.y : 1 - t.y, wz = i & 4 ? t.z : 1 - t.z;
        s[(i & 1 ? 1 : 0) + (i & 2 ? row : 0) + (i & 4 ? slice : 0)] += amount * wx * wy * wz;
    }
}
