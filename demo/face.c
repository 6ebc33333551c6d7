/* The head: a skull of blended ellipsoids, and on it the features of an old man.
 *
 * Proportions are those taught to portrait students: eyes at half height, an eye's width between
 * them, the base of the nose halfway from brow to chin, ears from brow to nose. The right half is
 * built and mirrored; a slow warp of x afterwards keeps the halves from being twins.
 */
#include "figure.h"
#include "noise.h"
#include "shape.h"

static const vec3 EYE = {0.325f, 0.0f, 0.625f};

vec3 eyeball_centre(bool left)
{
    return vec(left ? -EYE.x : EYE.x, EYE.y, EYE.z);
}

static float skull(vec3 m)
{
    float d = ellipsoid(m, vec(0, 0.30f, -0.10f), vec(0.74f, 0.86f, 0.96f));
    d = join(d, ellipsoid(m, vec(0, -0.22f, 0.20f), vec(0.60f, 0.86f, 0.63f)), 0.15f);
    d = join(d, ellipsoid(m, vec(0, -0.72f, 0.20f), vec(0.53f, 0.42f, 0.56f)), 0.15f);
    d = carve(d, ball(m, vec(0.90f, 0.18f, 0.62f), 0.22f), 0.2f);
    d = join(d, ellipsoid(m, vec(0.42f, -0.19f, 0.54f), vec(0.18f, 0.12f, 0.18f)), 0.16f);
    d = join(d, ellipsoid(m, vec(0.36f, -0.42f, 0.56f), vec(0.17f, 0.20f, 0.16f)), 0.16f);
    d = carve(d, ball(m, vec(0.60f, -0.60f, 0.72f), 0.12f), 0.22f);
    d = join(d, ellipsoid(m, vec(0, -0.63f, 0.62f), vec(0.30f, 0.26f, 0.25f)), 0.12f);
    return join(d, ball(m, vec(0, -1.0f, 0.58f), 0.19f), 0.15f);
}

/* Brow, socket, lids and the bag below; the ball itself is another stuff. */
static float eye_region(float d, vec3 m)
{
    d = join(d, rod(m, vec(0.12f, 0.19f, 0.82f), vec(0.50f, 0.18f, 0.60f), 0.085f, 0.075f), 0.10f);
    d = join(d, ball(m, vec(0, 0.20f, 0.83f), 0.07f), 0.12f);
    d = carve(d, ellipsoid(m, vec(0.30f, -0.01f, 0.84f), vec(0.17f, 0.11f, 0.16f)), 0.10f);
    d = join(d, ellipsoid(m, vec(0.40f, 0.105f, 0.69f), vec(0.13f, 0.045f, 0.085f)), 0.06f);
    d = join(d, ellipsoid(m, vec(0.325f, -0.165f, 0.68f), vec(0.15f, 0.06f, 0.075f)), 0.06f);
    vec3 q = sub(m, EYE);
    float shell = fabsf(length(q) - 0.150f) - 0.014f;
    float x = q.x / 0.134f, open = 1 - x * x;
    float upper = q.y - 0.030f * open - 0.004f + 0.012f * x;
    float lower = -0.036f * open - q.y - 0.006f;
    float slit = most(upper, lower);
    float lids = carve(shell, most(slit, -q.z), 0.012f);
    d = carve(d, length(q) - 0.142f, 0.02f);
    return join(d, lids, 0.028f);
}

static float nose(float d, vec3 m)
{
    d = join(d, rod(m, vec(0, 0.12f, 0.80f), vec(0, -0.20f, 1.01f), 0.060f, 0.075f), 0.10f);
    d = join(d, rod(m, vec(0, -0.20f, 1.01f), vec(0, -0.375f, 1.10f), 0.078f, 0.105f), 0.06f);
    d = join(d, ellipsoid(m, vec(0.112f, -0.400f, 0.95f), vec(0.062f, 0.070f, 0.12f)), 0.085f);
    d = join(d, rod(m, vec(0, -0.46f, 1.04f), vec(0, -0.49f, 0.88f), 0.04f, 0.05f), 0.04f);
    return carve(d, ellipsoid(m, vec(0.075f, -0.475f, 1.0f), vec(0.042f, 0.045f, 0.07f)), 0.025f);
}

static float mouth(float d, vec3 m)
{
    d = join(d, rod(m, vec(0, -0.625f, 0.875f), vec(0.20f, -0.665f, 0.79f), 0.045f, 0.02f), 0.05f);
    d = join(d, rod(m, vec(0, -0.735f, 0.855f), vec(0.17f, -0.70f, 0.79f), 0.06f, 0.025f), 0.05f);
    return carve(
            d, rod(m, vec(0, -0.675f, 0.94f), vec(0.22f, -0.69f, 0.84f), 0.016f, 0.01f), 0.03f);
}

static float ear(float d, vec3 m)
{
    vec3 q = sub(m, vec(0.735f, -0.10f, -0.10f));
    vec3 e = vec(q.x * 0.92f + q.z * 0.39f, q.y, q.x * 0.39f - q.z * 0.92f); /* out, up, back */
    if (fabsf(e.x) > 0.4f || fabsf(e.y) > 0.6f || fabsf(e.z) > 0.5f)
        return d;
    float ring = sqrtf(e.y * e.y / (0.31f * 0.31f) + e.z * e.z / (0.185f * 0.185f));
    float lobe = ellipsoid(e, vec(0, 0, 0), vec(0.055f, 0.31f, 0.185f));
    lobe -= 0.030f * bell(ring - 0.88f, 0.2f) - 0.02f * bell(ring - 0.62f, 0.16f);
    lobe = carve(lobe, ellipsoid(e, vec(0.06f, -0.03f, -0.05f), vec(0.07f, 0.12f, 0.09f)), 0.03f);
    return join(d, lobe, 0.05f);
}

/* How deep the skin is furrowed at (x, y) of the face's front. */
static float furrow(vec3 p, vec3 m)
{
    float wander = 0.03f * noise_at(vec(p.x * 3, p.y * 5, 1));
    float depth = 0;
    for (int i = 0; i < 4; i++) {
        float y = 0.33f + 0.075f * (float)i + wander - 0.06f * m.x * m.x;
        depth += 0.010f * bell(p.y - y, 0.035f) * step_between(0.62f, 0.3f, m.x);
    }
    depth += 0.016f * bell(stretch(m.x, p.y, 0.050f, 0.10f, 0.062f, 0.25f), 0.045f);
    depth += 0.030f * bell(stretch(m.x + wander * 0.5f, p.y, 0.20f, -0.36f, 0.37f, -0.68f), 0.07f);
    float bag = sqrtf((m.x - 0.325f) * (m.x - 0.325f) * 0.8f + (p.y - 0.03f) * (p.y - 0.03f));
    depth += 0.012f * bell(bag - 0.225f, 0.045f) * step_between(-0.02f, -0.12f, p.y);
    for (int i = 0; i < 4; i++) {
        float y = 0.07f - 0.075f * (float)i;
        float far =
                stretch(m.x, p.y + wander * 0.5f, 0.50f, y * 0.5f - 0.01f, 0.66f, y * 1.4f - 0.02f);
        depth += 0.007f * bell(far, 0.025f);
    }
    depth += 0.016f * bell(stretch(m.x, p.y, 0.165f, -0.30f, 0.205f, -0.42f), 0.035f);
    return depth;
}

float face_distance(vec3 p)
{
    p.x += 0.02f * p.y * p.y - 0.012f * p.y;
    vec3 m = vec(fabsf(p.x), p.y, p.z);
    float d = skull(m);
    if (d > 0.5f)
        return d - 0.3f;
    if (p.z > 0.3f && fabsf(p.y) < 0.5f)
        d = eye_region(d, m);
    if (p.z > 0.5f && m.x < 0.5f) {
        d = nose(d, m);
        d = mouth(d, m);
    }
    d = ear(d, m);
    d = join(d, rod(p, vec(0, -0.6f, -0.25f), vec(0, -2.0f, -0.35f), 0.56f, 0.62f), 0.2f);
    if (fabsf(d) < 0.05f && p.z > 0.2f)
        d += furrow(p, m) + 0.004f * noise_octaves(scale(p, 6), 2);
    return d;
}

float eyeball_distance(vec3 p)
{
    p.x += 0.02f * p.y * p.y - 0.012f * p.y;
    vec3 m = vec(fabsf(p.x), p.y, p.z);
    return least(ball(m, EYE, 0.135f), ball(m, along(EYE, vec(-0.08f, -0.03f, 1), 0.060f), 0.082f));
}

float beard_share(vec3 p)
{
    float x = fabsf(p.x);
    float line = -0.52f + 0.50f * step_between(0.42f, 0.72f, x); /* the edge on the cheek */
    float cheek = step_between(line + 0.07f, line - 0.05f, p.y);
    float lip = bell(stretch(x, p.y, 0.05f, -0.58f, 0.32f, -0.66f), 0.15f) > 0.2f && p.y < -0.50f;
    float mouth_gap = bell(stretch(x, p.y, 0, -0.70f, 0.13f, -0.70f), 0.09f);
    float front = step_between(-0.35f, -0.15f, p.z);
    return clamp(most(cheek * (p.y < -0.86f || x > 0.24f), lip) - 2 * mouth_gap, 0, 1) * front;
}

float beard_ground_distance(vec3 p)
{
    vec3 m = vec(fabsf(p.x), p.y, p.z);
    float d = ellipsoid(m, vec(0, -1.10f, 0.48f), vec(0.50f, 0.56f, 0.46f));
    d = join(d, ellipsoid(m, vec(0.50f, -0.74f, 0.18f), vec(0.16f, 0.46f, 0.36f)), 0.2f);
    d = join(
            d, rod(m, vec(0.05f, -0.55f, 0.90f), vec(0.34f, -0.72f, 0.76f), 0.085f, 0.075f), 0.06f);
    d = join(d, rod(m, vec(0.34f, -0.72f, 0.76f), vec(0.42f, -0.98f, 0.66f), 0.075f, 0.06f), 0.10f);
    return d;
}
