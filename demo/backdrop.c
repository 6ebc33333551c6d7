/* Painted flat and small in linear light, spread by the lens's disc, then enlarged: bright things
 * grow into discs as they do behind a wide-open lens. u runs 0..1 across, v 0..1.25 down.
 */
#include "backdrop.h"

#include "base/alloc.h"
#include "noise.h"
#include "shape.h"

enum { SMALL_WIDTH = 320, SMALL_HEIGHT = 400, DISC_PX = 7 };

static bool box(float u, float v, float u0, float v0, float u1, float v1)
{
    return u > u0 && u < u1 && v > v0 && v < v1;
}

static vec3 wall(float u, float v)
{
    float plank = floorf(u * 9 + 0.2f);
    float grain = noise_octaves(vec(u * 40, v * 3, plank), 3);
    float seam = bell(u * 9 + 0.2f - plank, 0.08f);
    float glow = 0.40f +
                 4.2f * step_between(0.50f, 0.95f, u) * (0.6f + 0.4f * step_between(1.3f, 0.3f, v));
    vec3 colour = scale(vec(0.085f, 0.066f, 0.05f), (1 + 0.35f * grain) * (1 - 0.4f * seam));
    return scale(colour, glow);
}

static vec3 window_light(vec3 under, float u, float v)
{
    if (!box(u, v, 0.735f, 0.03f, 1.2f, 0.66f))
        return under;
    vec3 frame_colour = vec(0.22f, 0.20f, 0.18f);
    if (!box(u, v, 0.76f, 0.055f, 1.2f, 0.635f) || fabsf(u - 0.915f) < 0.022f ||
            fabsf(v - 0.335f) < 0.022f)
        return frame_colour;
    vec3 sky = blend(vec(1.5f, 1.75f, 2.1f), vec(2.1f, 2.1f, 2.0f), v * 2);
    vec3 sea = scale(vec(0.55f, 0.70f, 0.78f), 1 + 0.5f * noise_octaves(vec(u * 20, v * 90, 2), 3));
    return v < 0.47f ? sky : sea;
}

static vec3 shelf(vec3 c, float u, float v)
{
    if (box(u, v, -0.1f, 0.375f, 0.30f, 0.395f))
        c = vec(0.08f, 0.055f, 0.035f);
    static const float BOOK[][3] = {{-0.02f, 0.22f, 0}, {0.01f, 0.25f, 1}, {0.04f, 0.20f, 2},
            {0.07f, 0.235f, 3}, {0.215f, 0.22f, 1}};
    static const vec3 COLOUR[] = {{0.16f, 0.05f, 0.03f}, {0.05f, 0.09f, 0.08f},
            {0.20f, 0.15f, 0.08f}, {0.04f, 0.05f, 0.09f}};
    for (int i = 0; i < 5; i++)
        if (box(u, v, BOOK[i][0], BOOK[i][1], BOOK[i][0] + 0.026f, 0.375f))
            c = COLOUR[(int)BOOK[i][2]];
    float flame = sqrtf((u - 0.146f) * (u - 0.146f) * 2 + (v - 0.315f) * (v - 0.315f));
    if (box(u, v, 0.120f, 0.27f, 0.172f, 0.36f))
        c = blend(vec(0.12f, 0.075f, 0.03f), vec(0.26f, 0.16f, 0.07f),
                step_between(0.03f, 0.01f, flame));
    if (box(u, v, 0.113f, 0.255f, 0.179f, 0.27f) || box(u, v, 0.113f, 0.36f, 0.179f, 0.375f))
        c = vec(0.13f, 0.09f, 0.04f);
    return c;
}

/* A coil of rope on a peg. */
static vec3 rope(vec3 c, float u, float v)
{
    float x = u - 0.085f, y = (v - 0.66f) * 0.75f, r = sqrtf(x * x + y * y);
    for (int i = 0; i < 3; i++) {
        float off = fabsf(r - 0.075f - 0.017f * (float)i);
        float twist = 0.6f + 0.4f * sinf(atan2f(y, x) * 60 + (float)i);
        if (off < 0.008f)
            c = scale(vec(0.26f, 0.20f, 0.12f), twist * (1.1f - off * 60));
    }
    return box(u, v, 0.075f, 0.50f, 0.095f, 0.58f) ? vec(0.15f, 0.11f, 0.07f) : c;
}

static vec3 paint(float u, float v)
{
    vec3 c = wall(u, v);
    c = window_light(c, u, v);
    c = shelf(c, u, v);
    return rope(c, u, v);
}

typedef struct {
    vec3 *sharp, *soft;
    frame *f;
} painting;

static void spread_rows(void *payload, size_t first, size_t end)
{
    const painting *work = payload;
    for (int y = (int)first; y < (int)end; y++)
        for (int x = 0; x < SMALL_WIDTH; x++) {
            vec3 sum = vec(0, 0, 0);
            float weight = 0;
            for (int dy = -DISC_PX; dy <= DISC_PX; dy++)
                for (int dx = -DISC_PX; dx <= DISC_PX; dx++) {
                    float w = clamp(DISC_PX + 0.5f - sqrtf((float)(dx * dx + dy * dy)), 0, 1);
                    int sx = (int)clamp((float)(x + dx), 0, SMALL_WIDTH - 1);
                    int sy = (int)clamp((float)(y + dy), 0, SMALL_HEIGHT - 1);
                    sum = along(sum, work->sharp[sy * SMALL_WIDTH + sx], w);
                    weight += w;
                }
            work->soft[y * SMALL_WIDTH + x] = scale(sum, 1 / weight);
        }
}

static void enlarge_rows(void *payload, size_t first, size_t end)
{
    const painting *work = payload;
    frame *f = work->f;
    float shrink = (float)SMALL_WIDTH / (float)f->width;
    for (size_t y = first; y < end; y++)
        for (int x = 0; x < f->width; x++) {
            float sx = clamp(((float)x + 0.5f) * shrink - 0.5f, 0, SMALL_WIDTH - 1.001f);
            float sy = clamp(((float)y + 0.5f) * shrink - 0.5f, 0, SMALL_HEIGHT - 1.001f);
            int ix = (int)sx, iy = (int)sy;
            const vec3 *s = work->soft + iy * SMALL_WIDTH + ix;
            f->light[y * (size_t)f->width + (size_t)x] = blend(blend(s[0], s[1], sx - (float)ix),
                    blend(s[SMALL_WIDTH], s[SMALL_WIDTH + 1], sx - (float)ix), sy - (float)iy);
        }
}

bool backdrop_draw(frame *f, const tb_job *job)
{
    enum { N = SMALL_WIDTH * SMALL_HEIGHT };
    painting work = {tb_malloc(N, sizeof(vec3)), tb_malloc(N, sizeof(vec3)), f};
    bool done = work.sharp && work.soft;
    if (done) {
        for (int i = 0; i < N; i++)
            work.sharp[i] = paint(((float)(i % SMALL_WIDTH) + 0.5f) / SMALL_WIDTH,
                    ((float)(i / SMALL_WIDTH) + 0.5f) / SMALL_WIDTH);
        tb_job_rows(job, SMALL_HEIGHT, 16, spread_rows, &work);
        tb_job_rows(job, (size_t)f->height, 16, enlarge_rows, &work);
    }
    tb_free(work.sharp);
    tb_free(work.soft);
    return done;
}
