/* sheet/wood.c: see wood.h. */
#include "sheet/wood.h"

#include <ctype.h>
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

static const tb_wood WOODS[] = {
        {"birch", {.925F, .825F, .665F}, {.845F, .700F, .510F}, 4.2F, .55F, 2, .55F, .15F, 22},
        {"basswood", {.935F, .860F, .720F}, {.890F, .780F, .610F}, 3.2F, .40F, 2, .45F, .05F, 30},
        {"poplar", {.875F, .845F, .650F}, {.735F, .715F, .500F}, 3.6F, .55F, 2, .45F, .10F, 26},
        {"walnut", {.500F, .370F, .270F}, {.300F, .205F, .145F}, 3.4F, .75F, 1.5F, .75F, .55F, 20},
        {"cherry", {.790F, .560F, .380F}, {.630F, .395F, .245F}, 3.2F, .60F, 2, .60F, .15F, 22},
        {"maple", {.935F, .850F, .710F}, {.855F, .730F, .560F}, 3.6F, .50F, 3, .50F, .05F, 24},
        {"oak", {.840F, .690F, .500F}, {.650F, .485F, .310F}, 3.4F, .75F, 1.2F, .80F, .95F, 20},
        {"ash", {.900F, .810F, .650F}, {.725F, .585F, .405F}, 3.8F, .85F, 1.3F, .70F, .75F, 20},
        {"pine", {.945F, .835F, .620F}, {.800F, .590F, .335F}, 3.6F, .90F, 3, .40F, 0, 18},
        {"cedar", {.760F, .535F, .380F}, {.560F, .335F, .215F}, 2.6F, .85F, 3, .50F, 0, 20},
        {"african", {.700F, .450F, .305F}, {.520F, .300F, .190F}, 4.2F, .45F, 1.5F, .75F, .70F, 34},
        {"mahogany", {.640F, .365F, .235F}, {.470F, .240F, .150F}, 4.0F, .45F, 1.5F, .75F, .65F,
                34},
        {"mdf", {.735F, .605F, .455F}, {.700F, .570F, .420F}, 3.0F, .0F, 1, .10F, 0, 30},
};

const tb_wood *tb__wood_find(const char *text)
{
    char lower[80] = "";
    for (size_t i = 0; text && text[i] && i + 1 < sizeof lower; i++)
        lower[i] = (char)tolower((unsigned char)text[i]);
    for (size_t i = 0; i < sizeof WOODS / sizeof WOODS[0]; i++)
        if (strstr(lower, WOODS[i].name))
            return &WOODS[i];
    return &WOODS[0];
}

static uint32_t mix(uint32_t h)
{
    h ^= h >> 16;
    h *= 0x7feb352dU;
    h ^= h >> 15;
    h *= 0x846ca68bU;
    return h ^ h >> 16;
}

static float lattice(int32_t x, int32_t y, uint32_t seed)
{
    uint32_t h = mix((uint32_t)x * 0x9e3779b1U ^ mix((uint32_t)y * 0x85ebca77U ^ seed));
    return (float)(h >> 8) * 0x1p-23F - 1;
}

/* Smooth noise, -1 … 1, one wave or so in a unit. */
static float noise(float x, float y, uint32_t seed)
{
    float fx = floorf(x), fy = floorf(y);
    int32_t ix = (int32_t)fx, iy = (int32_t)fy;
    float u = x - fx, v = y - fy;
    u = u * u * (3 - 2 * u);
    v = v * v * (3 - 2 * v);
    float top = lattice(ix, iy, seed), low = lattice(ix, iy + 1, seed);
    top += (lattice(ix + 1, iy, seed) - top) * u;
    low += (lattice(ix + 1, iy + 1, seed) - low) * u;
    return top + (low - top) * v;
}

/* 0 in early wood, rising to 1 where the year ends. along and across in mm. */
static float ring(const tb_wood *wood, float along, float across)
{
    float wander =
            9 * noise(along / 130, across / 90, 11) + 1.6F * noise(along / 34, across / 16, 12);
    float depth = wood->pith_mm + 0.11F * along + 6 * noise(along / 160, 0.5F, 13);
    float side = across - 14 + 0.05F * along;
    float r = sqrtf(side * side + depth * depth) + wander * 0.35F;
    float year = r / wood->ring_mm;
    year += 0.35F * noise(year * 0.7F, 3.5F, 14);
    float part = year - floorf(year);
    float rise = powf(part, wood->sharp);
    return part > 0.93F ? rise * (1 - part) / 0.07F : rise;
}

static float pores(const tb_wood *wood, float along, float across, float late)
{
    if (wood->pores <= 0)
        return 0;
    float hit = noise(along / 3.2F, across / 0.22F, 21) +
                0.35F * noise(along / 18, across / 3, 22) - 0.55F + 0.25F * (1 - late);
    return hit <= 0 ? 0 : fminf(1, hit * 2.4F) * wood->pores;
}

static void colour(float *rgb, const tb_wood *wood, float along, float across)
{
    float late = ring(wood, along, across) * wood->contrast;
    float fibre = 0.6F * noise(along / 14, across / 0.35F, 31) +
                  0.4F * noise(along / 45, across / 1.6F, 32);
    float cloud = noise(along / 90, across / 28, 33);
    float share = late + 0.16F * fibre * wood->fibre + 0.13F * cloud;
    float light = 1 + 0.035F * fibre * wood->fibre + 0.02F * cloud -
                  0.30F * pores(wood, along, across, late);
    for (int i = 0; i < 3; i++)
        rgb[i] = (wood->early[i] + (wood->late[i] - wood->early[i]) * share) * light;
}

void tb__wood_row(float *rgb, const tb_wood *wood, double grain_rad, double x_mm, double y_mm,
        double step_mm, int n)
{
    float c = (float)cos(grain_rad), s = (float)sin(grain_rad);
    for (int i = 0; i < n; i++) {
        float x = (float)(x_mm + i * step_mm), y = (float)y_mm;
        colour(rgb + 3 * (size_t)i, wood, x * c + y * s, y * c - x * s);
    }
}
