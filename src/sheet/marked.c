/* sheet/marked.c: see marked.h. */
#include "sheet/marked.h"

#include "base/alloc.h"
#include "sheet/encode.h"
#include "sheet/ink.h"
#include "sheet/marks.h"
#include "sheet/pdf.h"
#include "sheet/words.h"

#include <glib.h>
#include <math.h>
#include <stdio.h>

/* The list: columns for what must be mended, with what to do, and narrower ones for advice. */
static const double MUST_COLUMN_MM = 92, MUST_ROW_MM = 9.4, LINE_MM = 3.8, INDENT_MM = 11;
static const double SHOULD_COLUMN_MM = 62, SHOULD_ROW_MM = 4.6, GAP_MM = 3, KEY_MM = 8;
static const double MARGIN_MM = 12, MUST_TYPE_MM = 3, SHOULD_TYPE_MM = 2.7;
static const double PX_PER_MM = 8, MOST_PX = 100e6;

typedef struct {
    const tb_sheet_content *content;
    tb_unit unit;
    size_t n_must, n; /* of the findings listed; the musts come first */
    tb_speech speech;
    const char *verdict;
    double width_mm, height_mm, board_y_mm, list_y_mm;
} page;

static int n_columns(const page *p, double least_mm)
{
    return (int)fmax(1, floor((p->width_mm - 2 * MARGIN_MM) / least_mm));
}

/* Lines of a must's advice, which may need two. */
static int advice_lines(page *p, tb_brush *brush, size_t i, double width_mm)
{
    double w, h, one;
    tb_type line = {.size_mm = MUST_TYPE_MM, .width_mm = width_mm - INDENT_MM};
    tb__measure_text(brush, &line, "M", &w, &one);
    tb__measure_text(brush, &line,
            tb__say_advice(&p->speech, &p->content->inspection->findings[i], p->unit), &w, &h);
    return h > 1.5 * one ? 2 : 1;
}

/* The height of the row that begins with finding i: as that of the entry that needs most. */
static double row_mm(page *p, tb_brush *brush, size_t i, size_t end, int columns, double width_mm)
{
    int lines = 1;
    if (i >= p->n_must)
        return SHOULD_ROW_MM;
    for (size_t k = i; k < end && k < i + (size_t)columns; k++)
        lines = MAX(lines, advice_lines(p, brush, k, width_mm));
    return MUST_ROW_MM + (lines - 1) * LINE_MM;
}

static void entry(page *p, tb_brush *brush, size_t i, double x, double y, double width_mm)
{
    const tb_finding *f = &p->content->inspection->findings[i];
    bool must = i < p->n_must;
    double size = must ? MUST_TYPE_MM : SHOULD_TYPE_MM;
    char number[24];
    snprintf(number, sizeof number, "%zu", i + 1);
    const char *title = tb__put_together(&p->speech, "%s, %s: %s",
            tb__say_kind(&p->speech, f->kind), tb__marks_cell(f->x_mm, f->y_mm, p->unit).text,
            tb__say_measure(&p->speech, f, p->unit));
    tb_type right = {.size_mm = size, .bold = must, .side = TB_RIGHT};
    tb_type line = {.size_mm = size, .bold = must, .width_mm = width_mm - INDENT_MM, .lines = 1};
    tb__paint_text(brush, x + 6, y, &right, number);
    tb__paint_text(brush, x + 8, y, &line, title);
    line.bold = false;
    line.grey = 0.25;
    line.lines = 2;
    if (must)
        tb__paint_text(brush, x + 8, y + 4, &line, tb__say_advice(&p->speech, f, p->unit));
}

/* Findings first … end - 1, row by row from y down, if they are to be drawn; returns where they
 * end. */
static double list(page *p, tb_brush *brush, size_t first, size_t end, double y, bool drawn)
{
    int columns = n_columns(p, first < p->n_must ? MUST_COLUMN_MM : SHOULD_COLUMN_MM);
    double width = (p->width_mm - 2 * MARGIN_MM) / columns;
    for (size_t i = first; i < end; i += (size_t)columns) {
        for (size_t k = i; drawn && k < end && k < i + (size_t)columns; k++)
            entry(p, brush, k, MARGIN_MM + (double)(k - i) * width, y, width);
        y += row_mm(p, brush, i, end, columns, width);
    }
    return y;
}

/* What must be mended, a gap, and what should; returns where they end. */
static double lists(page *p, tb_brush *brush, bool drawn)
{
    double y = list(p, brush, 0, p->n_must, p->list_y_mm, drawn);
    return list(p, brush, p->n_must, p->n, y + (p->n_must ? GAP_MM : 0), drawn);
}

static void key_line(page *p, tb_brush *brush)
{
    tb_type type = {
            .size_mm = SHOULD_TYPE_MM, .grey = 0.25, .width_mm = p->width_mm - 2 * MARGIN_MM};
    if (p->n)
        tb__paint_text(brush, MARGIN_MM, p->list_y_mm - KEY_MM, &type,
                tb__say(&p->speech,
                        "Rings with a full line must be mended before the saw; dashed ones are "
                        "advice. Strength figures are estimates."));
}

static void lay_out(page *p, tb_brush *brush)
{
    const tb_outline *o = p->content->outline;
    const tb_inspection *in = p->content->inspection;
    tb_type type = {.size_mm = 4.6, .bold = true};
    double w, h;
    p->n = tb__marks_count(in);
    for (size_t i = 0; i < p->n && in->findings[i].severity == TB_MUST; i++)
        p->n_must = i + 1;
    p->width_mm = fmax(o->width_mm, MUST_COLUMN_MM) + 2 * MARGIN_MM;
    type.width_mm = p->width_mm - 2 * MARGIN_MM;
    tb__measure_text(brush, &type, p->verdict, &w, &h);
    p->board_y_mm = MARGIN_MM + h + 10;
    p->list_y_mm = p->board_y_mm + o->height_mm + 18;
    p->height_mm = lists(p, brush, false) + MARGIN_MM;
}

static void draw(page *p, tb_brush *brush)
{
    const tb_outline *o = p->content->outline;
    tb_type bold = {.size_mm = 4.6, .bold = true, .width_mm = p->width_mm - 2 * MARGIN_MM};
    /* Beyond the last pixel, which the page may end within. */
    tb__paint_box(brush->cr, 0, 0, p->width_mm + 1, p->height_mm + 1, 1);
    tb__paint_text(brush, MARGIN_MM, MARGIN_MM - 4, &bold, p->verdict);
    cairo_save(brush->cr);
    cairo_translate(brush->cr, MARGIN_MM, p->board_y_mm);
    tb__ink_paint(brush->cr, o, TB_INK_PALE);
    tb_grid grid = {0, 0, o->width_mm, o->height_mm, o->width_mm, o->height_mm, 1, p->unit};
    tb__marks_grid(brush, &grid);
    tb__marks_rings(brush, &(tb_rings){.inspection = p->content->inspection, .size = 1});
    cairo_restore(brush->cr);
    key_line(p, brush);
    lists(p, brush, true);
}

static void begin(page *p, const tb_sheet_content *content, tb_unit unit)
{
    const tb_outline *o = content->outline;
    char *title = tb__words_clean(content->title, 200);
    *p = (page){.content = content, .unit = unit};
    tb__speech_begin(&p->speech, content);
    const char *rest = tb__say_ringed(&p->speech, content->inspection);
    p->verdict = tb__put_together(&p->speech, "%s%s%s: %s%s%s", title, *title ? ", " : "",
            tb__say_size(&p->speech, o->width_mm, o->height_mm, unit),
            tb__say_verdict(&p->speech, content->inspection, unit), *rest ? ". " : "", rest);
    g_free(title);
}

tb_status tb_marked_pdf(tb_bytes *out, const tb_sheet_content *content, tb_unit unit, tb_error *err)
{
    page p;
    tb_pdf pdf;
    tb_brush brush;
    *out = (tb_bytes){0};
    begin(&p, content, unit);
    tb_status status = tb__pdf_begin(&pdf, tb__say(&p.speech, "Findings"), "", err);
    if (status) {
        tb__speech_end(&p.speech);
        return status;
    }
    tb__brush_init(&brush, pdf.surface, TB_POINTS_PER_MM);
    lay_out(&p, &brush);
    tb__pdf_page(&pdf, p.width_mm, p.height_mm);
    draw(&p, &brush);
    cairo_show_page(brush.cr);
    tb__brush_clear(&brush);
    tb__speech_end(&p.speech);
    return tb__pdf_finish(&pdf, out, content->language, err);
}

/* cairo's four bytes a pixel to three, in place. */
static void pack_rgb(uint8_t *px, int width, int height, int stride)
{
    uint8_t *to = px;
    for (int y = 0; y < height; y++) {
        const uint32_t *row = (const uint32_t *)(const void *)(px + (size_t)y * (size_t)stride);
        for (int x = 0; x < width; x++, to += 3) {
            uint32_t c = row[x];
            to[0] = (uint8_t)(c >> 16);
            to[1] = (uint8_t)(c >> 8);
            to[2] = (uint8_t)c;
        }
    }
}

static tb_status render(tb_bytes *out, page *p, tb_error *err)
{
    double scale = fmin(PX_PER_MM, sqrt(MOST_PX / (p->width_mm * p->height_mm)));
    int width = (int)ceil(p->width_mm * scale), height = (int)ceil(p->height_mm * scale);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
    tb_brush brush;
    tb__brush_init(&brush, surface, scale);
    draw(p, &brush);
    tb__brush_clear(&brush);
    cairo_surface_flush(surface);
    tb_status status = TB_OK;
    if (cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS) {
        uint8_t *px = cairo_image_surface_get_data(surface);
        pack_rgb(px, width, height, cairo_image_surface_get_stride(surface));
        tb_pixels pixels = {px, width, height, 3, scale};
        status = tb__encode_png(out, &pixels, err);
    } else {
        status = tb_fail_memory(err);
    }
    cairo_surface_destroy(surface);
    return status;
}

tb_status tb_marked_png(tb_bytes *out, const tb_sheet_content *content, tb_unit unit, tb_error *err)
{
    page p;
    tb_brush brush;
    *out = (tb_bytes){0};
    begin(&p, content, unit);
    cairo_surface_t *ruler = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 1, 1);
    tb__brush_init(&brush, ruler, PX_PER_MM);
    lay_out(&p, &brush);
    tb__brush_clear(&brush);
    cairo_surface_destroy(ruler);
    tb_status status = render(out, &p, err);
    tb__speech_end(&p.speech);
    return status;
}
