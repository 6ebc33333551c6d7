/* pattern/tie.c: see tie.h.
 *
 * Round by round: the wood is opened by the bridge disc, so that all that is left can be counted
 * on; openings that no drill fits into are filled; the pieces are the rooms. The cheapest channels
 * between them and the prize of each make a prize-collecting Steiner tree, whose channels are drawn
 * and whose outcasts are dropped. Drawing may cut an opening in two, one of them too small, and so
 * on: another round sees to that, until the wood is one piece and nothing changes.
 *
 * Before, outlines are moved a little so that the light comes out right (tie_balance.c); on the
 * way, what should be mended is, where that costs next to nothing (tie_advice.c).
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "base/array.h"
#include "base/num.h"
#include "graph/steiner.h"
#include "image/width.h"

#include <string.h>

enum { MOST_ROUNDS = 30 };

/* ---- widths --------------------------------------------------------------------------------- */

static void take(tb_mask **to, tb_mask *from)
{
    tb_mask_free(*to);
    *to = from;
}

static tb_status open_wood(tb__tie *t, double width_mm, tb_error *err)
{
    tb_mask *opened = NULL;
    tb_status status = tb_open_wood(&opened, t->wood, width_mm, false, t->job, err);
    if (!status)
        take(&t->wood, opened);
    return status;
}

static double slot_mm(const tb__tie *t)
{
    const tb_limits *limits = &t->options->limits;
    return limits->kerf_mm * fmax(limits->slot_must_kerfs, limits->slot_should_kerfs);
}

/* What closing fills of the pattern as it came: corners of openings, mostly. They may stay sharp.
 */
static tb_status find_corners(tb__tie *t, tb_error *err)
{
    tb_status status = tb_close_wood(&t->corners, t->wood, slot_mm(t), t->job, err);
    if (status)
        return status;
    const uint8_t *restrict wood = t->wood->px;
    uint8_t *restrict corners = t->corners->px;
    for (size_t i = 0, n = tb_mask_area_px(t->wood); i < n; i++)
        corners[i] &= wood[i] ^ 1;
    return TB_OK;
}

/* Fills slots the saw can't follow, and eases bridges into their banks by it. */
static tb_status fill_slots(tb__tie *t, tb_error *err)
{
    const tb_mask *painted = t->options->painted_opening;
    tb_mask *closed = NULL;
    tb_status status = tb_close_wood(&closed, t->wood, slot_mm(t), t->job, err);
    if (status)
        return status;
    size_t n = tb_mask_area_px(closed);
    uint8_t *restrict wood = t->wood->px;
    const uint8_t *restrict filled = closed->px, *restrict corners = t->corners->px;
    if (painted)
        for (size_t i = 0; i < n; i++)
            wood[i] |= filled[i] & (corners[i] ^ 1) & (painted->px[i] ^ 1);
    else
        for (size_t i = 0; i < n; i++)
            wood[i] |= filled[i] & (corners[i] ^ 1);
    tb_mask_free(closed);
    return TB_OK;
}

void tb__fill_piece(tb_mask *mask, const tb_labels *labels, int32_t piece, uint8_t value)
{
    const tb_piece *p = &labels->pieces[piece];
    for (size_t i = labels->row_runs[p->top_px]; i < labels->row_runs[p->bottom_px]; i++) {
        const tb_run *run = &labels->runs[i];
        if (run->piece == piece)
            memset(mask->px + (size_t)run->y_px * (size_t)mask->width_px + run->x_px, value,
                    (size_t)(run->end_px - run->x_px));
    }
}

/* Rounds from this one on carve no more wood, so that what is left to do can only be filling. */
enum { LAST_CARVING_ROUND = 6 };

static tb_status keep_widths(tb__tie *t, bool *changed, tb_error *err)
{
    bool may_carve = t->account->n_rounds <= LAST_CARVING_ROUND;
    tb_status status = open_wood(t, t->bridge_px / t->wood->px_per_mm, err);
    if (!status)
        status = fill_slots(t, err);
    if (!status)
        status = tb__mend_necks(t, changed, err);
    if (!status)
        status = tb__mend_openings(t, may_carve, changed, err);
    return status;
}

/* ---- rooms ---------------------------------------------------------------------------------- */

/* Worth of each room, mm². Rooms with wood painted by hand are marked in must. */
static void value_rooms(const tb__tie *t, const tb_labels *rooms, double *worth, bool *must)
{
    const tb_mask *painted = t->options->painted_wood;
    double px_mm2 = 1 / (t->wood->px_per_mm * t->wood->px_per_mm);
    for (size_t i = 0; i < rooms->n_runs; i++) {
        const tb_run *run = &rooms->runs[i];
        size_t at = (size_t)run->y_px * (size_t)rooms->width_px;
        double sum = 0;
        for (int x = run->x_px; x < run->end_px; x++)
            sum += tb__field_worth(t, x, run->y_px);
        worth[run->piece] += sum * px_mm2;
        must[run->piece] =
                must[run->piece] || (painted && memchr(painted->px + at + run->x_px, 1,
                                                        (size_t)(run->end_px - run->x_px)));
    }
    /* Without a picture to say that it matters, a speck is a speck. */
    for (int32_t i = 0; !t->options->tone && i < rooms->n_pieces; i++)
        if ((double)rooms->pieces[i].area_px * px_mm2 < t->options->limits.speck_mm2)
            worth[i] = 0;
}

static tb_status drop_room(
        tb__tie *t, const tb_labels *rooms, int32_t room, double worth, tb_error *err)
{
    tb_tie_account *account = t->account;
    if (!tb_array_reserve(&account->dropped, &t->dropped_room, account->n_dropped, 1))
        return tb_fail_memory(err);
    const tb_piece *piece = &rooms->pieces[room];
    double scale = t->wood->px_per_mm;
    account->dropped[account->n_dropped++] = (tb_dropped){piece->x_px / scale, piece->y_px / scale,
            (double)piece->area_px / (scale * scale), worth > 0 ? worth : 0};
    tb__fill_piece(t->wood, rooms, room, 0);
    return TB_OK;
}

/* ---- one round ------------------------------------------------------------------------------ */

typedef struct {
    tb_labels *rooms;
    double *worth;
    bool *must;
    int64_t *prizes;
    tb__sea *sea;
    tb_grid_paths *paths;
    tb__channel *channels;
    size_t n_channels;
    tb_edge *edges;
    tb_steiner_tree *tree;
} round_work;

static void round_clear(round_work *w)
{
    tb_labels_free(w->rooms);
    tb_free(w->worth);
    tb_free(w->must);
    tb_free(w->prizes);
    tb__sea_free(w->sea);
    tb_grid_paths_free(w->paths);
    tb_free(w->channels);
    tb_free(w->edges);
    tb_steiner_tree_free(w->tree);
}

/* Rooms and the channels between them. */
static tb_status survey(tb__tie *t, round_work *w, tb_error *err)
{
    size_t n = (size_t)w->rooms->n_pieces;
    w->worth = tb_calloc(n, sizeof *w->worth);
    w->must = tb_calloc(n, sizeof *w->must);
    w->prizes = tb_calloc(n, sizeof *w->prizes);
    if (!w->worth || !w->must || !w->prizes)
        return tb_fail_memory(err);
    value_rooms(t, w->rooms, w->worth, w->must);
    tb_status status = tb__sea_new(&w->sea, t, w->rooms, err);
    if (status)
        return status;
    tb_grid grid = {w->sea->width, w->sea->height, w->sea->price, w->sea->source, 0};
    status = tb_grid_paths_find(&w->paths, &grid, t->job, err);
    if (status)
        return status;
    return tb__channels_find(&w->channels, &w->n_channels, w->sea, w->paths, err);
}

/* A bar across bare dark is seen as one thing, the more the longer it is: beyond NOTICED_MM, each
 * mm² of it costs so much more for each of its mm. A judgement, tried on photographs. */
static const double NOTICED_MM = 8, NOTICE_PER_MM = 0.02;

static double notice_mm2(const tb__tie *t, const round_work *w, const tb__channel *channel)
{
    double bare_mm = tb__channel_bare_mm(t, w->sea, w->paths, channel);
    double beyond_mm = fmax(0, bare_mm - NOTICED_MM);
    return NOTICE_PER_MM * beyond_mm * beyond_mm * t->options->limits.bridge_must_mm;
}

/* The tie problem in whole numbers: one unit is what a cost of 1 on the sea stands for. */
static tb_status choose(tb__tie *t, round_work *w, int32_t mainland, tb_error *err)
{
    double unit = tb__sea_unit_mm2(t, w->sea);
    w->edges = tb_malloc(w->n_channels, sizeof *w->edges);
    if (!w->edges)
        return tb_fail_memory(err);
    int64_t all = 1;
    for (size_t i = 0; i < w->n_channels; i++) {
        int64_t cost = w->channels[i].cost + (int64_t)(notice_mm2(t, w, &w->channels[i]) / unit);
        w->edges[i] = (tb_edge){w->channels[i].a, w->channels[i].b, cost};
        all += cost;
    }
    for (int32_t i = 0; i < w->rooms->n_pieces; i++)
        w->prizes[i] = w->must[i] ? all : w->worth[i] > 0 ? (int64_t)(w->worth[i] / unit) : 0;
    w->prizes[mainland] = 0;
    tb_steiner_problem problem = {
            w->rooms->n_pieces, mainland, w->prizes, w->edges, (int32_t)w->n_channels};
    tb_status status = tb_steiner_solve(&w->tree, &problem, t->job, err);
    if (!status && !t->solved) {
        t->solved = true;
        t->account->cost = (double)w->tree->cost * unit;
        t->account->lower_bound = (double)w->tree->lower_bound * unit;
        t->account->gap_percent = w->tree->cost > 0
                                          ? 100.0 * (double)(w->tree->cost - w->tree->lower_bound) /
                                                    (double)w->tree->cost
                                          : 0;
    }
    return status;
}

static tb_status build(tb__tie *t, round_work *w, int32_t mainland, tb_error *err)
{
    tb_status status = TB_OK;
    for (int32_t i = 0; !status && i < w->tree->n_edges; i++)
        status = tb__bridge_draw(t, w->sea, w->paths, &w->channels[w->tree->edges[i]], err);
    for (int32_t i = 0; !status && i < w->rooms->n_pieces; i++) {
        if (i == mainland || w->tree->holds[i])
            continue;
        if (w->must[i])
            return tb_fail(err, TB_EUNSAWABLE,
                    "no bridge can reach the wood painted %s mm from the left and %s mm from the "
                    "top: openings painted by hand leave no way to it",
                    tb_num_of(w->rooms->pieces[i].x_px / t->wood->px_per_mm, 0).text,
                    tb_num_of(w->rooms->pieces[i].y_px / t->wood->px_per_mm, 0).text);
        status = drop_room(t, w->rooms, i, w->worth[i], err);
    }
    return status;
}

/* Takes crumbs away, which mending leaves: pieces that no bridge's disc fits into. */
static tb_status sweep_crumbs(tb_labels **rooms, tb__tie *t, tb_error *err)
{
    double least_px = t->bridge_px * t->bridge_px / 2;
    int n_crumbs = 0;
    for (int32_t i = 0; i < (*rooms)->n_pieces; i++) {
        if ((double)(*rooms)->pieces[i].area_px >= least_px)
            continue;
        tb__fill_piece(t->wood, *rooms, i, 0);
        n_crumbs++;
    }
    if (n_crumbs == 0)
        return TB_OK;
    tb_labels_free(*rooms);
    return tb_label_wood(rooms, t->wood, t->job, err);
}

/* Ties the pieces there are; *changed if there was more than one. */
static tb_status tie_rooms(tb__tie *t, bool *changed, tb_error *err)
{
    round_work w = {0};
    tb_status status = tb_label_wood(&w.rooms, t->wood, t->job, err);
    if (!status)
        status = sweep_crumbs(&w.rooms, t, err);
    if (status)
        goto out;
    if (w.rooms->n_pieces == 0) {
        status = tb_fail(err, TB_EUNSAWABLE, "no wood is as wide as a bridge must be");
        goto out;
    }
    if (w.rooms->n_pieces == 1)
        goto out;
    *changed = true;
    int32_t mainland = tb_labels_mainland(w.rooms);
    status = tb__field_update(t, err);
    if (!status)
        status = survey(t, &w, err);
    if (!status)
        status = choose(t, &w, mainland, err);
    if (!status)
        status = build(t, &w, mainland, err);
out:
    round_clear(&w);
    return status;
}

/* ---- the whole ------------------------------------------------------------------------------ */

static tb_status check_plane(const tb_mask *mask, const tb_plane *plane, tb_error *err)
{
    if (!plane || (plane->width_px == mask->width_px && plane->height_px == mask->height_px))
        return TB_OK;
    return tb_fail(err, TB_EINVAL, "the picture is %d × %d pixels, the pattern %d × %d",
            plane->width_px, plane->height_px, mask->width_px, mask->height_px);
}

static tb_status check_mask(const tb_mask *mask, const tb_mask *painted, tb_error *err)
{
    if (!painted || (painted->width_px == mask->width_px && painted->height_px == mask->height_px))
        return TB_OK;
    return tb_fail(err, TB_EINVAL, "the hand work is %d × %d pixels, the pattern %d × %d",
            painted->width_px, painted->height_px, mask->width_px, mask->height_px);
}

static tb_status check(const tb_mask *mask, const tb_tie_options *o, tb_error *err)
{
    tb_status status = check_plane(mask, o->tone, err);
    if (!status)
        status = check_plane(mask, o->weight, err);
    if (!status)
        status = check_mask(mask, o->painted_wood, err);
    if (!status)
        status = check_mask(mask, o->painted_opening, err);
    if (status)
        return status;
    if (!(o->cut_line > 0 && o->cut_line < 100))
        return tb_fail(err, TB_EINVAL, "the cut line lies outside 0 to 100");
    double bridge_px = o->limits.bridge_must_mm * mask->px_per_mm;
    if (!(bridge_px >= 1 && bridge_px <= 200))
        return tb_fail(err, TB_EINVAL, "a bridge must be 1 to 200 pixels wide");
    return TB_OK;
}

static void paint(tb_mask *wood, const tb_tie_options *o)
{
    for (size_t i = 0; o->painted_wood && i < tb_mask_area_px(wood); i++)
        wood->px[i] |= o->painted_wood->px[i];
    for (size_t i = 0; o->painted_opening && i < tb_mask_area_px(wood); i++)
        wood->px[i] &= !o->painted_opening->px[i];
}

static tb_status likeness(const tb__tie *t, double *likeness, tb_error *err)
{
    const tb_tie_options *o = t->options;
    *likeness = NAN;
    if (!o->tone)
        return TB_OK;
    return tb_likeness(likeness, t->wood, o->tone, o->cut_line, o->weight, t->job, err);
}

static tb_status go_rounds(tb__tie *t, tb_error *err)
{
    tb_status status = TB_OK;
    bool changed = true;
    while (!status && changed && t->account->n_rounds < MOST_ROUNDS) {
        tb_job_progress(t->job, "tie", (double)t->account->n_rounds / MOST_ROUNDS);
        t->account->n_rounds++;
        changed = false;
        status = keep_widths(t, &changed, err);
        if (!status)
            status = tie_rooms(t, &changed, err);
        if (!status && !changed)
            status = open_wood(t, t->options->limits.bridge_must_mm, err);
        if (!status && !changed)
            status = tb__repair(t, &changed, err);
    }
    return status;
}

/* Whatever rounds and drawing left: one piece goes out. */
static tb_status keep_one_piece(tb__tie *t, tb_error *err)
{
    tb_labels *pieces = NULL;
    tb_status status = tb_label_wood(&pieces, t->wood, t->job, err);
    if (!status && pieces->n_pieces > 1) {
        int32_t mainland = tb_labels_mainland(pieces);
        for (int32_t i = 0; !status && i < pieces->n_pieces; i++)
            if (i != mainland)
                status = drop_room(t, pieces, i, 0, err);
        tb_inspection_free(t->account->inspection);
        t->account->inspection = NULL; /* no longer of what comes out */
    }
    tb_labels_free(pieces);
    return status;
}

static tb_status run(tb__tie *t, const tb_mask *given, tb_error *err)
{
    bool as_drawn = t->options->as_drawn || !t->options->tone, changed = false;
    tb_status status = likeness(t, &t->account->likeness_before, err);
    if (!status)
        status = find_corners(t, err);
    if (!status)
        status = tb__field_new(&t->field, t, err);
    if (!status)
        status = tb__keep_painted(t, err);
    if (!status)
        status = as_drawn ? tb__mend_necks(t, &changed, err) : tb__thicken(t, err);
    if (!status)
        status = as_drawn ? TB_OK : tb__balance(t, err);
    if (!status)
        status = go_rounds(t, err);
    if (!status && as_drawn)
        status = tb__keep_drawn(t, given, err);
    if (!status)
        status = keep_one_piece(t, err);
    if (!status)
        status = likeness(t, &t->account->likeness_after, err);
    if (!status && t->account->inspection)
        tb__measure_bridges(t);
    tb_job_progress(t->job, "tie", 1);
    return status;
}

tb_status tb_tie(tb_mask **out, tb_tie_account **account, const tb_mask *mask,
        const tb_tie_options *options, const tb_job *job, tb_error *err)
{
    *out = NULL;
    *account = NULL;
    tb_status status = check(mask, options, err);
    if (status)
        return status;
    /* The wood that the saw takes off is drawn on top, and looked at without. */
    tb_tie_options own = *options;
    own.limits.bridge_must_mm += options->limits.split_kerf_mm;
    own.limits.bridge_should_mm += options->limits.split_kerf_mm;
    own.limits.bridge_across_mm +=
            options->limits.bridge_across_mm > 0 ? options->limits.split_kerf_mm : 0;
    own.limits.split_kerf_mm = 0;
    tb__tie t = {.options = &own, .job = job};
    t.memory = options->memory ? options->memory : tb_tie_memory_new();
    t.bridge_px = own.limits.bridge_must_mm * mask->px_per_mm + 0.5;
    t.account = tb_calloc(1, sizeof *t.account);
    status = t.account && t.memory ? tb_mask_copy(&t.wood, mask, err) : tb_fail_memory(err);
    if (!status) {
        paint(t.wood, options);
        status = run(&t, mask, err);
    }
    if (!status && options->limits.split_kerf_mm > 0) {
        tb_inspection_free(t.account->inspection);
        t.account->inspection = NULL; /* by other limits than asked for */
    }
    if (t.memory != options->memory)
        tb_tie_memory_free(t.memory);
    tb__field_free(t.field);
    tb__edits_clear(&t.edits);
    tb_mask_free(t.corners);
    if (status) {
        tb_mask_free(t.wood);
        tb_tie_account_free(t.account);
        return status;
    }
    *out = t.wood;
    *account = t.account;
    return TB_OK;
}

void tb_tie_account_free(tb_tie_account *account)
{
    if (!account)
        return;
    for (size_t i = 0; i < account->n_bridges; i++)
        tb_free(account->bridges[i].path);
    tb_free(account->bridges);
    tb_free(account->dropped);
    tb_inspection_free(account->inspection);
    tb_free(account);
}
