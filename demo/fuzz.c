/* Fibres on cloth. They are rooted where the picture shows cloth, so none is grown in vain. */
#include "base/array.h"
#include "hair.h"
#include "noise.h"

enum { FIBRES = 50000 };

typedef struct {
    vec3 colour;
    float length, width; /* dm */
} fibre;

/* The surface's normal from the depths of the picture's neighbouring pixels. */
static vec3 normal_of(const frame *f, int x, int y)
{
    size_t at = (size_t)y * (size_t)f->width + (size_t)x;
    float dx = (f->depth[at + 1] - f->depth[at - 1]) * f->px_per_dm * 0.5f;
    float dy = (f->depth[at - (size_t)f->width] - f->depth[at + (size_t)f->width]) * f->px_per_dm *
               0.5f;
    return unit(vec(clamp(-dx, -4, 4), clamp(-dy, -4, 4), 1));
}

static vec3 room_point(const frame *f, float x, float y, float z)
{
    vec3 p = frame_point(f, x, y), camera = frame_camera(f);
    return along(camera, sub(p, camera), (camera.z - z) / (camera.z - p.z));
}

static void grow_fibre(strand *s, vec3 root, vec3 out, const fibre *kind, dice *d)
{
    vec3 way = unit(vec(dice_normal(d), dice_normal(d), dice_normal(d)));
    way = unit(along(along(way, out, -dot(way, out)), out, 0.25f + 0.5f * dice_even(d)));
    vec3 bend = scale(vec(dice_normal(d), dice_normal(d), dice_normal(d)), 0.12f);
    float pace = kind->length * (0.5f + dice_even(d)) / (STRAND_POINTS - 1);
    vec3 p = root;
    for (int i = 0; i < STRAND_POINTS; i++) {
        s->at[i] = p;
        way = unit(add(way, bend));
        p = along(p, way, pace);
    }
    s->out = out;
    s->width = kind->width;
    s->colour = scale(kind->colour, 0.8f + 0.5f * dice_even(d));
}

static const fibre *fibre_of(stuff what)
{
    static const fibre CAP = {{0.16f, 0.18f, 0.20f}, 0.024f, 0.0016f};
    static const fibre COAT = {{0.10f, 0.115f, 0.14f}, 0.03f, 0.0016f};
    static const fibre JERSEY = {{0.44f, 0.40f, 0.33f}, 0.03f, 0.0016f};
    switch (what) {
    case STUFF_CAP:
        return &CAP;
    case STUFF_COAT:
        return &COAT;
    case STUFF_JERSEY:
        return &JERSEY;
    default:
        return NULL;
    }
}

bool hair_fuzz(hair *h, const frame *f)
{
    dice d = {443};
    for (int i = 0; i < FIBRES; i++) {
        int x = 1 + (int)(dice_even(&d) * (float)(f->width - 2));
        int y = 1 + (int)(dice_even(&d) * (float)(f->height - 2));
        size_t at = (size_t)y * (size_t)f->width + (size_t)x;
        const fibre *kind = fibre_of((stuff)f->what[at]);
        if (!kind)
            continue;
        if (!tb_array_reserve(&h->items, &h->room, h->n, 1))
            return false;
        vec3 root = room_point(f, (float)x + 0.5f, (float)y + 0.5f, f->depth[at]);
        grow_fibre(&h->items[h->n++], root, normal_of(f, x, y), kind, &d);
    }
    return true;
}
