/* pattern/survey.c: see survey.h. */
#include "pattern/survey.h"

#include "base/alloc.h"
#include "base/array.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

tb_finding *tb__add_finding(
        tb__survey *survey, tb_finding_kind kind, tb_severity severity, double x_px, double y_px)
{
    tb_inspection *result = survey->result;
    if (!tb_array_reserve(&result->findings, &survey->room_findings, result->n_findings, 1)) {
        tb_fail_memory(survey->err);
        return NULL;
    }
    tb_finding *finding = &result->findings[result->n_findings++];
    *finding = (tb_finding){.kind = kind,
            .severity = severity,
            .x_mm = x_px / survey->px_per_mm,
            .y_mm = y_px / survey->px_per_mm,
            .unit = "mm"};
    return finding;
}

void tb__advise(tb_finding *finding, const char *format, ...)
{
    va_list rest;
    va_start(rest, format);
    vsnprintf(finding->advice, sizeof finding->advice, format, rest);
    va_end(rest);
}

static int by_x_then_y(const void *left, const void *right)
{
    const tb_point *a = left, *b = right;
    if (a->x_mm != b->x_mm)
        return a->x_mm < b->x_mm ? -1 : 1;
    return (a->y_mm > b->y_mm) - (a->y_mm < b->y_mm);
}

/* Adds the next point of a chain that turns one way only. */
static size_t push(tb_point *hull, size_t n, size_t least, tb_point next)
{
    while (n >= least + 2) {
        tb_point a = hull[n - 2], b = hull[n - 1];
        double cross =
                (b.x_mm - a.x_mm) * (next.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (next.x_mm - a.x_mm);
        if (cross > 0)
            break;
        n--;
    }
    hull[n] = next;
    return n + 1;
}

/* Andrew's monotone chains: along the lower side, and back along the upper. */
tb_status tb__set_extent(tb__survey *survey, tb_finding *finding, tb_point *points, size_t n)
{
    if (n == 0)
        return TB_OK;
    tb_point *hull = tb_malloc(2 * n + 1, sizeof *hull);
    if (!hull)
        return tb_fail_memory(survey->err);
    qsort(points, n, sizeof *points, by_x_then_y);
    size_t n_hull = 0;
    for (size_t i = 0; i < n; i++)
        n_hull = push(hull, n_hull, 0, points[i]);
    size_t least = n_hull - 1;
    for (size_t i = n - 1; i-- > 0;)
        n_hull = push(hull, n_hull, least, points[i]);
    if (n_hull > 1)
        n_hull--; /* the first point again */
    for (size_t i = 0; i < n_hull; i++)
        hull[i] = (tb_point){hull[i].x_mm / survey->px_per_mm, hull[i].y_mm / survey->px_per_mm};
    tb_point *fitting = tb_realloc(hull, n_hull, sizeof *hull);
    finding->extent = fitting ? fitting : hull;
    finding->n_extent = n_hull;
    return TB_OK;
}

size_t tb__first_run(const tb_labels *labels, int y, int x)
{
    size_t low = labels->row_runs[y], high = labels->row_runs[y + 1];
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (labels->runs[middle].end_px <= x)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static tb_status piece_points(
        tb__survey *survey, tb_point **points, size_t *n, const tb_labels *labels, int32_t piece)
{
    const tb_piece *p = &labels->pieces[piece];
    size_t room = 0;
    *points = NULL;
    *n = 0;
    for (int y = p->top_px; y < p->bottom_px; y++) {
        int32_t left = INT32_MAX, right = -1;
        size_t end = labels->row_runs[y + 1];
        for (size_t i = tb__first_run(labels, y, p->left_px);
                i < end && labels->runs[i].x_px < p->right_px; i++) {
            if (labels->runs[i].piece != piece)
                continue;
            left = labels->runs[i].x_px < left ? labels->runs[i].x_px : left;
            right = labels->runs[i].end_px;
        }
        if (right < 0)
            continue;
        if (!tb_array_reserve(points, &room, *n, 4)) {
            tb_free(*points);
            *points = NULL;
            return tb_fail_memory(survey->err);
        }
        (*points)[(*n)++] = (tb_point){left, y};
        (*points)[(*n)++] = (tb_point){right, y};
        (*points)[(*n)++] = (tb_point){left, y + 1};
        (*points)[(*n)++] = (tb_point){right, y + 1};
    }
    return TB_OK;
}

/* A point inside a piece: its centre of area, or the middle of its longest run. */
tb_point tb__inside_piece(const tb_labels *labels, int32_t piece)
{
    const tb_piece *p = &labels->pieces[piece];
    if (tb_labels_at(labels, (int)p->x_px, (int)p->y_px) == piece)
        return (tb_point){p->x_px, p->y_px};
    tb_run longest = {0};
    for (int y = p->top_px; y < p->bottom_px; y++) {
        size_t end = labels->row_runs[y + 1];
        for (size_t i = tb__first_run(labels, y, p->left_px);
                i < end && labels->runs[i].x_px < p->right_px; i++) {
            tb_run run = labels->runs[i];
            if (run.piece == piece && run.end_px - run.x_px > longest.end_px - longest.x_px)
                longest = run;
        }
    }
    return (tb_point){(longest.x_px + longest.end_px) / 2.0, longest.y_px + 0.5};
}

/* A speck of either tone, or an island. */
static tb_status add_piece(
        tb__survey *s, const tb_labels *labels, int32_t piece, bool island, const char *advice)
{
    double area_mm2 = (double)labels->pieces[piece].area_px / (s->px_per_mm * s->px_per_mm);
    tb_point at = tb__inside_piece(labels, piece);
    tb_finding *finding = tb__add_finding(s, island ? TB_FINDING_ISLAND : TB_FINDING_SPECK,
            island ? TB_MUST : TB_SHOULD, at.x_mm, at.y_mm);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = area_mm2;
    finding->limit = island ? 0 : s->limits->speck_mm2;
    finding->unit = "mm²";
    tb__advise(finding, "%s", advice);
    return tb__set_piece_extent(s, finding, labels, piece);
}

tb_status tb__set_piece_extent(
        tb__survey *survey, tb_finding *finding, const tb_labels *labels, int32_t piece)
{
    tb_point *points;
    size_t n;
    tb_status status = piece_points(survey, &points, &n, labels, piece);
    if (!status)
        status = tb__set_extent(survey, finding, points, n);
    tb_free(points);
    return status;
}

bool tb__is_speck(const tb__survey *s, const tb_piece *piece)
{
    double area_mm2 = (double)piece->area_px / (s->px_per_mm * s->px_per_mm);
    return area_mm2 < s->limits->speck_mm2;
}

tb_status tb__inspect_pieces(tb__survey *s)
{
    int n_specks = 0;
    for (int32_t i = 0; i < s->wood->n_pieces; i++) {
        bool speck = tb__is_speck(s, &s->wood->pieces[i]);
        if (i == s->mainland)
            continue;
        if (speck && n_specks++ >= TB__SPECKS_LISTED) {
            s->result->n_should++;
            continue;
        }
        tb_status status = add_piece(s, s->wood, i, !speck,
                speck ? "Take this speck of wood out of the pattern."
                      : "Tie this island to the mainland, or saw it away.");
        if (status)
            return status;
    }
    for (int32_t i = 0; i < s->openings->n_pieces; i++) {
        const tb_piece *piece = &s->openings->pieces[i];
        if (piece->at_edge || !tb__is_speck(s, piece))
            continue;
        if (n_specks++ >= TB__SPECKS_LISTED) {
            s->result->n_should++;
            continue;
        }
        tb_status status = add_piece(s, s->openings, i, false, "Close this speck of an opening.");
        if (status)
            return status;
    }
    return TB_OK;
}

void tb__drop_findings(tb__survey *s, const bool *drop, size_t n_drop)
{
    tb_inspection *result = s->result;
    size_t n = 0, n_bridges = 0;
    for (size_t i = 0, k = 0; i < result->n_findings; i++) {
        bool is_bridge = k < s->n_bridges && s->bridges[k].finding == i;
        if (i < n_drop && drop[i])
            tb_free(result->findings[i].extent);
        else {
            if (is_bridge)
                s->bridges[n_bridges++] = (tb__bridge){s->bridges[k].px, n};
            result->findings[n++] = result->findings[i];
        }
        k += is_bridge;
    }
    result->n_findings = n;
    s->n_bridges = n_bridges;
}
