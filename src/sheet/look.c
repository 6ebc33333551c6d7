/* sheet/look.c: see look.h. */
#include "sheet/look.h"

#include "base/clones.h"

#include <ctype.h>
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

static const tb_look WOODS[] = {
        {"birch", {.930F, .830F, .665F}, {.800F, .630F, .425F}, 6.0F, .62F, 1.6F, .70F, .20F, 26},
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

const tb_look *tb__look_find(const char *text)
{
    char lower[80] = "";
    for (size_t i = 0; text && text[i] && i + 1 < sizeof lower; i++)
        lower[i] = (char)tolower((unsigned char)text[i]);
    for (size_t i = 0; i < sizeof WOODS / sizeof WOODS[0]; i++)
        if (strstr(lower, WOODS[i].name))
            return &WOODS[i];
    return &WOODS[0];
}

static inline uint32_t mix(uint32_t h)
{
    h ^= h >> 15;
    h *= 0x2c1b3c6dU;
    h ^= h >> 12;
    h *= 0x297a2d39U;
    return h ^ h >> 15;
}

static inline float lattice(int32_t x, int32_t y, uint32_t seed)
{
    uint32_t h = mix((uint32_t)x * 0x9e3779b1U ^ ((uint32_t)y * 0x85ebca77U + seed));
    return (float)(int32_t)(h >> 8) * 0x1p-23F - 1;
}

/* floor() by hand: the baseline's vectors have none. */
static inline int32_t whole(float x)
{
    int32_t i = (int32_t)x;
    return i - (x < (float)i);
}

/* Smooth noise, -1 … 1, one wave or so in a unit. */
static inline float noise(float x, float y, uint32_t seed)
{
    int32_t ix = whole(x), iy = whole(y);
    float u = x - (float)ix, v = y - (float)iy;
    u = u * u * (3 - 2 * u);
    v = v * v * (3 - 2 * v);
    float top = lattice(ix, iy, seed), low = lattice(ix, iy + 1, seed);
    top += (lattice(ix + 1, iy, seed) - top) * u;
    low += (lattice(ix + 1, iy + 1, seed) - low) * u;
    return top + (low - top) * v;
}

/* A line across the board: places x, x + dx … along the grain, y, y + dy … across it, in mm. */
typedef struct {
    float x, dx, y, dy;
} line;

/* Adds weight × noise at every place of the line, waves of long_mm by wide_mm. */
TB_CLONES static void add_noise(
        float *to, int n, line at, float long_mm, float wide_mm, uint32_t seed, float weight)
{
    float x = at.x / long_mm, dx = at.dx / long_mm, y = at.y / wide_mm, dy = at.dy / wide_mm;
    for (int i = 0; i < n; i++)
        to[i] += weight * noise(x + (float)i * dx, y + (float)i * dy, seed);
}

/* Which year's ring a place lies in, counted from the pith. */
static inline float year_at(const tb_look *look, float along, float across)
{
    float wander =
            9 * noise(along / 130, across / 90, 11) + 1.6F * noise(along / 34, across / 16, 12);
    float depth = look->pith_mm + 0.11F * along + 6 * noise(along / 160, 0.5F, 13);
    float side = across - 14 + 0.05F * along;
    float year = (sqrtf(side * side + depth * depth) + wander * 0.35F) / look->ring_mm;
    return year + 0.35F * noise(year * 0.7F, 3.5F, 14);
}

/* What changes slowly is worked out at knots KNOT_MM apart and drawn straight between. */
static const float KNOT_MM = 2.5F;

enum { CHUNK = 256, KNOTS = CHUNK + 1 };

TB_CLONES static void fill_knots(
        float *year, float *cloud, int n, const tb_look *look, line at, int apart)
{
    for (int k = 0; k < n; k++) {
        float along = at.x + (float)(k * apart) * at.dx, across = at.y + (float)(k * apart) * at.dy;
        year[k] = year_at(look, along, across);
        cloud[k] = noise(along / 90, across / 28, 33);
    }
}

static void join_knots(float *to, int n, const float *knots, int apart)
{
    for (int first = 0; first < n; first += apart, knots++) {
        int n_here = n - first < apart ? n - first : apart;
        float rise = knots[1] - knots[0];
        for (int i = 0; i < n_here; i++)
            to[first + i] = knots[0] + rise * ((float)i / (float)apart);
    }
}

static void add_slow(float *year, float *cloud, int n, const tb_look *look, line at)
{
    float years[KNOTS], clouds[KNOTS], step = hypotf(at.dx, at.dy);
    int apart = step < KNOT_MM ? (int)(KNOT_MM / step) : 1;
    fill_knots(years, clouds, (n + apart - 1) / apart + 1, look, at, apart);
    join_knots(year, n, years, apart);
    join_knots(cloud, n, clouds, apart);
}

/* The colours of n places; each of the three lies apart_px behind the one before. */
TB_CLONES static void mix_colours(float *restrict rgb, size_t apart_px, const tb_face *face,
        const float *restrict year, const float *restrict cloud, const float *restrict fibre,
        const float *restrict pore, int n)
{
    const tb_look *look = face->look;
    float *restrict red = rgb, *restrict green = rgb + apart_px, *restrict blue = green + apart_px;
    float from[3], by[3];
    for (int k = 0; k < 3; k++) {
        from[k] = look->early[k];
        by[k] = look->late[k] - look->early[k];
    }
    for (int i = 0; i < n; i++) {
        int ring = (int)((year[i] - (float)whole(year[i])) * TB_FACE_PROFILE);
        float late = face->profile[ring & (TB_FACE_PROFILE - 1)];
        float deep = (pore[i] - 0.55F + 0.25F * (1 - late)) * 2.4F;
        deep = deep > 0 ? deep : 0;
        float dark = 0.30F * (deep < 1 ? deep : 1) * look->pores;
        float share = late + 0.16F * fibre[i] * look->fibre + 0.13F * cloud[i];
        float light = 1 + 0.035F * fibre[i] * look->fibre + 0.02F * cloud[i] - dark;
        red[i] = (from[0] + by[0] * share) * light;
        green[i] = (from[1] + by[1] * share) * light;
        blue[i] = (from[2] + by[2] * share) * light;
    }
}

static void colour_chunk(float *rgb, size_t apart_px, const tb_face *face, line at, int n)
{
    float year[CHUNK], cloud[CHUNK], fibre[CHUNK] = {0}, pore[CHUNK] = {0};
    add_slow(year, cloud, n, face->look, at);
    add_noise(fibre, n, at, 14, 0.35F, 31, 0.6F);
    add_noise(fibre, n, at, 45, 1.6F, 32, 0.4F);
    if (face->look->pores > 0) {
        add_noise(pore, n, at, 3.2F, 0.22F, 21, 1);
        add_noise(pore, n, at, 18, 3, 22, 0.35F);
    }
    mix_colours(rgb, apart_px, face, year, cloud, fibre, pore, n);
}

/* The profile is 0 in early wood, rising to 1 where the year ends, and soon back to 0. */
tb_face tb__face_of(const tb_look *look, double grain_rad)
{
    tb_face face = {.look = look, .c = cos(grain_rad), .s = sin(grain_rad)};
    for (int i = 0; i < TB_FACE_PROFILE; i++) {
        float part = ((float)i + 0.5F) / TB_FACE_PROFILE, rise = powf(part, look->sharp);
        face.profile[i] = look->contrast * (part > 0.93F ? rise * (1 - part) / 0.07F : rise);
    }
    return face;
}

void tb__face_row(float *rgb, const tb_face *face, double x_mm, double y_mm, double step_mm, int n)
{
    double c = face->c, s = face->s;
    for (int first = 0; first < n; first += CHUNK) {
        double x = x_mm + first * step_mm;
        line at = {(float)(x * c + y_mm * s), (float)(c * step_mm), (float)(y_mm * c - x * s),
                (float)(-s * step_mm)};
        colour_chunk(rgb + first, (size_t)n, face, at, n - first < CHUNK ? n - first : CHUNK);
    }
}
