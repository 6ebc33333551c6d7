/* sheet/marks.c: see marks.h. */
#include "sheet/marks.h"

#include "base/num.h"

#include <glib.h>
#include <math.h>
#include <stdio.h>

static const char *const KINDS[TB_N_FINDING_KINDS] = {
        [TB_FINDING_ISLAND] = TB__SAID("Island"),
        [TB_FINDING_THIN_BRIDGE] = TB__SAID("Thin bridge"),
        [TB_FINDING_WEAK_PENINSULA] = TB__SAID("Weak peninsula"),
        [TB_FINDING_TIGHT_OPENING] = TB__SAID("Tight opening"),
        [TB_FINDING_NARROW_SLOT] = TB__SAID("Narrow slot"),
        [TB_FINDING_TIGHT_TURN] = TB__SAID("Tight turn"),
        [TB_FINDING_CROWDED_HOLE] = TB__SAID("Crowded hole"),
        [TB_FINDING_THIN_FRAME] = TB__SAID("Thin frame"),
        [TB_FINDING_SPECK] = TB__SAID("Speck"),
};

static const double RING_LEAST_MM = 3.5, RING_ADVICE_MM = 2.6, RING_MOST_MM = 14, BADGE_MM = 2.1;

size_t tb__marks_count(const tb_inspection *inspection)
{
    if (!inspection)
        return 0;
    return inspection->n_findings < TB_MARKS_MAX ? inspection->n_findings : TB_MARKS_MAX;
}

const char *tb__say_ringed(tb_speech *speech, const tb_inspection *inspection)
{
    size_t n = tb__marks_count(inspection);
    return n < inspection->n_findings
                   ? tb__say(speech, "The first %zu of %zu are ringed.", n, inspection->n_findings)
                   : "";
}

const char *tb__say_kind(tb_speech *speech, tb_finding_kind kind)
{
    return tb__say(speech, "%s", kind < TB_N_FINDING_KINDS ? KINDS[kind] : "");
}

/* The metric text is the one that is known in other languages. */
static const char *in_unit(tb_speech *speech, const char *metric, tb_unit unit)
{
    return tb__say_in(speech, tb__say(speech, "%s", metric), unit);
}

const char *tb__say_measured(tb_speech *speech, const tb_finding *f, tb_unit unit)
{
    return in_unit(speech, tb_say_measured(f, TB_UNIT_MM).text, unit);
}

const char *tb__say_wanted(tb_speech *speech, const tb_finding *f, tb_unit unit)
{
    return in_unit(speech, tb_say_wanted(f, TB_UNIT_MM).text, unit);
}

const char *tb__say_measure(tb_speech *speech, const tb_finding *f, tb_unit unit)
{
    const char *wanted = tb__say_wanted(speech, f, unit);
    return tb__put_together(
            speech, "%s%s%s", tb__say_measured(speech, f, unit), *wanted ? ", " : "", wanted);
}

const char *tb__say_advice(tb_speech *speech, const tb_finding *f, tb_unit unit)
{
    return in_unit(speech, f->advice, unit);
}

typedef enum { MUST, ADVICE, NOTE } mark;

/* A ring, or where a number stands. */
typedef struct {
    double x, y, radius;
} circle;

static double reach_from(const tb_finding *f, double x, double y)
{
    double reach = 0;
    for (size_t i = 0; i < f->n_extent; i++)
        reach = fmax(reach, hypot(f->extent[i].x_mm - x, f->extent[i].y_mm - y));
    return reach;
}

/* A peninsula's place is its root; the ring holds all of it, if it can. */
static circle ring_of(const tb_finding *f)
{
    const double room = 1.2;
    if (f->kind == TB_FINDING_WEAK_PENINSULA && f->n_extent) {
        double left = INFINITY, top = INFINITY, right = 0, bottom = 0;
        for (size_t i = 0; i < f->n_extent; i++) {
            left = fmin(left, f->extent[i].x_mm);
            right = fmax(right, f->extent[i].x_mm);
            top = fmin(top, f->extent[i].y_mm);
            bottom = fmax(bottom, f->extent[i].y_mm);
        }
        circle all = {(left + right) / 2, (top + bottom) / 2, 0};
        all.radius = fmax(RING_ADVICE_MM, reach_from(f, all.x, all.y) + room);
        if (all.radius <= RING_MOST_MM)
            return all;
    }
    double least = f->severity == TB_MUST ? RING_LEAST_MM : RING_ADVICE_MM;
    double radius = fmax(least, reach_from(f, f->x_mm, f->y_mm) + room);
    return (circle){f->x_mm, f->y_mm, fmin(RING_MOST_MM, radius)};
}

static circle note_ring(const tb_sheet_note *note, double size)
{
    return (circle){note->x_mm, note->y_mm, fmax(note->radius_mm, RING_ADVICE_MM * size)};
}

static void ring(tb_brush *b, mark kind, const circle *at, double size)
{
    static const double WIDTHS_MM[] = {[MUST] = 0.55, [ADVICE] = 0.4, [NOTE] = 0.6};
    const double dashes[] = {1.6 * size, 1.2 * size}, dots[] = {0, 1.3 * size};
    cairo_t *cr = b->cr;
    cairo_save(cr);
    /* A white band beneath, so that the ring is seen on any ink. */
    cairo_new_path(cr);
    cairo_arc(cr, at->x, at->y, at->radius, 0, 2 * G_PI);
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_set_line_width(cr, 1.1 * size);
    cairo_stroke_preserve(cr);
    if (kind != MUST)
        cairo_set_dash(cr, kind == NOTE ? dots : dashes, 2, 0);
    if (kind == NOTE)
        cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    cairo_set_source_rgb(cr, 0, 0, 0);
    cairo_set_line_width(cr, WIDTHS_MM[kind] * size);
    cairo_stroke(cr);
    cairo_restore(cr);
}

static bool is_free(const circle *placed, size_t n, const circle *b)
{
    for (size_t i = 0; i < n; i++)
        if (hypot(b->x - placed[i].x, b->y - placed[i].y) < b->radius + placed[i].radius + 0.1)
            return false;
    return true;
}

/* On the ring at its upper right if nothing lies there, else around it, else farther out. */
static circle place(const circle *placed, size_t n, const circle *ring, double size)
{
    enum { AROUND = 16, RINGS = 4 };
    double radius = (n + 1 > 99 ? BADGE_MM * 1.25 : BADGE_MM) * size;
    for (int i = 0; i < RINGS * AROUND; i++) {
        /* To the right and to the left by turns, ever farther from where it was wanted. */
        int k = i % AROUND, turn = k % 2 ? (k + 1) / 2 : -k / 2;
        double angle = -G_PI / 4 + turn * 2 * G_PI / AROUND;
        double away = ring->radius + (i < AROUND ? 0.1 : 1.3 * (i / AROUND)) * radius;
        circle b = {ring->x + away * cos(angle), ring->y + away * sin(angle), radius};
        if (is_free(placed, n, &b))
            return b;
    }
    return (circle){ring->x + ring->radius * 0.75, ring->y - ring->radius * 0.75, radius};
}

/* A number that had to move away is tied to its ring. */
static void leader(tb_brush *b, const circle *ring, const circle *at, double size)
{
    double dx = at->x - ring->x, dy = at->y - ring->y, away = hypot(dx, dy);
    if (away - at->radius > ring->radius)
        tb__paint_line(b->cr, ring->x + dx * ring->radius / away,
                ring->y + dy * ring->radius / away, at->x, at->y, 0.25 * size, 0);
}

/* The number on its disc or square: white on black for what must be mended. */
static void paint_badge(tb_brush *b, mark kind, const circle *at, double size, size_t number)
{
    const bool must = kind == MUST;
    const double side = 1.8 * at->radius;
    char text[24];
    snprintf(text, sizeof text, "%zu", number);
    cairo_t *cr = b->cr;
    cairo_new_path(cr);
    if (kind == NOTE)
        cairo_rectangle(cr, at->x - side / 2, at->y - side / 2, side, side);
    else
        cairo_arc(cr, at->x, at->y, at->radius, 0, 2 * G_PI);
    cairo_set_source_rgb(cr, must ? 0 : 1, must ? 0 : 1, must ? 0 : 1);
    cairo_fill_preserve(cr);
    cairo_set_source_rgb(cr, 0, 0, 0);
    cairo_set_line_width(cr, 0.25 * size);
    cairo_stroke(cr);
    tb_type type = {.size_mm = 2.6 * size, .bold = true, .side = TB_MIDDLE, .grey = must ? 1 : 0};
    double w, h;
    tb__measure_text(b, &type, text, &w, &h);
    tb__paint_text(b, at->x, at->y - h / 2, &type, text);
}

void tb__marks_note_number(tb_brush *brush, double x_mm, double y_mm, size_t number)
{
    paint_badge(brush, NOTE, &(circle){x_mm, y_mm, BADGE_MM}, 1, number);
}

/* Findings first, then notes: their numbers keep clear of one another. */
void tb__marks_rings(tb_brush *brush, const tb_rings *r)
{
    const size_t n_findings = tb__marks_count(r->inspection);
    const size_t n = n_findings + MIN(r->n_notes, TB_MARKS_MAX);
    circle rings[2 * TB_MARKS_MAX], badges[2 * TB_MARKS_MAX];
    mark kinds[2 * TB_MARKS_MAX];
    for (size_t i = 0; i < n; i++) {
        const tb_finding *f = i < n_findings ? &r->inspection->findings[i] : NULL;
        kinds[i] = !f ? NOTE : f->severity == TB_MUST ? MUST : ADVICE;
        rings[i] = f ? ring_of(f) : note_ring(&r->notes[i - n_findings], r->size);
        ring(brush, kinds[i], &rings[i], r->size);
        badges[i] = place(badges, i, &rings[i], r->size);
    }
    for (size_t i = 0; i < n; i++)
        leader(brush, &rings[i], &badges[i], r->size);
    /* Numbers lie over all rings. The first is the worst, so it is drawn last. */
    for (size_t i = n; i-- > 0;)
        paint_badge(
                brush, kinds[i], &badges[i], r->size, 1 + (kinds[i] == NOTE ? i - n_findings : i));
}

static double cell_mm(tb_unit unit)
{
    return unit == TB_UNIT_IN ? 25.4 : 25;
}

static void column_name(char *text, size_t room, int column)
{
    if (column < 26)
        snprintf(text, room, "%c", 'a' + column);
    else
        snprintf(text, room, "%c%c", 'a' + (column / 26 - 1) % 26, 'a' + column % 26);
}

tb_grid_name tb__marks_cell(double x_mm, double y_mm, tb_unit unit)
{
    tb_grid_name name;
    char column[4];
    column_name(column, sizeof column, (int)fmax(0, x_mm / cell_mm(unit)));
    snprintf(name.text, sizeof name.text, "%s%d", column,
            1 + (int)fmax(0, y_mm / cell_mm(unit)) % 10000);
    return name;
}

/* Along the top: ticks where cells meet and letters between. */
static void letters(tb_brush *b, const tb_grid *g)
{
    double cell = cell_mm(g->unit), y = fmax(0, g->top_mm);
    tb_type type = {.size_mm = 2.8 * g->size, .side = TB_MIDDLE, .grey = 0.2};
    for (int i = (int)fmax(0, g->left_mm / cell); i * cell < fmin(g->right_mm, g->board_w_mm);
            i++) {
        double at = i * cell, middle = (at + fmin(at + cell, g->board_w_mm)) / 2;
        char text[4];
        column_name(text, sizeof text, i);
        if (at >= g->left_mm)
            tb__paint_line(b->cr, at, y - 1.8 * g->size, at, y, 0.2 * g->size, 0.35);
        bool room = g->board_w_mm - at >= type.size_mm * 1.2;
        if (room && middle >= g->left_mm && middle <= g->right_mm)
            tb__paint_text(b, middle, y - 4.3 * g->size, &type, text);
    }
}

/* Down the left: the same with numbers. */
static void numbers(tb_brush *b, const tb_grid *g)
{
    double cell = cell_mm(g->unit), x = fmax(0, g->left_mm);
    tb_type type = {.size_mm = 2.8 * g->size, .side = TB_RIGHT, .grey = 0.2};
    for (int i = (int)fmax(0, g->top_mm / cell); i * cell < fmin(g->bottom_mm, g->board_h_mm);
            i++) {
        double at = i * cell, middle = (at + fmin(at + cell, g->board_h_mm)) / 2;
        char text[16];
        snprintf(text, sizeof text, "%d", i + 1);
        if (at >= g->top_mm)
            tb__paint_line(b->cr, x - 1.8 * g->size, at, x, at, 0.2 * g->size, 0.35);
        bool room = g->board_h_mm - at >= type.size_mm * 1.5;
        if (room && middle >= g->top_mm && middle <= g->bottom_mm)
            tb__paint_text(b, x - 1.2 * g->size, middle - 1.9 * g->size, &type, text);
    }
}

void tb__marks_grid(tb_brush *brush, const tb_grid *grid)
{
    letters(brush, grid);
    numbers(brush, grid);
}
