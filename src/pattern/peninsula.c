/* pattern/peninsula.c: what can be said of wood that hangs by one root.
 *
 * The limbs come from the net of ridges. Each one's root is measured finer than a pixel, and from
 * the one bank of its root the outline is followed round its end to the other: what lies within is
 * what hangs.
 */
#include "base/alloc.h"
#include "base/array.h"
#include "base/num.h"
#include "pattern/breadth.h"
#include "pattern/limb.h"
#include "pattern/outline.h"
#include "pattern/survey.h"

#include <math.h>
#include <stdlib.h>

#define PI 3.14159265358979323846

/* Limbs used less than this are not even listed. */
#define LEAST_UTILISATION 0.25

enum { EXTENT_POINTS = 96 };

/* The pixel of wood at a corner of its outline. */
static int32_t wood_at_corner(const tb__survey *s, const tb_corner *corner)
{
    int x = (int)floor(corner->x_mm * s->px_per_mm), y = (int)floor(corner->y_mm * s->px_per_mm);
    for (int k = 0; k < 9; k++) {
        int at_x = x + (k + 1) % 3 - 1, at_y = y + (k / 3 + 1) % 3 - 1;
        if (tb_labels_at(s->wood, at_x, at_y) == s->mainland)
            return at_y * s->mask->width_px + at_x;
    }
    return -1;
}

static tb_status find_tips(int32_t **tips, size_t *n, const tb__survey *s)
{
    const tb_inspection *result = s->result;
    *n = 0;
    *tips = tb_malloc(result->n_corners + s->n_ends, sizeof **tips);
    if (!*tips)
        return tb_fail_memory(s->err);
    for (size_t i = 0; i < result->n_corners; i++) {
        int32_t px = result->corners[i].turn_rad < 0 ? wood_at_corner(s, &result->corners[i]) : -1;
        if (px >= 0)
            (*tips)[(*n)++] = px;
    }
    for (size_t i = 0; i < s->n_ends; i++)
        (*tips)[(*n)++] = s->ends[i];
    return TB_OK;
}

/* The better of two pixels to count as held: the one that leads up higher. */
static int32_t higher(const tb__survey *s, int32_t best, int x, int y)
{
    int32_t px = y * s->mask->width_px + x;
    if (best < 0)
        return px;
    uint16_t there = tb_ridge_height(s->ground->ridge, tb_ridge_node(s->ground->ridge, px));
    return there > tb_ridge_height(s->ground->ridge, tb_ridge_node(s->ground->ridge, best)) ? px
                                                                                            : best;
}

enum { EDGE_PLACES = 32 };

/* What is held for certain: wood at the board's edge, or the thickest place where none is. */
static int32_t held_px(const tb__survey *s)
{
    const tb_piece *piece = &s->wood->pieces[s->mainland];
    int width = s->mask->width_px, height = s->mask->height_px;
    int32_t best = -1;
    for (int i = 0; i < EDGE_PLACES; i++) {
        int x = (int)((i + 0.5) * width / EDGE_PLACES), y = (int)((i + 0.5) * height / EDGE_PLACES);
        int places[4][2] = {{x, 0}, {x, height - 1}, {0, y}, {width - 1, y}};
        for (int k = 0; k < 4; k++)
            if (tb_labels_at(s->wood, places[k][0], places[k][1]) == s->mainland)
                best = higher(s, best, places[k][0], places[k][1]);
    }
    if (best >= 0)
        return best;
    for (size_t i = (size_t)piece->first_run; i < s->wood->n_runs; i++) {
        tb_run run = s->wood->runs[i];
        for (int x = run.x_px; run.piece == s->mainland && x < run.end_px; x++) {
            int32_t px = run.y_px * width + x;
            if (best < 0 || s->ground->wood_d2[px] > s->ground->wood_d2[best])
                best = px;
        }
    }
    return best;
}

/* The outline from the bank on the left of the root, as seen towards the end, round to the bank on
 * the right: wood lies to the right all the way. False where it does not lead there. */
static bool follow_round(
        tb_point **points, size_t *n, const tb__survey *s, const tb_breadth *root, int left)
{
    size_t room = 0;
    int right = !left;
    tb_outline_walk walk;
    double to_x = root->bank_x[right] - root->bank_x[left];
    double to_y = root->bank_y[right] - root->bank_y[left];
    *points = NULL;
    *n = 0;
    if (!tb_outline_begin(&walk, s->mask, root->opening_x[left], root->opening_y[left], to_x, to_y))
        return false;
    do {
        if (!tb_array_reserve(points, &room, *n, 1))
            return false;
        (*points)[(*n)++] = (tb_point){walk.x, walk.y};
        int x, y;
        tb_outline_left_px(&walk, &x, &y);
        if (abs(x - root->opening_x[right]) + abs(y - root->opening_y[right]) <= 1)
            return true;
    } while (tb_outline_step(&walk, s->mask));
    return false;
}

static double area_of(const tb_point *points, size_t n)
{
    double twice = 0;
    for (size_t i = 0; i < n; i++) {
        const tb_point *a = &points[i], *b = &points[(i + 1) % n];
        twice += a->x_mm * b->y_mm - a->y_mm * b->x_mm;
    }
    return fabs(twice) / 2;
}

static bool inside(const tb_point *points, size_t n, double x, double y)
{
    bool in = false;
    for (size_t i = 0, k = n - 1; i < n; k = i++) {
        const tb_point *a = &points[i], *b = &points[k];
        if ((a->y_mm > y) != (b->y_mm > y) &&
                x < (b->x_mm - a->x_mm) * (y - a->y_mm) / (b->y_mm - a->y_mm) + a->x_mm)
            in = !in;
    }
    return in;
}

/* Openings within the outline don't hang; islands in those do not either. */
static double area_of_openings(const tb__survey *s, const tb_point *points, size_t n)
{
    double left = INFINITY, top = INFINITY, right = 0, bottom = 0, area = 0;
    for (size_t i = 0; i < n; i++) {
        left = fmin(left, points[i].x_mm);
        right = fmax(right, points[i].x_mm);
        top = fmin(top, points[i].y_mm);
        bottom = fmax(bottom, points[i].y_mm);
    }
    for (int32_t i = 0; i < s->openings->n_pieces; i++) {
        const tb_piece *p = &s->openings->pieces[i];
        if (p->left_px <= left || p->right_px >= right || p->top_px <= top ||
                p->bottom_px >= bottom)
            continue;
        const tb_run *run = &s->openings->runs[p->first_run];
        if (inside(points, n, run->x_px + 0.5, run->y_px + 0.5))
            area += (double)p->area_px;
    }
    return area;
}

typedef struct {
    tb_limb limb;
    tb_point *outline; /* px */
    size_t n_outline;
} peninsula;

/* A root's width is only taken where both banks are sure; where they turn, it may be a pixel or
 * three off. */
typedef struct {
    tb_breadth breadth;
    double width_px, reach_px;
    bool found; /* else the width is what the ridge tells */
} root;

/* Where along the limb it is measured, in this order: the ridge can't tell a mouth to the pixel,
 * and may lie inside it. */
static const int LOOKS_PX[] = {0, 3, -3, 6, -6, 10};
enum { N_LOOKS = sizeof LOOKS_PX / sizeof *LOOKS_PX };

static bool look_at(root *out, const tb__survey *s, const tb_hanging *hanging, int offset_px)
{
    int width = s->mask->width_px, height = s->mask->height_px;
    double dx = cos(hanging->towards_rad), dy = sin(hanging->towards_rad);
    int from_x = hanging->px % width, from_y = hanging->px / width;
    int x = from_x + (int)lround(offset_px * dx), y = from_y + (int)lround(offset_px * dy);
    if (x < 0 || y < 0 || x >= width || y >= height)
        return false;
    double half = sqrt(s->ground->wood_d2[(size_t)y * (size_t)width + (size_t)x]);
    tb_breadth *b = &out->breadth;
    /* No bank is nearer than the disc about the place, less the pixel that the line passes. */
    double least = 2 * half - 2.5, most = hanging->root_px * 1.05 + 3;
    if (half < 1 || !tb_breadth_measure(b, s->mask, 1, true, x, y, half) || b->width_px < least ||
            b->width_px > most)
        return false;
    double mid_x = (b->bank_x[0] + b->bank_x[1]) / 2, mid_y = (b->bank_y[0] + b->bank_y[1]) / 2;
    out->width_px = fmax(b->width_px, 0.5);
    out->reach_px = hanging->reach_px - (mid_x - from_x - 0.5) * dx - (mid_y - from_y - 0.5) * dy;
    out->found = true;
    return true;
}

/* What the ridge tells is this good. */
static const double AS_TOLD_PX = 1.5;

/* The first that is sure and as the ridge tells; else of the sure ones, the narrowest for its
 * reach.
 */
static root measure_root(const tb__survey *s, const tb_hanging *hanging)
{
    root best = {.width_px = hanging->root_px, .reach_px = hanging->reach_px};
    for (int i = 0; i < N_LOOKS; i++) {
        root here;
        if (!look_at(&here, s, hanging, LOOKS_PX[i]))
            continue;
        bool surer = !best.found || (here.breadth.sure && !best.breadth.sure);
        bool worse = here.reach_px * best.width_px > 1.005 * best.reach_px * here.width_px;
        if (surer || (here.breadth.sure && worse))
            best = here;
        if (here.breadth.sure && fabs(here.width_px - hanging->root_px) <= AS_TOLD_PX)
            return here;
    }
    if (best.found && !best.breadth.sure) {
        best.width_px = hanging->root_px;
        best.reach_px = hanging->reach_px;
    }
    return best;
}

static void measure(peninsula *p, const tb__survey *s, const tb_hanging *hanging)
{
    int width = s->mask->width_px, x = hanging->px % width, y = hanging->px / width;
    double mm = 1 / s->px_per_mm;
    root at = measure_root(s, hanging);
    const tb_breadth *breadth = &at.breadth;
    double to_grain = fabs(remainder(hanging->towards_rad - s->limits->grain_rad, PI));
    tb_limb *limb = &p->limb;
    *limb = (tb_limb){(x + 0.5) * mm, (y + 0.5) * mm, .reach_mm = at.reach_px * mm};
    limb->root_mm = fmax(at.width_px * mm - s->limits->split_kerf_mm, 0.5 * mm);
    limb->towards_rad = hanging->towards_rad;
    limb->grain_rad = to_grain;
    limb->stress_mpa = tb_limb_stress_mpa(s->limits, limb->root_mm, limb->reach_mm);
    limb->strength_mpa = tb_strength_at_mpa(s->limits, to_grain);
    limb->utilisation = limb->stress_mpa * s->limits->safety / limb->strength_mpa;
    if (!at.found)
        return;
    limb->x_mm = (breadth->bank_x[0] + breadth->bank_x[1]) / 2 * mm;
    limb->y_mm = (breadth->bank_y[0] + breadth->bank_y[1]) / 2 * mm;
    double side = (breadth->bank_y[0] - breadth->bank_y[1]) * cos(hanging->towards_rad) -
                  (breadth->bank_x[0] - breadth->bank_x[1]) * sin(hanging->towards_rad);
    if (!follow_round(&p->outline, &p->n_outline, s, breadth, side < 0 ? 0 : 1)) {
        tb_free(p->outline);
        p->outline = NULL;
        p->n_outline = 0;
        return;
    }
    double area = area_of(p->outline, p->n_outline);
    limb->area_mm2 = (area - area_of_openings(s, p->outline, p->n_outline)) * mm * mm;
}

/* The outline itself, thinned. */
static tb_status set_outline_extent(tb__survey *s, tb_finding *finding, const peninsula *p)
{
    size_t every = p->n_outline / EXTENT_POINTS + 1, n = 0;
    finding->extent = tb_malloc(p->n_outline / every + 1, sizeof *finding->extent);
    if (!finding->extent)
        return tb_fail_memory(s->err);
    for (size_t i = 0; i < p->n_outline; i += every)
        finding->extent[n++] =
                (tb_point){p->outline[i].x_mm / s->px_per_mm, p->outline[i].y_mm / s->px_per_mm};
    finding->n_extent = n;
    return TB_OK;
}

/* The thin bridges as the limbs see them. */
typedef struct {
    tb_limb_mark *marks; /* [s->n_bridges], by pixel */
    bool *drop;          /* [findings before the limbs'] */
} seen_bridges;

static bool is_at_root(const tb_finding *f, const tb_limb *limb)
{
    return hypot(f->x_mm - limb->x_mm, f->y_mm - limb->y_mm) < limb->root_mm;
}

/* The worst thin bridge on the limb, NULL if there is none left. */
static const tb__bridge *bridge_on(const tb__survey *s, const seen_bridges *seen,
        const tb_hanging *hanging, const tb_limb *limb)
{
    const tb__bridge *worst = NULL;
    for (size_t i = 0; i < s->n_bridges; i++) {
        const tb__bridge *b = &s->bridges[i];
        const tb_finding *f = &s->result->findings[b->finding];
        const tb_limb_mark *mark = tb_limb_mark_at(seen->marks, s->n_bridges, b->px);
        if (seen->drop[b->finding] || (mark->limb != hanging->id && !is_at_root(f, limb)))
            continue;
        if (!worst || tb__is_worse(f, &s->result->findings[worst->finding]))
            worst = b;
    }
    return worst;
}

static tb_finding *add_finding(tb__survey *s, const peninsula *p, bool must)
{
    const tb_limb *limb = &p->limb;
    tb_finding *finding = tb__add_finding(s, TB_FINDING_WEAK_PENINSULA, must ? TB_MUST : TB_SHOULD,
            limb->x_mm * s->px_per_mm, limb->y_mm * s->px_per_mm);
    if (!finding)
        return NULL;
    double r = limb->root_mm * s->px_per_mm, x = limb->x_mm * s->px_per_mm,
           y = limb->y_mm * s->px_per_mm;
    tb_point box[4] = {{x - r, y - r}, {x + r, y - r}, {x + r, y + r}, {x - r, y + r}};
    tb_status status = p->n_outline >= 3 ? set_outline_extent(s, finding, p)
                                         : tb__set_extent(s, finding, box, 4);
    return status ? NULL : finding;
}

/* Too weak for its reach. */
static tb_status add_weak(tb__survey *s, const peninsula *p, bool must)
{
    const tb_limb *limb = &p->limb;
    tb_finding *finding = add_finding(s, p, must);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = limb->utilisation;
    finding->limit = must ? s->limits->safety : 1;
    finding->unit = "";
    tb__advise(finding,
            "Tie its end, shorten its reach of %s mm, or thicken its root of %s mm to %s mm.",
            tb_num_of(limb->reach_mm, 0).text, tb_num_of(limb->root_mm, 1).text,
            tb_num_of(ceil(10 * limb->root_mm * limb->utilisation) / 10, 1).text);
    return TB_OK;
}

/* A strand that is held at one end only is judged by its width as one held at both is. */
static tb_status add_thin(tb__survey *s, const peninsula *p, bool must)
{
    tb_finding *finding = add_finding(s, p, must);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = p->limb.root_mm;
    finding->limit = must ? s->limits->bridge_must_mm : s->limits->bridge_should_mm;
    tb_num wanted = tb_num_of(s->limits->bridge_should_mm, 2);
    if (must)
        tb__advise(finding, "Thicken this strand to %s mm, or take it out.", wanted.text);
    else
        tb__advise(finding, "Thicken this strand to %s mm, or tie its end.", wanted.text);
    return TB_OK;
}

/* One strand has one finding: the one whose mend takes the others away. A thin bridge on the limb
 * gives way to what is worse, and to the root where that is as thin; it stays where thickening it
 * is all that is needed. */
static tb_status judge(
        tb__survey *s, seen_bridges *seen, const peninsula *p, const tb_hanging *hanging)
{
    const tb_limb *limb = &p->limb;
    const tb_limits *limits = s->limits;
    double grain_mm = TB__GRAIN_PX / s->px_per_mm, use = limb->utilisation;
    bool strand = tb_limb_is_strand(limb->root_mm, limb->reach_mm);
    bool too_thin = strand && limb->root_mm < limits->bridge_must_mm - grain_mm;
    bool thin = strand && limb->root_mm < limits->bridge_should_mm - grain_mm;
    if (use <= 1 && !thin)
        return TB_OK;
    const tb__bridge *bridge = bridge_on(s, seen, hanging, limb);
    if (bridge) {
        const tb_finding *f = &s->result->findings[bridge->finding];
        bool must = f->severity == TB_MUST, at_root = is_at_root(f, limb);
        bool covers = at_root || f->measured <= limb->root_mm - (must ? 0 : 2 * grain_mm);
        covers = covers && (must || (use <= 1 && !too_thin));
        bool will_do = at_root && use * limb->root_mm <= limits->bridge_should_mm;
        if (will_do || (covers && use <= limits->safety))
            return TB_OK;
        if (at_root || !must || use <= limits->safety)
            seen->drop[bridge->finding] = true;
    }
    if (use > limits->safety || (use > 1 && !too_thin))
        return add_weak(s, p, use > limits->safety);
    return add_thin(s, p, too_thin);
}

static int weakest_first(const void *left, const void *right)
{
    const tb_hanging *a = left, *b = right;
    if (a->utilisation != b->utilisation)
        return a->utilisation > b->utilisation ? -1 : 1;
    return (a->px > b->px) - (a->px < b->px);
}

/* Two ways out of one strand, as to the corners of a blunt end, have one root. */
static bool same_root(const tb_inspection *result, const tb_limb *limb)
{
    for (size_t i = 0; i < result->n_limbs; i++) {
        const tb_limb *other = &result->limbs[i];
        if (hypot(other->x_mm - limb->x_mm, other->y_mm - limb->y_mm) <
                fmin(other->root_mm, limb->root_mm) / 2)
            return true;
    }
    return false;
}

typedef struct {
    const tb__survey *s;
    const tb_hanging *hanging;
    peninsula *out;
} measuring;

static void measure_cb(void *payload, size_t i)
{
    const measuring *m = payload;
    measure(&m->out[i], m->s, &m->hanging[i]);
}

static tb_status add(
        tb__survey *s, seen_bridges *seen, const peninsula *p, const tb_hanging *hanging)
{
    tb_inspection *result = s->result;
    if (same_root(result, &p->limb))
        return TB_OK;
    result->limbs[result->n_limbs++] = p->limb;
    if (tb_limb_is_strand(p->limb.root_mm, p->limb.reach_mm))
        result->narrowest_wood_mm = fmin(result->narrowest_wood_mm, p->limb.root_mm);
    return judge(s, seen, p, hanging);
}

/* Measured so many at once, judged one by one. */
static tb_status add_all(tb__survey *s, seen_bridges *seen, tb_hanging *hanging, size_t n)
{
    enum { AT_ONCE = 64 };
    s->result->limbs = tb_malloc(n, sizeof *s->result->limbs);
    if (!s->result->limbs)
        return tb_fail_memory(s->err);
    tb_status status = TB_OK;
    if (n)
        qsort(hanging, n, sizeof *hanging, weakest_first);
    for (size_t first = 0; first < n && !status; first += AT_ONCE) {
        peninsula p[AT_ONCE] = {0};
        size_t n_here = n - first < AT_ONCE ? n - first : AT_ONCE;
        measuring m = {s, hanging + first, p};
        tb_job_each(s->job, n_here, measure_cb, &m);
        for (size_t i = 0; i < n_here; i++) {
            if (!status)
                status = add(s, seen, &p[i], &hanging[first + i]);
            tb_free(p[i].outline);
        }
    }
    return status;
}

static tb_status see_bridges(seen_bridges *seen, tb__survey *s)
{
    seen->marks = tb_malloc(s->n_bridges, sizeof *seen->marks);
    seen->drop = tb_calloc(s->result->n_findings, sizeof *seen->drop);
    if (!seen->marks || !seen->drop)
        return tb_fail_memory(s->err);
    for (size_t i = 0; i < s->n_bridges; i++)
        seen->marks[i] = (tb_limb_mark){s->bridges[i].px, -1};
    tb_limb_marks_sort(seen->marks, s->n_bridges);
    return TB_OK;
}

tb_status tb__inspect_limbs(tb__survey *s)
{
    if (s->mainland < 0)
        return TB_OK;
    int32_t *tips, held = held_px(s);
    size_t n_tips, n = 0, n_before;
    tb_hanging *hanging = NULL;
    seen_bridges seen = {0};
    tb_status status = find_tips(&tips, &n_tips, s);
    if (!status)
        status = tb__merge_bridges(s, held);
    n_before = s->result->n_findings;
    if (!status)
        status = see_bridges(&seen, s);
    if (!status)
        status = tb_limbs_find(&hanging, &n, s->ground->ridge, s->px_per_mm, s->limits, held, tips,
                n_tips, LEAST_UTILISATION, seen.marks, s->n_bridges, s->err);
    if (!status)
        status = add_all(s, &seen, hanging, n);
    if (!status)
        tb__drop_findings(s, seen.drop, n_before);
    tb_free(tips);
    tb_free(hanging);
    tb_free(seen.marks);
    tb_free(seen.drop);
    return status;
}
