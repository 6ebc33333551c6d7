/* sheet/outline.c: see outline.h.
 *
 * The mask is packed to bits and handed to libpotrace, which walks every border, finds the best
 * polygon along it, rounds what is no corner and joins curves where one will do. Ambiguous corners
 * turn so that openings touch and wood does not, which is how the saw sees it.
 */
#include "sheet/outline.h"

#include "base/alloc.h"
#include "base/array.h"
#include "sheet/along.h"
#include "sheet/ease.h"
#include "sheet/prove.h"

#include <math.h>
#include <potracelib.h>
#include <string.h>

enum { WORD_BITS = 8 * sizeof(potrace_word) };

/* Eight bytes of 0 or 1 as eight bits, the first one highest. */
static uint64_t pack_eight(const uint8_t *px)
{
    uint64_t eight;
    memcpy(&eight, px, sizeof eight);
    return eight * UINT64_C(0x8040201008040201) >> 56;
}

static void pack_row(potrace_word *words, const uint8_t *px, int width_px)
{
    int x = 0;
    for (; x + 8 <= width_px; x += 8)
        words[x / WORD_BITS] |= (potrace_word)pack_eight(px + x) << (WORD_BITS - 8 - x % WORD_BITS);
    for (; x < width_px; x++)
        words[x / WORD_BITS] |= (potrace_word)px[x] << (WORD_BITS - 1 - x % WORD_BITS);
}

static bool pack(potrace_bitmap_t *bits, const tb_mask *mask)
{
    size_t words = ((size_t)mask->width_px + WORD_BITS - 1) / WORD_BITS;
    *bits = (potrace_bitmap_t){.w = mask->width_px, .h = mask->height_px, .dy = (int)words};
    bits->map = tb_calloc(words * (size_t)mask->height_px, sizeof *bits->map);
    for (int y = 0; bits->map && y < mask->height_px; y++)
        pack_row(bits->map + (size_t)y * words, mask->px + (size_t)y * (size_t)mask->width_px,
                mask->width_px);
    return bits->map;
}

static double distance(tb_point a, tb_point b)
{
    return hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm);
}

static tb_point curve_at(tb_point from, const tb_curve *curve, double t)
{
    double s = 1 - t, w0 = s * s * s, w1 = 3 * s * s * t, w2 = 3 * s * t * t, w3 = t * t * t;
    return (tb_point){
            w0 * from.x_mm + w1 * curve->a.x_mm + w2 * curve->b.x_mm + w3 * curve->to.x_mm,
            w0 * from.y_mm + w1 * curve->a.y_mm + w2 * curve->b.y_mm + w3 * curve->to.y_mm};
}

static double curve_length(tb_point from, const tb_curve *curve)
{
    enum { STEPS = 16 };
    double sum = 0;
    tb_point at = from;
    for (int k = 1; k < STEPS && !curve->straight; k++) {
        tb_point to = curve_at(from, curve, (double)k / STEPS);
        sum += distance(at, to);
        at = to;
    }
    return sum + distance(at, curve->to);
}

static tb_point to_mm(potrace_dpoint_t at, double mm_per_px)
{
    return (tb_point){at.x * mm_per_px, at.y * mm_per_px};
}

static tb_curve line_to(tb_point from, tb_point to)
{
    return (tb_curve){from, to, to, true, TB_DRAWN_SMOOTH};
}

static size_t count_curves(const potrace_curve_t *from)
{
    size_t n = 0;
    for (int i = 0; i < from->n; i++)
        n += from->tag[i] == POTRACE_CORNER ? 2 : 1;
    return n;
}

static void copy_curves(tb_path *path, const potrace_curve_t *from, double mm_per_px)
{
    tb_point at = path->start = to_mm(from->c[from->n - 1][2], mm_per_px);
    tb_curve *to = path->curves;
    for (int i = 0; i < from->n; i++) {
        tb_point b = to_mm(from->c[i][1], mm_per_px), end = to_mm(from->c[i][2], mm_per_px);
        if (from->tag[i] == POTRACE_CORNER) {
            *to++ = line_to(at, b);
            *to++ = line_to(b, end);
        } else {
            *to++ = (tb_curve){to_mm(from->c[i][0], mm_per_px), b, end, false, TB_DRAWN_SMOOTH};
        }
        at = end;
    }
}

static void widen_box(tb_path *path, tb_point at)
{
    path->left_mm = fmin(path->left_mm, at.x_mm);
    path->top_mm = fmin(path->top_mm, at.y_mm);
    path->right_mm = fmax(path->right_mm, at.x_mm);
    path->bottom_mm = fmax(path->bottom_mm, at.y_mm);
}

void tb__path_measure_box(tb_path *path)
{
    path->left_mm = path->right_mm = path->start.x_mm;
    path->top_mm = path->bottom_mm = path->start.y_mm;
    for (size_t i = 0; i < path->n_curves; i++) {
        widen_box(path, path->curves[i].a);
        widen_box(path, path->curves[i].b);
        widen_box(path, path->curves[i].to);
    }
}

static bool copy_path(tb_path *path, const potrace_path_t *from, int depth, double mm_per_px)
{
    size_t n = count_curves(&from->curve);
    path->curves = tb_malloc(n, sizeof *path->curves);
    if (!path->curves)
        return false;
    path->n_curves = n;
    path->depth = depth;
    path->area_mm2 = from->area * mm_per_px * mm_per_px;
    copy_curves(path, &from->curve, mm_per_px);
    tb__path_measure_box(path);
    return true;
}

/* A path, then what lies in it, then what lies beside it. */
static bool copy_tree(tb_outline *outline, const potrace_path_t *from, int depth, double mm_per_px)
{
    for (; from; from = from->sibling)
        if (!copy_path(&outline->paths[outline->n_paths++], from, depth, mm_per_px) ||
                !copy_tree(outline, from->childlist, depth + 1, mm_per_px))
            return false;
    return true;
}

static tb_status copy_paths(
        tb_outline *outline, const potrace_path_t *list, double mm_per_px, tb_error *err)
{
    size_t n = 0;
    for (const potrace_path_t *at = list; at; at = at->next)
        n++;
    outline->paths = tb_calloc(n, sizeof *outline->paths);
    if (!outline->paths || !copy_tree(outline, list, 0, mm_per_px))
        return tb_fail_memory(err);
    return TB_OK;
}

static tb_status draw(
        tb_outline **out, const potrace_bitmap_t *bits, double px_per_mm, tb_error *err)
{
    tb_status status = TB_OK;
    potrace_state_t *traced = NULL;
    potrace_param_t *how = potrace_param_default();
    tb_outline *outline = tb_calloc(1, sizeof *outline);
    if (how) {
        how->turdsize = 0;
        how->turnpolicy = POTRACE_TURNPOLICY_WHITE;
        how->alphamax = 1.0;
        how->opticurve = 1;
        how->opttolerance = 0.2;
        traced = potrace_trace(how, bits);
    }
    if (!outline || !traced || traced->status != POTRACE_STATUS_OK) {
        status = tb_fail_memory(err);
        goto out;
    }
    outline->width_mm = bits->w / px_per_mm;
    outline->height_mm = bits->h / px_per_mm;
    status = copy_paths(outline, traced->plist, 1 / px_per_mm, err);
out:
    if (traced)
        potrace_state_free(traced);
    if (how)
        potrace_param_free(how);
    if (status)
        tb_outline_free(outline);
    *out = status ? NULL : outline;
    return status;
}

/* A path while its failing curves are replaced. */
typedef struct {
    const tb_path *old;
    tb_curves made;
    tb_loop loop; /* walked when first needed */
    const tb_mask *mask;
    tb_error *err;
} mending;

static tb_point made_end(const mending *m)
{
    return m->made.n > 0 ? m->made.items[m->made.n - 1].to : m->old->start;
}

static bool append(mending *m, const tb_curve *curves, size_t n)
{
    if (!tb_array_reserve(&m->made.items, &m->made.room, m->made.n, n))
        return false;
    memcpy(m->made.items + m->made.n, curves, n * sizeof *curves);
    m->made.n += n;
    return true;
}

static double stretch_length(const tb_path *path, size_t first, size_t end)
{
    double sum = 0;
    for (size_t i = first; i < end; i++)
        sum += curve_length(i > 0 ? path->curves[i - 1].to : path->start, &path->curves[i]);
    return sum;
}

static tb_point to_px(tb_point p, double px_per_mm)
{
    return (tb_point){p.x_mm * px_per_mm, p.y_mm * px_per_mm};
}

/* Replaces the old curves first … *end - 1, all drawn alike, by a stretch drawn one step truer.
 * *found is false where that can only be done to the whole path. */
static tb_status mend_stretch(mending *m, bool *found, size_t first, size_t *end)
{
    const tb_path *old = m->old;
    double scale = m->mask->px_per_mm;
    tb_path_drawn drawn = old->curves[first].drawn;
    while (drawn == TB_DRAWN_CLOSE && *end < old->n_curves && old->curves[*end].drawn == drawn)
        ++*end;
    while (drawn == TB_DRAWN_CLOSE && m->made.n > 0 && first > 0 &&
            old->curves[first - 1].drawn == drawn) {
        m->made.n--;
        first--;
    }
    tb_status status = m->loop.at ? TB_OK : tb__loop_of(&m->loop, old, m->mask, m->err);
    if (status)
        return status;
    return tb__append_along(&m->made, found, &m->loop, to_px(made_end(m), scale),
            to_px(old->curves[*end - 1].to, scale), stretch_length(old, first, *end) * scale,
            drawn + 1, scale, m->err);
}

static tb_status mend_whole(mending *m, tb_point *start, tb_path_drawn drawn)
{
    double scale = m->mask->px_per_mm;
    tb_status status = m->loop.at ? TB_OK : tb__loop_of(&m->loop, m->old, m->mask, m->err);
    m->made.n = 0;
    if (status)
        return status;
    *start = (tb_point){m->loop.at[0].x_mm / scale, m->loop.at[0].y_mm / scale};
    return tb__append_loop(&m->made, &m->loop, drawn, scale, m->err);
}

static tb_status mend_path(tb_path *path, const bool *fails, const tb_mask *mask, tb_error *err)
{
    mending m = {.old = path, .mask = mask, .err = err};
    tb_status status = TB_OK;
    tb_point start = path->start;
    for (size_t i = 0; i < path->n_curves && !status;) {
        tb_path_drawn drawn = path->curves[i].drawn;
        size_t end = i + 1;
        bool found;
        if (!fails[i] || drawn == TB_DRAWN_EXACT) {
            if (!append(&m, &path->curves[i], 1))
                status = tb_fail_memory(err);
            i = end;
            continue;
        }
        while (end < path->n_curves && fails[end] && path->curves[end].drawn == drawn)
            end++;
        status = mend_stretch(&m, &found, i, &end);
        i = end;
        if (!status && !found) {
            status = mend_whole(&m, &start, drawn + 1);
            break;
        }
    }
    tb_free(m.loop.at);
    if (status) {
        tb_free(m.made.items);
        return status;
    }
    tb_free(path->curves);
    path->start = start;
    path->curves = m.made.items;
    path->n_curves = m.made.n;
    tb__path_measure_box(path);
    return TB_OK;
}

/* Whether any curve fails that can still be drawn truer. */
static bool has_failing(const tb_path *path, const bool *fails)
{
    for (size_t i = 0; i < path->n_curves; i++)
        if (fails[i] && path->curves[i].drawn != TB_DRAWN_EXACT)
            return true;
    return false;
}

/* Draws all that fails one step truer; *any tells whether there was something. */
static tb_status mend(
        bool *any, tb_outline *outline, const bool *fails, const tb_mask *mask, tb_error *err)
{
    tb_status status = TB_OK;
    *any = false;
    for (size_t i = 0; i < outline->n_paths && !status; i++) {
        size_t n = outline->paths[i].n_curves;
        if (has_failing(&outline->paths[i], fails)) {
            *any = true;
            status = mend_path(&outline->paths[i], fails, mask, err);
        }
        fails += n;
    }
    return status;
}

tb_status tb_outline_trace(tb_outline **out, const tb_mask *mask, const tb_outline_options *options,
        const tb_job *job, tb_error *err)
{
    potrace_bitmap_t bits = {0};
    tb_outline *outline = NULL;
    tb_proof proof = {0};
    bool any = true;
    *out = NULL;
    tb_status status = pack(&bits, mask) ? TB_OK : tb_fail_memory(err);
    if (!status)
        status = draw(&outline, &bits, mask->px_per_mm, err);
    if (!status)
        status = tb__proof_begin(&proof, mask, job, err);
    for (int round = 0; !status && any; round++) {
        bool *fails = NULL;
        status = tb__prove(&fails, &proof, outline, round > 0, options, job, err);
        if (!status)
            status = mend(&any, outline, fails, mask, err);
        tb_free(fails);
    }
    if (!status && options->turn_mm > 0)
        status = tb__ease(outline, &proof, options, job, err);
    tb__proof_end(&proof);
    tb_free(bits.map);
    if (status)
        tb_outline_free(outline);
    else
        *out = outline;
    return status;
}

void tb_outline_free(tb_outline *outline)
{
    if (!outline)
        return;
    for (size_t i = 0; i < outline->n_paths; i++)
        tb_free(outline->paths[i].curves);
    tb_free(outline->paths);
    tb_free(outline);
}

double tb_path_length_mm(const tb_path *path)
{
    return stretch_length(path, 0, path->n_curves);
}
