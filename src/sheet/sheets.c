/* sheet/sheets.c: the PDF as a whole; see sheet.h. */
#include "sheet/sheet.h"

#include "base/alloc.h"
#include "sheet/ink.h"
#include "sheet/pages.h"
#include "sheet/words.h"

#include <string.h>

enum { TEXT_MAX = 4000 };

const double TB_PAGE_MARGIN_MM = 18;

static void take_texts(tb_sheets *s)
{
    const tb_sheet_content *c = s->content;
    s->title = tb__words_clean(c->title, TEXT_MAX);
    s->designer = tb__words_clean(c->designer, TEXT_MAX);
    s->credit = tb__words_clean(c->credit, TEXT_MAX);
    s->permission = tb__words_clean(c->permission, TEXT_MAX);
    s->stock = tb__words_clean(c->stock, TEXT_MAX);
    s->blade = tb__words_clean(c->blade, TEXT_MAX);
}

static void drop(tb_sheets *s)
{
    char *texts[] = {s->title, s->designer, s->credit, s->permission, s->stock, s->blade};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        g_free(texts[i]);
    if (s->ink)
        cairo_surface_destroy(s->ink);
    tb_free(s->labels);
}

void tb__page_begin(tb_sheets *s, double width_mm, double height_mm)
{
    tb__pdf_page(&s->pdf, width_mm, height_mm);
    s->n_pages++;
}

void tb__page_end(tb_sheets *s)
{
    cairo_show_page(s->brush.cr);
}

double tb__page_head(tb_sheets *s, double w_mm, const char *title, const char *words)
{
    tb_type big = {.size_mm = 6.5, .bold = true, .width_mm = w_mm, .lines = 1};
    tb_type small = {.size_mm = 3.3, .grey = 0.25, .width_mm = w_mm};
    double y = TB_PAGE_MARGIN_MM - 3;
    y += tb__paint_text(&s->brush, TB_PAGE_MARGIN_MM, y, &big, title);
    y += tb__paint_text(&s->brush, TB_PAGE_MARGIN_MM, y + 0.5, &small, words) + 0.5;
    return y + 4;
}

static void draw_pages(tb_sheets *s, const tb_job *job)
{
    bool lists = !s->options->pattern_only;
    bool findings = s->options->marks == TB_MARKS_FINDINGS && s->content->inspection;
    if (s->options->marks == TB_MARKS_BLANK) {
        tb__page_blank(s);
        return;
    }
    if (lists)
        tb__page_front(s);
    int n = s->tiling.n_columns * s->tiling.n_rows;
    for (int i = 0; i < n && !tb_job_stopped(job); i++) {
        tb__page_tile(s, i % s->tiling.n_columns, i / s->tiling.n_columns);
        tb_job_progress(job, "sheets", (i + 1.0) / n);
    }
    if (findings)
        tb__pages_findings(s);
    else if (lists && s->n_labels > 0)
        tb__pages_cut_list(s);
}

static void fill_account(tb_sheet_account *account, const tb_sheets *s)
{
    *account = (tb_sheet_account){s->n_pages, s->tiling.n_columns, s->tiling.n_rows,
            tb__ink_share(s->content->outline, s->options->ink),
            tb__ink_share(s->content->outline, TB_INK_SOLID)};
    const double c = s->options->scale_correction;
    account->tile_x_mm = -s->tiling.shift_x_mm / c;
    account->tile_y_mm = -s->tiling.shift_y_mm / c;
    account->step_x_mm = s->tiling.step_x_mm / c;
    account->step_y_mm = s->tiling.step_y_mm / c;
    account->tile_w_mm = s->tiling.area_w_mm / c;
    account->tile_h_mm = s->tiling.area_h_mm / c;
}

tb_status tb_sheets_pdf(tb_bytes *out, tb_sheet_account *account, const tb_sheet_content *content,
        const tb_sheet_options *options, const tb_job *job, tb_error *err)
{
    *out = (tb_bytes){0};
    tb_sheets s = {.content = content, .options = options, .job = job, .err = err};
    take_texts(&s);
    tb_status status = tb__tile(&s.tiling, content->outline, options, err);
    if (!status)
        status = tb__labels_place(&s, err);
    if (!status)
        status = tb__pdf_begin(&s.pdf, *s.title ? s.title : "Fretwork pattern", s.designer, err);
    if (!status) {
        s.ink = tb__ink_record(content->outline, options->ink);
        tb__brush_init(&s.brush, s.pdf.surface, TB_POINTS_PER_MM);
        draw_pages(&s, job);
        tb__brush_clear(&s.brush);
        status = tb__pdf_finish(&s.pdf, out, options->language, err);
        if (s.status && !status)
            tb_bytes_clear(out);
        status = s.status ? s.status : status;
    }
    if (!status && tb_job_stopped(job)) {
        tb_bytes_clear(out);
        status = tb_fail_cancelled(err);
    }
    if (!status && account)
        fill_account(account, &s);
    drop(&s);
    return status;
}
