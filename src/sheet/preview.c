/* sheet/preview.c: the piece as it will hang.
 *
 * Light falls from the upper left, the eye looks from there too: the walls of openings show along
 * their lower right, the shadow of the wood on the backer along their upper left. Seen so, the
 * board's thickness is a few pixels, and everything follows from one plane: how much of each pixel
 * is wood (drawn from the outline, smooth at any size).
 *
 *     wall of the room, with the piece's shadow
 *     backer, with the wood's shadow
 *     walls of the openings: wood seen along its thickness
 *     the face: wood, with its edges eased
 */
#include "sheet/picture.h"

#include "base/alloc.h"
#include "sheet/encode.h"
#include "sheet/look.h"
#include "sheet/paint.h"

#include <math.h>
#include <string.h>

/* Shares of the board's longer side. */
static const double BORDER_SHARE = 0.055;
/* What a thickness looks like from where the eye is; and how far shadows reach, in thicknesses. */
static const double WALL_SLOPE = 0.16, SHADOW_SLOPE = 0.42, HANG_SLOPE = 0.75;

typedef struct {
    int w, h;
    uint8_t *wood;  /* [h][w] share of wood */
    uint8_t *shade; /* [h][w] of it cast on the backer */
    uint8_t *hang;  /* [h][w] of the board cast on the room's wall */
} planes;

typedef struct {
    const tb_sheet_content *content;
    const tb_look *look;
    planes p;
    double scale;            /* px/mm */
    double board_x, board_y; /* px */
    int reach_px;            /* length of a wall */
    uint8_t *rgb;
    const tb_job *job;
    atomic_bool failed;
} scene;

static bool draw_wood(scene *s)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_A8, s->p.w, s->p.h);
    cairo_t *cr = cairo_create(surface);
    cairo_translate(cr, s->board_x, s->board_y);
    cairo_scale(cr, s->scale, s->scale);
    tb__paint_outline(cr, s->content->outline);
    cairo_fill(cr);
    cairo_surface_flush(surface);
    bool good = cairo_status(cr) == CAIRO_STATUS_SUCCESS;
    const uint8_t *from = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface);
    for (int y = 0; good && y < s->p.h; y++)
        memcpy(s->p.wood + (size_t)y * (size_t)s->p.w, from + (size_t)y * (size_t)stride,
                (size_t)s->p.w);
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    return good;
}

/* from moved by (dx, dy), 0 flowing in. */
static void shift(uint8_t *to, const uint8_t *from, int w, int h, int dx, int dy)
{
    memset(to, 0, (size_t)w * (size_t)h);
    for (int y = dy; y < h; y++)
        memcpy(to + (size_t)y * (size_t)w + dx, from + (size_t)(y - dy) * (size_t)w,
                (size_t)(w - dx));
}

/* 2^16 / width, rounded up: a sum of width bytes times this, shifted back, is their mean. */
static uint32_t mean_of(int width)
{
    return 65536 / (uint32_t)width + 1;
}

static void blur_row(uint8_t *row, uint8_t *old, int n, int radius)
{
    uint32_t sum = 0, mean = mean_of(2 * radius + 1);
    memcpy(old, row, (size_t)n);
    for (int i = 0; i < radius && i < n; i++)
        sum += old[i];
    for (int i = 0; i < n; i++) {
        sum += i + radius < n ? old[i + radius] : 0;
        row[i] = (uint8_t)(sum * mean >> 16);
        sum -= i - radius >= 0 ? old[i - radius] : 0;
    }
}

/* A running sum of whole rows, so that memory is walked along. */
static void blur_down(uint8_t *px, const uint8_t *old, uint32_t *sums, int w, int h, int radius)
{
    uint32_t mean = mean_of(2 * radius + 1);
    memset(sums, 0, (size_t)w * sizeof *sums);
    for (int y = -radius; y < h; y++) {
        const uint8_t *in = old + (size_t)(y + radius) * (size_t)w;
        const uint8_t *out = old + (size_t)(y - radius) * (size_t)w;
        uint8_t *row = px + (size_t)y * (size_t)w;
        for (int x = 0; x < w && y + radius < h; x++)
            sums[x] += in[x];
        for (int x = 0; x < w && y >= 0; x++)
            row[x] = (uint8_t)(sums[x] * mean >> 16);
        for (int x = 0; x < w && y - radius >= 0; x++)
            sums[x] -= out[x];
    }
}

/* Two passes of a box, which is near enough to a bell. */
static bool blur(uint8_t *px, int w, int h, int radius)
{
    size_t n = (size_t)w * (size_t)h;
    uint8_t *old = tb_malloc(n, 1);
    uint32_t *sums = tb_malloc((size_t)w, sizeof *sums);
    for (int pass = 0; old && sums && pass < 2 && radius > 0; pass++) {
        for (int y = 0; y < h; y++)
            blur_row(px + (size_t)y * (size_t)w, old, w, radius);
        memcpy(old, px, n);
        blur_down(px, old, sums, w, h, radius);
    }
    bool good = old && sums;
    tb_free(old);
    tb_free(sums);
    return good;
}

static bool cast(scene *s)
{
    double t = (s->content->thickness_mm > 0 ? s->content->thickness_mm : 6) * s->scale;
    int near = (int)lround(t * SHADOW_SLOPE), far = (int)lround(t * HANG_SLOPE);
    int w = s->p.w, h = s->p.h;
    near = near < 1 ? 1 : near > w / 8 ? w / 8 : near;
    far = far < 1 ? 1 : far > w / 8 ? w / 8 : far;
    s->reach_px = (int)fmax(1, lround(t * WALL_SLOPE));
    shift(s->p.shade, s->p.wood, w, h, near * 3 / 4, near);
    shift(s->p.hang, s->p.wood, w, h, far * 3 / 4, far);
    /* The board hangs as a whole: what is behind it is dark, openings or not. */
    for (int y = 0; y < h; y++) {
        double top = s->board_y + far, left = s->board_x + far * 0.75;
        double bottom = h - s->board_y + far, right = w - s->board_x + far * 0.75;
        if (y >= top && y < bottom)
            memset(s->p.hang + (size_t)y * (size_t)w + (size_t)left, 255,
                    (size_t)(fmin(right, w) - left));
    }
    return blur(s->p.shade, w, h, near / 4) && blur(s->p.hang, w, h, far / 2 + 1);
}

typedef struct {
    float r, g, b;
} tint;

static tint blend(tint a, tint b, float share)
{
    return (tint){a.r + (b.r - a.r) * share, a.g + (b.g - a.g) * share, a.b + (b.b - a.b) * share};
}

static tint times(tint a, float light)
{
    return (tint){a.r * light, a.g * light, a.b * light};
}

static uint8_t to_byte(float v)
{
    return v <= 0 ? 0 : v >= 1 ? 255 : (uint8_t)(v * 255 + 0.5F);
}

/* How far down its thickness wood is met, 0 at the face … 1 at the back, when looking into an
 * opening; 2 when it is not. *share tells how much of the pixel it fills. */
static float wall_depth(const scene *s, int x, int y, float *share)
{
    int steps = s->reach_px * 2;
    *share = 0;
    float depth = 2;
    for (int i = 1; i <= steps; i++) {
        int wx = x + (i * 3 + 3) / 8, wy = y + i / 2;
        if (wx >= s->p.w || wy >= s->p.h)
            break;
        float wood = (float)s->p.wood[(size_t)wy * (size_t)s->p.w + (size_t)wx] / 255;
        if (wood > *share) {
            if (*share < 0.5F)
                depth = (float)i / (float)steps;
            *share = wood;
        }
    }
    return depth;
}

/* Slope of the eased edge towards the light: above 0 it shines. */
static float edge_light(const scene *s, int x, int y)
{
    int w = s->p.w, h = s->p.h;
    if (x < 1 || y < 1 || x + 1 >= w || y + 1 >= h)
        return 0;
    const uint8_t *at = s->p.wood + (size_t)y * (size_t)w + (size_t)x;
    int across = at[1] - at[-1], down = at[w] - at[-w];
    int slant = at[w + 1] - at[-w - 1];
    return (float)(2 * across + 3 * down + 2 * slant) / (7 * 255.0F);
}

static bool on_board(const scene *s, int x, int y)
{
    return x >= s->board_x && y >= s->board_y && x < s->p.w - s->board_x && y < s->p.h - s->board_y;
}

static tint behind(const scene *s, int x, int y, size_t at)
{
    if (on_board(s, x, y)) {
        tint backer = {.150F, .135F, .128F};
        return times(backer, 1 - 0.72F * (float)s->p.shade[at] / 255);
    }
    tint wall = {.905F, .885F, .850F};
    float fall = 1.02F - 0.07F * ((float)x / (float)s->p.w + (float)y / (float)s->p.h) / 2;
    return times(wall, fall * (1 - 0.50F * (float)s->p.hang[at] / 255));
}

static tint pixel(const scene *s, int x, int y, tint wood)
{
    size_t at = (size_t)y * (size_t)s->p.w + (size_t)x;
    float face = (float)s->p.wood[at] / 255, share;
    tint under = behind(s, x, y, at);
    if (face < 1) {
        float depth = wall_depth(s, x, y, &share);
        if (share > 0)
            under = blend(under, times(wood, 0.90F - 0.36F * fminf(depth, 1)), share);
    }
    if (face <= 0)
        return under;
    float shine = edge_light(s, x, y);
    return blend(under, times(wood, 1 + 0.30F * shine), face);
}

static void paint_rows(void *payload, size_t first, size_t end)
{
    scene *s = payload;
    float *wood = tb_malloc((size_t)s->p.w * 3, sizeof *wood);
    if (!wood) {
        atomic_store(&s->failed, true);
        return;
    }
    for (size_t y = first; y < end && !tb_job_stopped(s->job); y++) {
        uint8_t *to = s->rgb + y * (size_t)s->p.w * 3;
        tb__look_row(wood, s->look, s->content->grain_rad, (0.5 - s->p.w / 2.0) / s->scale,
                ((double)y + 0.5 - s->p.h / 2.0) / s->scale, 1 / s->scale, s->p.w);
        for (int x = 0; x < s->p.w; x++, to += 3) {
            const float *here = wood + 3 * (size_t)x;
            tint c = pixel(s, x, (int)y, (tint){here[0], here[1], here[2]});
            to[0] = to_byte(c.r);
            to[1] = to_byte(c.g);
            to[2] = to_byte(c.b);
        }
    }
    tb_free(wood);
}

static void lay_out(scene *s, int longest_px)
{
    const tb_outline *o = s->content->outline;
    double longer = fmax(o->width_mm, o->height_mm);
    s->scale = longest_px / (longer * (1 + 2 * BORDER_SHARE));
    double border = BORDER_SHARE * longer * s->scale;
    s->p.w = (int)fmax(8, lround(o->width_mm * s->scale + 2 * border));
    s->p.h = (int)fmax(8, lround(o->height_mm * s->scale + 2 * border));
    s->board_x = (s->p.w - o->width_mm * s->scale) / 2;
    s->board_y = (s->p.h - o->height_mm * s->scale) / 2;
}

tb_status tb_preview_rgb(uint8_t **rgb, int *width_px, int *height_px,
        const tb_sheet_content *content, int longest_px, const tb_job *job, tb_error *err)
{
    *rgb = NULL;
    longest_px = longest_px <= 0     ? 1200
                 : longest_px < 64   ? 64
                 : longest_px > 4096 ? 4096
                                     : longest_px;
    scene s = {.content = content, .look = tb__look_find(content->species), .job = job};
    lay_out(&s, longest_px);
    size_t n = (size_t)s.p.w * (size_t)s.p.h;
    s.p.wood = tb_malloc(n, 1);
    s.p.shade = tb_malloc(n, 1);
    s.p.hang = tb_malloc(n, 1);
    s.rgb = tb_malloc(n, 3);
    bool good = s.p.wood && s.p.shade && s.p.hang && s.rgb && draw_wood(&s) && cast(&s);
    if (good)
        tb_job_rows(job, (size_t)s.p.h, 32, paint_rows, &s);
    good = good && !atomic_load(&s.failed);
    tb_free(s.p.wood);
    tb_free(s.p.shade);
    tb_free(s.p.hang);
    if (good && !tb_job_stopped(job)) {
        *rgb = s.rgb;
        *width_px = s.p.w;
        *height_px = s.p.h;
        return TB_OK;
    }
    tb_free(s.rgb);
    return good ? tb_fail_cancelled(err) : tb_fail_memory(err);
}

tb_status tb_preview_png(tb_bytes *out, const tb_sheet_content *content, int longest_px,
        const tb_job *job, tb_error *err)
{
    *out = (tb_bytes){0};
    tb_pixels pixels = {.bands = 3};
    uint8_t *rgb;
    tb_status status = tb_preview_rgb(
            &rgb, &pixels.width_px, &pixels.height_px, content, longest_px, job, err);
    if (status)
        return status;
    pixels.px = rgb;
    double longer = fmax(content->outline->width_mm, content->outline->height_mm);
    pixels.px_per_mm = fmax(pixels.width_px, pixels.height_px) / (longer * (1 + 2 * BORDER_SHARE));
    status = tb__encode_png(out, &pixels, err);
    tb_free(rgb);
    return status;
}
