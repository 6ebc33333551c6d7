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
    tb__speech_begin(&s->speech, c);
    s->title = tb__words_clean(c->title, TEXT_MAX);
    s->designer = tb__words_clean(c->designer, TEXT_MAX);
    s->credit = tb__words_clean(c->credit, TEXT_MAX);
    s->permission = tb__words_clean(c->permission, TEXT_MAX);
    s->stock = tb__words_clean(c->stock, TEXT_MAX);
    s->blade = tb__words_clean(c->blade, TEXT_MAX);
    s->remark = tb__words_clean(c->remark, TEXT_MAX);
    s->name = *s->title ? s->title : tb__say(&s->speech, "Fretwork pattern");
}

static void drop(tb_sheets *s)
{
    char *texts[] = {
            s->title, s->designer, s->credit, s->permission, s->stock, s->blade, s->remark};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        g_free(texts[i]);
    if (s->ink)
        cairo_surface_destroy(s->ink);
    tb_free(s->labels);
    tb_plan_free(s->own_plan);
    tb__speech_end(&s->speech);
}

/* Where no leaf could be had the page is drawn on nothing, and the status tells. */
static cairo_surface_t *open_leaf(tb_sheets *s, const tb_leaf *leaf)
{
    cairo_surface_t *surface = tb__leaves_add(s->leaves, leaf);
    if (surface)
        return cairo_surface_reference(surface);
    s->status = tb_fail_memory(s->err);
    return cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, NULL);
}

static cairo_surface_t *open_page(tb_sheets *s, const tb_leaf *leaf)
{
    tb__pdf_page(s->pdf, leaf->width_mm, leaf->height_mm);
    return cairo_surface_reference(s->pdf->surface);
}

void tb__page_begin(tb_sheets *s, const tb_leaf *leaf)
{
    cairo_surface_t *surface = s->leaves ? open_leaf(s, leaf) : open_page(s, leaf);
    tb__brush_init(&s->brush, surface, TB_POINTS_PER_MM);
    cairo_surface_destroy(surface);
    s->n_pages++;
}

void tb__page_end(tb_sheets *s)
{
    if (s->pdf)
        cairo_show_page(s->brush.cr);
    tb__brush_clear(&s->brush);
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
}

static tb_status draw_pdf(tb_sheets *s, tb_bytes *out)
{
    tb_pdf pdf;
    tb_status status = tb__pdf_begin(&pdf, s->name, s->designer, s->err);
    if (status)
        return status;
    s->pdf = &pdf;
    draw_pages(s, s->job);
    s->pdf = NULL;
    return tb__pdf_finish(&pdf, out, s->content->language, s->err);
}

tb_status tb__sheets_draw(tb_bytes *pdf, tb_leaves *leaves, tb_sheet_account *account,
        const tb_sheet_content *content, const tb_sheet_options *options, const tb_job *job,
        tb_error *err)
{
    tb_sheets s = {
            .content = content, .options = options, .leaves = leaves, .job = job, .err = err};
    take_texts(&s);
    tb_status status = tb__tile(&s.tiling, content->outline, options, err);
    if (!status)
        status = tb__labels_place(&s, err);
    if (!status) {
        s.ink = tb__ink_record(content->outline, options->ink);
        if (pdf)
            status = draw_pdf(&s, pdf);
        else
            draw_pages(&s, job);
        status = s.status ? s.status : status;
    }
    if (!status && tb_job_stopped(job))
        status = tb_fail_cancelled(err);
    if (!status && account)
        fill_account(account, &s);
    drop(&s);
    return status;
}

tb_status tb_sheets_pdf(tb_bytes *out, tb_sheet_account *account, const tb_sheet_content *content,
        const tb_sheet_options *options, const tb_job *job, tb_error *err)
{
    *out = (tb_bytes){0};
    tb_status status = tb__sheets_draw(out, NULL, account, content, options, job, err);
    if (status)
        tb_bytes_clear(out);
    return status;
}
