/* The lens softens what lies off the plane of focus and, a little, everything; bright light
 * spreads in the film. Then vignette, a film-like tone curve and grain.
 */
#include "develop.h"

#include "base/alloc.h"
#include "noise.h"

typedef struct {
    uint8_t *rgb;
    const vec3 *in;
    vec3 *out;
    const frame *f;
    float sigma_px;
    bool upright;
} developing;

/* One pass of a Gaussian blur, along the rows or down the columns. */
static void blur_rows(void *payload, size_t first, size_t end)
{
    const developing *dev = payload;
    int w = dev->f->width, h = dev->f->height, reach = (int)(dev->sigma_px * 2.5f) + 1;
    float weight[64];
    float sum = 0;
    reach = reach < 63 ? reach : 63;
    for (int i = 0; i <= reach; i++) {
        weight[i] = expf(-0.5f * (float)(i * i) / (dev->sigma_px * dev->sigma_px));
        sum += i ? 2 * weight[i] : weight[i];
    }
    for (int y = (int)first; y < (int)end; y++)
        for (int x = 0; x < w; x++) {
            vec3 c = vec(0, 0, 0);
            for (int i = -reach; i <= reach; i++) {
                int sx = x, sy = y;
                if (dev->upright)
                    sy = y + i < 0 ? 0 : y + i >= h ? h - 1 : y + i;
                else
                    sx = x + i < 0 ? 0 : x + i >= w ? w - 1 : x + i;
                c = along(c, dev->in[(size_t)sy * (size_t)w + (size_t)sx], weight[i < 0 ? -i : i]);
            }
            dev->out[(size_t)y * (size_t)w + (size_t)x] = scale(c, 1 / sum);
        }
}

static void blur(
        vec3 *out, const vec3 *in, vec3 *between, const frame *f, float sigma_px, const tb_job *job)
{
    developing dev = {NULL, in, between, f, sigma_px, false};
    tb_job_rows(job, (size_t)f->height, 16, blur_rows, &dev);
    dev = (developing){NULL, between, out, f, sigma_px, true};
    tb_job_rows(job, (size_t)f->height, 16, blur_rows, &dev);
}

/* How far out of focus: 0 at the eyes and the beard, 1 at the shoulders' back. */
static float defocus(float z)
{
    return z < FRAME_FAR / 2 ? 0 : step_between(0.25f, -0.75f, z);
}

static bool focus(frame *f, const tb_job *job)
{
    size_t n = (size_t)f->width * (size_t)f->height;
    float px = (float)f->width / 1600;
    vec3 *between = tb_malloc(n, sizeof(vec3)), *soft = tb_malloc(n, sizeof(vec3));
    bool done = between && soft;
    if (done) {
        blur(soft, f->light, between, f, 2.2f * px, job);
        blur(f->light, f->light, between, f, most(0.75f * px, 0.3f), job);
        for (size_t i = 0; i < n; i++) {
            vec3 halo = scale(soft[i], 0.06f);
            f->light[i] =
                    add(scale(blend(f->light[i], soft[i], defocus(f->depth[i])), 0.94f), halo);
        }
    }
    tb_free(between);
    tb_free(soft);
    return done;
}

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

static void print_pixel(uint8_t *rgb, vec3 c, vec3 g, dice d)
{
    float value[3] = {srgb(film(c.x)), srgb(film(c.y)), srgb(film(c.z))};
    float grey = 0.3f * value[0] + 0.59f * value[1] + 0.11f * value[2];
    float grain = noise_at(g) + 0.7f * noise_at(scale(g, 1.9f));
    float amount = 0.030f * (0.35f + 2.6f * grey * (1 - grey));
    for (int i = 0; i < 3; i++) {
        float own = dice_even(&d) * 2 - 1;
        float a = mix(value[i], grey, 0.16f) + amount * (grain + 0.35f * own);
        rgb[i] = (uint8_t)(clamp(a, 0, 1) * 255 + 0.5f);
    }
}

static void print_rows(void *payload, size_t first, size_t end)
{
    const developing *dev = payload;
    const frame *f = dev->f;
    float px = 1600.0f / (float)f->width;
    for (size_t y = first; y < end; y++)
        for (int x = 0; x < f->width; x++) {
            size_t at = y * (size_t)f->width + (size_t)x;
            float u = 2 * (float)x / (float)f->width - 1, v = 2 * (float)y / (float)f->height - 1;
            float corner = u * u * 0.8f + v * v;
            vec3 c = scale(dev->in[at], 1 / (1 + 0.28f * corner + 0.10f * corner * corner));
            vec3 g = vec((float)x * px * 0.55f, (float)y * px * 0.55f, 0.5f);
            print_pixel(dev->rgb + 3 * at, c, g, (dice){noise_hash((uint32_t)at)});
        }
}

bool develop(uint8_t *rgb, frame *f, const tb_job *job)
{
    if (!focus(f, job))
        return false;
    developing dev = {rgb, f->light, NULL, f, 0, false};
    tb_job_rows(job, (size_t)f->height, 16, print_rows, &dev);
    return true;
}
