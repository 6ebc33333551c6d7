/* app/ui/bench-tiles.c: see bench-tiles.h.
 *
 * Tiles are cut from the plane as zoomed, at device pixels, so neighbours meet without a seam at
 * any zoom. A pixel is read from the level of the picture that is between one and two times its
 * size: the nearest one when the picture is enlarged, four of them mixed when it is reduced.
 */
#include "app/ui/bench-tiles.h"

#include <math.h>
#include <string.h>

enum { TILE = 256, MAX_TILES = 700, GRAIN = 512, GRAIN_MOST = 40 };

/* Birch over a dark backer; ink on paper. */
static const uint8_t WOOD[3] = {232, 204, 158}, BACKER[3] = {40, 35, 33};
static const uint8_t PAPER[3] = {252, 251, 247}, INK[3] = {70, 70, 74};
/* As the sheets are printed: what fills an opening, its outline, and its hatch. */
static const struct {
    uint32_t fill, line, hatch;
} INKS[] = {
        [TB_INK_PALE] = {0xd6d6d4, 0x4d4d4d, 0xd6d6d4},
        [TB_INK_LINE] = {0xfcfbf7, 0x1c1c1c, 0xfcfbf7},
        [TB_INK_HATCH] = {0xfcfbf7, 0x303030, 0x8a8a8a},
};
static const double GRAIN_PX_PER_MM = 4;

struct tb_tiles {
    tb_scene scene;
    int by;                               /* device pixels to one of a tile: 1, or 2 in haste */
    GHashTable *nodes;                    /* (row << 32 | column) → GskRenderNode */
    uint32_t colours[256];                /* of the pattern's values */
    uint32_t grained[2 * GRAIN_MOST + 1]; /* wood, darker to lighter */
    uint8_t weak[256][3];                 /* wood by its weakness */
    int8_t *grain;                        /* [GRAIN][GRAIN]: lighter and darker wood */
};

/* Of a tile's own pixels. */
static double px_per_mm_of(const tb_tiles *tiles)
{
    return tiles->scene.px_per_mm / tiles->by;
}

static int64_t *key_new(int64_t key)
{
    int64_t *copy = g_new(int64_t, 1);
    *copy = key;
    return copy;
}

static int64_t key_of(int column, int row)
{
    return (int64_t)((uint64_t)(uint32_t)row << 32 | (uint32_t)column);
}

/* Long fibres along y: noise that runs in streaks, the same at every start. */
static void fill_grain(int8_t *grain)
{
    uint32_t seed = 20250;
    double column[GRAIN], drift = 0;
    for (int x = 0; x < GRAIN; x++) {
        seed = seed * 1664525u + 1013904223u;
        drift = 0.8 * drift + ((double)(seed >> 16) / 65536 - 0.5) * 7;
        column[x] = drift + 3 * sin(2 * G_PI * 9 * x / GRAIN);
    }
    for (int y = 0; y < GRAIN; y++) {
        double sway = 6 * sin(2 * G_PI * y / GRAIN) + 3 * sin(4 * G_PI * y / GRAIN);
        for (int x = 0; x < GRAIN; x++) {
            seed = seed * 1664525u + 1013904223u;
            double fibre = ((double)(seed >> 16) / 65536 - 0.5) * 3;
            int from = ((int)floor(x + sway) % GRAIN + GRAIN) % GRAIN;
            grain[y * GRAIN + x] =
                    (int8_t)fmax(-GRAIN_MOST, fmin(GRAIN_MOST, column[from] + fibre));
        }
    }
}

/* Pale wood that holds, ochre where it should be better, red chalk where it must. */
static void fill_weak(tb_tiles *tiles)
{
    static const uint8_t AT[3][3] = {{238, 230, 212}, {226, 164, 60}, {196, 60, 44}};
    for (int v = 0; v < 256; v++)
        for (int c = 0; c < 3; c++) {
            int from = v < 128 ? AT[0][c] : AT[1][c], to = v < 128 ? AT[1][c] : AT[2][c];
            tiles->weak[v][c] = (uint8_t)(from + (to - from) * (v < 128 ? v : v - 128) / 128);
        }
}

tb_tiles *tb_tiles_new(void)
{
    tb_tiles *tiles = g_new0(tb_tiles, 1);
    tiles->nodes = g_hash_table_new_full(
            g_int64_hash, g_int64_equal, g_free, (GDestroyNotify)gsk_render_node_unref);
    tiles->grain = g_malloc(GRAIN * GRAIN);
    fill_grain(tiles->grain);
    fill_weak(tiles);
    tiles->by = 1;
    return tiles;
}

void tb_tiles_free(tb_tiles *tiles)
{
    if (!tiles)
        return;
    g_hash_table_unref(tiles->nodes);
    g_free(tiles->grain);
    g_free(tiles);
}

static uint32_t lighter(uint32_t colour, int by)
{
    uint32_t out = 0;
    for (int shift = 16; shift >= 0; shift -= 8) {
        int c = (int)(colour >> shift & 255) + by;
        out |= (uint32_t)(c < 0 ? 0 : c > 255 ? 255 : c) << shift;
    }
    return out;
}

static void fill_colours(tb_tiles *tiles)
{
    const uint8_t *wood = tiles->scene.view == TB_VIEW_INK ? PAPER : WOOD;
    const uint8_t *open = tiles->scene.view == TB_VIEW_INK ? INK : BACKER;
    for (int v = 0; v < 256; v++) {
        uint32_t colour = 0;
        for (int c = 0; c < 3; c++)
            colour = colour << 8 | (uint32_t)((wood[c] * v + open[c] * (255 - v) + 127) / 255);
        tiles->colours[v] = colour;
    }
    for (int by = -GRAIN_MOST; by <= GRAIN_MOST; by++)
        tiles->grained[by + GRAIN_MOST] = lighter(tiles->colours[255], by);
}

static bool same_scene(const tb_scene *a, const tb_scene *b)
{
    return a->pattern == b->pattern && a->photo == b->photo && a->strength == b->strength &&
           a->view == b->view && a->ink == b->ink && a->hatched == b->hatched &&
           a->px_per_mm == b->px_per_mm && a->width_mm == b->width_mm &&
           a->height_mm == b->height_mm;
}

void tb_tiles_set(tb_tiles *tiles, const tb_scene *scene)
{
    if (same_scene(&tiles->scene, scene))
        return;
    tiles->scene = *scene;
    fill_colours(tiles);
    tb_tiles_drop(tiles);
}

void tb_tiles_follow(tb_tiles *tiles, const tb_picture *pattern)
{
    tiles->scene.pattern = pattern;
}

void tb_tiles_hasten(tb_tiles *tiles, bool quick)
{
    int by = quick ? 2 : 1;
    if (by == tiles->by)
        return;
    tiles->by = by;
    tb_tiles_drop(tiles);
}

void tb_tiles_drop(tb_tiles *tiles)
{
    g_hash_table_remove_all(tiles->nodes);
}

void tb_tiles_drop_rect(
        tb_tiles *tiles, double left_mm, double top_mm, double right_mm, double bottom_mm)
{
    double scale = px_per_mm_of(tiles) / TILE;
    double margin = 2 / px_per_mm_of(tiles) + 0.5;
    for (int row = (int)floor((top_mm - margin) * scale);
            row <= (int)floor((bottom_mm + margin) * scale); row++)
        for (int column = (int)floor((left_mm - margin) * scale);
                column <= (int)floor((right_mm + margin) * scale); column++) {
            int64_t key = key_of(column, row);
            g_hash_table_remove(tiles->nodes, &key);
        }
}

/* ---- reading a picture ------------------------------------------------------------------------
 */

typedef struct {
    int low, high, share; /* share of high, 0 … 256 */
} tap;

typedef struct {
    const tb_level *level;
    bool nearest;
    tap along[TILE];
    int left, right; /* columns of the level that are read: left … right - 1 */
    double step;     /* level pixels to a device pixel */
} reader;

static tap tap_at(double at, int n, bool nearest)
{
    if (nearest) {
        int i = (int)floor(at);
        i = i < 0 ? 0 : i >= n ? n - 1 : i;
        return (tap){i, i, 0};
    }
    at = fmin(fmax(at - 0.5, 0), n - 1);
    int low = (int)at;
    return (tap){low, low + 1 < n ? low + 1 : low, (int)((at - low) * 256)};
}

static void reader_init(reader *r, const tb_picture *picture, double px_per_mm, int first_px)
{
    double step = picture->px_per_mm / px_per_mm;
    int i = 0;
    while (step >= 2 && i + 1 < picture->n_levels) {
        step /= 2;
        i++;
    }
    r->level = &picture->levels[i];
    r->step = step;
    r->nearest = step <= 1;
    for (int x = 0; x < TILE; x++)
        r->along[x] = tap_at((first_px + x + 0.5) * step, r->level->width_px, r->nearest);
    r->left = r->along[0].low;
    r->right = r->along[TILE - 1].high + 1;
}

/* The rows are mixed first, side by side, then the columns. */
static void read_row(const reader *r, int y_px, uint8_t *values)
{
    tap down = tap_at((y_px + 0.5) * r->step, r->level->height_px, r->nearest);
    const uint8_t *upper = r->level->px + (size_t)down.low * (size_t)r->level->width_px;
    const uint8_t *lower = r->level->px + (size_t)down.high * (size_t)r->level->width_px;
    if (r->nearest) {
        for (int x = 0; x < TILE; x++)
            values[x] = upper[r->along[x].low];
        return;
    }
    uint16_t mixed[TB_SIDE_MAX_PX]; /* of a long, narrow picture a tile may show all */
    for (int i = 0; i < r->right - r->left; i++)
        mixed[i] = (uint16_t)(upper[r->left + i] * (256 - down.share) +
                              lower[r->left + i] * down.share);
    for (int x = 0; x < TILE; x++) {
        const tap *t = &r->along[x];
        int low = mixed[t->low - r->left], high = mixed[t->high - r->left];
        values[x] = (uint8_t)((low * (256 - t->share) + high * t->share) >> 16);
    }
}

/* ---- drawing a tile ----------------------------------------------------------------------------
 */

/* Most pixels are all wood or all opening: wood is looked up by its grain. */
static void draw_wood(
        const tb_tiles *tiles, const uint8_t *values, const int *along, int y_px, uint32_t *row)
{
    double step = GRAIN_PX_PER_MM / px_per_mm_of(tiles);
    const int8_t *grain = tiles->grain + ((int)(y_px * step * 0.25) & (GRAIN - 1)) * GRAIN;
    for (int x = 0; x < TILE; x++) {
        int v = values[x];
        if (v == 0) {
            row[x] = tiles->colours[0];
            continue;
        }
        int by = grain[along[x]];
        row[x] = v == 255 ? tiles->grained[by + GRAIN_MOST]
                          : lighter(tiles->colours[v], by * v / 255);
    }
}

static void hatch(const uint8_t *values, int x_px, int y_px, uint32_t *row)
{
    for (int x = 0; x < TILE; x++)
        if (values[x] < 128 && (x_px + x + y_px) % 12 < 2)
            row[x] = 0xf0f0f0;
}

/* Told by stripes as well as by colour: weak wood has few of them, what must be mended has many,
 * the other way. */
static void draw_strength(const tb_tiles *tiles, const uint8_t *pattern, const uint8_t *weak,
        int x_px, int y_px, uint32_t *row)
{
    for (int x = 0; x < TILE; x++) {
        int w = weak[x], v = pattern[x], shade = 0;
        uint32_t colour = 0;
        if (w >= 192)
            shade = (x_px + x + y_px) % 6 < 2 ? 70 : 0;
        else if (w >= 64)
            shade = (x_px + x - y_px + (1 << 20)) % 9 < 1 ? 70 : 0;
        for (int c = 0; c < 3; c++) {
            int wood = MAX(tiles->weak[w][c] - shade, 0);
            colour = colour << 8 | (uint32_t)((wood * v + BACKER[c] * (255 - v) + 127) / 255);
        }
        row[x] = colour;
    }
}

/* A pixel is of the outline where what lies before it, across or above, is of the other kind. */
static void draw_ink(
        tb_ink ink, const uint8_t *above, const uint8_t *values, int x_px, int y_px, uint32_t *row)
{
    for (int x = 0; x < TILE; x++) {
        bool open = values[x] < 128;
        bool edge = open != (above[x] < 128) || (x > 0 && open != (values[x - 1] < 128));
        uint32_t within = (x_px + x + y_px) % 9 == 0 ? INKS[ink].hatch : INKS[ink].fill;
        row[x] = edge ? INKS[ink].line : open ? within : 0xfcfbf7;
    }
}

static void draw_row(const tb_tiles *tiles, const uint8_t *pattern, const uint8_t *photo,
        const int *along, int x_px, int y_px, uint32_t *row)
{
    tb_view view = tiles->scene.view;
    if (view == TB_VIEW_HANG)
        draw_wood(tiles, pattern, along, y_px, row);
    else if (view == TB_VIEW_PHOTO)
        for (int x = 0; x < TILE; x++)
            row[x] = photo[x] * 0x010101u;
    else if (view == TB_VIEW_BLEND)
        for (int x = 0; x < TILE; x++)
            row[x] = ((tiles->colours[pattern[x]] >> 1) & 0x7f7f7f) +
                     ((photo[x] * 0x010101u >> 1) & 0x7f7f7f);
    else
        for (int x = 0; x < TILE; x++)
            row[x] = tiles->colours[pattern[x]];
    if (tiles->scene.hatched && view != TB_VIEW_PHOTO)
        hatch(pattern, x_px, y_px, row);
}

static void draw_tile(const tb_tiles *tiles, cairo_surface_t *surface, int x_px, int y_px)
{
    const tb_scene *scene = &tiles->scene;
    reader pattern, photo, strength;
    uint8_t pattern_row[TILE], above_row[TILE], photo_row[TILE], strength_row[TILE] = {0};
    bool weighed = scene->view == TB_VIEW_STRENGTH;
    bool inked = scene->view == TB_VIEW_INK && scene->ink != TB_INK_SOLID && !scene->hatched;
    int along[TILE]; /* of the grain */
    unsigned char *data = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface);
    memset(pattern_row, 255, sizeof pattern_row);
    memset(above_row, 255, sizeof above_row);
    memset(photo_row, 200, sizeof photo_row);
    if (scene->pattern)
        reader_init(&pattern, scene->pattern, px_per_mm_of(tiles), x_px);
    if (scene->photo)
        reader_init(&photo, scene->photo, px_per_mm_of(tiles), x_px);
    if (scene->strength && weighed)
        reader_init(&strength, scene->strength, px_per_mm_of(tiles), x_px);
    if (scene->pattern)
        read_row(&pattern, MAX(y_px - 1, 0), above_row);
    for (int x = 0; x < TILE; x++)
        along[x] = (int)((x_px + x) * (GRAIN_PX_PER_MM / px_per_mm_of(tiles))) & (GRAIN - 1);
    cairo_surface_flush(surface);
    for (int y = 0; y < TILE; y++) {
        uint32_t *row = (uint32_t *)(void *)(data + (size_t)y * (size_t)stride);
        if (scene->pattern)
            read_row(&pattern, y_px + y, pattern_row);
        if (scene->photo && (scene->view == TB_VIEW_PHOTO || scene->view == TB_VIEW_BLEND))
            read_row(&photo, y_px + y, photo_row);
        if (scene->strength && weighed)
            read_row(&strength, y_px + y, strength_row);
        if (weighed)
            draw_strength(tiles, pattern_row, strength_row, x_px, y_px + y, row);
        else if (inked)
            draw_ink(scene->ink, above_row, pattern_row, x_px, y_px + y, row);
        else
            draw_row(tiles, pattern_row, photo_row, along, x_px, y_px + y, row);
        memcpy(above_row, pattern_row, sizeof above_row);
    }
    cairo_surface_mark_dirty(surface);
}

/* A tile at the board's right or bottom edge is cut there. */
static GskRenderNode *tile_node(const tb_tiles *tiles, int column, int row)
{
    double board_w = ceil(tiles->scene.width_mm * px_per_mm_of(tiles));
    double board_h = ceil(tiles->scene.height_mm * px_per_mm_of(tiles));
    double w = fmin(TILE, board_w - column * (double)TILE);
    double h = fmin(TILE, board_h - row * (double)TILE);
    GskRenderNode *node = gsk_cairo_node_new(
            &GRAPHENE_RECT_INIT((float)column * TILE, (float)row * TILE, (float)w, (float)h));
    cairo_t *cr = gsk_cairo_node_get_draw_context(node);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, TILE, TILE);
    draw_tile(tiles, surface, column * TILE, row * TILE);
    cairo_set_source_surface(cr, surface, column * TILE, row * TILE);
    cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_NEAREST); /* no seams in haste */
    cairo_rectangle(cr, column * TILE, row * TILE, w, h);
    cairo_fill(cr);
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    return node;
}

int tb_tiles_snapshot(tb_tiles *tiles, GtkSnapshot *snapshot, int left_px, int top_px, int width_px,
        int height_px, int scale)
{
    int n_columns = (int)ceil(tiles->scene.width_mm * px_per_mm_of(tiles) / TILE);
    int n_rows = (int)ceil(tiles->scene.height_mm * px_per_mm_of(tiles) / TILE);
    double side = TILE * tiles->by; /* of a tile, in device pixels */
    int first_column = MAX(0, (int)floor(-left_px / side));
    int first_row = MAX(0, (int)floor(-top_px / side));
    int end_column = MIN(n_columns, (int)ceil((width_px - left_px) / side));
    int end_row = MIN(n_rows, (int)ceil((height_px - top_px) / side));
    int n_drawn = 0;
    if (g_hash_table_size(tiles->nodes) > MAX_TILES)
        tb_tiles_drop(tiles);
    gtk_snapshot_save(snapshot);
    gtk_snapshot_scale(snapshot, 1.0f / (float)scale, 1.0f / (float)scale);
    gtk_snapshot_translate(snapshot, &GRAPHENE_POINT_INIT((float)left_px, (float)top_px));
    if (tiles->by > 1)
        gtk_snapshot_scale(snapshot, (float)tiles->by, (float)tiles->by);
    for (int row = first_row; row < end_row; row++)
        for (int column = first_column; column < end_column; column++) {
            int64_t key = key_of(column, row);
            GskRenderNode *node = g_hash_table_lookup(tiles->nodes, &key);
            if (!node) {
                node = tile_node(tiles, column, row);
                g_hash_table_insert(tiles->nodes, key_new(key), node);
                n_drawn++;
            }
            gtk_snapshot_append_node(snapshot, node);
        }
    gtk_snapshot_restore(snapshot);
    return n_drawn;
}
