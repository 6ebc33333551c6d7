/* sheet/prove.c: how far the drawn line lies from the mask's edge; see prove.h.
 *
 * The mask's edge is its cracks: the sides between a pixel of wood and one that is none. The line
 * is walked in steps of at most half a pixel, and the steps are sorted into bins. Around each step
 * the cracks next to it are ticked off; a step with none in reach strays, and a crack that nobody
 * ticked and that has no step in reach is an edge that the line has left out.
 *
 * Necks: the disc of wood about a pixel reaches to the nearest pixel that is none. From a step
 * that lies deep in wood, the middle of the wood is sought along the line's normal; how much of the
 * disc there is cut off on this side and on the other is what the neck has lost.
 */
#include "sheet/prove.h"

#include "base/alloc.h"
#include "base/array.h"
#include "image/distance.h"

#include <math.h>
#include <string.h>

static const double STEP_PX = 0.5;
/* Half the width of wood that is still looked at as a neck; and the side of a bin. */
enum { NECK_PX = 20, BIN_PX = 8 };

typedef struct {
    float x, y;   /* px */
    float nx, ny; /* normal, of length 1 */
    int32_t curve;
    bool smooth;
} place;

typedef struct {
    const tb_mask *mask;
    double gap_px, lost_px;
    place *places;
    size_t n_places, room;
    int bins_x, bins_y;
    uint32_t *first; /* [bins_x * bins_y + 1] into order */
    uint32_t *order; /* places by bin */
    uint8_t *ticked; /* of tb_proof */
    const uint16_t *apart;
    bool again;
    bool *fails;
    const tb_job *job;
} trial;

static int wood(const tb_mask *mask, int x, int y)
{
    if (x < 0 || y < 0 || x >= mask->width_px || y >= mask->height_px)
        return 0;
    return mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x];
}

static bool add_places(trial *t, tb_flat_corner a, tb_flat_corner b)
{
    double dx = b.x - a.x, dy = b.y - a.y, length = hypot(dx, dy);
    size_t n = (size_t)fmax(1, ceil(length / STEP_PX));
    if (length <= 0)
        return true;
    if (!tb_array_reserve(&t->places, &t->room, t->n_places, n))
        return false;
    for (size_t k = 0; k < n; k++) {
        double share = (double)k / (double)n;
        t->places[t->n_places++] = (place){(float)(a.x + dx * share), (float)(a.y + dy * share),
                (float)(dy / length), (float)(-dx / length), b.curve, b.smooth};
    }
    return true;
}

static bool walk(trial *t, const tb_flat *flat)
{
    for (size_t i = 0; i < flat->n_paths; i++) {
        const tb_flat_corner *at = flat->at + flat->first[i];
        size_t n = flat->first[i + 1] - flat->first[i];
        for (size_t k = 0; k < n; k++)
            if (!add_places(t, at[k], at[k + 1 < n ? k + 1 : 0]))
                return false;
    }
    return true;
}

static size_t bin_of(const trial *t, double x, double y)
{
    int bx = (int)x / BIN_PX, by = (int)y / BIN_PX;
    bx = bx < 0 ? 0 : bx >= t->bins_x ? t->bins_x - 1 : bx;
    by = by < 0 ? 0 : by >= t->bins_y ? t->bins_y - 1 : by;
    return (size_t)by * (size_t)t->bins_x + (size_t)bx;
}

/* Sorting by counting keeps the order of the walk within a bin. */
static bool fill_bins(trial *t)
{
    t->bins_x = t->mask->width_px / BIN_PX + 1;
    t->bins_y = t->mask->height_px / BIN_PX + 1;
    size_t n = (size_t)t->bins_x * (size_t)t->bins_y;
    t->first = tb_calloc(n + 2, sizeof *t->first);
    t->order = tb_malloc(t->n_places, sizeof *t->order);
    if (!t->first || !t->order)
        return false;
    for (size_t i = 0; i < t->n_places; i++)
        t->first[bin_of(t, t->places[i].x, t->places[i].y) + 2]++;
    for (size_t b = 2; b < n + 2; b++)
        t->first[b] += t->first[b - 1];
    for (size_t i = 0; i < t->n_places; i++)
        t->order[t->first[bin_of(t, t->places[i].x, t->places[i].y) + 1]++] = (uint32_t)i;
    return true;
}

typedef bool visit_cb(void *payload, const place *at);

/* Calls for every place within r of (x, y)'s bins until one says true. */
static bool visit(const trial *t, double x, double y, double r, visit_cb *see_cb, void *payload)
{
    size_t low = bin_of(t, x - r, y - r), high = bin_of(t, x + r, y + r);
    size_t wide = (size_t)t->bins_x, left = low % wide, right = high % wide;
    for (size_t by = low / wide; by <= high / wide; by++)
        for (uint32_t k = t->first[by * wide + left]; k < t->first[by * wide + right + 1]; k++)
            if (see_cb(payload, &t->places[t->order[k]]))
                return true;
    return false;
}

/* Squared distance from p to the crack above pixel (x, y), or left of it. */
static double to_crack(const place *p, int x, int y, bool left)
{
    double dx = p->x - x, dy = p->y - y;
    double along = left ? dy : dx, off = left ? dx : dy;
    double past = along < 0 ? along : along > 1 ? along - 1 : 0;
    return past * past + off * off;
}

/* And to its middle. */
static double to_middle(const place *p, int x, int y, bool left)
{
    double dx = p->x - (left ? x : x + 0.5), dy = p->y - (left ? y + 0.5 : y);
    return dx * dx + dy * dy;
}

/* Threads tick and blame side by side; each only ever sets, so their order doesn't matter. */
static void tick(uint8_t *ticks, uint8_t bit)
{
    if (!(__atomic_load_n(ticks, __ATOMIC_RELAXED) & bit))
        __atomic_fetch_or(ticks, bit, __ATOMIC_RELAXED);
}

static void blame(trial *t, int32_t curve)
{
    __atomic_store_n(&t->fails[curve], true, __ATOMIC_RELAXED);
}

/* Ticks off the cracks within r pixels whose middles lie within reach; the squared distance of the
 * nearest.
 */
static double tick_around(trial *t, const place *p, int r, double reach_px)
{
    const tb_mask *mask = t->mask;
    double nearest = INFINITY, reach2 = reach_px * reach_px;
    int px = (int)p->x, py = (int)p->y, wide = mask->width_px;
    for (int y = py - r < 0 ? 0 : py - r; y <= py + r && y <= mask->height_px; y++) {
        int x = px - r < 0 ? 0 : px - r, before = wood(mask, x - 1, y);
        uint8_t *ticks = &t->ticked[(size_t)y * ((size_t)wide + 1) + (size_t)x];
        for (; x <= px + r && x <= wide; x++, ticks++) {
            int here = wood(mask, x, y), differs[] = {here != wood(mask, x, y - 1), here != before};
            before = here;
            for (int left = 0; left < 2; left++) {
                if (!differs[left])
                    continue;
                double d = to_crack(p, x, y, left);
                nearest = d < nearest ? d : nearest;
                if (to_middle(p, x, y, left) <= reach2)
                    tick(ticks, (uint8_t)(1 << left));
            }
        }
    }
    return nearest;
}

/* Most lines run within a pixel of their cracks; only where one doesn't, farther ones are tried. */
static bool strays(trial *t, const place *p)
{
    double near_px = t->gap_px < 1 ? t->gap_px : 1, gap2 = t->gap_px * t->gap_px;
    return tick_around(t, p, 1, near_px) > gap2 &&
           tick_around(t, p, (int)ceil(t->gap_px) + 1, t->gap_px) > gap2;
}

/* Whether no pixel but wood has its middle within deep of p. */
static bool is_deep(const trial *t, const place *p, double deep)
{
    int px = (int)p->x, py = (int)p->y;
    if (!wood(t->mask, px, py))
        return false;
    for (int y = py - 1; y <= py + 1; y++)
        for (int x = px - 1; x <= px + 1; x++) {
            double dx = p->x - x - 0.5, dy = p->y - y - 0.5;
            if (dx * dx + dy * dy <= deep * deep && !wood(t->mask, x, y))
                return false;
        }
    return true;
}

typedef struct {
    double x, y, radius; /* the disc of wood on the far side of the middle */
    double nx, ny;       /* from there to where the line cuts the near side */
    double lost;         /* there */
    double most;         /* that may be lost on the far side */
    int32_t curve;       /* that cuts the far side too deep */
} neck;

static bool cuts_other_side(void *payload, const place *q)
{
    neck *n = payload;
    double dx = q->x - n->x, dy = q->y - n->y, d = sqrt(dx * dx + dy * dy);
    if (d >= n->radius - n->most || dx * n->nx + dy * n->ny > -0.8 * d)
        return false;
    n->curve = q->curve;
    return true;
}

/* The widest disc of wood along p's normal on the given side. An even number of pixels has two
 * middles: the near one measures what is lost here, the far one what is lost over there. */
static bool find_neck(neck *n, const trial *t, const place *p, int side)
{
    int widest = 0;
    double near_x = 0, near_y = 0;
    for (int k = 1; k <= NECK_PX; k++) {
        int x = (int)floor(p->x + k * side * p->nx), y = (int)floor(p->y + k * side * p->ny);
        if (!wood(t->mask, x, y))
            break;
        int d = t->apart[(size_t)y * (size_t)t->mask->width_px + (size_t)x];
        if (d < widest)
            break;
        n->x = x + 0.5;
        n->y = y + 0.5;
        if (d > widest) {
            near_x = n->x;
            near_y = n->y;
        }
        widest = d;
    }
    if (widest == 0 || widest >= NECK_PX * NECK_PX)
        return false;
    double dx = p->x - near_x, dy = p->y - near_y, d = sqrt(dx * dx + dy * dy);
    n->radius = sqrt(widest) - 0.5;
    n->lost = n->radius - d;
    n->nx = d > 0 ? dx / d : 0;
    n->ny = d > 0 ? dy / d : 0;
    return n->lost > t->lost_px / 2;
}

static void try_necks(trial *t, const place *p)
{
    for (int side = -1; side <= 1; side += 2) {
        neck n = {0};
        if (!find_neck(&n, t, p, side))
            continue;
        n.most = t->lost_px - n.lost;
        if (visit(t, n.x, n.y, n.radius, cuts_other_side, &n)) {
            blame(t, p->curve);
            blame(t, n.curve);
        }
    }
}

typedef struct {
    double x, y, best;
    int32_t curve;
} seeker;

static bool is_nearer(void *payload, const place *at)
{
    seeker *s = payload;
    double dx = at->x - s->x, dy = at->y - s->y, d = dx * dx + dy * dy;
    if (d < s->best) {
        s->best = d;
        s->curve = at->curve;
    }
    return false;
}

/* Blames the curve nearest to a crack's middle if it is out of reach, half a step allowed for. */
static void check_left_out(trial *t, double x, double y)
{
    double reach = t->gap_px + STEP_PX / 2;
    seeker s = {x, y, INFINITY, -1};
    for (double r = reach; s.curve < 0 && r < 1e6; r *= 4)
        visit(t, x, y, r, is_nearer, &s);
    if (s.curve >= 0 && s.best > reach * reach)
        blame(t, s.curve);
}

/* Whether eight pixels from x on are like those above them and those to their left; x > 0, y > 0.
 */
static bool is_flat(const tb_mask *mask, int x, int y)
{
    const uint8_t *at = mask->px + (size_t)y * (size_t)mask->width_px + (size_t)x;
    uint64_t here, above, left;
    memcpy(&here, at, sizeof here);
    memcpy(&above, at - mask->width_px, sizeof above);
    memcpy(&left, at - 1, sizeof left);
    return here == above && here == left;
}

static void check_crack_rows(void *payload, size_t first, size_t end)
{
    trial *t = payload;
    const tb_mask *mask = t->mask;
    size_t wide = (size_t)mask->width_px + 1;
    for (int y = (int)first; y < (int)end && !tb_job_stopped(t->job); y++)
        for (int x = 0; x <= mask->width_px; x++) {
            if (x > 0 && y > 0 && y < mask->height_px && x + 8 <= mask->width_px &&
                    is_flat(mask, x, y)) {
                x += 7;
                continue;
            }
            int here = wood(mask, x, y), ticks = t->ticked[(size_t)y * wide + (size_t)x];
            if (!(ticks & 1) && here != wood(mask, x, y - 1))
                check_left_out(t, x + 0.5, y);
            if (!(ticks & 2) && here != wood(mask, x - 1, y))
                check_left_out(t, x, y + 0.5);
        }
}

static void try_places(void *payload, size_t first, size_t end)
{
    trial *t = payload;
    for (size_t i = first; i < end; i++) {
        const place *p = &t->places[i];
        if (!(t->again && p->smooth) && strays(t, p))
            blame(t, p->curve);
        if (is_deep(t, p, 0.5 + t->lost_px / 2))
            try_necks(t, p);
        if (i % 1024 == 0 && tb_job_stopped(t->job))
            return;
    }
}

tb_status tb__proof_begin(tb_proof *proof, const tb_mask *mask, const tb_job *job, tb_error *err)
{
    *proof = (tb_proof){.mask = mask};
    tb_status status = tb_distance_capped(&proof->apart, mask, NECK_PX, true, job, err);
    size_t n = ((size_t)mask->width_px + 1) * ((size_t)mask->height_px + 1);
    if (!status && !(proof->ticked = tb_calloc(n, 1)))
        status = tb_fail_memory(err);
    if (status)
        tb__proof_end(proof);
    return status;
}

void tb__proof_end(tb_proof *proof)
{
    tb_free(proof->apart);
    tb_free(proof->ticked);
    *proof = (tb_proof){0};
}

tb_status tb__prove_distance(bool *fails, tb_proof *proof, const tb_flat *flat, bool again,
        const tb_outline_options *options, const tb_job *job, tb_error *err)
{
    double scale = proof->mask->px_per_mm;
    trial t = {.mask = proof->mask,
            .apart = proof->apart,
            .ticked = proof->ticked,
            .fails = fails,
            .again = again,
            .job = job,
            .gap_px = options->gap_mm * scale,
            .lost_px = options->narrowed_mm * scale};
    tb_status status = TB_OK;
    if (!walk(&t, flat) || !fill_bins(&t))
        status = tb_fail_memory(err);
    if (!status) {
        tb_job_rows(job, t.n_places, 4096, try_places, &t);
        /* What replaces a stretch runs along the very sides it was to come by. */
        if (!again)
            tb_job_rows(job, (size_t)t.mask->height_px + 1, 256, check_crack_rows, &t);
        if (tb_job_stopped(job))
            status = tb_fail_cancelled(err);
    }
    tb_free(t.places);
    tb_free(t.first);
    tb_free(t.order);
    return status;
}

tb_status tb__prove(bool **fails, tb_proof *proof, const tb_outline *outline, bool again,
        const tb_outline_options *options, const tb_job *job, tb_error *err)
{
    tb_flat flat;
    tb_status status = tb__flatten(&flat, outline, proof->mask->px_per_mm, err);
    if (status)
        return status;
    if (!again)
        memset(proof->ticked, 0,
                ((size_t)proof->mask->width_px + 1) * ((size_t)proof->mask->height_px + 1));
    *fails = tb_calloc(flat.n_curves, sizeof **fails);
    if (!*fails)
        status = tb_fail_memory(err);
    if (!status)
        status = tb__prove_distance(*fails, proof, &flat, again, options, job, err);
    if (!status)
        status = tb__prove_pieces(*fails, &flat, outline, proof->mask->px_per_mm, job, err);
    tb__flat_clear(&flat);
    return status;
}
