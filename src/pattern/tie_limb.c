/* pattern/tie_limb.c: peninsulas too weak for their reach.
 *
 * On the field's grid, the wood is cut through at the root; what is reached from the far side of
 * the cut, and how far that is from the root inside the wood, is the limb. It has three cures, of
 * which the one that costs the picture least is taken:
 *
 *     tie     a second bridge from its far part to other wood, at 60° or more from its root where
 *             there is such a way
 *     widen   its root, tapering towards the end as the bending moment does
 *     trim    what reaches too far
 *
 * All of it is sought near the limb, on a sea cut out about its root.
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "base/num.h"

/* A cure leaves this much of what may be borne. */
static const double KEEP_BACK = 0.9;
static const double LEAST_ANGLE_RAD = 1.0471975511965976; /* 60° */
static const double COST_A_CELL = 10; /* of the ways inside the limb, at a price of 1 */
static const double MOST_OVER = 2;    /* a root grows to so many times its width in one round */
/* A second tie longer than this would not be looked for beyond the limb's own reach. */
static const double TIE_MM = 12;

typedef struct {
    tb__tie *t;
    double root_x, root_y, root_px, reach_px;
    double over;         /* utilisation, in what may be borne */
    tb_grid_paths *ways; /* from the root, in the limb */
    tb__sea *sea;        /* about its root */
} limb;

static bool in_limb(const limb *l, int32_t cell)
{
    return l->ways->cost[cell] != TB_GRID_FAR;
}

/* From the root, inside the wood. */
static double distance_px(const limb *l, int32_t cell)
{
    return l->ways->cost[cell] / COST_A_CELL * l->sea->cell_px;
}

static double cell_x(const limb *l, int32_t cell)
{
    return (l->sea->left + cell % l->sea->width + 0.5) * l->sea->cell_px;
}

static double cell_y(const limb *l, int32_t cell)
{
    return (l->sea->top + cell / l->sea->width + 0.5) * l->sea->cell_px;
}

/* As a cell of the whole sea. */
static int32_t in_whole(const limb *l, int32_t cell)
{
    int32_t x = l->sea->left + cell % l->sea->width, y = l->sea->top + cell / l->sea->width;
    return y * l->t->field->width + x;
}

static bool is_wood(const limb *l, int32_t cell)
{
    return l->t->field->open[in_whole(l, cell)] <= 0.5f;
}

static int32_t count_wood(const tb__field *field)
{
    int32_t n = 0;
    for (int32_t cell = 0; cell < field->width * field->height; cell++)
        n += field->open[cell] <= 0.5f;
    return n;
}

/* Prices 1 in the wood, blocked elsewhere and on the cut. */
static void price_wood(uint16_t *price, const limb *l, double towards_rad)
{
    int size = l->sea->cell_px;
    double half = l->root_px / 2 + 1.5 * size, ux = cos(towards_rad), uy = sin(towards_rad);
    for (int32_t cell = 0; cell < l->sea->width * l->sea->height; cell++) {
        double dx = cell_x(l, cell) - l->root_x, dy = cell_y(l, cell) - l->root_y;
        bool cut = fabs(dx * ux + dy * uy) <= size && fabs(dx * uy - dy * ux) <= half;
        price[cell] = cut || !is_wood(l, cell) ? TB_GRID_BLOCKED : 1;
    }
}

/* False where the cut doesn't part it from what is held: from what lies beyond its reach or at the
 * board's edge (or, where no wood is at the edge, from nearly everything). The root is not where it
 * seemed to be, then. */
static bool is_parted(const limb *l, int32_t n_wood)
{
    const tb__sea *sea = l->sea;
    int32_t n_limb = 0, n_edge = 0;
    for (int32_t cell = 0; cell < sea->width * sea->height; cell++) {
        int32_t x = cell % sea->width, y = cell / sea->width;
        bool at_edge = x == 0 || y == 0 || x + 1 == sea->width || y + 1 == sea->height;
        n_limb += in_limb(l, cell);
        n_edge += at_edge && in_limb(l, cell);
    }
    return n_limb > 1 && n_edge == 0 && n_limb < n_wood - n_wood / 10;
}

static tb_status find_limb(limb *l, double towards_rad, tb_error *err)
{
    const tb__tie *t = l->t;
    size_t n = (size_t)l->sea->width * (size_t)l->sea->height;
    uint16_t *price = tb_malloc(n, sizeof *price);
    int32_t *source = tb_malloc(n, sizeof *source);
    tb_status status = price && source ? TB_OK : tb_fail_memory(err);
    if (status)
        goto out;
    price_wood(price, l, towards_rad);
    for (size_t i = 0; i < n; i++)
        source[i] = -1;
    double step = 2.5 * l->sea->cell_px;
    int x = (int)((l->root_x + step * cos(towards_rad)) / l->sea->cell_px) - l->sea->left;
    int y = (int)((l->root_y + step * sin(towards_rad)) / l->sea->cell_px) - l->sea->top;
    if (x >= 0 && y >= 0 && x < l->sea->width && y < l->sea->height)
        source[y * l->sea->width + x] = 0;
    tb_grid grid = {l->sea->width, l->sea->height, price, source, 0};
    status = tb_grid_paths_find(&l->ways, &grid, t->job, err);
out:
    tb_free(price);
    tb_free(source);
    return status;
}

/* ---- trim ----------------------------------------------------------------------------------- */

/* What trimming a cell costs, in pixels; INFINITY where wood painted by hand would go. *any becomes
 * true where there is wood. */
static double trim_cell(const limb *l, int32_t cell, bool do_it, bool *any)
{
    tb_mask *wood = l->t->wood;
    const tb_mask *painted = l->t->options->painted_wood;
    int size = l->sea->cell_px;
    int left = (l->sea->left + cell % l->sea->width) * size;
    int top = (l->sea->top + cell / l->sea->width) * size;
    int right = left + size < wood->width_px ? left + size : wood->width_px;
    int bottom = top + size < wood->height_px ? top + size : wood->height_px;
    double cost = 0;
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++) {
            size_t px = (size_t)y * (size_t)wood->width_px + (size_t)x;
            if (!wood->px[px])
                continue;
            if (painted && painted->px[px])
                return INFINITY;
            cost += tb__field_worth(l->t, x, y);
            *any = true;
            if (do_it)
                wood->px[px] = 0;
        }
    return cost;
}

/* Counts the cost of trimming, in pixels, or does it. INFINITY where there is nothing to trim, or
 * wood painted by hand would go. */
static double trim(const limb *l, bool do_it)
{
    double most = l->reach_px / l->over, cost = 0;
    bool any = false;
    for (int32_t cell = 0; cell < l->sea->width * l->sea->height; cell++)
        if (in_limb(l, cell) && distance_px(l, cell) > most)
            cost += trim_cell(l, cell, do_it, &any);
    return any ? fmax(cost, 0) : INFINITY;
}

/* ---- widen ---------------------------------------------------------------------------------- */

/* What the root lacks in width grows less as the moment does, to nothing at the end. Given up once
 * it costs more than another cure. */
static double widen(const limb *l, tb_mask *widened, double most)
{
    tb__tie t = *l->t;
    t.wood = widened;
    double cost = 0;
    for (int32_t cell = 0; cell < l->sea->width * l->sea->height && cost <= most; cell++) {
        double x = cell_x(l, cell), y = cell_y(l, cell);
        bool near = hypot(x - l->root_x, y - l->root_y) < l->root_px;
        if (l->sea->source[cell] < 0 || !(in_limb(l, cell) || near))
            continue;
        double along = in_limb(l, cell) ? distance_px(l, cell) : 0;
        double width = l->root_px * l->over * (1 - along / l->reach_px);
        if (width > l->root_px)
            cost += tb__stamp(&t, x, y, width / 2);
    }
    return cost > 0 && cost <= most ? cost : INFINITY;
}

/* ---- a second tie --------------------------------------------------------------------------- */

enum { FAR_PART, REST = -2 }; /* sources of ways, and where they may land */

/* The sea as the second tie sees it: ways lead from the limb's far part over open water, up to the
 * shores of all other wood, and never through or along the root. */
static void part_waters(const limb *l, int32_t *source, uint16_t *price)
{
    double shy = l->root_px / 2 + l->t->bridge_px;
    for (int32_t cell = 0; cell < l->sea->width * l->sea->height; cell++) {
        bool limb_cell = in_limb(l, cell), is_room = l->sea->source[cell] >= 0;
        double dx = cell_x(l, cell) - l->root_x, dy = cell_y(l, cell) - l->root_y;
        source[cell] = -1;
        price[cell] = is_room ? TB_GRID_BLOCKED : l->sea->price[cell];
        if (dx * dx + dy * dy < shy * shy)
            price[cell] = TB_GRID_BLOCKED;
        else if (is_room && !limb_cell)
            source[cell] = REST;
        else if (is_room && distance_px(l, cell) > l->reach_px / 3)
            source[cell] = FAR_PART;
    }
}

static int32_t begin_of(const tb_grid_paths *paths, int32_t cell)
{
    for (int32_t back = tb_grid_paths_back(paths, cell); back != cell;
            back = tb_grid_paths_back(paths, cell))
        cell = back;
    return cell;
}

/* Seen from where the way leaves the limb: between the root and where the way leads. */
static double angle_between(const limb *l, const tb_grid_paths *paths, const tb__channel *c)
{
    int32_t leave = begin_of(paths, c->cell_a), land = begin_of(paths, c->cell_b);
    double x = cell_x(l, leave), y = cell_y(l, leave);
    double to_x = cell_x(l, land) - x, to_y = cell_y(l, land) - y;
    double root_x = l->root_x - x, root_y = l->root_y - y;
    double size = hypot(to_x, to_y) * hypot(root_x, root_y);
    return size > 0 ? acos(fmax(-1, fmin(1, (to_x * root_x + to_y * root_y) / size))) : 0;
}

typedef struct {
    int32_t *source;
    uint16_t *price;
    tb_grid_paths *paths;
    tb__channel channel;
    bool found, wide; /* wide: at 60° or more from the root */
    double cost;      /* px; INFINITY where there is no way */
} second_tie;

static void second_tie_clear(second_tie *s)
{
    tb_free(s->source);
    tb_free(s->price);
    tb_grid_paths_free(s->paths);
}

/* Takes the way that lands at a neighbour, if there is one and it is better than the one so far:
 * the cheapest, of those that are wide if there are any. */
static void look(second_tie *s, const limb *l, int32_t cell, int dx, int dy)
{
    int32_t x = cell % l->sea->width + dx, y = cell / l->sea->width + dy;
    int32_t next = y * l->sea->width + x;
    if (x < 0 || y < 0 || x >= l->sea->width || y >= l->sea->height || s->source[next] != REST)
        return;
    uint32_t price = s->source[cell] == FAR_PART ? 0 : s->price[cell];
    uint32_t cost = s->paths->cost[cell] + tb_grid_step(price, 0, dx, dy);
    if (s->found && s->wide && cost >= s->channel.cost)
        return;
    tb__channel way = {FAR_PART, REST, cost, cell, next};
    bool is_wide = angle_between(l, s->paths, &way) >= LEAST_ANGLE_RAD;
    if (s->found && (s->wide > is_wide || (s->wide == is_wide && cost >= s->channel.cost)))
        return;
    s->channel = way;
    s->found = true;
    s->wide = is_wide;
}

/* Of the ways that cost no more than limit. */
static tb_status find_within(second_tie *s, const limb *l, uint32_t limit, tb_error *err)
{
    tb_grid grid = {l->sea->width, l->sea->height, s->price, s->source, limit};
    s->found = s->wide = false;
    tb_grid_paths_free(s->paths);
    tb_status status = tb_grid_paths_find(&s->paths, &grid, l->t->job, err);
    for (int32_t cell = 0; !status && cell < grid.width * grid.height; cell++)
        for (int d = 0; s->paths->cost[cell] != TB_GRID_FAR && d < 9; d++)
            look(s, l, cell, d % 3 - 1, d / 3 - 1);
    return status;
}

/* Ways that cost as much as most_px are of no interest. The wave is let go farther each time, for
 * where there is a way it is often a short one; a wide way may cost four times as much as another.
 */
static tb_status second_tie_find(second_tie *s, const limb *l, double most_px, tb_error *err)
{
    const tb__tie *t = l->t;
    size_t n = (size_t)l->sea->width * (size_t)l->sea->height;
    *s = (second_tie){.cost = INFINITY};
    s->source = tb_malloc(n, sizeof *s->source);
    s->price = tb_malloc(n, sizeof *s->price);
    if (!s->source || !s->price)
        return tb_fail_memory(err);
    part_waters(l, s->source, s->price);
    double scale = t->wood->px_per_mm, unit_px = tb__sea_unit_mm2(t, l->sea) * scale * scale;
    double most = fmin(most_px / unit_px, 1e9);
    tb_status status = TB_OK;
    for (double limit = 20 * TB__PRICE_FULL; !status && !s->wide; limit *= 4) {
        status = find_within(s, l, (uint32_t)fmin(limit, most) + 1, err);
        if (limit >= most || (s->found && limit >= 4.0 * s->channel.cost))
            break;
    }
    if (!status && s->found)
        s->cost = s->channel.cost * unit_px;
    return status;
}

/* ---- which cure ----------------------------------------------------------------------------- */

/* Where a second tie was drawn, its two ends are kept in ends. */
static tb_status cure(limb *l, int32_t ends[2], bool *changed, tb_error *err)
{
    second_tie tie = {0};
    tb_mask *widened = NULL;
    tb_status status = tb_mask_copy(&widened, l->t->wood, err);
    if (status)
        goto out;
    double trimming = trim(l, false);
    status = second_tie_find(&tie, l, trimming, err);
    if (status)
        goto out;
    double widening = widen(l, widened, fmin(trimming, tie.cost));
    double least = fmin(tie.cost, fmin(trimming, widening));
    if (isinf(least)) {
        status = tb_fail(err, TB_EUNSAWABLE,
                "the peninsula %s mm from the left and %s mm from the top is too weak, and what is "
                "painted by hand about it leaves no way to mend it",
                tb_num_of(l->root_x / l->t->wood->px_per_mm, 0).text,
                tb_num_of(l->root_y / l->t->wood->px_per_mm, 0).text);
        goto out;
    }
    *changed = true;
    if (least == tie.cost) {
        ends[0] = in_whole(l, begin_of(tie.paths, tie.channel.cell_a));
        ends[1] = in_whole(l, begin_of(tie.paths, tie.channel.cell_b));
        status = tb__bridge_draw(l->t, l->sea, tie.paths, &tie.channel, err);
    } else if (least == widening) {
        tb_mask_free(l->t->wood);
        l->t->wood = widened;
        widened = NULL;
    } else {
        trim(l, true);
    }
out:
    second_tie_clear(&tie);
    tb_mask_free(widened);
    return status;
}

/* Where the ties drawn so far end, as cells of the whole sea; two for each limb, -1 where none
 * was. */
static bool is_tied_already(const limb *l, const int32_t *ends, size_t n_limbs)
{
    const tb__sea *sea = l->sea;
    int32_t width = l->t->field->width;
    for (size_t i = 0; i < 2 * n_limbs; i++) {
        int32_t x = ends[i] % width - sea->left, y = ends[i] / width - sea->top;
        if (ends[i] >= 0 && x >= 0 && y >= 0 && x < sea->width && y < sea->height &&
                in_limb(l, y * sea->width + x))
            return true;
    }
    return false;
}

/* What all limbs of a round are mended on. */
typedef struct {
    tb__tie *t;
    tb_labels *rooms;
    tb__sea *sea;
    int32_t n_wood; /* cells */
    int32_t *ends;  /* see is_tied_already() */
} mending;

/* Two limbs whose cures undo each other would go on for ever; so late cures only add wood. */
enum { LAST_CURING_ROUND = 12 };

/* Where cells are too coarse to see what the limb is parted by, as last resort the root is made as
 * wide as it must be, step by step; and so it is late. */
static tb_status mend_limb(mending *m, const tb_inspection *in, size_t i, bool last_resort,
        bool *changed, tb_error *err)
{
    const tb_limb *weak = &in->limbs[i];
    double scale = m->t->wood->px_per_mm;
    limb l = {.t = m->t, .root_x = weak->x_mm * scale, .root_y = weak->y_mm * scale};
    l.root_px = weak->root_mm * scale;
    l.reach_px = weak->reach_mm * scale;
    l.over = weak->utilisation / (KEEP_BACK * m->t->options->limits.safety);
    double within = (1.25 * l.reach_px + TIE_MM * scale) / m->sea->cell_px;
    tb_status status = tb__sea_cut(&l.sea, m->sea, l.root_x, l.root_y, (int32_t)within, err);
    if (!status)
        status = find_limb(&l, weak->towards_rad, err);
    /* One that a tie has reached meanwhile hangs by one root no longer: the next round will tell.
     */
    bool is_limb = !status && is_parted(&l, m->n_wood);
    bool late = m->t->account->n_rounds > LAST_CURING_ROUND;
    if (is_limb && !late && !is_tied_already(&l, m->ends, i))
        status = cure(&l, &m->ends[2 * i], changed, err);
    else if (!status && (late || (!is_limb && last_resort))) {
        tb__stamp(m->t, l.root_x, l.root_y, l.root_px * fmin(l.over, MOST_OVER) / 2 + 1);
        *changed = true;
    }
    tb_grid_paths_free(l.ways);
    tb__sea_free(l.sea);
    return status;
}

static bool is_found(const tb_inspection *in, const tb_limb *weak)
{
    for (size_t i = 0; i < in->n_findings; i++) {
        const tb_finding *f = &in->findings[i];
        if (f->kind == TB_FINDING_WEAK_PENINSULA && f->severity == TB_MUST &&
                !tb_finding_is_strand(f) &&
                hypot(weak->x_mm - f->x_mm, weak->y_mm - f->y_mm) < 1e-6)
            return true;
    }
    return false;
}

static tb_status begin(mending *m, tb_error *err)
{
    tb_status status = tb_label_wood(&m->rooms, m->t->wood, m->t->job, err);
    m->n_wood = count_wood(m->t->field);
    return status ? status : tb__sea_new(&m->sea, m->t, m->rooms, err);
}

tb_status tb__mend_limbs(tb__tie *t, const tb_inspection *in, bool *changed, tb_error *err)
{
    mending m = {.t = t};
    m.ends = tb_malloc(2 * in->n_limbs, sizeof *m.ends);
    tb_status status = m.ends ? TB_OK : tb_fail_memory(err);
    for (size_t i = 0; !status && i < 2 * in->n_limbs; i++)
        m.ends[i] = -1;
    bool mended = false;
    for (int last_resort = 0; last_resort < 2 && !mended; last_resort++)
        for (size_t i = 0; !status && i < in->n_limbs; i++) {
            if (!is_found(in, &in->limbs[i]))
                continue;
            if (!m.sea)
                status = begin(&m, err);
            if (!status)
                status = mend_limb(&m, in, i, last_resort, &mended, err);
        }
    *changed = *changed || mended;
    tb_free(m.ends);
    tb__sea_free(m.sea);
    tb_labels_free(m.rooms);
    return status;
}
