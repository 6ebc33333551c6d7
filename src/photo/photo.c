/* photo/photo.c: see photo.h.
 *
 * libvips decodes and manages colour as a stream of strips, so that a photograph is never held
 * whole unless its kind demands it; each row goes straight into the shrinking sum (sample.h) in
 * the orientation it is stored in. What comes out is as small as the plane wanted, and only that
 * is turned upright.
 */
#include "photo/photo.h"

#include "base/alloc.h"
#include "base/num.h"
#include "photo/plain_png.h"
#include "photo/profile.h"
#include "photo/sample.h"

#include <gmodule.h>
#include <inttypes.h>
#include <math.h>
#include <string.h>
#include <threads.h>
#include <vips/vips.h>

enum { LEAST_SIDE_PX = 16 };

typedef enum { KIND_JPEG, KIND_PNG, KIND_TIFF, KIND_WEBP, KIND_HEIC, N_KINDS } kind;

static const char *const KIND_NAMES[N_KINDS] = {"jpeg", "png", "tiff", "webp", "heic"};
static const char *const KIND_WORDS[N_KINDS] = {"JPEG", "PNG", "TIFF", "WebP", "HEIC"};

static void drop_log_cb(
        const gchar *domain, GLogLevelFlags level, const gchar *message, gpointer payload)
{
    (void)domain;
    (void)level;
    (void)message;
    (void)payload;
}

/* libvips takes long to start, so that is put off until a picture needs it. */
static int n_threads_wanted = 1;
static once_flag start_once = ONCE_FLAG_INIT;
static bool started;

static void start_library(void)
{
    static const char *const OPEN[N_KINDS] = {"VipsForeignLoadJpeg", "VipsForeignLoadPng",
            "VipsForeignLoadTiff", "VipsForeignLoadWebp", "VipsForeignLoadHeif"};
    /* What decoders mumble is told by our own one line. */
    g_log_set_handler("VIPS",
            G_LOG_LEVEL_WARNING | G_LOG_LEVEL_MESSAGE | G_LOG_LEVEL_INFO | G_LOG_LEVEL_DEBUG,
            drop_log_cb, NULL);
    if (VIPS_INIT("tombolo") != 0)
        return;
    vips_operation_block_set("VipsForeignLoad", TRUE);
    for (int i = 0; i < N_KINDS; i++)
        vips_operation_block_set(OPEN[i], FALSE);
    /* Nothing is ever asked for twice, and a kept operation would keep the file's bytes. */
    vips_cache_set_max(0);
    vips_concurrency_set(n_threads_wanted);
    started = true;
}

/* libvips keeps its HEIC loader in a module of its own, which is loaded when such a file comes. */
static once_flag heic_once = ONCE_FLAG_INIT;

static void load_heic_module(void)
{
    char path[256];
    if (vips_type_find("VipsOperation", "heifload_buffer"))
        return;
    g_snprintf(path, sizeof path, "%s/vips-modules-%d.%d/vips-heif.so", TB_VIPS_LIBDIR,
            vips_version(0), vips_version(1));
    GModule *module = g_module_open(path, G_MODULE_BIND_LAZY);
    if (module)
        g_module_make_resident(module);
    vips_operation_block_set("VipsForeignLoadHeif", FALSE);
}

tb_status tb_photo_start(int n_threads, tb_error *err)
{
    if (n_threads < 1)
        return tb_fail(err, TB_EINVAL, "%d threads can't read pictures", n_threads);
    n_threads_wanted = n_threads;
    /* Looks for modules where none are: those of other kinds would cost more time than all the
     * rest of starting, and what is not loaded needs no blocking. */
    g_setenv("VIPSHOME", "/nonexistent", TRUE);
    return TB_OK;
}

void tb_photo_stop(void)
{
    if (started)
        vips_shutdown();
}

/* Told by the first bytes; N_KINDS when it is none of ours. */
static kind kind_of(const uint8_t *bytes, size_t n)
{
    static const char *const HEIC_BRANDS[] = {"heic", "heix", "heim", "heis", "hevc", "mif1"};
    if (n >= 3 && memcmp(bytes, "\xff\xd8\xff", 3) == 0)
        return KIND_JPEG;
    if (n >= 8 && memcmp(bytes, "\x89PNG\r\n\x1a\n", 8) == 0)
        return KIND_PNG;
    if (n >= 4 && (memcmp(bytes, "II*\0", 4) == 0 || memcmp(bytes, "MM\0*", 4) == 0 ||
                          memcmp(bytes, "II+\0", 4) == 0 || memcmp(bytes, "MM\0+", 4) == 0))
        return KIND_TIFF;
    if (n >= 12 && memcmp(bytes, "RIFF", 4) == 0 && memcmp(bytes + 8, "WEBP", 4) == 0)
        return KIND_WEBP;
    for (size_t i = 0; n >= 12 && i < sizeof HEIC_BRANDS / sizeof HEIC_BRANDS[0]; i++)
        if (memcmp(bytes + 4, "ftyp", 4) == 0 && memcmp(bytes + 8, HEIC_BRANDS[i], 4) == 0)
            return KIND_HEIC;
    return N_KINDS;
}

static tb_status fail_damaged(tb_error *err, kind k)
{
    vips_error_clear();
    return tb_fail(
            err, TB_EREAD, "this %s file is damaged or cut off; get a fresh copy", KIND_WORDS[k]);
}

/* Reads the header only; pixels are decoded as they are asked for. shrink is for JPEG alone. */
static VipsImage *open_picture(kind k, const uint8_t *bytes, size_t n, int shrink)
{
    /* The decoders only read, but their interface takes a plain pointer. */
    void *data = (void *)(uintptr_t)bytes;
    VipsImage *image = NULL;
#define COMMON "access", VIPS_ACCESS_SEQUENTIAL, "fail_on", VIPS_FAIL_ON_ERROR, NULL
    switch (k) {
    case KIND_JPEG:
        vips_jpegload_buffer(data, n, &image, "shrink", shrink, COMMON);
        break;
    case KIND_PNG:
        vips_pngload_buffer(data, n, &image, COMMON);
        break;
    case KIND_TIFF:
        vips_tiffload_buffer(data, n, &image, COMMON);
        break;
    case KIND_WEBP:
        vips_webpload_buffer(data, n, &image, COMMON);
        break;
    case KIND_HEIC:
        call_once(&heic_once, load_heic_module);
        vips_heifload_buffer(data, n, &image, COMMON);
        break;
    case N_KINDS:
        break;
    }
#undef COMMON
    return image;
}

static tb_status check_size(int64_t w, int64_t h, tb_error *err)
{
    if (w > TB_SIDE_MAX_PX || h > TB_SIDE_MAX_PX || (double)w * h > TB_AREA_MAX_PX)
        return tb_fail(err, TB_EREAD,
                "claims %" PRId64 " x %" PRId64
                " pixels, more than is read (%d a side, %d million in all)",
                w, h, TB_SIDE_MAX_PX, TB_AREA_MAX_PX / 1000000);
    if (w < LEAST_SIDE_PX || h < LEAST_SIDE_PX)
        return tb_fail(err, TB_EREAD,
                "%" PRId64 " x %" PRId64 " pixels are too few; give at least %d a side", w, h,
                LEAST_SIDE_PX);
    return TB_OK;
}

/* A fax has twice as many pixels to the inch across as down, or thereabouts, and says so: its
 * pixels are made square. */
static bool make_square(VipsImage **image, kind k)
{
    double across = (*image)->Xres, down = (*image)->Yres, most = across > down ? across : down;
    VipsImage *out = NULL, *told = NULL;
    if (k != KIND_TIFF || !vips_image_get_typeof(*image, VIPS_META_RESOLUTION_UNIT) ||
            !(across > 1 && down > 1) || fabs(across / down - 1) < 0.02 || across > 3 * down ||
            down > 3 * across)
        return true;
    if (vips_resize(*image, &out, most / across, "vscale", most / down, "kernel",
                VIPS_KERNEL_LINEAR, NULL) != 0)
        return false;
    int failed = vips_copy(out, &told, "xres", most, "yres", most, NULL);
    g_object_unref(out);
    if (failed)
        return false;
    g_object_unref(*image);
    *image = told;
    return true;
}

/* Tells the kind, reads the header and checks what it claims. */
static tb_status open_checked(
        VipsImage **out, kind *k, const uint8_t *bytes, size_t n, tb_error *err)
{
    *out = NULL;
    *k = kind_of(bytes, n);
    if (*k == N_KINDS)
        return tb_fail(err, TB_EREAD,
                "this is no JPEG, PNG, TIFF, WebP or HEIC picture, whatever its name says");
    call_once(&start_once, start_library);
    if (!started)
        return tb_fail(err, TB_EREAD, "the picture library (libvips) can't be started");
    VipsImage *image = open_picture(*k, bytes, n, 1);
    if (!image)
        return fail_damaged(err, *k);
    tb_status status = check_size(image->Xsize, image->Ysize, err);
    if (!status && !make_square(&image, *k))
        status = fail_damaged(err, *k);
    if (!status)
        status = check_size(image->Xsize, image->Ysize, err);
    if (status)
        g_object_unref(image);
    else
        *out = image;
    return status;
}

static double density_of(const VipsImage *image, kind k, const uint8_t *bytes, size_t n)
{
    /* libvips reports the same whether a PNG says anything or not. */
    tb__png png;
    if (k == KIND_PNG)
        return tb__png_look(&png, bytes, n) ? png.px_per_mm : 0;
    /* Set by libvips only where the file says so. */
    if (!vips_image_get_typeof(image, VIPS_META_RESOLUTION_UNIT))
        return 0;
    return tb__density(image->Xres, image->Yres);
}

tb_status tb_photo_look(tb_photo_info *info, const uint8_t *bytes, size_t n_bytes, tb_error *err)
{
    VipsImage *image;
    kind k;
    *info = (tb_photo_info){0};
    tb_status status = open_checked(&image, &k, bytes, n_bytes, err);
    if (status)
        return status;
    bool swap = tb__turn_of(vips_image_get_orientation(image)).swap;
    info->width_px = swap ? image->Ysize : image->Xsize;
    info->height_px = swap ? image->Xsize : image->Ysize;
    info->px_per_mm = density_of(image, k, bytes, n_bytes);
    strcpy(info->format, KIND_NAMES[k]);
    g_object_unref(image);
    return TB_OK;
}

/* Replaces *image by what a step made of it; leaves it when the step failed. */
static bool step(VipsImage **image, VipsImage *result, int failed)
{
    if (failed)
        return false;
    g_object_unref(*image);
    *image = result;
    return true;
}

static bool is_grey(VipsInterpretation space)
{
    return space == VIPS_INTERPRETATION_B_W || space == VIPS_INTERPRETATION_GREY16;
}

static bool is_rgb(VipsInterpretation space)
{
    return space == VIPS_INTERPRETATION_sRGB || space == VIPS_INTERPRETATION_RGB16;
}

/* To sRGB or its grey, 8 or 16 bits. A profile that makes no sense is passed over: the picture
 * looks a little off then, but it is there. */
static bool to_srgb(VipsImage **image)
{
    VipsImage *out = NULL;
    VipsInterpretation space = vips_image_guess_interpretation(*image);
    bool deep = (*image)->BandFmt != VIPS_FORMAT_UCHAR;
    bool profiled = is_grey(space) || is_rgb(space) || space == VIPS_INTERPRETATION_CMYK;
    if (profiled && vips_image_get_typeof(*image, VIPS_META_ICC_NAME)) {
        int failed = vips_icc_transform(
                *image, &out, "srgb", "embedded", TRUE, "depth", deep ? 16 : 8, NULL);
        if (step(image, out, failed))
            return true;
        vips_error_clear();
    }
    bool plain = is_grey(space) || is_rgb(space);
    if (plain && (!deep || (*image)->BandFmt == VIPS_FORMAT_USHORT))
        return true;
    int failed = vips_colourspace(*image, &out,
            deep ? VIPS_INTERPRETATION_RGB16 : VIPS_INTERPRETATION_sRGB, "source_space", space,
            NULL);
    return step(image, out, failed);
}

static bool over_white(VipsImage **image)
{
    if (!vips_image_hasalpha(*image))
        return true;
    double most = (*image)->BandFmt == VIPS_FORMAT_USHORT ? 65535 : 255;
    VipsArrayDouble *white = vips_array_double_new(&most, 1);
    VipsImage *out = NULL;
    int failed = vips_flatten(*image, &out, "background", white, "max_alpha", most, NULL);
    vips_area_unref(VIPS_AREA(white));
    return step(image, out, failed);
}

typedef struct {
    tb__shrink *shrink;
    const tb_job *job;
} sink;

/* Strips come in order, from a thread of libvips, one at a time. */
static int take_strip_cb(VipsRegion *region, VipsRect *area, void *payload)
{
    sink *s = payload;
    for (int y = area->top; y < area->top + area->height; y++) {
        if (tb_job_stopped(s->job))
            return -1;
        tb__shrink_row(s->shrink, VIPS_REGION_ADDR(region, area->left, y));
    }
    return 0;
}

/* Where rows of grey go, in the orientation they are stored in. opaque: NULL without alpha. */
typedef struct {
    uint8_t *px, *opaque;
    int width_px, bands;
    bool deep;
    const tb_job *job;
} grey_sink;

static void grey_row(uint8_t *out, const void *row, size_t width, int bands, bool deep)
{
    const uint8_t *px = row;
    const uint16_t *px16 = row;
    if (!deep && bands == 1)
        memcpy(out, px, width);
    else if (!deep)
        tb__grey_of_rgb(out, px, width);
    else if (bands == 1)
        for (size_t x = 0; x < width; x++)
            out[x] = (uint8_t)(px16[x] >> 8);
    else
        for (size_t x = 0; x < width; x++) {
            uint8_t rgb[3] = {(uint8_t)(px16[3 * x] >> 8), (uint8_t)(px16[3 * x + 1] >> 8),
                    (uint8_t)(px16[3 * x + 2] >> 8)};
            tb__grey_of_rgb(out + x, rgb, 1);
        }
}

/* The last band is alpha. */
static void grey_alpha_row(
        uint8_t *out, uint8_t *opaque, const void *row, size_t width, int bands, bool deep)
{
    const uint8_t *px = row;
    const uint16_t *px16 = row;
    for (size_t x = 0; x < width; x++) {
        uint8_t value[4] = {0};
        for (int i = 0; i < bands; i++) {
            size_t at = x * (size_t)bands + (size_t)i;
            value[i] = deep ? (uint8_t)(px16[at] >> 8) : px[at];
        }
        out[x] = value[0];
        if (bands == 4)
            tb__grey_of_rgb(out + x, value, 1);
        opaque[x] = value[bands - 1];
    }
}

static int take_grey_cb(VipsRegion *region, VipsRect *area, void *payload)
{
    grey_sink *s = payload;
    for (int y = area->top; y < area->top + area->height; y++) {
        if (tb_job_stopped(s->job))
            return -1;
        const void *row = VIPS_REGION_ADDR(region, area->left, y);
        size_t width = (size_t)s->width_px, at = (size_t)y * width;
        if (s->opaque)
            grey_alpha_row(s->px + at, s->opaque + at, row, width, s->bands, s->deep);
        else
            grey_row(s->px + at, row, width, s->bands, s->deep);
    }
    return 0;
}

/* Sets a stored picture of width x height upright. */
static uint8_t *grey_upright(const uint8_t *stored, int width, int height, tb__turn turn)
{
    uint8_t *upright = tb_malloc((size_t)width * (size_t)height, 1);
    int across = turn.swap ? height : width, down = turn.swap ? width : height;
    for (int y = 0; upright && y < down; y++)
        for (int x = 0; x < across; x++) {
            int from_x = turn.swap ? y : x, from_y = turn.swap ? x : y;
            from_x = turn.flip_x ? width - 1 - from_x : from_x;
            from_y = turn.flip_y ? height - 1 - from_y : from_y;
            upright[(size_t)y * (size_t)across + (size_t)x] =
                    stored[(size_t)from_y * (size_t)width + (size_t)from_x];
        }
    return upright;
}

/* Whether what is opaque is light where it ends: then what is clear has to be dark, to be seen. */
static bool is_light_on_clear(const grey_sink *s, size_t height)
{
    enum { BESIDE = 3, SOLID = 250, CLEAR = 5, MIDDLE = 128 };
    size_t width = (size_t)s->width_px, n = 0, n_light = 0;
    for (size_t y = BESIDE; y + BESIDE < height; y++)
        for (size_t at = y * width + BESIDE; at + BESIDE < (y + 1) * width; at++) {
            const uint8_t *o = s->opaque + at, *above = o - BESIDE * width,
                          *below = o + BESIDE * width;
            if (*o < SOLID ||
                    (o[-BESIDE] > CLEAR && o[BESIDE] > CLEAR && *above > CLEAR && *below > CLEAR))
                continue;
            n++;
            n_light += s->px[at] >= MIDDLE;
        }
    return 2 * n_light > n;
}

static void lay_over(grey_sink *s, size_t area, int ground)
{
    for (size_t i = 0; i < area; i++)
        s->px[i] = (uint8_t)((s->px[i] * s->opaque[i] + ground * (255 - s->opaque[i]) + 127) / 255);
}

/* Decodes all of an image, as stored. */
static tb_status decode_grey(uint8_t **out, bool *light_on_clear, VipsImage **image, kind k,
        const tb_job *job, tb_error *err)
{
    VipsInterpretation space = vips_image_guess_interpretation(*image);
    bool plain =
            (is_grey(space) || is_rgb(space)) &&
            ((*image)->BandFmt == VIPS_FORMAT_UCHAR || (*image)->BandFmt == VIPS_FORMAT_USHORT);
    if (!plain && !to_srgb(image))
        return fail_damaged(err, k);
    bool deep = (*image)->BandFmt == VIPS_FORMAT_USHORT, clear = vips_image_hasalpha(*image);
    int bands = (*image)->Bands, colours = bands - clear;
    if (colours != 1 && colours != 3)
        return fail_damaged(err, k);
    size_t area = (size_t)(*image)->Xsize * (size_t)(*image)->Ysize;
    grey_sink s = {tb_malloc(area, 1), clear ? tb_malloc(area, 1) : NULL, (*image)->Xsize, bands,
            deep, job};
    tb_status status = s.px && (s.opaque || !clear) ? TB_OK : tb_fail_memory(err);
    if (!status && vips_sink_disc(*image, take_grey_cb, &s) != 0) {
        vips_error_clear();
        status = tb_job_stopped(job) ? tb_fail_cancelled(err) : fail_damaged(err, k);
    }
    if (!status && clear) {
        *light_on_clear = is_light_on_clear(&s, (size_t)(*image)->Ysize);
        lay_over(&s, area, *light_on_clear ? 0 : 255);
    }
    tb_free(s.opaque);
    if (status)
        tb_free(s.px);
    else
        *out = s.px;
    return status;
}

static tb_status plain_png_grey(uint8_t **grey, tb_photo_info *info, const tb__png *png,
        const uint8_t *bytes, size_t n_bytes, const tb_job *job, tb_error *err)
{
    tb_status status = check_size(png->width_px, png->height_px, err);
    if (status)
        return status;
    *info = (tb_photo_info){(int)png->width_px, (int)png->height_px, png->px_per_mm, "png", false};
    uint8_t *px = tb_malloc((size_t)png->width_px * png->height_px, 1);
    status = px ? tb__png_grey(px, png, bytes, n_bytes, job, err) : tb_fail_memory(err);
    if (status)
        tb_free(px);
    else
        *grey = px;
    return status;
}

tb_status tb_photo_grey(uint8_t **grey, tb_photo_info *info, const uint8_t *bytes, size_t n_bytes,
        const tb_job *job, tb_error *err)
{
    VipsImage *image;
    kind k;
    tb__png png;
    *grey = NULL;
    if (kind_of(bytes, n_bytes) == KIND_PNG && tb__png_look(&png, bytes, n_bytes) && png.plain)
        return plain_png_grey(grey, info, &png, bytes, n_bytes, job, err);
    tb_status status = tb_photo_look(info, bytes, n_bytes, err);
    if (!status)
        status = open_checked(&image, &k, bytes, n_bytes, err);
    if (status)
        return status;
    tb__turn turn = tb__turn_of(vips_image_get_orientation(image));
    int width = image->Xsize, height = image->Ysize;
    status = decode_grey(grey, &info->light_on_clear, &image, k, job, err);
    if (!status && (turn.swap || turn.flip_x || turn.flip_y)) {
        uint8_t *stored = *grey;
        *grey = grey_upright(stored, width, height, turn);
        tb_free(stored);
        if (!*grey)
            status = tb_fail_memory(err);
    }
    g_object_unref(image);
    return status;
}

typedef struct {
    double x, y, w, h;
} rect;

/* Decodes the part (in pixels of the image) into plane. Takes the image. */
static tb_status decode(
        tb_plane *plane, VipsImage *image, kind k, rect part, const tb_job *job, tb_error *err)
{
    int left = (int)part.x, top = (int)part.y;
    int width = (int)ceil(part.x + part.w - 1e-6) - left;
    int height = (int)ceil(part.y + part.h - 1e-6) - top;
    sink s = {.job = job};
    VipsImage *cut = NULL;
    tb_status status = TB_OK;
    tb__profile profile;
    bool by_tables = image->Bands == 3 && tb__profile_read(&profile, image);
    bool good = by_tables ||
                (to_srgb(&image) && over_white(&image) && (image->Bands == 1 || image->Bands == 3));
    if (good) {
        int failed = vips_extract_area(image, &cut, left, top, width, height, NULL);
        good = step(&image, cut, failed);
    }
    if (!good) {
        status = fail_damaged(err, k);
        goto out;
    }
    tb__shrink_options options = {part.x - left, part.y - top, part.w, part.h, image->Bands,
            image->BandFmt == VIPS_FORMAT_USHORT ? 16 : 8, width, height,
            by_tables ? profile.light[0] : NULL};
    status = tb__shrink_new(&s.shrink, plane, &options, err);
    if (!status && vips_sink_disc(image, take_strip_cb, &s) != 0)
        status = tb_job_stopped(job) ? tb_fail_cancelled(err) : fail_damaged(err, k);
out:
    vips_error_clear();
    tb__shrink_free(s.shrink);
    g_object_unref(image);
    return status;
}

/* JPEG decodes at a half, a quarter or an eighth for less: as small as still holds the plane. */
static int shrink_on_load(kind k, double ratio)
{
    return k != KIND_JPEG || ratio < 2 ? 1 : ratio < 4 ? 2 : ratio < 8 ? 4 : 8;
}

/* The part of the upright photograph to decode, and the size to decode it to. */
typedef struct {
    rect part;
    int width_px, height_px;
    bool resample; /* a second step, by interpolation, is needed */
} plan;

static bool plan_of(plan *out, const tb_photo_view *view, double width, double height)
{
    double scale_x = fmax(view->w / view->width_px, 1),
           scale_y = fmax(view->h / view->height_px, 1);
    double c = fabs(cos(view->turn_rad)), s = fabs(sin(view->turn_rad));
    double half_w = (c * view->w + s * view->h) / 2, half_h = (s * view->w + c * view->h) / 2;
    double mid_x = view->x + view->w / 2, mid_y = view->y + view->h / 2;
    out->resample = view->turn_rad != 0 || view->w < view->width_px || view->h < view->height_px;
    double margin_x = out->resample ? 3 * scale_x : 0, margin_y = out->resample ? 3 * scale_y : 0;
    double left = fmax(mid_x - half_w - margin_x, 0), top = fmax(mid_y - half_h - margin_y, 0);
    double right = fmin(mid_x + half_w + margin_x, width);
    double bottom = fmin(mid_y + half_h + margin_y, height);
    if (out->resample) {
        /* Whole pixels, so that where nothing shrinks nothing is blurred either. */
        left = floor(left);
        top = floor(top);
        right = ceil(right);
        bottom = ceil(bottom);
    }
    if (!(right - left >= 1) || !(bottom - top >= 1))
        return false;
    out->part = (rect){left, top, right - left, bottom - top};
    out->width_px = out->resample ? (int)fmax(1, round(out->part.w / scale_x)) : view->width_px;
    out->height_px = out->resample ? (int)fmax(1, round(out->part.h / scale_y)) : view->height_px;
    return true;
}

static tb__grid grid_of(const plan *p, const tb_photo_view *view)
{
    double per_x = p->width_px / p->part.w, per_y = p->height_px / p->part.h;
    double c = cos(view->turn_rad), s = sin(view->turn_rad);
    double step_x = view->w / view->width_px, step_y = view->h / view->height_px;
    double dx = step_x / 2 - view->w / 2, dy = step_y / 2 - view->h / 2;
    double x = view->x + view->w / 2 + c * dx + s * dy;
    double y = view->y + view->h / 2 - s * dx + c * dy;
    return (tb__grid){(x - p->part.x) * per_x, (y - p->part.y) * per_y, c * step_x * per_x,
            -s * step_x * per_y, s * step_y * per_x, c * step_y * per_y};
}

/* Where a part of the upright photograph lies in the photograph as stored. */
static rect stored_part(rect part, tb__turn turn, double width, double height)
{
    rect r = turn.swap ? (rect){part.y, part.x, part.h, part.w} : part;
    if (turn.flip_x)
        r.x = width - r.x - r.w;
    if (turn.flip_y)
        r.y = height - r.y - r.h;
    return r;
}

/* Decodes what the plan says and turns it upright. Takes the image (as opened, not shrunk). */
static tb_status decode_upright(tb_plane **out, VipsImage *image, kind k, const plan *p,
        const uint8_t *bytes, size_t n_bytes, const tb_job *job, tb_error *err)
{
    tb__turn turn = tb__turn_of(vips_image_get_orientation(image));
    double width = image->Xsize, height = image->Ysize;
    int shrink = shrink_on_load(k, fmin(p->part.w / p->width_px, p->part.h / p->height_px));
    tb_plane *stored = NULL;
    *out = NULL;
    if (shrink > 1) {
        g_object_unref(image);
        image = open_picture(k, bytes, n_bytes, shrink);
        if (!image)
            return fail_damaged(err, k);
    }
    rect part = stored_part(p->part, turn, width, height);
    double sx = image->Xsize / width, sy = image->Ysize / height;
    part = (rect){part.x * sx, part.y * sy, part.w * sx, part.h * sy};
    tb_status status = tb_plane_new(&stored, turn.swap ? p->height_px : p->width_px,
            turn.swap ? p->width_px : p->height_px, 1, err);
    if (status)
        g_object_unref(image);
    else
        status = decode(stored, image, k, part, job, err);
    if (!status && (turn.swap || turn.flip_x || turn.flip_y)) {
        status = tb__turn_upright(out, stored, turn, job, err);
    } else if (!status) {
        *out = stored;
        return TB_OK;
    }
    tb_plane_free(stored);
    return status;
}

static bool view_makes_sense(const tb_photo_view *view)
{
    return isfinite(view->x) && isfinite(view->y) && view->w > 0 && view->h > 0 &&
           isfinite(view->w) && isfinite(view->h) && isfinite(view->turn_rad);
}

tb_status tb_photo_tone(tb_plane **tone, const uint8_t *bytes, size_t n_bytes,
        const tb_photo_view *view, const tb_job *job, tb_error *err)
{
    VipsImage *image;
    kind k;
    plan p;
    tb_plane *whole = NULL;
    *tone = NULL;
    tb_status status = tb_size_check(view->width_px, view->height_px, view->px_per_mm, err);
    if (!status)
        status = open_checked(&image, &k, bytes, n_bytes, err);
    if (status)
        return status;
    bool swap = tb__turn_of(vips_image_get_orientation(image)).swap;
    double width = swap ? image->Ysize : image->Xsize, height = swap ? image->Xsize : image->Ysize;
    if (!view_makes_sense(view) || !plan_of(&p, view, width, height)) {
        g_object_unref(image);
        return tb_fail(err, TB_EINVAL, "the part wanted lies outside the photograph");
    }
    status = decode_upright(&whole, image, k, &p, bytes, n_bytes, job, err);
    if (status || !p.resample) {
        *tone = whole;
    } else {
        status = tb_plane_new(tone, view->width_px, view->height_px, view->px_per_mm, err);
        if (!status)
            status = tb__resample(*tone, whole, grid_of(&p, view), job, err);
        tb_plane_free(whole);
    }
    if (!status) {
        (*tone)->px_per_mm = view->px_per_mm;
    } else {
        tb_plane_free(*tone);
        *tone = NULL;
    }
    return status;
}

/* Of one band or three, 8 or 16 bits, to three of 8. */
static bool to_rgb8(VipsImage **image)
{
    VipsImage *out = NULL;
    int failed = vips_colourspace(*image, &out, VIPS_INTERPRETATION_sRGB, NULL);
    return step(image, out, failed) && (*image)->Bands == 3 &&
           (*image)->BandFmt == VIPS_FORMAT_UCHAR;
}

/* Covers width x height, upright, and cuts off what juts out. */
static bool to_card(VipsImage **image, double covered_w, double covered_h, int width, int height)
{
    VipsImage *out = NULL;
    int w = VIPS_MAX((int)round(covered_w), width), h = VIPS_MAX((int)round(covered_h), height);
    int failed = vips_thumbnail_image(*image, &out, w, "height", h, "size", VIPS_SIZE_FORCE, NULL);
    if (!step(image, out, failed))
        return false;
    failed =
            vips_extract_area(*image, &out, (w - width) / 2, (h - height) / 4, width, height, NULL);
    return step(image, out, failed);
}

tb_status tb_photo_card(uint8_t **rgb, const uint8_t *bytes, size_t n_bytes, int width_px,
        int height_px, tb_error *err)
{
    VipsImage *image;
    kind k;
    size_t n;
    *rgb = NULL;
    tb_status status = open_checked(&image, &k, bytes, n_bytes, err);
    if (status)
        return status;
    bool swap = tb__turn_of(vips_image_get_orientation(image)).swap;
    double w = swap ? image->Ysize : image->Xsize, h = swap ? image->Xsize : image->Ysize;
    double scale = fmax(width_px / w, height_px / h);
    int shrink = shrink_on_load(k, 1 / scale);
    if (shrink > 1) {
        g_object_unref(image);
        image = open_picture(k, bytes, n_bytes, shrink);
        if (!image)
            return fail_damaged(err, k);
    }
    bool good = to_srgb(&image) && over_white(&image) && to_rgb8(&image) &&
                to_card(&image, w * scale, h * scale, width_px, height_px);
    void *px = good ? vips_image_write_to_memory(image, &n) : NULL;
    if (!px)
        status = fail_damaged(err, k);
    else if (!(*rgb = tb_malloc(n, 1)))
        status = tb_fail_memory(err);
    else
        memcpy(*rgb, px, n);
    g_free(px);
    g_object_unref(image);
    return status;
}
