/* demo/vec.h: points, directions and colours of the demo photograph; lengths in decimetres.
 *
 * x to the viewer's right, y up, z towards the viewer. A colour is linear light in x, y, z for
 * red, green, blue.
 */
#ifndef DEMO_VEC_H
#define DEMO_VEC_H

#include <math.h>

typedef struct {
    float x, y, z;
} vec3;

static inline vec3 vec(float x, float y, float z)
{
    return (vec3){x, y, z};
}

static inline vec3 add(vec3 a, vec3 b)
{
    return vec(a.x + b.x, a.y + b.y, a.z + b.z);
}

static inline vec3 sub(vec3 a, vec3 b)
{
    return vec(a.x - b.x, a.y - b.y, a.z - b.z);
}

static inline vec3 mul(vec3 a, vec3 b)
{
    return vec(a.x * b.x, a.y * b.y, a.z * b.z);
}

static inline vec3 scale(vec3 a, float s)
{
    return vec(a.x * s, a.y * s, a.z * s);
}

/* a + b * s */
static inline vec3 along(vec3 a, vec3 b, float s)
{
    return vec(a.x + b.x * s, a.y + b.y * s, a.z + b.z * s);
}

static inline float dot(vec3 a, vec3 b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static inline vec3 cross(vec3 a, vec3 b)
{
    return vec(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x);
}

static inline float length(vec3 a)
{
    return sqrtf(dot(a, a));
}

static inline vec3 unit(vec3 a)
{
    float n = length(a);
    return n > 0 ? scale(a, 1 / n) : vec(0, 1, 0);
}

static inline float mix(float a, float b, float t)
{
    return a + (b - a) * t;
}

static inline vec3 blend(vec3 a, vec3 b, float t)
{
    return vec(mix(a.x, b.x, t), mix(a.y, b.y, t), mix(a.z, b.z, t));
}

static inline float least(float a, float b)
{
    return a < b ? a : b;
}

static inline float most(float a, float b)
{
    return a > b ? a : b;
}

static inline float clamp(float a, float low, float high)
{
    return a < low ? low : a > high ? high : a;
}

/* 0 up to low, 1 from high on, a smooth step between; low > high turns it round. */
static inline float step_between(float low, float high, float a)
{
    float t = clamp((a - low) / (high - low), 0, 1);
    return t * t * (3 - 2 * t);
}

/* A bell of height 1 and half width w about 0 with no tails: cheap, and zero where it should be. */
static inline float bell(float a, float w)
{
    float t = a / w;
    t = 1 - t * t;
    return t > 0 ? t * t : 0;
}

/* An orthonormal frame standing at origin: local x, y, z are right, up, front. */
typedef struct {
    vec3 origin, right, up, front;
} frame3;

/* Turned about y by yaw (front goes to the viewer's left), then nodded, then tilted. */
static inline frame3 frame_of(vec3 origin, float yaw_rad, float nod_rad, float tilt_rad)
{
    float cy = cosf(yaw_rad), sy = sinf(yaw_rad), cn = cosf(nod_rad), sn = sinf(nod_rad);
    float ct = cosf(tilt_rad), st = sinf(tilt_rad);
    vec3 right = vec(cy, 0, sy), front = vec(-sy * cn, -sn, cy * cn);
    vec3 up = cross(front, right);
    vec3 tilted = add(scale(right, ct), scale(up, st));
    return (frame3){origin, tilted, cross(front, tilted), front};
}

static inline vec3 turn_into(const frame3 *frame, vec3 v)
{
    return vec(dot(v, frame->right), dot(v, frame->up), dot(v, frame->front));
}

static inline vec3 turn_out(const frame3 *frame, vec3 v)
{
    return add(add(scale(frame->right, v.x), scale(frame->up, v.y)), scale(frame->front, v.z));
}

static inline vec3 into(const frame3 *frame, vec3 p)
{
    return turn_into(frame, sub(p, frame->origin));
}

static inline vec3 out_of(const frame3 *frame, vec3 p)
{
    return add(frame->origin, turn_out(frame, p));
}

#endif
