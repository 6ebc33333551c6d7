/* sheet/preview.c: the piece as it will hang.
 *
 * Light falls from the upper left, the eye looks a little from the lower right: below and to the
 * right of all wood its thickness shows, in its own shade, and beyond that the shadow it casts on
 * the backer. Both follow from one plane, how much of each pixel is wood (drawn from the outline,
 * two by two for every pixel of the picture): walking from a place towards the light or away from
 * the eye, how soon is wood met?
 *
 *     wall of the room, with the piece's shadow
 *     backer, darker beside the wood and dark where it takes the light
 *     walls of the openings: wood seen along its thickness, layer by layer if it is plywood
 *     the face: wood, with its edges eased
 */
#include "sheet/preview.h"

#include "base/alloc.h"
#include "base/clones.h"
#include "sheet/look.h"
#include "sheet/paint.h"
#include "sheet/picture.h"
#include "sheet/shade.h"

#include <math.h>
#include <string.h>

const double TB_PREVIEW_BORDER_SHARE = 0.055;

/* What a thickness looks like from where the eye is; how far shadows reach, in thicknesses; and how
 * far aside for every step down. */
static const double WALL_REACH = 0.24, SHADOW_REACH = 0.85, HANG_REACH = 0.9;
static const double WALL_SLOPE = 0.55, SHADOW_SLOPE = 0.75;
static const double PLY_MM = 1.3;

typedef struct {
    float r, g, b;
} tint;

static const tint BACKER = {.185F, .172F, .165F}, ROOM = {.925F, .908F, .876F};

/* For two by two points of a pixel: how deep down its thickness wood is met. */
typedef struct {
    float face, side, side_light; /* shares of the pixel; and the side's mean light, times share */
} sample;

/* The board's shadow on the wall of the room is the product of one along x and one along y, and so
 * is drawn from this: [w] dark along x, and what y has of it. */
typedef struct {
    float *along;
    double by, soft; /* px */
    float weight;
} shadow;

typedef struct {
    const tb_sheet_content *content;
    tb_face face;
    int w, h;
    double scale;            /* px/mm */
    double board_x, board_y; /* px */
    double thick_px;
    bool on_paper;
    cairo_surface_t *cut;
    const uint8_t *wood; /* [2h][stride] share of wood */
    int stride;
    uint8_t *side; /* [2h][2w] as tb__shade_reach() has it */
    int reach;     /* of the walls, in those rows */
    float side_light[256];
    uint8_t *shade; /* [h][w] shadow on the backer */
    uint8_t *close; /* [h][w] wood nearby */
    shadow hung[2];
    uint8_t *rgb;
    const tb_job *job;
    atomic_bool failed;
} scene;

static bool draw_wood(scene *s)
{
    s->cut = cairo_image_surface_create(CAIRO_FORMAT_A8, 2 * s->w, 2 * s->h);
    cairo_t *cr = cairo_create(s->cut);
    cairo_translate(cr, 2 * s->board_x, 2 * s->board_y);
    cairo_scale(cr, 2 * s->scale, 2 * s->scale);
    tb__paint_outline(cr, s->content->outline);
    cairo_fill(cr);
    cairo_surface_flush(s->cut);
    bool good = cairo_status(cr) == CAIRO_STATUS_SUCCESS;
    s->wood = cairo_image_surface_get_data(s->cut);
    s->stride = cairo_image_surface_get_stride(s->cut);
    cairo_destroy(cr);
    return good;
}

/* The mean of two by two. */
static void shrink(uint8_t *to, const uint8_t *from, size_t stride, int w, int h)
{
    for (int y = 0; y < h; y++, to += w) {
        const uint8_t *up = from + 2 * (size_t)y * stride, *low = up + stride;
        for (int x = 0; x < w; x++)
            to[x] = (uint8_t)((up[2 * x] + up[2 * x + 1] + low[2 * x] + low[2 * x + 1]) / 4);
    }
}

/* Where the wood's shadow falls: the backer lies against its back, so the shadow begins there. */
static bool cast(scene *s)
{
    int w = 2 * s->w, h = 2 * s->h;
    int reach = (int)fmin(250, fmax(2, 2 * s->thick_px * SHADOW_REACH));
    uint8_t *far = s->side;
    tb__shade_reach(far, s->wood, s->stride, w, h, SHADOW_SLOPE);
    for (size_t i = 0; i < (size_t)w * (size_t)h; i++)
        far[i] = far[i] <= reach ? 255 : 0;
    shrink(s->shade, far, (size_t)w, s->w, s->h);
    shrink(s->close, s->wood, (size_t)s->stride, s->w, s->h);
    return tb__shade_blur(s->shade, s->w, s->h, reach / 12) &&
           tb__shade_blur(s->close, s->w, s->h, (int)fmin(s->thick_px, s->w / 8.0));
}

/* A wall is dark, darker the deeper; plywood shows its layers, every other one across the grain. */
static void light_sides(scene *s)
{
    const char *name = s->content->species;
    double thick = s->content->thickness_mm;
    int n_plies = name && strstr(name, "ply") && thick > 0 ? 2 * (int)(thick / PLY_MM / 2) + 1 : 1;
    s->reach = (int)fmin(250, fmax(2, 2 * s->thick_px * WALL_REACH));
    for (int i = 0; i <= s->reach; i++) {
        float deep = ((float)i - 0.5F) / (float)s->reach;
        int ply = (int)(fmaxf(deep, 0) * (float)n_plies);
        s->side_light[i] = (ply % 2 ? 0.86F : 1) * (0.66F - 0.24F * deep);
    }
}

/* 0 before from, 1 from to on, eased. */
static float rise(double v, double from, double to)
{
    double t = fmin(1, fmax(0, (v - from) / (to - from)));
    return (float)(t * t * (3 - 2 * t));
}

/* Cast by the lamp at the upper left: a wide one and a narrow one. They end within the picture. */
static bool hang(scene *s)
{
    double by = fmin(s->thick_px * HANG_REACH, 0.48 * fmin(s->board_x, s->board_y));
    s->hung[0] = (shadow){.by = by, .soft = by * 0.9, .weight = 0.42F};
    s->hung[1] = (shadow){.by = by * 0.4, .soft = by * 0.25, .weight = 0.30F};
    for (int i = 0; i < 2; i++) {
        shadow *h = &s->hung[i];
        double aside = h->by * SHADOW_SLOPE;
        double left = s->board_x + aside, right = s->w - s->board_x + aside;
        h->along = tb_malloc((size_t)s->w, sizeof *h->along);
        for (int x = 0; h->along && x < s->w; x++)
            h->along[x] = rise(x, left - h->soft, left + h->soft) *
                          (1 - rise(x, right - h->soft, right + h->soft));
    }
    return s->hung[0].along && s->hung[1].along;
}

static bool prepare(scene *s)
{
    if (!draw_wood(s) || !cast(s) || !hang(s))
        return false;
    tb__shade_reach(s->side, s->wood, s->stride, 2 * s->w, 2 * s->h, WALL_SLOPE);
    light_sides(s);
    return true;
}

static tint times(tint a, float light)
{
    return (tint){a.r * light, a.g * light, a.b * light};
}

static inline uint8_t to_byte(float v)
{
    v = v > 0 ? v : 0;
    return (uint8_t)((v < 1 ? v : 1) * 255 + 0.5F);
}

static sample sample_at(const scene *s, int x, int y)
{
    sample sum = {0};
    for (int k = 0; k < 4; k++) {
        size_t sx = 2 * (size_t)x + (size_t)(k & 1), sy = 2 * (size_t)y + (size_t)(k >> 1);
        float wood = (float)s->wood[sy * (size_t)s->stride + sx] / 255;
        int rows = s->side[sy * 2 * (size_t)s->w + sx];
        sum.face += wood / 4;
        if (rows <= s->reach) {
            sum.side += (1 - wood) / 4;
            sum.side_light += (1 - wood) / 4 * s->side_light[rows];
        }
    }
    return sum;
}

/* What a row of the picture is painted with. */
typedef struct {
    int y;
    float *wood;      /* [3][w] */
    float *lamp;      /* [w] how bright the light is: the lamp hangs at the upper left */
    float *edge;      /* [w] slope of the eased edge towards the light: above 0 it shines */
    float dark[2][2]; /* of the board's shadows: where they begin, where they end */
} row;

static void light_row(row *r, const scene *s)
{
    const uint8_t *at = s->wood + 2 * (size_t)r->y * (size_t)s->stride;
    const uint8_t *above = at - s->stride, *below = at + 2 * (ptrdiff_t)s->stride;
    bool inside = r->y >= 1 && r->y + 1 < s->h;
    float down = (float)r->y / (float)s->h * 0.6F;
    for (int x = 0; x < s->w; x++)
        r->lamp[x] = 1.06F - 0.13F * ((float)x / (float)s->w * 0.4F + down);
    memset(r->edge, 0, (size_t)s->w * sizeof *r->edge);
    for (int x = 1; inside && x + 1 < s->w; x++)
        r->edge[x] = (float)(below[2 * x + 2] + at[2 * x + 2] + below[2 * x] - above[2 * x - 1] -
                             above[2 * x] - at[2 * x - 1]) /
                     (3 * 255.0F);
    for (int i = 0; i < 2; i++) {
        const shadow *h = &s->hung[i];
        double top = s->board_y + h->by, bottom = s->h - s->board_y + h->by;
        r->dark[i][0] = rise(r->y, top - h->soft, top + h->soft);
        r->dark[i][1] = 1 - rise(r->y, bottom - h->soft, bottom + h->soft);
    }
}

/* All of the row as if it were the face of wood. */
TB_CLONES static void paint_face(uint8_t *restrict to, const row *r, int n)
{
    for (int k = 0; k < 3; k++) {
        const float *restrict wood = r->wood + (size_t)k * (size_t)n;
        const float *restrict lamp = r->lamp, *restrict edge = r->edge;
        for (int x = 0; x < n; x++)
            to[3 * x + k] = to_byte(wood[x] * lamp[x] * (1 + 0.22F * edge[x]));
    }
}

static bool is_face(const scene *s, int x, int y)
{
    const uint8_t *at = s->wood + 2 * (size_t)y * (size_t)s->stride + 2 * (size_t)x;
    return (at[0] & at[1] & at[s->stride] & at[s->stride + 1]) == 255;
}

static bool on_board(const scene *s, int x, int y)
{
    return x >= s->board_x && y >= s->board_y && x < s->w - s->board_x && y < s->h - s->board_y;
}

static tint behind(const scene *s, const row *r, int x)
{
    size_t at = (size_t)r->y * (size_t)s->w + (size_t)x;
    if (on_board(s, x, r->y)) {
        float close = (float)s->close[at] / 255, shade = (float)s->shade[at] / 255;
        return times(BACKER, r->lamp[x] * (1 - 0.35F * close) * (1 - 0.66F * shade));
    }
    tint wall = s->on_paper ? (tint){1, 1, 1} : times(ROOM, r->lamp[x]);
    float dark = 0;
    for (int i = 0; i < 2; i++)
        dark += s->hung[i].weight * (s->hung[i].along[x] * r->dark[i][0] * r->dark[i][1]);
    return times(wall, 1 - dark);
}

/* Where not all is face: what is seen past it, and the walls. */
static tint pixel(const scene *s, const row *r, int x)
{
    const float *at = r->wood + x;
    tint wood = times((tint){at[0], at[s->w], at[2 * s->w]}, r->lamp[x]);
    sample here = sample_at(s, x, r->y);
    tint face = times(wood, (1 + 0.22F * r->edge[x]) * here.face);
    tint under = times(behind(s, r, x), fmaxf(0, 1 - here.face - here.side));
    tint side = times(wood, here.side_light);
    return (tint){face.r + side.r + under.r, face.g + side.g * 0.95F + under.g,
            face.b + side.b * 0.86F + under.b};
}

static void paint_row(const scene *s, row *r)
{
    uint8_t *to = s->rgb + (size_t)r->y * (size_t)s->w * 3;
    tb__face_row(r->wood, &s->face, (0.5 - s->w / 2.0) / s->scale,
            ((double)r->y + 0.5 - s->h / 2.0) / s->scale, 1 / s->scale, s->w);
    light_row(r, s);
    paint_face(to, r, s->w);
    for (int x = 0; x < s->w; x++) {
        if (is_face(s, x, r->y))
            continue;
        tint c = pixel(s, r, x);
        to[3 * x] = to_byte(c.r);
        to[3 * x + 1] = to_byte(c.g);
        to[3 * x + 2] = to_byte(c.b);
    }
}

static void paint_rows(void *payload, size_t first, size_t end)
{
    scene *s = payload;
    size_t w = (size_t)s->w;
    float *floats = tb_malloc(w * 5, sizeof *floats);
    if (!floats) {
        atomic_store(&s->failed, true);
        return;
    }
    for (size_t y = first; y < end && !tb_job_stopped(s->job); y++)
        paint_row(s, &(row){(int)y, floats, floats + 3 * w, floats + 4 * w, {{0}}});
    tb_free(floats);
}

static void lay_out(scene *s, int longest_px)
{
    const tb_outline *o = s->content->outline;
    double longer = fmax(o->width_mm, o->height_mm);
    longest_px = longest_px <= 0     ? 1200
                 : longest_px < 64   ? 64
                 : longest_px > 4096 ? 4096
                                     : longest_px;
    s->scale = longest_px / (longer * (1 + 2 * TB_PREVIEW_BORDER_SHARE));
    double border = TB_PREVIEW_BORDER_SHARE * longer * s->scale;
    s->w = (int)fmax(8, lround(o->width_mm * s->scale + 2 * border));
    s->h = (int)fmax(8, lround(o->height_mm * s->scale + 2 * border));
    s->board_x = (s->w - o->width_mm * s->scale) / 2;
    s->board_y = (s->h - o->height_mm * s->scale) / 2;
    s->thick_px = (s->content->thickness_mm > 0 ? s->content->thickness_mm : 6) * s->scale;
}

tb_status tb__preview(uint8_t **rgb, tb_pixels *pixels, const tb_sheet_content *content,
        int longest_px, bool on_paper, const tb_job *job, tb_error *err)
{
    scene s = {.content = content,
            .face = tb__face_of(tb__look_find(content->species), content->grain_rad),
            .on_paper = on_paper,
            .job = job};
    *rgb = NULL;
    *pixels = (tb_pixels){.bands = 3};
    lay_out(&s, longest_px);
    size_t n = (size_t)s.w * (size_t)s.h;
    s.side = tb_malloc(n, 4);
    s.shade = tb_malloc(n, 1);
    s.close = tb_malloc(n, 1);
    s.rgb = tb_malloc(n, 3);
    bool good = s.side && s.shade && s.close && s.rgb && prepare(&s);
    if (good)
        tb_job_rows(job, (size_t)s.h, 32, paint_rows, &s);
    good = good && !atomic_load(&s.failed);
    if (s.cut)
        cairo_surface_destroy(s.cut);
    tb_free(s.side);
    tb_free(s.shade);
    tb_free(s.close);
    tb_free(s.hung[0].along);
    tb_free(s.hung[1].along);
    if (!good || tb_job_stopped(job)) {
        tb_free(s.rgb);
        return good ? tb_fail_cancelled(err) : tb_fail_memory(err);
    }
    *rgb = s.rgb;
    *pixels = (tb_pixels){s.rgb, s.w, s.h, 3, s.scale};
    return TB_OK;
}

tb_status tb_preview_rgb(uint8_t **rgb, int *width_px, int *height_px,
        const tb_sheet_content *content, int longest_px, const tb_job *job, tb_error *err)
{
    tb_pixels pixels;
    tb_status status = tb__preview(rgb, &pixels, content, longest_px, false, job, err);
    *width_px = pixels.width_px;
    *height_px = pixels.height_px;
    return status;
}

tb_status tb_preview_png(tb_bytes *out, const tb_sheet_content *content, int longest_px,
        const tb_job *job, tb_error *err)
{
    uint8_t *rgb;
    tb_pixels pixels;
    *out = (tb_bytes){0};
    tb_status status = tb__preview(&rgb, &pixels, content, longest_px, false, job, err);
    if (!status)
        status = tb__encode_png(out, &pixels, err);
    tb_free(rgb);
    return status;
}
