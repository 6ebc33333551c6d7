/* sheet/labels.c: numbers for the entry holes, in the order of the plan.
 *
 * A number goes beside its cross, where it lies wholly in the opening or wholly on the wood, and on
 * no number placed before nor on another cross; failing that, across a line with white around it.
 */
#include "base/alloc.h"
#include "sheet/ink.h"
#include "sheet/pages.h"
#include "sheet/words.h"

#include <glib.h>
#include <math.h>

enum { N_SPOTS = 12 };

/* A number's box: its height, and its width for each character. */
static const double LABEL_H_MM = 2.6, LABEL_CHAR_MM = 1.6;

tb_status tb__plan_of(
        const tb_plan **plan, tb_plan **own, const tb_sheet_content *content, tb_error *err)
{
    *own = NULL;
    *plan = content->plan;
    if (*plan || !content->inspection)
        return TB_OK;
    tb_plan_options options = {.order = TB_ORDER_CENTRE};
    tb_status status = tb_plan_make(own, content->inspection, content->mask, &options, NULL, err);
    *plan = *own;
    return status;
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
        if (x_mm < other->x_mm + other->w_mm && other->x_mm < x_mm + w_mm &&
                fabs(y_mm - other->y_mm) < LABEL_H_MM)
            return false;
    }
    return true;
}

double tb__cross_mm(const tb_entry_hole *hole)
{
    return fmax(hole->drill_mm, 1.2);
}

/* The i-th spot around a hole: four sides, then four corners, then the sides once more, farther. */
static void spot(double *x_mm, double *y_mm, int i, const tb_entry_hole *hole, double w_mm)
{
    static const int DX[] = {1, -1, 0, 0, 1, -1, 1, -1, 1, -1, 0, 0};
    static const int DY[] = {0, 0, -1, 1, -1, -1, 1, 1, 0, 0, -1, 1};
    double arm = tb__cross_mm(hole) + 0.4 + (i >= 8 ? 2.2 : 0);
    double slant = DX[i] && DY[i] ? 0.6 : 1;
    *x_mm = hole->x_mm + DX[i] * (arm * slant + w_mm / 2) - w_mm / 2;
    *y_mm = hole->y_mm + DY[i] * (arm * slant + LABEL_H_MM / 2) - LABEL_H_MM / 2;
}

/* Whether no cross but the hole's own lies under the box. */
static bool is_clear(const tb_sheets *s, double x_mm, double y_mm, double w_mm)
{
    const tb_inspection *in = s->content->inspection;
    for (size_t i = 0; i < in->n_holes; i++) {
        double arm = tb__cross_mm(&in->holes[i]), x = in->holes[i].x_mm, y = in->holes[i].y_mm;
        if (x + arm > x_mm && x - arm < x_mm + w_mm && y + arm > y_mm &&
                y - arm < y_mm + LABEL_H_MM)
            return false;
    }
    return true;
}

static void name(tb_hole_label *label, size_t number, tb_sheets *s)
{
    if (s->one_bit) {
        g_snprintf(label->text, sizeof label->text, "%zu", number);
    } else {
        g_snprintf(label->text, sizeof label->text, "%zu·%s", number,
                tb__say_bit(&s->speech, label->hole->drill_mm, s->options->unit));
    }
    label->w_mm = LABEL_CHAR_MM * (double)g_utf8_strlen(label->text, -1);
}

/* The first spot that is free, and on one ground if it has to be; -1: there is none. */
static int find_spot(const tb_sheets *s, size_t n, bool one_ground)
{
    const tb_hole_label *label = &s->labels[n];
    double x, y;
    for (int i = 0; i < N_SPOTS; i++) {
        spot(&x, &y, i, label->hole, label->w_mm);
        if ((!one_ground || ground(s->content->mask, x, y, label->w_mm, LABEL_H_MM) >= 0) &&
                is_free(s, n, x, y, label->w_mm) && is_clear(s, x, y, label->w_mm))
            return i;
    }
    return -1;
}

static void place(tb_sheets *s, size_t n, const tb_saw_step *step)
{
    const tb_entry_hole *hole = &s->content->inspection->holes[step->hole];
    tb_hole_label *label = &s->labels[n];
    *label = (tb_hole_label){.hole = hole, .cut_mm = step->cut_mm};
    name(label, n + 1, s);
    int at = find_spot(s, n, true);
    label->halo = at < 0;
    if (at < 0)
        at = find_spot(s, n, false);
    spot(&label->x_mm, &label->y_mm, at < 0 ? 0 : at, hole, label->w_mm);
    int on = ground(s->content->mask, label->x_mm, label->y_mm, label->w_mm, LABEL_H_MM);
    label->grey = on == 0 && !label->halo ? tb__ink_mark_grey(s->options->ink) : 0;
}

tb_status tb__labels_place(tb_sheets *s, tb_error *err)
{
    const tb_inspection *inspection = s->content->inspection;
    if (!inspection || inspection->n_holes == 0)
        return TB_OK;
    tb_status status = tb__plan_of(&s->plan, &s->own_plan, s->content, err);
    if (status)
        return status;
    size_t n = s->plan->n_steps;
    s->labels = tb_calloc(n, sizeof *s->labels);
    if (!s->labels)
        return tb_fail_memory(err);
    s->one_bit = true;
    for (size_t i = 1; i < n; i++)
        s->one_bit = s->one_bit &&
                     fabs(inspection->holes[i].drill_mm - inspection->holes[0].drill_mm) < 0.01;
    for (size_t i = 0; i < n; i++)
        place(s, i, &s->plan->steps[i]);
    s->n_labels = n;
    return TB_OK;
}
