/* sheet/svg.c: the pattern as SVG.
 *
 * One user unit is one millimetre. Every closed path is an element of its own, wood white and
 * openings black, painted from the outside in. Points are rounded to a micrometre before their
 * differences are taken, so that nothing adds up along a path.
 */
#include "sheet/pages.h"
#include "sheet/shared.h"
#include "sheet/speech.h"
#include "sheet/words.h"

#include <glib.h>
#include <math.h>

typedef struct {
    tb_bytes *out;
    long x_um, y_um; /* where the pen is */
    char last;       /* command in force; 0: none yet */
} svg_pen;

static bool add(tb_bytes *out, const char *const *texts)
{
    for (; *texts; texts++)
        if (!tb_bytes_add_text(out, *texts))
            return false;
    return true;
}
#define ADD(out, ...) add(out, (const char *const[]){__VA_ARGS__, NULL})

static bool add_pair(svg_pen *pen, long x_um, long y_um, bool first)
{
    tb_num x = tb_num_of((double)(x_um - pen->x_um) / 1000, 3);
    tb_num y = tb_num_of((double)(y_um - pen->y_um) / 1000, 3);
    return ADD(pen->out, first || x.text[0] == '-' ? "" : " ", x.text, y.text[0] == '-' ? "" : " ",
            y.text);
}

static bool add_command(svg_pen *pen, char command)
{
    bool again = pen->last == command;
    pen->last = command;
    return again || tb_bytes_add(pen->out, &command, 1);
}

static bool add_curve(svg_pen *pen, const tb_curve *curve)
{
    char command = curve->straight ? 'l' : 'c';
    bool first = pen->last != command;
    const tb_point at[] = {curve->a, curve->b, curve->to};
    long x = 0, y = 0;
    if (!add_command(pen, command))
        return false;
    for (size_t i = curve->straight ? 2 : 0; i < 3; i++, first = false) {
        x = lround(at[i].x_mm * 1000);
        y = lround(at[i].y_mm * 1000);
        if (!add_pair(pen, x, y, first))
            return false;
    }
    pen->x_um = x;
    pen->y_um = y;
    return true;
}

static bool add_path(tb_bytes *out, const tb_path *path)
{
    svg_pen pen = {out, 0, 0, 0};
    long x = lround(path->start.x_mm * 1000), y = lround(path->start.y_mm * 1000);
    bool good = ADD(out, "<path fill=\"", path->depth % 2 == 0 ? "#fff" : "#000", "\" d=\"M") &&
                add_pair(&pen, x, y, true);
    pen.x_um = x;
    pen.y_um = y;
    for (size_t i = 0; i < path->n_curves && good; i++)
        good = add_curve(&pen, &path->curves[i]);
    return good && tb_bytes_add_text(out, "z\"/>\n");
}

/* The strip for the credit line, as a share of the longer side; and its type. */
static const double STRIP_SHARE = 0.034, STRIP_LEAST_MM = 5;

static double strip_mm(const tb_outline *o, const char *credit)
{
    return *credit ? fmax(STRIP_LEAST_MM, STRIP_SHARE * fmax(o->width_mm, o->height_mm)) : 0;
}

static bool add_head(tb_bytes *out, const tb_sheet_content *content, const char *credit)
{
    const tb_outline *o = content->outline;
    tb_num w = tb_num_of(o->width_mm, 4), h = tb_num_of(o->height_mm + strip_mm(o, credit), 4);
    tb_speech speech;
    tb__speech_begin(&speech, content);
    char *title = tb__words_clean(content->title, 4000);
    char *designer = tb__words_clean(content->designer, 4000);
    bool good =
            ADD(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n",
                    "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"", w.text, "mm\" height=\"",
                    h.text, "mm\" viewBox=\"0 0 ", w.text, " ", h.text, "\">\n<title>") &&
            tb__words_add_xml(out, *title ? title : tb__say(&speech, "Fretwork pattern")) &&
            ADD(out, "</title>\n<desc>") && tb__words_add_xml(out, designer) &&
            ADD(out, "</desc>\n");
    tb__speech_end(&speech);
    g_free(title);
    g_free(designer);
    return good;
}

static bool add_credit(tb_bytes *out, const tb_outline *o, const char *credit)
{
    double strip = strip_mm(o, credit);
    if (!*credit)
        return true;
    return ADD(out, "<text id=\"credit\" x=\"", tb_num_of(o->width_mm / 2, 3).text, "\" y=\"",
                   tb_num_of(o->height_mm + strip * 0.68, 3).text,
                   "\" text-anchor=\"middle\" fill=\"#333\" font-family=\"sans-serif\" ",
                   "font-size=\"", tb_num_of(strip * 0.5, 3).text, "\">") &&
           tb__words_add_xml(out, credit) && ADD(out, "</text>\n");
}

static bool add_hole(tb_bytes *out, const tb_entry_hole *hole)
{
    tb_num x = tb_num_of(hole->x_mm, 3), y = tb_num_of(hole->y_mm, 3);
    tb_num r = tb_num_of(hole->drill_mm / 2, 3), arm = tb_num_of(hole->drill_mm, 3);
    tb_num across = tb_num_of(2 * hole->drill_mm, 3);
    return ADD(out, "<path d=\"M", x.text, " ", y.text, "m-", arm.text, " 0h", across.text, "m-",
            arm.text, " -", arm.text, "v", across.text, "\"/><circle cx=\"", x.text, "\" cy=\"",
            y.text, "\" r=\"", r.text, "\"/>\n");
}

static bool add_label(tb_bytes *out, const tb_entry_hole *hole, size_t number)
{
    tb_num x = tb_num_of(hole->x_mm + 1.3 * hole->drill_mm, 3);
    tb_num y = tb_num_of(hole->y_mm - 0.6 * hole->drill_mm, 3);
    return ADD(out, "<text x=\"", x.text, "\" y=\"", y.text, "\">",
            tb_num_of((double)number, 0).text, "</text>\n");
}

static bool add_holes(tb_bytes *out, const tb_inspection *inspection, const tb_plan *plan)
{
    bool good = ADD(out, "<g id=\"entry-holes\" fill=\"none\" stroke=\"#c2410c\" ",
            "stroke-width=\"0.2\">\n");
    for (size_t i = 0; i < inspection->n_holes && good; i++)
        good = add_hole(out, &inspection->holes[i]);
    good = good && ADD(out, "</g>\n<g id=\"labels\" fill=\"#c2410c\" font-family=\"sans-serif\" ",
                           "font-size=\"2.2\">\n");
    for (size_t i = 0; i < plan->n_steps && good; i++)
        good = add_label(out, &inspection->holes[plan->steps[i].hole], i + 1);
    return good && ADD(out, "</g>\n");
}

tb_status tb__svg(tb_bytes *out, const tb_sheet_content *content, const char *credit, tb_error *err)
{
    const tb_outline *outline = content->outline;
    const tb_plan *plan;
    tb_plan *own_plan;
    *out = (tb_bytes){0};
    tb_status status = tb__plan_of(&plan, &own_plan, content, err);
    if (status)
        return status;
    bool good = add_head(out, content, credit) &&
                ADD(out, "<g id=\"outline\" stroke=\"#000\" stroke-width=\"0.1\" ",
                        "stroke-linejoin=\"round\">\n");
    for (size_t i = 0; i < outline->n_paths && good; i++)
        good = add_path(out, &outline->paths[i]);
    good = good && ADD(out, "</g>\n");
    if (good && plan)
        good = add_holes(out, content->inspection, plan);
    good = good && add_credit(out, outline, credit) && ADD(out, "</svg>\n");
    tb_plan_free(own_plan);
    if (good)
        return TB_OK;
    tb_bytes_clear(out);
    return tb_fail_memory(err);
}

tb_status tb_sheet_svg(tb_bytes *out, const tb_sheet_content *content, tb_error *err)
{
    return tb__svg(out, content, "", err);
}
