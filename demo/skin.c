/* Rays are walked first through the coarse field, then by the exact distance for the last steps.
 *
 * Skin lets light round the terminator, red the farthest; cloth has fine bumps; eyes mirror the
 * window. Colours are of an invented weather-beaten man.
 */
#include "skin.h"

#include "noise.h"

typedef struct {
    vec3 colour;
    vec3 wrap;   /* how far each colour creeps round the terminator */
    float gloss; /* strength of the mirror-like part */
    float sharp; /* its exponent */
    float fuzz;  /* light caught by standing fibres at grazing angles */
} finish;

typedef struct {
    const scene *s;
    frame *f;
} drawing;

/* n as tilted by a grain of the given frequency (1/dm) and height. */
static vec3 bumped(vec3 n, vec3 p, float frequency, float height)
{
    vec3 q = scale(p, frequency);
    const float e = 0.35f;
    float c = noise_at(q);
    vec3 slope = vec(noise_at(vec(q.x + e, q.y, q.z)) - c, noise_at(vec(q.x, q.y + e, q.z)) - c,
            noise_at(vec(q.x, q.y, q.z + e)) - c);
    slope = along(slope, n, -dot(slope, n));
    return unit(along(n, slope, -0.6f * height / e));
}

static finish skin_finish(vec3 q)
{
    float blotch = noise_octaves(scale(q, 3), 3), speck = noise_octaves(scale(q, 14), 2);
    vec3 colour = blend(vec(0.50f, 0.33f, 0.24f), vec(0.44f, 0.26f, 0.18f), 0.5f + blotch);
    float x = fabsf(q.x);
    float flush = bell(length(sub(q, vec(0, -0.36f, 1.08f))), 0.26f) +
                  0.7f * bell(length(sub(vec(x, q.y, q.z), vec(0.42f, -0.2f, 0.7f))), 0.3f) +
                  0.8f * bell(length(sub(vec(x, q.y, q.z), vec(0.8f, -0.1f, -0.15f))), 0.4f);
    colour = blend(colour, vec(0.48f, 0.23f, 0.17f), clamp(flush * 0.45f, 0, 0.6f));
    if (x < 0.25f && q.y < -0.58f && q.y > -0.80f)
        colour = blend(colour, vec(0.40f, 0.15f, 0.13f), 0.7f);
    colour = scale(colour, 1 - 0.25f * step_between(0.22f, 0.5f, speck));
    return (finish){colour, {0.20f, 0.14f, 0.11f}, 0.55f, 26, 0};
}

static finish eye_finish(vec3 q)
{
    bool left = q.x < 0;
    vec3 centre = eyeball_centre(left);
    vec3 r = unit(sub(vec(q.x + 0.02f * q.y * q.y - 0.012f * q.y, q.y, q.z), centre));
    vec3 gaze = unit(vec(left ? -0.08f : 0.08f, -0.03f, 1));
    gaze = unit(along(gaze, vec(0.16f, 0, 0), 1)); /* he looks a little back towards us */
    float off = acosf(clamp(dot(r, gaze), -1, 1)) * 0.135f;
    vec3 white = vec(0.43f, 0.385f, 0.35f);
    float streak = noise_at(vec(atan2f(r.y, r.x) * 8, off * 20, 3));
    vec3 iris = scale(vec(0.085f, 0.112f, 0.128f), 1 + 0.5f * streak);
    vec3 colour = blend(iris, white, step_between(0.055f, 0.066f, off));
    colour = scale(colour, 1 - 0.6f * bell(off - 0.058f, 0.014f));
    colour = scale(colour, step_between(0.020f, 0.027f, off) * 0.97f + 0.03f);
    colour = scale(colour, 1 - 0.45f * step_between(0.0f, 0.035f, q.y));
    return (finish){colour, {0.1f, 0.05f, 0.05f}, 2.5f, 500, 0};
}

static finish cap_finish(vec3 q)
{
    float fleck = noise_octaves(scale(q, 26), 2);
    vec3 colour = scale(vec(0.16f, 0.18f, 0.20f), 1 + 0.5f * fleck);
    float between = cap_stitch(q);
    colour = scale(colour, 1 - 0.55f * between * between);
    return (finish){colour, {0.12f, 0.12f, 0.12f}, 0.0f, 8, 0.35f};
}

static finish coat_finish(vec3 q)
{
    float fleck = noise_octaves(scale(q, 44), 2);
    vec3 colour = scale(vec(0.128f, 0.140f, 0.165f), 1 + 0.5f * fleck);
    colour = scale(colour, 1 - 0.7f * bell(lapel_seam(q), 0.06f));
    return (finish){colour, {0.08f, 0.08f, 0.08f}, 0.02f, 8, 0.30f};
}

static finish finish_of(const scene *s, stuff what, vec3 p)
{
    switch (what) {
    case STUFF_SKIN:
        return skin_finish(into(&s->man.head, p));
    case STUFF_EYE:
        return eye_finish(into(&s->man.head, p));
    case STUFF_BEARD:
        return (finish){{0.16f, 0.14f, 0.12f}, {0.1f, 0.1f, 0.1f}, 0, 8, 0};
    case STUFF_CAP:
        return cap_finish(into(&s->man.cap, p));
    case STUFF_JERSEY:
        return (finish){{0.42f, 0.38f, 0.31f}, {0.12f, 0.12f, 0.12f}, 0, 8, 0.3f};
    case STUFF_BUTTON:
        return (finish){{0.05f, 0.035f, 0.025f}, {0, 0, 0}, 0.8f, 40, 0};
    default:
        return coat_finish(into(&s->man.body, p));
    }
}

static vec3 normal_at(const figure *man, stuff what, vec3 p)
{
    const float e = 0.006f;
    float d = figure_part(man, what, p);
    return unit(vec(figure_part(man, what, vec(p.x + e, p.y, p.z)) - d,
            figure_part(man, what, vec(p.x, p.y + e, p.z)) - d,
            figure_part(man, what, vec(p.x, p.y, p.z + e)) - d));
}

static vec3 roughened(stuff what, vec3 n, vec3 p)
{
    switch (what) {
    case STUFF_SKIN:
        return bumped(bumped(n, p, 100, 0.10f), p, 30, 0.05f);
    case STUFF_CAP:
    case STUFF_JERSEY:
        return bumped(n, p, 90, 0.35f);
    case STUFF_COAT:
        return bumped(n, p, 95, 0.35f);
    default:
        return n;
    }
}

/* Light of one lamp off the finish, without its colour. */
static vec3 lamp_share(const finish *look, vec3 n, vec3 way, vec3 to_eye, float free)
{
    float facing = dot(n, way);
    vec3 share = vec(0, 0, 0);
    float *out[3] = {&share.x, &share.y, &share.z};
    const float wrap[3] = {look->wrap.x, look->wrap.y, look->wrap.z};
    for (int i = 0; i < 3; i++) {
        float soft = clamp((facing + wrap[i]) / (1 + wrap[i]), 0, 1);
        *out[i] = soft * mix(free, sqrtf(free), 0.4f * wrap[i]);
    }
    share = mul(share, look->colour);
    vec3 half = unit(add(way, to_eye));
    float grazing = 1 - most(dot(way, half), 0);
    float mirror = 0.04f + 0.96f * grazing * grazing * grazing * grazing * grazing;
    float shine = powf(most(dot(n, half), 0), look->sharp) * (look->sharp + 8) / 25;
    float gloss = look->gloss * mirror * shine * most(facing, 0) * free;
    return add(share, vec(gloss, gloss, gloss));
}

static vec3 shade(const scene *s, vec3 p, vec3 to_eye, stuff what, vec3 n)
{
    finish look = finish_of(s, what, p);
    vec3 rough = roughened(what, n, p);
    float key_free = 0, rim_free = 0; /* a surface turned well away needs no asking */
    if (dot(n, s->key_way) > -0.3f)
        key_free =
                scene_shadow(s, p, s->key_way, 0.22f, 0.05f) * scene_hair_shadow(s, p, s->key_way);
    if (dot(n, s->rim_way) > -0.3f)
        rim_free = scene_shadow(s, along(p, n, 0.04f), s->rim_way, 0.2f, 0.05f);
    float open = scene_openness(s, p, n);
    vec3 sum = mul(scene_key(s, p), lamp_share(&look, rough, s->key_way, to_eye, key_free));
    sum = add(sum, mul(s->rim, lamp_share(&look, rough, s->rim_way, to_eye, rim_free)));
    if (what == STUFF_EYE) { /* the window in the wet of the eye */
        vec3 mirrored = along(scale(to_eye, -1), n, 2 * dot(to_eye, n));
        float pane = step_between(0.945f, 0.965f, dot(mirrored, s->key_way));
        sum = add(sum, scale(vec(1.5f, 1.5f, 1.5f), pane));
    }
    vec3 fill = scale(scene_fill(rough), open);
    sum = add(sum, mul(fill, look.colour));
    float edge = 1 - most(dot(n, to_eye), 0);
    float lit = 0.25f + 0.75f * key_free * clamp(dot(n, s->key_way) + 0.4f, 0, 1);
    return add(sum, scale(look.colour, look.fuzz * edge * edge * 2.0f * lit));
}

/* Where the ray meets the figure, or z < FRAME_FAR / 2. */
static vec3 meet(const scene *s, vec3 from, vec3 way)
{
    float t = (from.z - 1.6f) / -way.z;
    float end = (from.z + 1.6f) / -way.z;
    for (int i = 0; i < 120 && t < end; i++) {
        vec3 p = along(from, way, t);
        float d = field_read(&s->distance, p);
        if (d < 0.06f) {
            d = figure_distance(&s->man, p);
            if (d < 0.0015f)
                return p;
            d *= 0.75f;
        } else {
            d -= 0.035f;
        }
        t += d;
    }
    return vec(0, 0, FRAME_FAR);
}

static void draw_rows(void *payload, size_t first, size_t end)
{
    const drawing *draw = payload;
    const scene *s = draw->s;
    frame *f = draw->f;
    vec3 camera = frame_camera(f);
    for (size_t y = first; y < end; y++)
        for (int x = 0; x < f->width; x++) {
            size_t at = y * (size_t)f->width + (size_t)x;
            vec3 way = unit(sub(frame_point(f, (float)x + 0.5f, (float)y + 0.5f), camera));
            vec3 p = meet(s, camera, way);
            if (p.z < FRAME_FAR / 2)
                continue;
            stuff what = figure_stuff(&s->man, p);
            vec3 n = normal_at(&s->man, what, p);
            f->what[at] = (unsigned char)what;
            f->light[at] = shade(s, p, scale(way, -1), what, n);
            f->depth[at] = p.z;
        }
}

void skin_draw(frame *f, const scene *s, const tb_job *job)
{
    drawing draw = {s, f};
    tb_job_rows(job, (size_t)f->height, 8, draw_rows, &draw);
}
