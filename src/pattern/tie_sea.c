/* pattern/tie_sea.c: the coarse grid that bridges find their way on. */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "image/distance.h"
#include "image/width.h"

#include <string.h>

/* A line that the picture doesn't have is seen as one even where its tone would do: so much more a
 * mm² of bridge costs, and never less than LEAST. A judgement, tried on twenty photographs: half of
 * PRESENCE lets bridges wander where the picture is half dark, and what comes out is less alike and
 * needs more mending; with nearly twice as much, more islands are dropped than the likeness gains
 * by. */
static const float PRESENCE = 0.12f, LEAST = 0.03f;

typedef struct {
    const tb__tie *t;
    const tb_labels *rooms;
    tb__sea *sea;
    uint16_t *depth_sq; /* squared distance to the nearest opening, capped */
    uint16_t seat_sq;   /* as deep as this the disc lies in wood */
} sounding;

static void sound_cell(const sounding *s, int cx, int cy)
{
    const tb_mask *wood = s->t->wood;
    int size = s->sea->cell_px, left = cx * size, top = cy * size;
    int right = left + size < wood->width_px ? left + size : wood->width_px;
    int bottom = top + size < wood->height_px ? top + size : wood->height_px;
    uint16_t deepest = 0;
    size_t seat = 0;
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++) {
            size_t px = (size_t)y * (size_t)wood->width_px + (size_t)x;
            if (s->depth_sq[px] > deepest) {
                deepest = s->depth_sq[px];
                seat = px;
            }
        }
    size_t cell = (size_t)cy * (size_t)s->sea->width + (size_t)cx;
    const tb__field *f = s->t->field;
    float open = f->open[cell], price = f->strip[cell] + PRESENCE * open;
    price = price > LEAST * open ? price : LEAST * open;
    price = 1.5f + TB__PRICE_FULL * price;
    s->sea->price[cell] = price < TB_GRID_PRICE_MAX ? (uint16_t)price : TB_GRID_PRICE_MAX;
    s->sea->source[cell] = -1;
    s->sea->seat[cell] = (int32_t)seat;
    if (deepest >= s->seat_sq)
        s->sea->source[cell] = tb_labels_at(s->rooms, (int)(seat % (size_t)wood->width_px),
                (int)(seat / (size_t)wood->width_px));
}

static void sound_rows(void *payload, size_t first, size_t end)
{
    const sounding *s = payload;
    for (size_t y = first; y < end && !tb_job_stopped(s->t->job); y++)
        for (int x = 0; x < s->sea->width; x++)
            sound_cell(s, x, (int)y);
}

/* No bridge may touch what the designer has opened by hand. */
static tb_status block_painted(const tb__tie *t, tb__sea *sea, tb_error *err)
{
    const tb_mask *painted = t->options->painted_opening;
    if (!painted)
        return TB_OK;
    tb_mask *near = NULL;
    tb_status status =
            tb_grow_wood(&near, painted, t->options->limits.bridge_must_mm / 2, t->job, err);
    if (status)
        return status;
    for (int32_t y = 0; y < sea->height; y++)
        for (int32_t x = 0; x < sea->width; x++) {
            int px = x * sea->cell_px + sea->cell_px / 2, py = y * sea->cell_px + sea->cell_px / 2;
            px = px < near->width_px ? px : near->width_px - 1;
            py = py < near->height_px ? py : near->height_px - 1;
            if (near->px[(size_t)py * (size_t)near->width_px + (size_t)px])
                sea->price[y * sea->width + x] = TB_GRID_BLOCKED;
        }
    tb_mask_free(near);
    return TB_OK;
}

static tb__sea *sea_alloc(int32_t width, int32_t height, int cell_px)
{
    tb__sea *sea = tb_calloc(1, sizeof *sea);
    if (!sea)
        return NULL;
    sea->cell_px = cell_px;
    sea->width = width;
    sea->height = height;
    size_t n = (size_t)sea->width * (size_t)sea->height;
    sea->price = tb_malloc(n, sizeof *sea->price);
    sea->source = tb_malloc(n, sizeof *sea->source);
    sea->seat = tb_malloc(n, sizeof *sea->seat);
    if (sea->price && sea->source && sea->seat)
        return sea;
    tb__sea_free(sea);
    return NULL;
}

tb_status tb__sea_new(tb__sea **out, const tb__tie *t, const tb_labels *rooms, tb_error *err)
{
    *out = NULL;
    sounding s = {.t = t, .rooms = rooms, .sea = NULL};
    s.sea = sea_alloc(t->field->width, t->field->height, t->field->cell_px);
    tb_status status = TB_OK;
    if (!s.sea) {
        status = tb_fail_memory(err);
        goto out;
    }
    /* Rooms were opened by discs whose middle may be a pixel's corner; no pixel of such a disc is
     * deeper than its radius less half a pixel's diagonal. */
    double seat = t->bridge_px / 2 - 0.75;
    s.seat_sq = (uint16_t)(seat > 1 ? floor(seat * seat) : 1);
    status = tb_distance_capped(
            &s.depth_sq, t->wood, (int)ceil(t->bridge_px / 2) + 2, false, t->job, err);
    if (status)
        goto out;
    tb_job_rows(t->job, (size_t)s.sea->height, 8, sound_rows, &s);
    status = tb_job_stopped(t->job) ? tb_fail_cancelled(err) : block_painted(t, s.sea, err);
out:
    tb_free(s.depth_sq);
    if (status)
        tb__sea_free(s.sea);
    else
        *out = s.sea;
    return status;
}

tb_status tb__sea_cut(
        tb__sea **out, const tb__sea *sea, double x_px, double y_px, int32_t within, tb_error *err)
{
    int32_t x = (int32_t)(x_px / sea->cell_px), y = (int32_t)(y_px / sea->cell_px);
    int32_t left = x - within > 0 ? x - within : 0, top = y - within > 0 ? y - within : 0;
    int32_t right = x + within < sea->width ? x + within : sea->width;
    int32_t bottom = y + within < sea->height ? y + within : sea->height;
    tb__sea *part = *out = sea_alloc(right - left, bottom - top, sea->cell_px);
    if (!part)
        return tb_fail_memory(err);
    part->left = left;
    part->top = top;
    for (int32_t row = 0; row < part->height; row++) {
        size_t from = (size_t)(top + row) * (size_t)sea->width + (size_t)left;
        size_t to = (size_t)row * (size_t)part->width, n = (size_t)part->width;
        memcpy(part->price + to, sea->price + from, n * sizeof *part->price);
        memcpy(part->source + to, sea->source + from, n * sizeof *part->source);
        memcpy(part->seat + to, sea->seat + from, n * sizeof *part->seat);
    }
    return TB_OK;
}

void tb__sea_free(tb__sea *sea)
{
    if (!sea)
        return;
    tb_free(sea->price);
    tb_free(sea->source);
    tb_free(sea->seat);
    tb_free(sea);
}

double tb__sea_unit_mm2(const tb__tie *t, const tb__sea *sea)
{
    double cell_mm = sea->cell_px / t->wood->px_per_mm;
    return cell_mm * t->options->limits.bridge_must_mm / (10.0 * TB__PRICE_FULL);
}
