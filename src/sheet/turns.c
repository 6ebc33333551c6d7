/* sheet/turns.c: tight turns along a path, and the wider ones in their stead; see ease.h.
 *
 * The path is walked in even steps. Each step may move along its normal, so far as the outline's
 * gap and the wood around it let it. Where the second difference of three neighbours says that the
 * line bends more than the blade can, the middle one moves until it doesn't; that hands the bend on
 * to its neighbours, and so, sweep by sweep, a turn spreads out into an arc of the blade's radius.
 * Where it can't, for it would have to move too far, the steps around go back to where they were.
 */
#include "sheet/ease.h"

#include "base/alloc.h"
#include "base/array.h"

#include <math.h>

static const double STEP_MM = 0.15;
/* What the outline strays by itself, and is taken off the gap. */
static const double STRAYED_MM = 0.04;
/* Thinner wood is a neck to the proof, and moves as little as that lets it; narrow slots too. */
static const double NECK_MM = 4, SLOT_MM = 1.2, SLOT_MOVE_MM = 0.03;
/* What is aimed at, and what will do, in shares of the bend of the blade's radius. */
static const double AIM = 0.93, SLACK = 1.03;
static const double STILL_MM = 2e-4, MOVED_MM = 1e-3;
enum { STEPS_LEAST = 24, AROUND = 12, SWEEPS = 120, GIVE_UP = 9, TRIES = 6, KNOT = 4 };

typedef struct {
    double x, y, nx, ny;     /* mm, as moved; the normal has length 1 */
    double moved, low, high; /* along the normal, and how far it may be */
    double bent;             /* before anything moved */
    double t;                /* on its curve */
    size_t curve;
    bool active;
} place;

typedef struct {
    const tb_path *path;
    const tb_mask *mask;
    double gap_mm, neck_mm, step_mm;
    double bend; /* that three neighbours may have: step² / radius */
    place *at;
    size_t n;
} line;

static tb_point begin_of(const tb_path *path, size_t i)
{
    return i > 0 ? path->curves[i - 1].to : path->start;
}

static tb_point between(tb_point a, tb_point b, double t)
{
    return (tb_point){a.x_mm + (b.x_mm - a.x_mm) * t, a.y_mm + (b.y_mm - a.y_mm) * t};
}

/* The curve's blossom: de Casteljau's steps, each with a share of its own. */
static tb_point blossom(const tb_path *path, size_t i, double u, double v, double w)
{
    const tb_curve *c = &path->curves[i];
    tb_point from = begin_of(path, i);
    tb_point p = between(from, c->a, u), q = between(c->a, c->b, u), r = between(c->b, c->to, u);
    return between(between(p, q, v), between(q, r, v), w);
}

static tb_point point_at(const tb_path *path, size_t i, double t)
{
    if (path->curves[i].straight)
        return between(begin_of(path, i), path->curves[i].to, t);
    return blossom(path, i, t, t, t);
}

static double apart(tb_point a, tb_point b)
{
    return hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm);
}

static int n_chords(const tb_path *path, size_t i)
{
    const tb_curve *c = &path->curves[i];
    tb_point from = begin_of(path, i);
    double hull = apart(from, c->a) + apart(c->a, c->b) + apart(c->b, c->to);
    return c->straight ? 1 : (int)fmin(64, fmax(4, hull / STEP_MM * 3));
}

/* Puts a place every step along the path, n at most; returns the path's length. */
static double walk(line *l, size_t n)
{
    double length = 0;
    tb_point from = l->path->start;
    l->n = 0;
    for (size_t i = 0; i < l->path->n_curves; i++) {
        int chords = n_chords(l->path, i);
        for (int k = 1; k <= chords; k++) {
            tb_point to = point_at(l->path, i, (double)k / chords);
            double chord = apart(from, to);
            for (; l->n < n && (double)l->n * l->step_mm < length + chord; l->n++) {
                double share = ((double)l->n * l->step_mm - length) / chord;
                double t = (k - 1 + fmax(0, share)) / chords;
                tb_point p = point_at(l->path, i, t);
                l->at[l->n] = (place){.x = p.x_mm, .y = p.y_mm, .t = t, .curve = i};
            }
            length += chord;
            from = to;
        }
    }
    return length;
}

static place *at(const line *l, size_t i, long by)
{
    return &l->at[(i + l->n + (size_t)by) % l->n];
}

/* Square to the chord between the neighbours, evened over three. */
static void set_normals(line *l)
{
    for (size_t i = 0; i < l->n; i++) {
        double x = 0, y = 0;
        for (long k = -2; k <= 2; k++) {
            const place *before = at(l, i, k - 1), *after = at(l, i, k + 1);
            x -= after->y - before->y;
            y += after->x - before->x;
        }
        double length = hypot(x, y);
        l->at[i].nx = length > 0 ? x / length : 0;
        l->at[i].ny = length > 0 ? y / length : 0;
    }
}

static double bend_at(const line *l, size_t i)
{
    const place *p = &l->at[i], *before = at(l, i, -1), *after = at(l, i, 1);
    return (before->x - 2 * p->x + after->x) * p->nx + (before->y - 2 * p->y + after->y) * p->ny;
}

static bool is_wood(const line *l, const place *p, double away_mm)
{
    double x = (p->x + p->nx * away_mm) * l->mask->px_per_mm;
    double y = (p->y + p->ny * away_mm) * l->mask->px_per_mm;
    if (x < 0 || y < 0 || x >= l->mask->width_px || y >= l->mask->height_px)
        return false;
    return l->mask->px[(size_t)y * (size_t)l->mask->width_px + (size_t)x];
}

/* How far a place may move to one side: +1 along its normal, -1 against it. */
static double room(const line *l, const place *p, int side)
{
    double pixel = 1 / l->mask->px_per_mm;
    bool wood = is_wood(l, p, side * 1.5 * pixel);
    double far = wood ? NECK_MM : SLOT_MM;
    for (double away = 2.5 * pixel; away < far; away += pixel)
        if (is_wood(l, p, side * away) != wood)
            return fmin(l->gap_mm, wood ? l->neck_mm : SLOT_MOVE_MM);
    return l->gap_mm;
}

/* Marks the places around what is too tight; false where nothing is. The path's ends stay. */
static bool set_active(line *l)
{
    bool any = false;
    for (size_t i = 0; i < l->n; i++) {
        l->at[i].bent = bend_at(l, i);
        if (fabs(l->at[i].bent) <= SLACK * l->bend)
            continue;
        any = true;
        for (long k = -AROUND; k <= AROUND; k++)
            at(l, i, k)->active = true;
    }
    return any;
}

static void set_rooms(line *l)
{
    for (size_t i = 0; i < l->n; i++) {
        place *p = &l->at[i];
        bool ends = i < 2 || i + 2 >= l->n;
        if (ends || l->path->curves[p->curve].drawn != TB_DRAWN_SMOOTH)
            p->active = false;
        if (!p->active)
            continue;
        p->low = -room(l, p, -1);
        p->high = room(l, p, 1);
    }
}

static void move_to(place *p, double moved)
{
    p->x += p->nx * (moved - p->moved);
    p->y += p->ny * (moved - p->moved);
    p->moved = moved;
}

/* Takes the bend off the i-th place, as far as it may move; returns how far that was. */
static double straighten(line *l, size_t i)
{
    place *p = &l->at[i];
    double bend = bend_at(l, i), most = AIM * l->bend;
    double over = bend - fmax(-most, fmin(most, bend));
    /* Moving by d takes 2 d off the bend; a little more makes the sweeps fewer. */
    double moved = fmax(p->low, fmin(p->high, p->moved + 0.65 * over)), by = moved - p->moved;
    if (over != 0)
        move_to(p, moved);
    return fabs(over != 0 ? by : 0);
}

/* Runs of active places first … end - 1, swept to and fro until they lie still. */
static void relax(line *l, size_t first, size_t end)
{
    for (int sweep = 0; sweep < SWEEPS; sweep++) {
        double most = 0;
        for (size_t k = first; k < end; k++)
            most = fmax(most, straighten(l, sweep % 2 ? end - 1 - (k - first) : k));
        if (most < STILL_MM)
            return;
    }
}

static bool is_tight(const line *l, size_t i)
{
    return fabs(bend_at(l, i)) > SLACK * l->bend;
}

static bool is_fixed(const place *p)
{
    return p->low >= 0 && p->high <= 0;
}

/* Whether a place bends too much, and more than anything around it did before. */
static bool is_worse(const line *l, size_t i)
{
    double before = fmax(fabs(at(l, i, -1)->bent), fabs(at(l, i, 1)->bent));
    return is_tight(l, i) && fabs(bend_at(l, i)) > fmax(before, fabs(l->at[i].bent));
}

/* Puts back what is around the places that are still too tight, and fixes it. */
static bool give_up(line *l, size_t first, size_t end)
{
    bool any = false;
    for (size_t i = first; i < end; i++) {
        if (is_fixed(&l->at[i]) ? !is_worse(l, i) : !is_tight(l, i))
            continue;
        size_t from = i > first + GIVE_UP ? i - GIVE_UP : first;
        size_t to = i + GIVE_UP < end ? i + GIVE_UP : end - 1;
        for (size_t k = from; k <= to; k++) {
            any |= !is_fixed(&l->at[k]);
            l->at[k].low = l->at[k].high = 0;
        }
    }
    for (size_t i = first; i < end; i++)
        if (is_fixed(&l->at[i]))
            move_to(&l->at[i], 0);
    return any;
}

static void ease_runs(line *l)
{
    for (size_t first = 0; first < l->n;) {
        size_t end = first;
        while (end < l->n && l->at[end].active)
            end++;
        for (int k = 0; k < TRIES && end > first; k++) {
            relax(l, first, end);
            if (!give_up(l, first, end))
                break;
        }
        first = end + 1;
    }
}

/* Whether the moved places a + 1 … b - 1 bend nowhere more than before, and somewhere less. */
static bool is_better(const line *l, size_t a, size_t b)
{
    bool eased = false;
    for (size_t i = a; i <= b; i++) {
        if (is_worse(l, i))
            return false;
        eased |= fabs(l->at[i].bent) > SLACK * l->bend && !is_tight(l, i);
    }
    return eased;
}

static bool add_curve(tb_stretch *s, tb_curve curve)
{
    if (!tb_array_reserve(&s->curves, &s->room, s->n, 1))
        return false;
    s->curves[s->n++] = curve;
    return true;
}

static bool add_part(tb_stretch *s, const tb_path *path, size_t i, double t0, double t1)
{
    tb_point to = t1 < 1 ? point_at(path, i, t1) : path->curves[i].to;
    if (t1 - t0 < 1e-9)
        return true;
    if (path->curves[i].straight)
        return add_curve(s, (tb_curve){point_at(path, i, t0), to, to, true, TB_DRAWN_SMOOTH});
    return add_curve(s, (tb_curve){blossom(path, i, t0, t0, t1), blossom(path, i, t0, t1, t1), to,
                                false, TB_DRAWN_SMOOTH});
}

/* The path as it was, from one place on a curve to another. */
static bool add_original(
        tb_stretch *s, const tb_path *path, size_t i, double t0, size_t last, double t1)
{
    bool good = true;
    for (; i < last && good; i++, t0 = 0)
        good = add_part(s, path, i, t0, 1);
    return good && add_part(s, path, last, t0, t1);
}

static tb_point tangent(const line *l, size_t i, double length)
{
    const place *before = at(l, i, -1), *after = at(l, i, 1);
    double x = after->x - before->x, y = after->y - before->y, n = hypot(x, y);
    return (tb_point){n > 0 ? x / n * length : 0, n > 0 ? y / n * length : 0};
}

/* A smooth curve through every few of the places a … b. */
static bool add_moved(tb_stretch *s, const line *l, size_t a, size_t b)
{
    for (size_t i = a; i < b;) {
        size_t k = b - i < KNOT + 2 ? b : i + KNOT;
        double length = 0;
        for (size_t j = i; j < k; j++)
            length += hypot(l->at[j + 1].x - l->at[j].x, l->at[j + 1].y - l->at[j].y);
        tb_point u = tangent(l, i, length / 3), v = tangent(l, k, length / 3);
        const place *p = &l->at[i], *q = &l->at[k];
        if (!add_curve(s, (tb_curve){{p->x + u.x_mm, p->y + u.y_mm}, {q->x - v.x_mm, q->y - v.y_mm},
                                  {q->x, q->y}, false, TB_DRAWN_SMOOTH}))
            return false;
        i = k;
    }
    return true;
}

/* Moved places a + 1 … b - 1. */
typedef struct {
    size_t a, b;
} span;

typedef struct {
    span *items;
    size_t n, room;
} spans;

static bool find_spans(spans *to, const line *l)
{
    for (size_t i = 1; i + 1 < l->n; i++) {
        if (fabs(l->at[i].moved) < MOVED_MM)
            continue;
        size_t end = i + 1;
        while (end + 1 < l->n && fabs(l->at[end].moved) >= MOVED_MM)
            end++;
        if (is_better(l, i - 1, end)) {
            if (!tb_array_reserve(&to->items, &to->room, to->n, 1))
                return false;
            to->items[to->n++] = (span){i - 1, end};
        }
        i = end;
    }
    return true;
}

/* A stretch is as long as the curves that its spans touch. Draws spans[*k] and those behind it that
 * touch the same curves. */
static bool draw_stretch(tb_stretch *s, size_t *k, const line *l, const spans *all)
{
    const place *b = &l->at[all->items[*k].a];
    size_t curve = s->first = b->curve;
    double t = 0;
    do {
        const place *a = &l->at[all->items[*k].a];
        if (!add_original(s, l->path, curve, t, a->curve, a->t) ||
                !add_moved(s, l, all->items[*k].a, all->items[*k].b))
            return false;
        b = &l->at[all->items[*k].b];
        curve = b->curve;
        t = b->t;
        ++*k;
    } while (*k < all->n && l->at[all->items[*k].a].curve <= curve);
    s->end = curve + 1;
    return add_original(s, l->path, curve, t, curve, 1);
}

static tb_status draw_stretches(tb_stretches *to, const line *l, tb_error *err)
{
    spans all = {0};
    bool good = find_spans(&all, l);
    for (size_t k = 0; k < all.n && good;) {
        good = tb_array_reserve(&to->items, &to->room, to->n, 1);
        if (!good)
            break;
        to->items[to->n] = (tb_stretch){0};
        good = draw_stretch(&to->items[to->n++], &k, l, &all);
    }
    tb_free(all.items);
    return good ? TB_OK : tb_fail_memory(err);
}

tb_status tb__turns_ease(tb_stretches *stretches, const tb_path *path, const tb_mask *mask,
        const tb_outline_options *options, tb_error *err)
{
    line l = {.path = path, .mask = mask};
    tb_status status = TB_OK;
    *stretches = (tb_stretches){0};
    l.step_mm = STEP_MM;
    double length = walk(&l, 0);
    size_t n = (size_t)(length / STEP_MM);
    l.gap_mm = options->gap_mm - STRAYED_MM;
    l.neck_mm = 0.4 * options->narrowed_mm;
    if (n < STEPS_LEAST || l.gap_mm <= 0)
        return TB_OK;
    l.at = tb_malloc(n, sizeof *l.at);
    if (!l.at)
        return tb_fail_memory(err);
    l.step_mm = length / (double)n;
    l.bend = l.step_mm * l.step_mm / options->turn_mm;
    walk(&l, n);
    set_normals(&l);
    if (set_active(&l)) {
        set_rooms(&l);
        ease_runs(&l);
        status = draw_stretches(stretches, &l, err);
    }
    tb_free(l.at);
    return status;
}

void tb__stretches_clear(tb_stretches *stretches)
{
    for (size_t i = 0; i < stretches->n; i++)
        tb_free(stretches->items[i].curves);
    tb_free(stretches->items);
    *stretches = (tb_stretches){0};
}
