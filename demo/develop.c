/* Vignette, a film-like tone curve and grain. */
#include "develop.h"

#include "noise.h"

typedef struct {
    uint8_t *rgb;
    frame *f;
} developing;

/* A filmic shoulder and toe; 0.18 comes out as middle grey. */
static float film(float a)
{
    a *= 0.72f;
    float b = (a * (2.51f * a + 0.03f)) / (a * (2.43f * a + 0.59f) + 0.14f);
    return clamp(b, 0, 1);
}

static float srgb(float a)
{
    return a <= 0.0031308f ? a * 12.92f : 1.055f * powf(a, 1 / 2.4f) - 0.055f;
}

static void develop_rows(void *payload, size_t first, size_t end)
{
    const developing *dev = payload;
    const frame *f = dev->f;
    float px = 1600.0f / (float)f->width;
    for (size_t y = first; y < end; y++)
        for (int x = 0; x < f->width; x++) {
            size_t at = y * (size_t)f->width + (size_t)x;
            float u = ((float)x / (float)f->width - 0.5f) * 2,
                  v = ((float)y / (float)f->height - 0.5f) * 2;
            float corner = u * u * 0.8f + v * v;
            vec3 c = scale(f->light[at], 1 / (1 + 0.28f * corner + 0.10f * corner * corner));
            vec3 g = vec((float)x * px * 0.55f, (float)y * px * 0.55f, 0.5f);
            float grain = noise_at(g) + 0.7f * noise_at(scale(g, 1.9f));
            float value[3] = {srgb(film(c.x)), srgb(film(c.y)), srgb(film(c.z))};
            float grey = 0.3f * value[0] + 0.59f * value[1] + 0.11f * value[2];
            float amount = 0.030f * (0.35f + 2.6f * grey * (1 - grey));
            for (int i = 0; i < 3; i++) {
                float own = noise_at(along(vec(g.x, g.y, 9.5f), vec(7.3f, 3.1f, 0), (float)i + 1));
                float a = mix(value[i], grey, 0.10f) + amount * (grain + 0.35f * own);
                dev->rgb[3 * at + (size_t)i] = (uint8_t)(clamp(a, 0, 1) * 255 + 0.5f);
            }
        }
}

void develop(uint8_t *rgb, frame *f, const tb_job *job)
{
    developing dev = {rgb, f};
    tb_job_rows(job, (size_t)f->height, 16, develop_rows, &dev);
}
