/* Value noise on an integer lattice, hashed, so that it needs no tables. */
#include "noise.h"

uint32_t noise_hash(uint32_t a)
{
    a ^= a >> 16;
    a *= 0x7feb352du;
    a ^= a >> 15;
    a *= 0x846ca68bu;
    return a ^ (a >> 16);
}

float dice_even(dice *d)
{
    d->state += 0x9e3779b9u;
    return (float)(noise_hash(d->state) >> 8) * (1.0f / 16777216.0f);
}

float dice_normal(dice *d)
{
    float sum = dice_even(d) + dice_even(d) + dice_even(d) + dice_even(d);
    return (sum - 2) * 1.7320508f;
}

static int floor_of(float a)
{
    int i = (int)a;
    return i - (a < (float)i);
}

static float lattice(int x, int y, int z)
{
    uint32_t h = (uint32_t)x * 0x8da6b343u ^ (uint32_t)y * 0xd8163841u ^ (uint32_t)z * 0xcb1ab31fu;
    h ^= h >> 15;
    h *= 0x2c1b3c6du;
    h ^= h >> 13;
    return (float)(h & 0xffff) * (2.0f / 65535.0f) - 1;
}

float noise_at(vec3 p)
{
    int x = floor_of(p.x), y = floor_of(p.y), z = floor_of(p.z);
    float u = p.x - (float)x, v = p.y - (float)y, w = p.z - (float)z;
    u = u * u * (3 - 2 * u);
    v = v * v * (3 - 2 * v);
    w = w * w * (3 - 2 * w);
    float near = mix(mix(lattice(x, y, z), lattice(x + 1, y, z), u),
            mix(lattice(x, y + 1, z), lattice(x + 1, y + 1, z), u), v);
    float far = mix(mix(lattice(x, y, z + 1), lattice(x + 1, y, z + 1), u),
            mix(lattice(x, y + 1, z + 1), lattice(x + 1, y + 1, z + 1), u), v);
    return mix(near, far, w);
}

float noise_octaves(vec3 p, int n_octaves)
{
    float sum = 0, weight = 0.5f;
    for (int i = 0; i < n_octaves; i++, weight *= 0.5f) {
        sum += weight * noise_at(p);
        p = scale(p, 2.03f);
    }
    return sum;
}
