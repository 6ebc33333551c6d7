/* Cap, coat, jersey and buttons. */
#include "figure.h"
#include "noise.h"
#include "shape.h"

enum { CAP_RIBS = 52 };

/* Ribs of a knit about an axis: 0 in the gaps, 1 on the ridge. */
static float ridge_of(float turn)
{
    float s = fabsf(sinf(turn * 0.5f));
    return powf(s, 0.7f);
}

/* Stitches along a rib: a row of Vs, 0 on the yarn, 1 between. */
static float stitch_of(float turn, float rise)
{
    float across = fabsf(cosf(turn * 0.5f));
    float s = cosf(rise * 84 - across * 2.6f);
    return 0.5f + 0.5f * s;
}

float cap_stitch(vec3 p)
{
    float e = sqrtf(p.x * p.x / (0.83f * 0.83f) + p.z * p.z / (1.03f * 1.03f));
    float on_crown = step_between(0.52f, 0.60f, p.y);
    float shade = stitch_of(atan2f(p.x, p.z) * CAP_RIBS, p.y - 0.55f * on_crown * e);
    return shade * mix(1, step_between(0.16f, 0.45f, e), on_crown);
}

float lapel_seam(vec3 p)
{
    return p.z > 0 ? stretch(fabsf(p.x), p.y, 1.03f, -1.64f, 0.20f, -2.78f) : 1;
}

float cap_distance(vec3 p)
{
    float e = sqrtf(p.x * p.x / (0.83f * 0.83f) + p.z * p.z / (1.03f * 1.03f));
    float radial = (e - 1) * 0.9f;
    vec3 crown_p = vec(p.x, p.y + 0.10f * p.z - 0.03f * p.x, p.z);
    float crown = ellipsoid(crown_p, vec(0, 0.20f, -0.05f), vec(0.83f, 0.86f, 1.02f));
    crown = most(crown, 0.02f - p.y);
    float dx = fabsf(radial - 0.055f) - 0.035f, dy = fabsf(p.y - 0.24f) - 0.19f;
    float ox = most(dx, 0), oy = most(dy, 0);
    float brim = sqrtf(ox * ox + oy * oy) + least(most(dx, dy), 0) - 0.055f;
    float d = join(crown, brim, 0.05f);
    if (d > 0.15f)
        return d - 0.04f;
    float turn = atan2f(p.x, p.z) * CAP_RIBS;
    float on_crown = step_between(0.52f, 0.60f, p.y);
    float gather = step_between(0.16f, 0.45f, e);
    turn += on_crown * 1.2f * noise_at(vec(p.x * 1.5f, p.y * 3, p.z * 1.5f));
    float folds = 0.05f * on_crown * noise_octaves(vec(p.x * 2.2f, p.y * 5, p.z * 2.2f), 2);
    float rise = p.y - 0.55f * on_crown * e;
    float ribbed = 0.050f * (1 - ridge_of(turn)) + 0.006f * stitch_of(turn, rise);
    return d + ribbed * mix(1, gather, on_crown) + folds;
}

/* The raised collar: a shell about the neck, open in front, its ends folded into points. */
static float collar(vec3 p)
{
    float out = 1 + 0.10f * (p.y + 1.0f);
    float rx = 1.05f * out, rz = 0.92f * out;
    vec3 q = vec(p.x, p.y, p.z + 0.22f);
    float e = sqrtf(q.x * q.x / (rx * rx) + q.z * q.z / (rz * rz));
    float shell = fabsf((e - 1) * 0.9f) - 0.035f;
    float angle = fabsf(atan2f(q.x, q.z));
    float top = -0.98f - 0.05f * cosf(angle) - 0.36f * step_between(1.3f, 0.5f, angle);
    float gap = 0.50f + 0.28f * (p.y + 1.8f);
    float ends = (gap - angle) * 0.85f;
    float d = most(shell, most(p.y - top, most(ends, -2.4f - p.y)));
    return d - 0.03f;
}

static float lapel(vec3 p)
{
    vec3 m = vec(fabsf(p.x), p.y, p.z);
    vec3 a = vec(0.34f, -1.50f, 0.52f), b = vec(0.98f, -1.62f, 0.38f),
         c = vec(0.14f, -2.75f, 0.72f);
    vec3 n = unit(cross(sub(b, a), sub(c, a)));
    float plane = fabsf(dot(sub(m, a), n)) - 0.03f;
    float s = 1e9f;
    const vec3 corner[3] = {a, b, c};
    s = -s;
    for (int i = 0; i < 3; i++) {
        vec3 edge = sub(corner[(i + 1) % 3], corner[i]);
        s = most(s, dot(sub(m, corner[i]), unit(cross(edge, n))));
    }
    return most(plane, s) - 0.03f;
}

/* Folds drawn from the armpit to the collar, and the seam of the sleeve. */
static float folds_of(vec3 p, vec3 m)
{
    static const float FOLD[][5] = {{1.30f, -2.55f, 0.88f, -1.92f, 0.019f},
            {1.38f, -2.70f, 0.62f, -2.30f, 0.016f}, {1.22f, -2.20f, 1.02f, -1.80f, 0.014f}};
    float wander = 0.10f * noise_at(vec(p.x * 1.7f, p.y * 1.7f, 5)), depth = 0;
    for (int i = 0; i < 3; i++) {
        const float *f = FOLD[i];
        float off = stretch(m.x + wander, p.y + 0.6f * wander, f[0], f[1], f[2], f[3]);
        depth += f[4] * (bell(off, 0.09f) - 0.6f * bell(off - 0.13f, 0.11f));
    }
    return depth + 0.012f * bell(stretch(m.x, p.y, 1.28f, -1.70f, 1.50f, -2.75f), 0.035f);
}

float coat_distance(vec3 p)
{
    vec3 m = vec(fabsf(p.x), p.y, p.z);
    float d = ellipsoid(m, vec(0, -3.1f, -0.30f), vec(1.75f, 1.55f, 0.92f));
    d = join(d, ball(m, vec(1.55f, -2.62f, -0.35f), 0.68f), 0.5f);
    d = join(d, rod(m, vec(0.5f, -1.75f, -0.4f), vec(1.5f, -2.25f, -0.4f), 0.36f, 0.42f), 0.3f);
    d = join(d, rod(m, vec(1.75f, -2.7f, -0.35f), vec(2.1f, -4.2f, -0.2f), 0.60f, 0.5f), 0.3f);
    if (d > 1.2f)
        return d - 0.6f;
    float v = most(fabsf(p.x - 0.06f) - most(0.02f, 0.10f + 0.42f * (p.y + 2.75f)), -p.z);
    d = carve(d, v * 0.9f, 0.05f);
    if (p.y > -0.55f) /* everything else of the coat lies well below */
        return least(d, p.y + 0.75f);
    d = join(d, collar(p), 0.03f);
    if (p.y < -1.2f && p.z > 0)
        d = join(d, lapel(p), 0.02f);
    if (fabsf(d) < 0.15f) {
        d += 0.035f * noise_at(vec(p.x * 1.5f, p.y * 1.0f + p.x, p.z * 1.5f));
        d += 0.012f * noise_at(vec(p.x * 3.5f + p.y, p.y * 2.0f, p.z * 3.5f));
        d += p.z > -0.4f ? folds_of(p, m) : 0;
    }
    return d;
}

float jersey_distance(vec3 p)
{
    float e = sqrtf(p.x * p.x + (p.z + 0.15f) * (p.z + 0.15f));
    float dx = e - 0.66f, dy = (p.y + 1.58f) * 0.75f;
    float d = sqrtf(dx * dx + dy * dy) - 0.19f;
    d = join(d, ellipsoid(p, vec(0, -2.7f, -0.25f), vec(0.80f, 1.1f, 0.84f)), 0.3f);
    if (d > 0.15f)
        return d - 0.03f;
    return d + 0.03f * (1 - ridge_of(atan2f(p.x, p.z + 0.15f) * 44));
}

float button_distance(vec3 p, float coat)
{
    float x = fabsf(p.x) - 0.90f, y = p.y + 2.17f;
    float r = sqrtf(x * x + y * y);
    float rim = 0.015f * bell(r - 0.10f, 0.03f);
    return p.z > 0 ? most(r - 0.125f, coat - 0.03f - rim) - 0.012f : 1e9f;
}
