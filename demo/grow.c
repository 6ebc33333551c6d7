/* Growing: rays towards the head's middle find roots, chance decides by the share of the region,
 * and each guide bends from lying in the flow of its region to hanging down.
 */
#include "base/alloc.h"
#include "base/array.h"
#include "hair.h"
#include "noise.h"
#include "shape.h"

typedef struct {
    vec3 root, normal; /* head's frame */
    float share;       /* 0..1, how long the hair may be here */
} bed;

/* One kind of growth; lengths in dm. */
typedef struct {
    int n_guides, n_each;
    float length, spread, gather; /* of a lock: width at the root, share of it left at the tip */
    float lift, fall, curl;       /* off the skin, downwards, sideways; a step */
    float width;
    vec3 light, dark; /* colours of the palest and the darkest lock */
    bool (*bed_cb)(bed *b, dice *d);
    vec3 (*flow_cb)(const bed *b);
} crop;

static float ground(vec3 p)
{
    return least(face_distance(p), beard_ground_distance(p));
}

static vec3 ground_normal(vec3 p)
{
    const float e = 0.01f;
    float d = ground(p);
    return unit(vec(ground(vec(p.x + e, p.y, p.z)) - d, ground(vec(p.x, p.y + e, p.z)) - d,
            ground(vec(p.x, p.y, p.z + e)) - d));
}

static bool bed_find(bed *b, vec3 from, vec3 way)
{
    float t = 0;
    for (int i = 0; i < 60 && t < 3; i++) {
        vec3 p = along(from, way, t);
        float d = ground(p);
        if (d < 0.004f) {
            b->root = p;
            b->normal = ground_normal(p);
            return true;
        }
        t += 0.8f * d;
    }
    return false;
}

static vec3 any_way(dice *d)
{
    return unit(vec(dice_normal(d), dice_normal(d), dice_normal(d)));
}

static bool beard_bed(bed *b, dice *d)
{
    vec3 way = any_way(d);
    vec3 middle = vec(0, -0.75f, 0.15f);
    if (way.y > 0.7f || way.z < -0.6f || !bed_find(b, along(middle, way, 1.6f), scale(way, -1)))
        return false;
    b->share = beard_share(b->root);
    bool lip = b->root.y > -0.78f && fabsf(b->root.x) < 0.40f && b->root.z > 0.6f;
    return !lip && dice_even(d) < b->share;
}

static vec3 beard_flow(const bed *b)
{
    vec3 p = b->root;
    float chin = step_between(-0.6f, -1.1f, p.y);
    return unit(vec(p.x * mix(0.25f, 0.5f, chin), -1, mix(-0.05f, 0.25f, chin)));
}

static bool moustache_bed(bed *b, dice *d)
{
    float x = (dice_even(d) * 2 - 1) * 0.36f;
    float y = -0.55f - 0.30f * fabsf(x) + 0.09f * (dice_even(d) * 2 - 1);
    b->share = 1;
    return bed_find(b, vec(x, y, 1.5f), vec(0, 0, -1)) && b->root.y < -0.47f;
}

static vec3 moustache_flow(const bed *b)
{
    float x = b->root.x, side = x < 0 ? -1.0f : 1.0f;
    return unit(vec(side * (0.35f + 1.3f * fabsf(x)), -0.75f, 0.10f));
}

static bool brow_bed(bed *b, dice *d)
{
    float t = dice_even(d), side = dice_even(d) < 0.5f ? -1.0f : 1.0f;
    float x = 0.11f + 0.45f * t, y = 0.175f + 0.09f * sqrtf(t) - 0.10f * t * t;
    float thick = 0.055f * (1 - 0.5f * t);
    b->share = 0.8f + 0.4f * t;
    return bed_find(b, vec(side * x, y + thick * dice_normal(d) * 0.6f, 1.5f), vec(0, 0, -1));
}

static vec3 brow_flow(const bed *b)
{
    float side = b->root.x < 0 ? -1.0f : 1.0f, t = (fabsf(b->root.x) - 0.11f) / 0.45f;
    return unit(vec(side * (0.3f + t), mix(0.9f, -0.45f, t), 0.25f));
}

/* Lashes of the upper lid. */
static bool lash_bed(bed *b, dice *d)
{
    float t = dice_even(d) * 2 - 1, side = dice_even(d) < 0.5f ? -1.0f : 1.0f;
    float x = 0.325f + 0.125f * t, y = 0.030f * (1 - t * t) + 0.010f - 0.010f * t;
    b->share = 0.7f + 0.3f * t;
    return bed_find(b, vec(side * x, y, 1.5f), vec(0, 0, -1)) && b->root.z > 0.62f;
}

static vec3 lash_flow(const bed *b)
{
    float side = b->root.x < 0 ? -1.0f : 1.0f;
    return unit(vec(side * (fabsf(b->root.x) - 0.30f) * 3, -0.55f, 0.7f));
}

static bool scalp_bed(bed *b, dice *d)
{
    vec3 way = any_way(d);
    vec3 middle = vec(0, 0, -0.1f);
    way.y = fabsf(way.y) * 0.6f - 0.25f;
    way = unit(way);
    if (!bed_find(b, along(middle, way, 1.7f), scale(way, -1)))
        return false;
    float x = fabsf(b->root.x), y = b->root.y, z = b->root.z;
    bool before_ear = z < 0.34f + 0.1f * y && z > 0.04f && y > -0.25f;
    bool behind_ear = z < -0.22f && y > -0.75f;
    b->share = before_ear ? 0.5f : 1;
    return y < 0.40f && x < 0.86f && (before_ear || behind_ear);
}

static vec3 scalp_flow(const bed *b)
{
    return unit(vec(0.15f * b->root.x, -1, -0.35f));
}

static const crop CROPS[] = {
        {900, 18, 0.40f, 0.05f, 0.45f, 0.12f, 0.05f, 0.10f, 0.0032f, {0.40f, 0.36f, 0.31f},
                {0.10f, 0.085f, 0.07f}, scalp_bed, scalp_flow},
        {3600, 20, 0.40f, 0.06f, 0.45f, 0.30f, 0.10f, 0.15f, 0.0032f, {0.60f, 0.56f, 0.50f},
                {0.20f, 0.17f, 0.14f}, beard_bed, beard_flow},
        {620, 22, 0.30f, 0.04f, 0.5f, 0.32f, 0.10f, 0.10f, 0.0032f, {0.56f, 0.50f, 0.42f},
                {0.20f, 0.16f, 0.12f}, moustache_bed, moustache_flow},
        {260, 7, 0.17f, 0.022f, 0.6f, 0.40f, 0.02f, 0.10f, 0.0030f, {0.42f, 0.38f, 0.33f},
                {0.10f, 0.08f, 0.065f}, brow_bed, brow_flow},
        {64, 2, 0.070f, 0.004f, 1.0f, 0.5f, -0.06f, 0.02f, 0.0030f, {0.05f, 0.04f, 0.035f},
                {0.03f, 0.025f, 0.02f}, lash_bed, lash_flow},
};

/* Lies in the flow at first and is then bent by weight, chance and the ground below it. */
static void grow_guide(strand *guide, const bed *b, const crop *c, dice *d)
{
    vec3 flow = c->flow_cb(b);
    vec3 way = along(flow, b->normal, -dot(flow, b->normal));
    way = unit(along(unit(way), b->normal, c->lift * (0.6f + 0.8f * dice_even(d))));
    float length_dm = c->length * b->share * (0.55f + 0.75f * dice_even(d));
    float pace = length_dm / (STRAND_POINTS - 1), phase = dice_even(d) * 40;
    vec3 p = along(b->root, b->normal, -0.012f);
    for (int i = 0; i < STRAND_POINTS; i++) {
        guide->at[i] = p;
        vec3 q = vec(p.x * 2.6f, p.y * 4.0f, p.z * 2.6f + phase * 0.04f);
        vec3 drift = vec(noise_at(q), 0.4f * noise_at(add(q, vec(31, 0, 0))),
                noise_at(add(q, vec(0, 47, 0))));
        way = along(way, drift, c->curl * 1.6f);
        way = unit(along(way, vec(0, -1, 0), c->fall));
        p = along(p, way, pace);
        float d_ground = ground(p);
        if (i > 0 && d_ground < 0.015f)
            p = along(p, b->normal, 0.02f - d_ground);
    }
}

static void follow(strand *s, const strand *guide, const crop *c, dice *d, vec3 side, vec3 up)
{
    float angle = dice_even(d) * 6.2832f, r = sqrtf(dice_even(d)) * c->spread;
    vec3 off = add(scale(side, r * cosf(angle)), scale(up, r * sinf(angle)));
    float stray = dice_even(d) < 0.10f ? 2.2f : 1, reach = 0.75f + 0.35f * dice_even(d);
    float waves = 1.5f + 2.5f * dice_even(d), phase = dice_even(d) * 6.2832f;
    float swing = 0.006f * dice_normal(d) * stray;
    for (int i = 0; i < STRAND_POINTS; i++) {
        float t = (float)i / (STRAND_POINTS - 1), u = t * reach * (STRAND_POINTS - 1);
        int k = u < STRAND_POINTS - 2 ? (int)u : STRAND_POINTS - 2;
        vec3 p = blend(guide->at[k], guide->at[k + 1], u - (float)k);
        float width = mix(1, c->gather * stray, t);
        p = along(p, off, width);
        p = along(p, side, swing * sinf(t * waves * 6.2832f + phase) * t);
        s->at[i] = p;
    }
}

static void colour_lock(strand *s, const crop *c, float pale, dice *d)
{
    float own = clamp(pale + 0.22f * dice_normal(d), 0, 1.15f);
    s->colour = blend(c->dark, c->light, own);
    s->width = c->width * (0.7f + 0.6f * dice_even(d));
}

static bool grow_crop(hair *h, const crop *c, const frame3 *head, dice *d)
{
    for (int i = 0, tries = 0; i < c->n_guides && tries < 40 * c->n_guides; tries++) {
        bed b;
        if (!c->bed_cb(&b, d))
            continue;
        i++;
        strand guide;
        grow_guide(&guide, &b, c, d);
        vec3 side = unit(cross(b.normal, vec(0.1f, 1, 0.05f))), up = cross(side, b.normal);
        float pale = 0.62f + 0.5f * noise_octaves(scale(b.root, 4), 2) + 0.16f * dice_normal(d);
        if (!tb_array_reserve(&h->items, &h->room, h->n, (size_t)c->n_each))
            return false;
        for (int k = 0; k < c->n_each; k++) {
            strand *s = &h->items[h->n++];
            follow(s, &guide, c, d, side, up);
            colour_lock(s, c, pale, d);
            s->out = turn_out(head, b.normal);
            for (int j = 0; j < STRAND_POINTS; j++)
                s->at[j] = out_of(head, s->at[j]);
        }
    }
    return true;
}

bool hair_grow(hair *h, const figure *man)
{
    dice d = {1871};
    for (size_t i = 0; i < sizeof CROPS / sizeof *CROPS; i++)
        if (!grow_crop(h, &CROPS[i], &man->head, &d))
            return false;
    return true;
}

void hair_clear(hair *h)
{
    tb_free(h->items);
    *h = (hair){0};
}
