/* sheet/pieces.c: the outline rastered again at 1200 dpi, and its pieces counted; see prove.h.
 *
 * Every row of pixel middles is cut by the paths; walking along a row, paths are entered and left
 * like brackets. Between two cuts lies a run, owned by the innermost path around it. Runs of the
 * same owner that touch from row to row are one component: wood by sides, openings by corners too.
 * The outline is true when the brackets close in every row and every path owns one component.
 */
#include "base/alloc.h"
#include "sheet/prove.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double DOTS_PER_MM = 1200 / 25.4;
enum { NESTING_MAX = 4096 };

typedef struct {
    float x;
    int32_t path, curve;
} cut;

typedef struct {
    int32_t x, end;      /* dots; never empty */
    int32_t owner;       /* path; -1 outside of all */
    int32_t left, right; /* curves that bound it */
    int32_t parent;      /* of the component tree */
    int64_t size;        /* dots, at the root */
} run;

typedef struct {
    const tb_outline *outline;
    const tb_flat *flat;
    double scale; /* dots per pixel */
    int n_rows;
    size_t *first; /* [n_rows + 1] */
    cut *cuts;
    int32_t *inside; /* [n_paths] the path around it; -1 */
    run *runs;
    size_t n_runs;
    bool *fails;
} raster;

/* Calls for every crossing of the middles of rows; half open, so that corners count once. */
static void cross_edge(raster *r, tb_flat_corner a, tb_flat_corner b, int32_t path, bool store)
{
    double ax = a.x * r->scale, ay = a.y * r->scale - 0.5;
    double bx = b.x * r->scale, by = b.y * r->scale - 0.5;
    if (ay > by) {
        double x = ax, y = ay;
        ax = bx;
        ay = by;
        bx = x;
        by = y;
    }
    int first = (int)fmax(0, ceil(ay)), end = (int)fmin(r->n_rows, ceil(by));
    int32_t curve = b.curve;
    double slope = by > ay ? (bx - ax) / (by - ay) : 0;
    for (int row = first; row < end; row++) {
        if (store)
            r->cuts[r->first[row]] = (cut){(float)(ax + (row - ay) * slope), path, curve};
        r->first[row]++;
    }
}

static void cross_all(raster *r, bool store)
{
    for (size_t i = 0; i < r->flat->n_paths; i++) {
        const tb_flat_corner *points = r->flat->at + r->flat->first[i];
        size_t n = r->flat->first[i + 1] - r->flat->first[i];
        for (size_t k = 0; k < n; k++)
            cross_edge(r, points[k], points[k + 1 < n ? k + 1 : 0], (int32_t)i, store);
    }
}

/* Counts, then stores: first[row] ends as the index of the row's first cut. */
static bool make_cuts(raster *r)
{
    r->first = tb_calloc((size_t)r->n_rows + 1, sizeof *r->first);
    if (!r->first)
        return false;
    cross_all(r, false);
    size_t sum = 0;
    for (int row = 0; row <= r->n_rows; row++) {
        size_t n = r->first[row];
        r->first[row] = sum;
        sum += n;
    }
    r->cuts = tb_malloc(sum, sizeof *r->cuts);
    r->runs = tb_malloc(sum, sizeof *r->runs);
    if (!r->cuts || !r->runs)
        return false;
    cross_all(r, true);
    memmove(r->first + 1, r->first, (size_t)r->n_rows * sizeof *r->first);
    r->first[0] = 0;
    return true;
}

static void sort_row(cut *cuts, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        cut c = cuts[i];
        size_t k = i;
        for (; k > 0 && cuts[k - 1].x > c.x; k--)
            cuts[k] = cuts[k - 1];
        cuts[k] = c;
    }
}

static bool find_parents(raster *r)
{
    const tb_outline *o = r->outline;
    int32_t around[NESTING_MAX] = {0};
    r->inside = tb_malloc(o->n_paths, sizeof *r->inside);
    for (size_t i = 0; r->inside && i < o->n_paths; i++) {
        int depth = o->paths[i].depth;
        /* Deeper than any saw goes: its brackets fail, and it is drawn exactly. */
        r->inside[i] = depth >= NESTING_MAX ? -2 : depth > 0 ? around[depth - 1] : -1;
        if (depth < NESTING_MAX)
            around[depth] = (int32_t)i;
    }
    return r->inside;
}

static run *root(raster *r, run *at)
{
    while (&r->runs[at->parent] != at) {
        at->parent = r->runs[at->parent].parent;
        at = &r->runs[at->parent];
    }
    return at;
}

static void join(raster *r, run *a, run *b)
{
    a = root(r, a);
    b = root(r, b);
    if (a == b)
        return;
    if (a > b) {
        run *swap = a;
        a = b;
        b = swap;
    }
    b->parent = a->parent;
    a->size += b->size;
}

static void add_run(raster *r, const cut *from, const cut *to, int32_t owner)
{
    int32_t x = (int32_t)ceilf(from->x - 0.5F), end = (int32_t)ceilf(to->x - 0.5F);
    if (x >= end)
        return;
    run *made = &r->runs[r->n_runs];
    *made = (run){x, end, owner, from->curve, to->curve, (int32_t)r->n_runs, end - x};
    r->n_runs++;
}

/* Reads a row's brackets into runs; blames the curves where they don't close. */
static void read_row(raster *r, const cut *cuts, size_t n)
{
    int32_t open = -1;
    for (size_t i = 0; i < n; i++) {
        int32_t path = cuts[i].path;
        if (path == open) {
            open = r->inside[path];
        } else if (r->inside[path] == open) {
            open = path;
        } else {
            r->fails[cuts[i].curve] = true;
            if (i > 0)
                r->fails[cuts[i - 1].curve] = true;
            return;
        }
        if (open >= 0 && i + 1 < n)
            add_run(r, &cuts[i], &cuts[i + 1], open);
    }
}

/* Joins the runs of two neighbouring rows, upper … lower - 1 and lower … end - 1. */
static void join_rows(raster *r, size_t upper, size_t lower, size_t end)
{
    size_t a = upper, b = lower;
    while (a < lower && b < end) {
        run *up = &r->runs[a], *low = &r->runs[b];
        bool wood = up->owner >= 0 && r->outline->paths[up->owner].depth % 2 == 0;
        int corner = wood ? 0 : 1;
        if (up->owner == low->owner && up->x < low->end + corner && low->x < up->end + corner)
            join(r, up, low);
        if (up->end < low->end)
            a++;
        else
            b++;
    }
}

/* Where a path owns several components, the lines around all but the largest are to blame. */
static bool blame_pieces(raster *r)
{
    size_t n = r->outline->n_paths;
    int32_t *largest = tb_malloc(n, sizeof *largest);
    if (!largest)
        return false;
    memset(largest, 0xff, n * sizeof *largest);
    for (size_t i = 0; i < r->n_runs; i++) {
        const run *at = &r->runs[i];
        int32_t *best = &largest[at->owner];
        if (at->parent == (int32_t)i && (*best < 0 || at->size > r->runs[*best].size))
            *best = (int32_t)i;
    }
    for (size_t i = 0; i < r->n_runs; i++) {
        run *at = &r->runs[i];
        if (root(r, at) != &r->runs[largest[at->owner]])
            r->fails[at->left] = r->fails[at->right] = true;
    }
    for (size_t i = 0; i < n; i++)
        for (size_t k = r->flat->first[i]; k < r->flat->first[i + 1] && largest[i] < 0; k++)
            r->fails[r->flat->at[k].curve] = true;
    tb_free(largest);
    return true;
}

static void read_rows(raster *r, const tb_job *job)
{
    size_t above = 0, here = 0;
    for (int row = 0; row < r->n_rows && !tb_job_stopped(job); row++) {
        cut *cuts = r->cuts + r->first[row];
        size_t n = r->first[row + 1] - r->first[row];
        sort_row(cuts, n);
        read_row(r, cuts, n);
        join_rows(r, above, here, r->n_runs);
        above = here;
        here = r->n_runs;
    }
}

tb_status tb__prove_pieces(bool *fails, const tb_flat *flat, const tb_outline *outline,
        double px_per_mm, const tb_job *job, tb_error *err)
{
    raster r = {.outline = outline, .flat = flat, .scale = DOTS_PER_MM / px_per_mm, .fails = fails};
    r.n_rows = (int)ceil(outline->height_mm * DOTS_PER_MM);
    tb_status status = TB_OK;
    if (outline->n_paths == 0)
        return TB_OK;
    if (!find_parents(&r) || !make_cuts(&r)) {
        status = tb_fail_memory(err);
        goto out;
    }
    read_rows(&r, job);
    if (tb_job_stopped(job))
        status = tb_fail_cancelled(err);
    else if (!blame_pieces(&r))
        status = tb_fail_memory(err);
out:
    tb_free(r.first);
    tb_free(r.cuts);
    tb_free(r.runs);
    tb_free(r.inside);
    return status;
}
