/* Light on strands after Kajiya and Kay: a thin cylinder shines most where light falls square on
 * it, and mirrors in a cone. Strands are drawn back to front as thin soft lines.
 */
#include "base/alloc.h"
#include "base/array.h"
#include "hair.h"
#include "noise.h"

#include <stdlib.h>

enum { READ_EVERY = 4 };

typedef struct {
    vec3 light[STRAND_POINTS];
    vec3 px[STRAND_POINTS]; /* x, y in the picture, z in the room */
} seen;

typedef struct {
    const hair *h;
    const scene *s;
    const frame *f;
    seen *all;
} lighting;

void hair_drop(const hair *h, scene *s)
{
    float cell = s->hair.pitch * s->hair.pitch * s->hair.pitch;
    for (size_t i = 0; i < h->n; i++) {
        const strand *k = &h->items[i];
        for (int j = 0; j + 1 < STRAND_POINTS; j++) {
            float piece = length(sub(k->at[j + 1], k->at[j]));
            float taper = 1 - (float)j / STRAND_POINTS;
            field_drop(&s->hair, scale(add(k->at[j], k->at[j + 1]), 0.5f),
                    piece * k->width * taper / cell);
        }
    }
}

/* What reaches a point of a strand; it changes slowly along it. */
typedef struct {
    float key, rim, room;
} reaching;

static reaching reach_at(const scene *s, const strand *k, int j)
{
    vec3 p = k->at[j], off = along(p, k->out, 0.03f);
    reaching r;
    r.key = scene_shadow(s, off, s->key_way, 0.22f, 0.06f) * scene_hair_shadow(s, p, s->key_way);
    r.rim = 0;
    if (dot(k->out, s->rim_way) > -0.5f)
        r.rim = scene_shadow(s, off, s->rim_way, 0.20f, 0.06f) *
                scene_hair_shadow(s, p, s->rim_way);
    r.room = scene_openness(s, p, k->out) * (0.2f + 0.8f * scene_hair_shadow(s, p, k->out));
    return r;
}

static vec3 strand_light(const scene *s, const strand *k, int j, vec3 to_eye, reaching r)
{
    int a = j > 0 ? j - 1 : 0, b = j + 1 < STRAND_POINTS ? j + 1 : j;
    vec3 way = unit(sub(k->at[b], k->at[a]));
    float cos_key = dot(way, s->key_way), square = sqrtf(most(1 - cos_key * cos_key, 0));
    float facing = clamp(0.35f + 0.75f * dot(k->out, s->key_way), 0.05f, 1);
    vec3 half = unit(add(s->key_way, to_eye));
    float cos_half = dot(way, half), mirror = sqrtf(most(1 - cos_half * cos_half, 0));
    float shine = 0.16f * powf(mirror, 60) * most(facing, 0);
    vec3 sum = mul(scale(scene_key(s, k->at[j]), r.key),
            add(scale(k->colour, square * facing), vec(shine, shine, shine)));
    float cos_rim = dot(way, s->rim_way), rim = sqrtf(most(1 - cos_rim * cos_rim, 0));
    sum = add(sum, mul(scale(s->rim, r.rim * rim), k->colour));
    return add(sum, mul(scale(scene_fill(k->out), r.room), k->colour));
}

static void light_strands(void *payload, size_t first, size_t end)
{
    const lighting *work = payload;
    vec3 camera = frame_camera(work->f);
    for (size_t i = first; i < end; i++) {
        const strand *k = &work->h->items[i];
        seen *out = &work->all[i];
        reaching near = reach_at(work->s, k, 0), far = near;
        for (int j = 0; j < STRAND_POINTS; j++) {
            float t = (float)(j % READ_EVERY) / READ_EVERY;
            if (j % READ_EVERY == 0) {
                near = far;
                int next = j + READ_EVERY < STRAND_POINTS ? j + READ_EVERY : STRAND_POINTS - 1;
                far = reach_at(work->s, k, next);
            }
            reaching r = {mix(near.key, far.key, t), mix(near.rim, far.rim, t),
                    mix(near.room, far.room, t)};
            vec3 p = k->at[j];
            out->light[j] = strand_light(work->s, k, j, unit(sub(camera, p)), r);
            out->px[j] = frame_project(work->f, p);
        }
    }
}

/* One stretch of a strand: a soft line, half width half_px, over what lies behind it. */
static void draw_stretch(frame *f, const seen *k, int j, float half_px, float opacity)
{
    vec3 a = k->px[j], b = k->px[j + 1];
    float reach = half_px + 0.5f, dx = b.x - a.x, dy = b.y - a.y, n2 = dx * dx + dy * dy;
    int x0 = (int)most(least(a.x, b.x) - reach, 0), y0 = (int)most(least(a.y, b.y) - reach, 0);
    int x1 = (int)least(most(a.x, b.x) + reach, (float)f->width - 1);
    int y1 = (int)least(most(a.y, b.y) + reach, (float)f->height - 1);
    float per_n2 = 1 / most(n2, 1e-6f), per_n = sqrtf(per_n2);
    for (int y = y0; y <= y1; y++)
        for (int x = x0; x <= x1; x++) {
            float px = (float)x + 0.5f - a.x, py = (float)y + 0.5f - a.y;
            float t = (px * dx + py * dy) * per_n2;
            if (t < 0 || t >= 1)
                continue;
            float off = fabsf(px * dy - py * dx) * per_n;
            float cover = clamp(reach - off, 0, least(1, 2 * half_px)) * opacity;
            size_t at = (size_t)y * (size_t)f->width + (size_t)x;
            float z = mix(a.z, b.z, t);
            if (cover <= 0 || z < f->depth[at] - 0.015f)
                continue;
            f->light[at] = blend(f->light[at], blend(k->light[j], k->light[j + 1], t), cover);
            if (cover > 0.4f)
                f->depth[at] = z;
        }
}

typedef struct {
    float z;
    uint32_t i;
} place;

static int by_depth(const void *left, const void *right)
{
    const place *a = left, *b = right;
    if (a->z != b->z)
        return a->z < b->z ? -1 : 1;
    return a->i < b->i ? -1 : a->i > b->i;
}

static void draw_sorted(frame *f, const hair *h, const seen *all, place *order)
{
    for (size_t i = 0; i < h->n; i++)
        order[i] = (place){all[i].px[STRAND_POINTS / 2].z, (uint32_t)i};
    qsort(order, h->n, sizeof *order, by_depth);
    for (size_t i = 0; i < h->n; i++) {
        uint32_t k = order[i].i;
        for (int j = 0; j + 1 < STRAND_POINTS; j++) {
            float taper = 1 - 0.75f * (float)j / STRAND_POINTS;
            float half_px = h->items[k].width * f->px_per_dm * taper * 0.5f;
            draw_stretch(f, &all[k], j, half_px, j + 3 > STRAND_POINTS ? 0.5f : 0.85f);
        }
    }
}

void hair_draw(frame *f, const hair *h, const scene *s, const tb_job *job)
{
    seen *all = tb_malloc(h->n, sizeof *all);
    place *order = tb_malloc(h->n, sizeof *order);
    if (all && order) {
        lighting work = {h, s, f, all};
        tb_job_rows(job, h->n, 64, light_strands, &work);
        draw_sorted(f, h, all, order);
    }
    tb_free(all);
    tb_free(order);
}
