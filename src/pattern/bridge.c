/* pattern/bridge.c: what can be said of necks. */
#include "base/alloc.h"
#include "base/array.h"
#include "base/num.h"
#include "pattern/neck.h"
#include "pattern/survey.h"

#include <math.h>

/* The opening beyond a bank, -1 beyond the board's edge. */
static int32_t opening_at_bank(const tb__survey *s, const tb_breadth *breadth, int k)
{
    return tb_labels_at(s->openings, breadth->opening_x[k], breadth->opening_y[k]);
}

/* Wood between an opening and the board's edge is the frame's affair, and a speck goes anyhow. */
static bool is_bridge(const tb__survey *s, const tb_breadth *breadth)
{
    for (int k = 0; k < 2; k++) {
        int32_t here = opening_at_bank(s, breadth, k), there = opening_at_bank(s, breadth, !k);
        if (here < 0 && there < 0)
            return false;
        if (here < 0 && s->opening_of[there] >= 0)
            return false;
        if (here >= 0 && s->opening_of[here] >= 0 && tb__is_speck(s, &s->openings->pieces[here]))
            return false;
    }
    return true;
}

double tb__short_grain_mm(const tb_limits *limits, const tb_breadth *breadth)
{
    double along =
            atan2(breadth->bank_x[1] - breadth->bank_x[0], breadth->bank_y[0] - breadth->bank_y[1]);
    bool across = fabs(sin(along - limits->grain_rad)) > sqrt(0.5);
    return across ? limits->bridge_across_mm : 0;
}

static tb_status add_thin_bridge(
        tb__survey *s, const tb_breadth *breadth, double width_mm, double must_mm, double should_mm)
{
    bool must = width_mm < must_mm - TB__GRAIN_PX / s->px_per_mm;
    double x = (breadth->bank_x[0] + breadth->bank_x[1]) / 2;
    double y = (breadth->bank_y[0] + breadth->bank_y[1]) / 2;
    tb_finding *finding =
            tb__add_finding(s, TB_FINDING_THIN_BRIDGE, must ? TB_MUST : TB_SHOULD, x, y);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = width_mm;
    finding->limit = must ? must_mm : should_mm;
    tb_num wanted = tb_num_of(should_mm, 2);
    if (must_mm > s->limits->bridge_must_mm)
        tb__advise(finding, "Thicken this bridge to %s mm: it runs across the grain.", wanted.text);
    else if (must)
        tb__advise(finding, "Thicken this bridge to %s mm, or take it out.", wanted.text);
    else
        tb__advise(finding, "Thicken this bridge to %s mm.", wanted.text);
    double dx = breadth->bank_x[1] - breadth->bank_x[0],
           dy = breadth->bank_y[1] - breadth->bank_y[0];
    double margin = fmax(0.5 * s->limits->bridge_must_mm * s->px_per_mm, 2), w = hypot(dx, dy);
    if (w < 1e-6)
        dx = w = 1;
    double ux = dx / w * margin, uy = dy / w * margin;
    tb_point box[4] = {{breadth->bank_x[0] - ux - uy, breadth->bank_y[0] - uy + ux},
            {breadth->bank_x[0] - ux + uy, breadth->bank_y[0] - uy - ux},
            {breadth->bank_x[1] + ux - uy, breadth->bank_y[1] + uy + ux},
            {breadth->bank_x[1] + ux + uy, breadth->bank_y[1] + uy - ux}};
    return tb__set_extent(s, finding, box, 4);
}

/* A neck with a slight swelling in it leads to its narrowest place from two sides. */
static bool found_before(const tb__survey *s, const tb_breadth *breadth)
{
    double x = (breadth->bank_x[0] + breadth->bank_x[1]) / 2 / s->px_per_mm;
    double y = (breadth->bank_y[0] + breadth->bank_y[1]) / 2 / s->px_per_mm;
    double same = fmax(breadth->width_px / 2, 2) / s->px_per_mm;
    for (size_t i = 0; i < s->result->n_findings; i++) {
        const tb_finding *f = &s->result->findings[i];
        if (f->kind == TB_FINDING_THIN_BRIDGE && hypot(f->x_mm - x, f->y_mm - y) < same)
            return true;
    }
    return false;
}

static tb_status inspect_neck(tb__survey *s, const tb__known_neck *neck)
{
    const tb_breadth *breadth = &neck->breadth;
    if (!neck->found || !is_bridge(s, breadth))
        return TB_OK;
    double width_mm = fmax(breadth->width_px / s->px_per_mm - s->limits->split_kerf_mm, 0);
    double short_mm = tb__short_grain_mm(s->limits, breadth),
           grain_mm = TB__GRAIN_PX / s->px_per_mm;
    double must_mm = fmax(s->limits->bridge_must_mm, short_mm);
    double should_mm = fmax(s->limits->bridge_should_mm, short_mm);
    if (width_mm < s->result->narrowest_wood_mm)
        s->result->narrowest_wood_mm = width_mm;
    if (width_mm >= should_mm - grain_mm || found_before(s, breadth))
        return TB_OK;
    if (s->n_bridges == TB__BRIDGES_LISTED) {
        *(width_mm < must_mm - grain_mm ? &s->result->n_must : &s->result->n_should) += 1;
        return TB_OK;
    }
    if (!tb_array_reserve(&s->bridges, &s->room_bridges, s->n_bridges, 1))
        return tb_fail_memory(s->err);
    s->bridges[s->n_bridges++] = (tb__bridge){neck->px, s->result->n_findings};
    return add_thin_bridge(s, breadth, width_mm, must_mm, should_mm);
}

/* Whether a neck is too wide to be a finding, or to be the narrowest. */
static bool is_beyond(const tb__survey *s, const tb_neck *neck)
{
    double most_mm = fmax(s->limits->bridge_should_mm, s->limits->bridge_across_mm) +
                     s->limits->split_kerf_mm;
    double about_px = 2 * sqrt(s->ground->wood_d2[neck->px]) - 3;
    return about_px > fmax(most_mm, s->result->narrowest_wood_mm) * s->px_per_mm;
}

/* The necks of specks, which go anyhow, are left out. */
static size_t drop_specks(const tb__survey *s, tb_neck *necks, size_t n)
{
    size_t n_kept = 0;
    int width = s->mask->width_px;
    for (size_t i = 0; i < n; i++) {
        int32_t piece = tb_labels_at(s->wood, necks[i].px % width, necks[i].px / width);
        if (piece == s->mainland || !tb__is_speck(s, &s->wood->pieces[piece]))
            necks[n_kept++] = necks[i];
    }
    return n_kept;
}

/* Thousands of thin necks are no pattern's: they are told to a pixel, not to a part of one. */
static bool few_are_thin(const tb__survey *s, const tb_neck *necks, size_t n)
{
    enum { FEW = 2000 };
    double most_mm = fmax(s->limits->bridge_should_mm, s->limits->bridge_across_mm) +
                     s->limits->split_kerf_mm;
    return n <= FEW ||
           2 * sqrt(s->ground->wood_d2[necks[n - 1 - FEW].px]) - 3 > most_mm * s->px_per_mm;
}

/* From the narrowest on, which are the last; measured so many at once, judged one by one. */
tb_status tb__inspect_necks(tb__survey *s)
{
    tb_neck *necks;
    size_t n;
    bool done = false;
    tb_status status =
            tb_necks_find(&necks, &n, s->ground->ridge, 2 * s->ground->wood_cap_px, s->err);
    if (!status)
        n = drop_specks(s, necks, n);
    bool fine = few_are_thin(s, necks, n);
    size_t at_once = fine ? 32 : 4096;
    while (n > 0 && !done && !status) {
        size_t n_here = 0;
        const tb__known_neck *known;
        while (n_here < n && n_here < at_once && !is_beyond(s, &necks[n - n_here - 1]))
            n_here++;
        n -= n_here;
        done = n_here < at_once;
        status = tb__ground_measure_necks(
                &known, s->ground, necks + n, n_here, fine, s->mask, s->changed, s->job, s->err);
        for (size_t i = n_here; i-- > 0 && !status;)
            if (is_beyond(s, &necks[n + i]))
                done = true;
            else
                status = inspect_neck(s, &known[i]);
        if (!status && tb_job_stopped(s->job))
            status = tb_fail_cancelled(s->err);
    }
    tb__ground_keep_necks(s->ground);
    tb_free(necks);
    return status;
}
