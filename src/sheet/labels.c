/* sheet/labels.c: numbers for the entry holes.
 *
 * The trade saws from the centre outward and small openings before large ones. So the board is
 * taken ring by ring around its middle, and each ring from its smallest opening to its largest.
 *
 * A number goes beside its cross, where it lies wholly in the opening or wholly on the wood and on
 * no number placed before; failing that, to the right.
 */
#include "base/alloc.h"
#include "sheet/ink.h"
#include "sheet/pages.h"
#include "sheet/words.h"

#include <glib.h>
#include <math.h>
#include <stdlib.h>

enum { N_RINGS = 6, N_SPOTS = 12 };

/* A number's box: its height, and its width for each character. */
static const double LABEL_H_MM = 2.6, LABEL_CHAR_MM = 1.6;

typedef struct {
    const tb_entry_hole *hole;
    int ring;
    double area_mm2;
} ranked;

static int compare(const void *a, const void *b)
{
    const ranked *p = a, *q = b;
    if (p->ring != q->ring)
        return p->ring < q->ring ? -1 : 1;
    if (p->area_mm2 != q->area_mm2)
        return p->area_mm2 < q->area_mm2 ? -1 : 1;
    return p->hole < q->hole ? -1 : p->hole > q->hole;
}

static void rank(ranked *to, const tb_sheets *s)
{
    const tb_inspection *inspection = s->content->inspection;
    double w = s->content->outline->width_mm / 2, h = s->content->outline->height_mm / 2;
    for (size_t i = 0; i < inspection->n_holes; i++) {
        const tb_entry_hole *hole = &inspection->holes[i];
        const tb_opening *opening = &inspection->openings[hole->opening];
        double away = hypot((opening->x_mm - w) / w, (opening->y_mm - h) / h) / sqrt(2);
        to[i] = (ranked){hole, (int)fmin(away * N_RINGS, N_RINGS - 1), opening->area_mm2};
    }
    qsort(to, inspection->n_holes, sizeof *to, compare);
}

/* 1: all wood (or beyond the board), 0: all opening, -1: both. */
static int ground(const tb_mask *mask, double x_mm, double y_mm, double w_mm, double h_mm)
{
    enum { ACROSS = 7, DOWN = 5 };
    int n_wood = 0;
    for (int i = 0; i < ACROSS * DOWN; i++) {
        double x = (x_mm + w_mm * (i % ACROSS) / (ACROSS - 1)) * mask->px_per_mm;
        double y = (y_mm + h_mm * (i / ACROSS) / (DOWN - 1)) * mask->px_per_mm;
        bool inside = x >= 0 && y >= 0 && x < mask->width_px && y < mask->height_px;
        n_wood += !inside || mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x];
    }
    return n_wood == 0 ? 0 : n_wood == ACROSS * DOWN ? 1 : -1;
}

static bool is_free(const tb_sheets *s, size_t n, double x_mm, double y_mm, double w_mm)
{
    for (size_t i = 0; i < n; i++) {
        const tb_hole_label *other = &s->labels[i];
        double other_w = LABEL_CHAR_MM * 4;
        if (x_mm < other->x_mm + other_w && other->x_mm < x_mm + w_mm &&
                fabs(y_mm - other->y_mm) < LABEL_H_MM)
            return false;
    }
    return true;
}

/* The i-th spot around a hole: four sides, then four corners, then the sides once more, farther. */
static void spot(double *x_mm, double *y_mm, int i, const tb_entry_hole *hole, double w_mm)
{
    static const int DX[] = {1, -1, 0, 0, 1, -1, 1, -1, 1, -1, 0, 0};
    static const int DY[] = {0, 0, -1, 1, -1, -1, 1, 1, 0, 0, -1, 1};
    double arm = fmax(hole->drill_mm, 1.2) + 0.4 + (i >= 8 ? 2.2 : 0);
    double slant = DX[i] && DY[i] ? 0.6 : 1;
    *x_mm = hole->x_mm + DX[i] * (arm * slant + w_mm / 2) - w_mm / 2;
    *y_mm = hole->y_mm + DY[i] * (arm * slant + LABEL_H_MM / 2) - LABEL_H_MM / 2;
}

static void place(tb_sheets *s, size_t n, const tb_entry_hole *hole)
{
    tb_hole_label *label = &s->labels[n];
    *label = (tb_hole_label){.hole = hole};
    if (s->one_bit) {
        g_snprintf(label->text, sizeof label->text, "%zu", n + 1);
    } else {
        char *bit = tb__words_bit(hole->drill_mm, s->options->unit);
        g_snprintf(label->text, sizeof label->text, "%zu·%s", n + 1, bit);
        g_free(bit);
    }
    double w = LABEL_CHAR_MM * (double)g_utf8_strlen(label->text, -1), x, y;
    for (int i = 0; i < N_SPOTS; i++) {
        spot(&x, &y, i, hole, w);
        int on = ground(s->content->mask, x, y, w, LABEL_H_MM);
        if (on < 0 || !is_free(s, n, x, y, w))
            continue;
        label->grey = on ? 0 : tb__ink_mark_grey(s->options->ink);
        label->x_mm = x;
        label->y_mm = y;
        return;
    }
    spot(&label->x_mm, &label->y_mm, 0, hole, w);
    label->grey = s->options->ink == TB_INK_SOLID ? 0.55 : 0;
}

tb_status tb__labels_place(tb_sheets *s, tb_error *err)
{
    const tb_inspection *inspection = s->content->inspection;
    if (!inspection || inspection->n_holes == 0)
        return TB_OK;
    size_t n = inspection->n_holes;
    ranked *order = tb_malloc(n, sizeof *order);
    s->labels = tb_calloc(n, sizeof *s->labels);
    if (!order || !s->labels) {
        tb_free(order);
        return tb_fail_memory(err);
    }
    rank(order, s);
    s->one_bit = true;
    for (size_t i = 1; i < n; i++)
        s->one_bit = s->one_bit && fabs(order[i].hole->drill_mm - order[0].hole->drill_mm) < 0.01;
    for (size_t i = 0; i < n; i++)
        place(s, i, order[i].hole);
    s->n_labels = n;
    tb_free(order);
    return TB_OK;
}
