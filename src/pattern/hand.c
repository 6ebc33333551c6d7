/* pattern/hand.c: see hand.h.
 *
 * Every stroke on the mask becomes a list of spans and one of two tones: wood or opening. So there
 * is one place where pixels change, and one where what was there before is kept: a patch, the
 * stroke's rectangle with its three masks packed into three bits a pixel and stored as runs.
 */
#include "pattern/hand.h"

#include "base/alloc.h"
#include "base/array.h"
#include "pattern/span.h"

#include <math.h>
#include <string.h>

struct tb_hand_patch {
    tb_rect rect;
    uint8_t *bytes;
    size_t n_bytes, room;
    bool grown; /* belongs to the same stroke as the patch before */
};

tb_status tb_hand_new(tb_hand **out, const tb_mask *mask, size_t keep_bytes, tb_error *err)
{
    *out = NULL;
    tb_hand *hand = tb_calloc(1, sizeof *hand);
    if (!hand)
        return tb_fail_memory(err);
    hand->patch_room = keep_bytes;
    tb_status status = tb_mask_copy(&hand->mask, mask, err);
    if (!status)
        status = tb_mask_new(&hand->wood, mask->width_px, mask->height_px, mask->px_per_mm, err);
    if (!status)
        status = tb_mask_new(&hand->opening, mask->width_px, mask->height_px, mask->px_per_mm, err);
    if (!status)
        *out = hand;
    else
        tb_hand_free(hand);
    return status;
}

void tb_hand_free(tb_hand *hand)
{
    if (!hand)
        return;
    for (size_t i = 0; i < hand->n_patches; i++)
        tb_free(hand->patches[i].bytes);
    tb_free(hand->patches);
    tb_mask_free(hand->mask);
    tb_mask_free(hand->wood);
    tb_mask_free(hand->opening);
    tb_free(hand);
}

/* Runs are a byte of three bits of value, four of length - 1 and one that says "more", seven bits
 * of length in each byte that follows. */
static tb_status patch_run(tb_hand_patch *patch, unsigned value, size_t length, tb_error *err)
{
    if (!tb_array_reserve(&patch->bytes, &patch->room, patch->n_bytes, 12))
        return tb_fail_memory(err);
    uint8_t *at = patch->bytes + patch->n_bytes;
    size_t rest = length - 1;
    *at++ = (uint8_t)(value | (rest & 15) << 3 | (rest > 15 ? 0x80 : 0));
    for (rest >>= 4; rest > 0; rest >>= 7)
        *at++ = (uint8_t)((rest & 127) | (rest > 127 ? 0x80 : 0));
    patch->n_bytes = (size_t)(at - patch->bytes);
    return TB_OK;
}

static tb_status patch_take(tb_hand_patch *patch, const tb_hand *hand, tb_error *err)
{
    const tb_rect r = patch->rect;
    unsigned value = 8;
    size_t length = 0;
    for (int y = r.top_px; y < r.bottom_px; y++) {
        size_t row = (size_t)y * (size_t)hand->mask->width_px;
        for (size_t i = row + (size_t)r.left_px; i < row + (size_t)r.right_px; i++) {
            unsigned here = (unsigned)hand->mask->px[i] | (unsigned)hand->wood->px[i] << 1 |
                            (unsigned)hand->opening->px[i] << 2;
            if (here != value) {
                if (length > 0 && patch_run(patch, value, length, err))
                    return TB_ENOMEM;
                value = here;
                length = 0;
            }
            length++;
        }
    }
    return length > 0 ? patch_run(patch, value, length, err) : TB_OK;
}

static void patch_put_back(const tb_hand_patch *patch, tb_hand *hand)
{
    const tb_rect r = patch->rect;
    const uint8_t *at = patch->bytes;
    size_t length = 0;
    uint8_t value = 0;
    for (int y = r.top_px; y < r.bottom_px; y++) {
        size_t row = (size_t)y * (size_t)hand->mask->width_px;
        for (size_t i = row + (size_t)r.left_px; i < row + (size_t)r.right_px; i++, length--) {
            if (length == 0) {
                uint8_t byte = *at++;
                value = byte & 7;
                length = byte >> 3 & 15;
                for (unsigned shift = 4; byte & 0x80; shift += 7) {
                    byte = *at++;
                    length |= (size_t)(byte & 127) << shift;
                }
                length++;
            }
            hand->mask->px[i] = value & 1;
            hand->wood->px[i] = value >> 1 & 1;
            hand->opening->px[i] = value >> 2;
        }
    }
}

/* Forgets the oldest strokes beyond the room there is; whole strokes only. */
static void forget(tb_hand *hand)
{
    size_t n = 0;
    while (hand->patch_bytes > hand->patch_room && n < hand->n_patches)
        do {
            hand->patch_bytes -= hand->patches[n].room + sizeof *hand->patches;
            tb_free(hand->patches[n++].bytes);
        } while (n < hand->n_patches && hand->patches[n].grown);
    if (n == 0)
        return;
    hand->n_patches -= n;
    memmove(hand->patches, hand->patches + n, hand->n_patches * sizeof *hand->patches);
}

static tb_status keep(tb_hand *hand, tb_rect rect, bool grown, tb_error *err)
{
    /* Of a stroke whose beginning has been forgotten the rest is of no use. */
    if (hand->patch_room == 0 || (grown && hand->n_patches == 0))
        return TB_OK;
    tb_hand_patch patch = {.rect = rect, .grown = grown};
    tb_status status = patch_take(&patch, hand, err);
    if (!status && !tb_array_reserve(&hand->patches, &hand->patches_room, hand->n_patches, 1))
        status = tb_fail_memory(err);
    if (status) {
        tb_free(patch.bytes);
        return status;
    }
    hand->patches[hand->n_patches++] = patch;
    hand->patch_bytes += patch.room + sizeof patch;
    return TB_OK;
}

/* The one place where the pattern's pixels change. */
static tb_status paint(
        tb_hand *hand, tb_rect *dirty, const tb_spans *spans, bool wood, bool grown, tb_error *err)
{
    *dirty = tb_spans_bounds(spans);
    tb_status status = keep(hand, *dirty, grown, err);
    if (status)
        return status;
    for (size_t i = 0; i < spans->n; i++) {
        const tb_span *s = &spans->items[i];
        size_t at = (size_t)s->y_px * (size_t)hand->mask->width_px + (size_t)s->x_px;
        size_t n = (size_t)(s->end_px - s->x_px);
        memset(hand->mask->px + at, wood, n);
        memset(hand->wood->px + at, wood, n);
        memset(hand->opening->px + at, !wood, n);
    }
    forget(hand);
    return TB_OK;
}

/* ---- bridges: in pixels, until they are strokes again ---- */

typedef struct {
    double x, y;
} spot;

static bool wood_at(const tb_mask *mask, spot p)
{
    return p.x >= 0 && p.y >= 0 && p.x < mask->width_px && p.y < mask->height_px &&
           mask->px[(size_t)p.y * (size_t)mask->width_px + (size_t)p.x];
}

/* How far it is from p to wood along a direction of length 1; negative if there is none. */
static double way_to_wood(const tb_mask *mask, spot p, spot along)
{
    const double step = 0.25;
    for (int i = 0;; i++) {
        spot q = {p.x + along.x * step * i, p.y + along.y * step * i};
        if (q.x < 0 || q.y < 0 || q.x >= mask->width_px || q.y >= mask->height_px)
            return -1;
        if (wood_at(mask, q))
            return step * i;
    }
}

/* Half a pixel into the bank is enough: the stroke's round end then lies in it at full width. */
static spot into_bank(const tb_mask *mask, spot end, spot before)
{
    double dx = end.x - before.x, dy = end.y - before.y, length = sqrt(dx * dx + dy * dy);
    if (length == 0)
        return end;
    spot along = {dx / length, dy / length};
    double way = way_to_wood(mask, end, along);
    if (way > 0)
        end = (spot){end.x + along.x * (way + 0.5), end.y + along.y * (way + 0.5)};
    return end;
}

/* The shortest straight way across the opening at p, from wood to wood; false if there is none. */
static bool shortest_across(const tb_mask *mask, spot p, spot *a, spot *b)
{
    enum { N_DIRECTIONS = 64 };
    double best = INFINITY;
    for (int i = 0; i < N_DIRECTIONS; i++) {
        double angle = 3.14159265358979323846 * i / N_DIRECTIONS;
        spot there = {cos(angle), sin(angle)}, back = {-there.x, -there.y};
        double far = way_to_wood(mask, p, there), near = way_to_wood(mask, p, back);
        if (far < 0 || near < 0 || far + near >= best)
            continue;
        best = far + near;
        *a = (spot){p.x + back.x * (near + 0.5), p.y + back.y * (near + 0.5)};
        *b = (spot){p.x + there.x * (far + 0.5), p.y + there.y * (far + 0.5)};
    }
    return best < INFINITY;
}

static spot spot_of(tb_stroke_point p, double px_per_mm)
{
    return (spot){p.x_um * px_per_mm / 1000, p.y_um * px_per_mm / 1000};
}

/* A spot far out can't fall out of the limits: the board lies well within them. */
static tb_stroke_point point_of(spot p, double width_um, double px_per_mm)
{
    return (tb_stroke_point){(int32_t)lround(p.x * 1000 / px_per_mm),
            (int32_t)lround(p.y * 1000 / px_per_mm), (int32_t)lround(width_um)};
}

/* Between p[1] and p[2] of four points, at share t (Catmull & Rom 1974). */
static double bend(double p0, double p1, double p2, double p3, double t)
{
    return p1 + t *
                        ((p2 - p0) + t * ((2 * p0 - 5 * p1 + 4 * p2 - p3) +
                                                 t * (3 * p1 - p0 - 3 * p2 + p3))) /
                        2;
}

/* A bent bridge runs through its points in a curve; a straight one is its two points. */
static tb_status bend_bridge(tb_stroke *out, const tb_stroke *bridge, tb_error *err)
{
    enum { PARTS = 12 };
    const size_t n = bridge->n_points, parts = n > 2 ? PARTS : 1;
    if (!tb_array_reserve(&out->points, &out->room, 0, (n - 1) * parts + 1))
        return tb_fail_memory(err);
    out->points[out->n_points++] = bridge->points[0];
    for (size_t i = 1; i < n; i++)
        for (size_t k = 1; k <= parts; k++) {
            const tb_stroke_point *p = bridge->points;
            tb_stroke_point a = p[i > 1 ? i - 2 : 0], b = p[i - 1], c = p[i],
                            d = p[i + 1 < n ? i + 1 : i];
            double t = (double)k / (double)parts;
            out->points[out->n_points++] =
                    k == parts ? c
                               : (tb_stroke_point){
                                         (int32_t)lround(bend(a.x_um, b.x_um, c.x_um, d.x_um, t)),
                                         (int32_t)lround(bend(a.y_um, b.y_um, c.y_um, d.y_um, t)),
                                         (int32_t)lround(b.width_um +
                                                         t * ((double)c.width_um - b.width_um))};
        }
    return TB_OK;
}

/* The bridge as it is painted: bent, and reaching into both banks. */
static tb_status lay_bridge(
        tb_stroke *out, const tb_mask *mask, const tb_stroke *bridge, tb_error *err)
{
    const double ppm = mask->px_per_mm;
    *out = (tb_stroke){.kind = TB_STROKE_WOOD};
    tb_status status = bend_bridge(out, bridge, err);
    if (status)
        return status;
    size_t last = out->n_points - 1;
    tb_stroke_point *p = out->points;
    if (last == 0) {
        spot middle = spot_of(p[0], ppm), a = middle, b = middle;
        if (wood_at(mask, middle) || !shortest_across(mask, middle, &a, &b))
            return TB_OK;
        if (!tb_array_reserve(&out->points, &out->room, 1, 1))
            return tb_fail_memory(err);
        out->n_points = 2;
        out->points[1] = point_of(b, out->points[0].width_um, ppm);
        out->points[0] = point_of(a, out->points[0].width_um, ppm);
        return TB_OK;
    }
    spot first = into_bank(mask, spot_of(p[0], ppm), spot_of(p[1], ppm));
    spot end = into_bank(mask, spot_of(p[last], ppm), spot_of(p[last - 1], ppm));
    p[0] = point_of(first, p[0].width_um, ppm);
    p[last] = point_of(end, p[last].width_um, ppm);
    return TB_OK;
}

/* ---- pieces and openings ---- */

/* The pixel of that value nearest to the stroke's first point, no farther than half its width. */
static bool nearest(const tb_mask *mask, tb_stroke_point p, uint8_t value, int *x_px, int *y_px)
{
    spot at = spot_of(p, mask->px_per_mm);
    double reach = p.width_um * mask->px_per_mm / 2000;
    double best = (reach + 1) * (reach + 1);
    bool found = false;
    int left = (int)fmin(fmax(floor(at.x - reach), 0), mask->width_px);
    int top = (int)fmin(fmax(floor(at.y - reach), 0), mask->height_px);
    for (int y = top; y < mask->height_px && y <= at.y + reach; y++)
        for (int x = left; x < mask->width_px && x <= at.x + reach; x++) {
            double dx = x + 0.5 - at.x, dy = y + 0.5 - at.y, d = dx * dx + dy * dy;
            if (d < best && mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] == value) {
                best = d;
                *x_px = x;
                *y_px = y;
                found = true;
            }
        }
    return found;
}

static int within(double px, int end_px)
{
    return (int)fmin(fmax(px, 0), end_px);
}

static tb_rect limit_of(const tb_mask *mask, const tb_stroke *stroke)
{
    const int w = mask->width_px, h = mask->height_px;
    if (stroke->n_points < 3)
        return (tb_rect){0, 0, w, h};
    spot a = spot_of(stroke->points[1], mask->px_per_mm);
    spot b = spot_of(stroke->points[2], mask->px_per_mm);
    return (tb_rect){within(floor(fmin(a.x, b.x)), w), within(floor(fmin(a.y, b.y)), h),
            within(ceil(fmax(a.x, b.x)), w), within(ceil(fmax(a.y, b.y)), h)};
}

/* What a stroke that takes out or closes would change: nothing, if it is not there. */
static tb_status find_piece(
        tb_spans *spans, const tb_hand *hand, const tb_stroke *stroke, tb_error *err)
{
    const uint8_t from = stroke->kind == TB_STROKE_TAKE_OUT;
    const tb_mask *mask = hand->mask;
    int x, y;
    if (!nearest(mask, stroke->points[0], from, &x, &y))
        return TB_OK;
    tb_status status = tb_spans_flood(spans, hand->mask, x, y, from, limit_of(mask, stroke), err);
    if (status)
        return status;
    tb_rect r = tb_spans_bounds(spans);
    bool at_edge = r.left_px == 0 || r.top_px == 0 || r.right_px == mask->width_px ||
                   r.bottom_px == mask->height_px;
    /* The mainland holds everything up: it can be sawn into, but not taken out. */
    if (from && at_edge)
        spans->n = 0;
    return TB_OK;
}

/* Of what lies under a stroke, the openings. */
static tb_status find_open(
        tb_spans *open, const tb_hand *hand, const tb_spans *under, tb_error *err)
{
    for (size_t i = 0; i < under->n; i++) {
        const tb_span *s = &under->items[i];
        const uint8_t *row = hand->mask->px + (size_t)s->y_px * (size_t)hand->mask->width_px;
        for (int32_t x = s->x_px; x < s->end_px; x++) {
            int32_t first = x;
            while (x < s->end_px && !row[x])
                x++;
            if (x == first)
                continue;
            if (!tb_array_reserve(&open->items, &open->room, open->n, 1))
                return tb_fail_memory(err);
            open->items[open->n++] = (tb_span){s->y_px, first, x};
        }
    }
    return TB_OK;
}

static tb_status find_kept_open(tb_spans *spans, const tb_hand *hand, const tb_stroke *stroke,
        size_t first_point, tb_error *err)
{
    tb_spans under = {0};
    tb_status status = tb_spans_stroke(&under, hand->mask, stroke, first_point, err);
    if (!status)
        status = find_open(spans, hand, &under, err);
    tb_spans_clear(&under);
    return status;
}

tb_status tb_hand_draw(
        tb_hand *hand, tb_rect *dirty, const tb_stroke *stroke, size_t first_point, tb_error *err)
{
    *dirty = (tb_rect){0, 0, 0, 0};
    tb_status status = tb_stroke_check(stroke, err);
    if (status || !tb_stroke_on_mask(stroke->kind))
        return status;
    tb_spans spans = {0};
    tb_stroke laid = {.kind = TB_STROKE_WOOD};
    bool grown = false;
    switch (stroke->kind) {
    case TB_STROKE_BRIDGE:
        status = lay_bridge(&laid, hand->mask, stroke, err);
        if (!status)
            status = tb_spans_stroke(&spans, hand->mask, &laid, 0, err);
        break;
    case TB_STROKE_TAKE_OUT:
    case TB_STROKE_CLOSE:
        status = find_piece(&spans, hand, stroke, err);
        break;
    case TB_STROKE_KEEP_OPEN:
        grown = first_point > 0;
        status = find_kept_open(&spans, hand, stroke, first_point, err);
        break;
    default:
        grown = first_point > 0;
        status = tb_spans_stroke(&spans, hand->mask, stroke, first_point, err);
    }
    bool wood = stroke->kind != TB_STROKE_SAW && stroke->kind != TB_STROKE_TAKE_OUT &&
                stroke->kind != TB_STROKE_KEEP_OPEN;
    if (!status)
        status = paint(hand, dirty, &spans, wood, grown, err);
    tb_stroke_clear(&laid);
    tb_spans_clear(&spans);
    return status;
}

bool tb_hand_undo(tb_hand *hand, tb_rect *dirty)
{
    *dirty = (tb_rect){0, 0, 0, 0};
    bool more = hand->n_patches > 0;
    if (!more)
        return false;
    while (more) {
        tb_hand_patch *patch = &hand->patches[--hand->n_patches];
        *dirty = tb_rect_join(*dirty, patch->rect);
        patch_put_back(patch, hand);
        more = patch->grown;
        hand->patch_bytes -= patch->room + sizeof *patch;
        tb_free(patch->bytes);
    }
    return true;
}

tb_status tb_hand_apply(tb_hand **out, const tb_mask *mask, const tb_stroke *strokes,
        size_t n_strokes, const tb_job *job, tb_error *err)
{
    tb_status status = tb_hand_new(out, mask, 0, err);
    for (size_t i = 0; i < n_strokes && !status; i++) {
        tb_rect dirty;
        status = tb_job_stopped(job) ? tb_fail_cancelled(err)
                                     : tb_hand_draw(*out, &dirty, &strokes[i], 0, err);
    }
    if (status) {
        tb_hand_free(*out);
        *out = NULL;
    }
    return status;
}

tb_status tb_hand_bound(bool *found, const tb_hand *hand, tb_stroke *stroke, tb_error *err)
{
    *found = true;
    if (stroke->kind != TB_STROKE_TAKE_OUT && stroke->kind != TB_STROKE_CLOSE)
        return TB_OK;
    tb_spans spans = {0};
    const double mm = 1 / hand->mask->px_per_mm;
    stroke->n_points = 1;
    tb_status status = tb_stroke_check(stroke, err);
    if (!status)
        status = find_piece(&spans, hand, stroke, err);
    tb_rect r = tb_spans_bounds(&spans);
    *found = spans.n > 0;
    double room_mm = 1 + 0.1 * mm * fmax(r.right_px - r.left_px, r.bottom_px - r.top_px);
    if (!status && *found)
        status = tb_stroke_add(stroke, r.left_px * mm - room_mm, r.top_px * mm - room_mm, 0, err);
    if (!status && *found)
        status = tb_stroke_add(
                stroke, r.right_px * mm + room_mm, r.bottom_px * mm + room_mm, 0, err);
    tb_spans_clear(&spans);
    return status;
}

tb_status tb_stroke_cover(tb_mask *mask, uint8_t value, const tb_stroke *stroke, tb_error *err)
{
    tb_spans spans = {0};
    tb_status status = tb_stroke_check(stroke, err);
    if (!status)
        status = tb_spans_stroke(&spans, mask, stroke, 0, err);
    for (size_t i = 0; i < spans.n && !status; i++)
        memset(mask->px + (size_t)spans.items[i].y_px * (size_t)mask->width_px +
                        spans.items[i].x_px,
                value, (size_t)(spans.items[i].end_px - spans.items[i].x_px));
    tb_spans_clear(&spans);
    return status;
}
