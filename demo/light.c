/* Soft shadows by walking the distance field: the nearest miss tells how much of the lamp shows. */
#include "light.h"

static float distance_cb(const void *payload, vec3 p)
{
    return figure_distance(payload, p);
}

bool scene_init(scene *s, const tb_job *job)
{
    vec3 low = vec(-2.6f, -3.1f, -1.7f), high = vec(2.6f, 1.6f, 1.6f);
    s->man = figure_pose();
    s->key_way = unit(vec(-0.70f, 0.66f, 0.52f));
    s->rim_way = unit(vec(0.85f, 0.25f, -0.55f));
    s->key = scale(vec(1.0f, 0.93f, 0.82f), 3.0f);
    s->rim = scale(vec(0.75f, 0.90f, 1.0f), 1.0f);
    if (!field_init(&s->distance, low, high, 0.046f))
        return false;
    if (!field_init(&s->hair, vec(-1.4f, -2.2f, -1.3f), vec(1.4f, 1.4f, 1.5f), 0.03f)) {
        field_clear(&s->distance);
        return false;
    }
    field_fill(&s->distance, job, distance_cb, &s->man);
    return true;
}

void scene_clear(scene *s)
{
    field_clear(&s->distance);
    field_clear(&s->hair);
}

float scene_shadow(const scene *s, vec3 p, vec3 way, float softness, float start)
{
    float free = 1, t = start, d = 0;
    for (int i = 0; i < 32 && t < 3.2f && d < 0.8f; i++) {
        d = field_read(&s->distance, along(p, way, t));
        free = least(free, 0.5f + 0.5f * d / (softness * t));
        if (free < 0)
            return 0;
        t += clamp(d * 0.9f, 0.035f, 0.5f);
    }
    return free * free * (3 - 2 * free);
}

float scene_hair_shadow(const scene *s, vec3 p, vec3 way)
{
    float sum = 0, step = 0.03f;
    for (int i = 0; i < 13 && sum < 3; i++, step *= 1.15f) {
        p = along(p, way, step);
        if (!field_holds(&s->hair, p))
            break;
        sum += step * field_read(&s->hair, p);
    }
    return expf(-2.8f * sum);
}

float scene_openness(const scene *s, vec3 p, vec3 normal)
{
    float closed = 0, weight = 1;
    for (int i = 1; i <= 5; i++, weight *= 0.72f) {
        float h = 0.05f * (float)(i * i) * 0.6f + 0.03f;
        closed += weight * clamp((h - field_read(&s->distance, along(p, normal, h))) / h, 0, 1);
    }
    return clamp(1 - closed * 0.42f, 0, 1);
}

vec3 scene_key(const scene *s, vec3 p)
{
    vec3 off = sub(scale(s->key_way, 6.4f), p);
    return scale(s->key, 6.4f * 6.4f / dot(off, off));
}

vec3 scene_fill(vec3 n)
{
    vec3 above = vec(0.30f, 0.32f, 0.36f), below = vec(0.14f, 0.12f, 0.10f);
    vec3 sum = blend(below, above, 0.5f + 0.5f * n.y);
    return scale(sum, 0.75f + 0.35f * n.x * -1.0f);
}
