/* demo/shape.h: signed distances to simple bodies, negative inside, and soft ways to join them.
 *
 * The distance to an ellipsoid is a close estimate, good enough to walk along a ray.
 */
#ifndef DEMO_SHAPE_H
#define DEMO_SHAPE_H

#include "vec.h"

static inline float ball(vec3 p, vec3 centre, float radius)
{
    return length(sub(p, centre)) - radius;
}

static inline float ellipsoid(vec3 p, vec3 centre, vec3 radii)
{
    vec3 q = sub(p, centre);
    vec3 a = vec(q.x / radii.x, q.y / radii.y, q.z / radii.z);
    vec3 b = vec(a.x / radii.x, a.y / radii.y, a.z / radii.z);
    float na = length(a), nb = length(b);
    return nb > 1e-6f ? na * (na - 1) / nb : -least(radii.x, least(radii.y, radii.z));
}

/* A rod from a to b whose radius goes from ra to rb. */
static inline float rod(vec3 p, vec3 a, vec3 b, float ra, float rb)
{
    vec3 pa = sub(p, a), ba = sub(b, a);
    float t = clamp(dot(pa, ba) / dot(ba, ba), 0, 1);
    return length(along(pa, ba, -t)) - mix(ra, rb, t);
}

/* Distance in the plane from (x, y) to the stretch from a to b. */
static inline float stretch(float x, float y, float ax, float ay, float bx, float by)
{
    float px = x - ax, py = y - ay, dx = bx - ax, dy = by - ay;
    float t = clamp((px * dx + py * dy) / (dx * dx + dy * dy), 0, 1);
    px -= dx * t;
    py -= dy * t;
    return sqrtf(px * px + py * py);
}

/* Union and cut, eased over about k. */
static inline float join(float a, float b, float k)
{
    float h = most(k - fabsf(a - b), 0) / k;
    return least(a, b) - h * h * k * 0.25f;
}

static inline float carve(float a, float b, float k)
{
    return -join(-a, b, k);
}

#endif
