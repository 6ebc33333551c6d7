/* sheet/pdf.c: see pdf.h. */
#include "sheet/pdf.h"

#include "base/alloc.h"

#include <glib.h>
#include <qpdf/qpdf-c.h>
#include <string.h>

const double TB_POINTS_PER_MM = 72 / 25.4;

static cairo_status_t write_cb(void *payload, const unsigned char *data, unsigned int n)
{
    return tb_bytes_add(payload, data, n) ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_NO_MEMORY;
}

tb_status tb__pdf_begin(tb_pdf *pdf, const char *title, const char *author, tb_error *err)
{
    pdf->drawn = (tb_bytes){0};
    pdf->surface = cairo_pdf_surface_create_for_stream(write_cb, &pdf->drawn, 100, 100);
    if (cairo_surface_status(pdf->surface) != CAIRO_STATUS_SUCCESS) {
        cairo_surface_destroy(pdf->surface);
        return tb_fail_memory(err);
    }
    /* Colour letters are kept as pictures, as fine as a printer shows them. */
    cairo_surface_set_fallback_resolution(pdf->surface, 300, 300);
    cairo_pdf_surface_restrict_to_version(pdf->surface, CAIRO_PDF_VERSION_1_5);
    cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_TITLE, title);
    cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_AUTHOR, author);
    cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_CREATOR, "Tombolo " TB_VERSION);
    return TB_OK;
}

void tb__pdf_page(tb_pdf *pdf, double width_mm, double height_mm)
{
    cairo_pdf_surface_set_size(
            pdf->surface, width_mm * TB_POINTS_PER_MM, height_mm * TB_POINTS_PER_MM);
}

/* A language tag is letters, digits and hyphens; anything else would not be one. */
static bool is_tag(const char *text)
{
    return *text &&
           strspn(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-") ==
                   strlen(text);
}

static void complete(qpdf_data pdf, const char *language)
{
    qpdf_oh root = qpdf_get_root(pdf);
    qpdf_oh_replace_key(pdf, root, "/ViewerPreferences",
            qpdf_oh_parse(pdf, "<< /PrintScaling /None /DisplayDocTitle true >>"));
    if (!language || is_tag(language))
        qpdf_oh_replace_key(
                pdf, root, "/Lang", qpdf_oh_new_unicode_string(pdf, language ? language : "en"));
    qpdf_set_info_key(pdf, "/CreationDate", NULL);
    qpdf_set_info_key(pdf, "/ModDate", NULL);
    qpdf_set_minimum_pdf_version(pdf, "1.7");
    qpdf_set_deterministic_ID(pdf, QPDF_TRUE);
    qpdf_set_object_stream_mode(pdf, qpdf_o_generate);
}

static tb_status rewrite(tb_bytes *out, const tb_bytes *drawn, const char *language, tb_error *err)
{
    tb_status status = TB_OK;
    qpdf_data pdf = qpdf_init();
    qpdf_set_suppress_warnings(pdf, QPDF_TRUE);
    if (qpdf_read_memory(pdf, "sheets", (const char *)drawn->data, drawn->n, NULL) & QPDF_ERRORS) {
        status = tb_fail(err, TB_EWRITE, "the PDF could not be completed");
        goto out;
    }
    qpdf_init_write_memory(pdf);
    complete(pdf, language);
    if (qpdf_write(pdf) & QPDF_ERRORS)
        status = tb_fail(err, TB_EWRITE, "the PDF could not be completed");
    else if (!tb_bytes_add(out, qpdf_get_buffer(pdf), qpdf_get_buffer_length(pdf)))
        status = tb_fail_memory(err);
out:
    qpdf_cleanup(&pdf);
    return status;
}

tb_status tb__pdf_finish(tb_pdf *pdf, tb_bytes *out, const char *language, tb_error *err)
{
    *out = (tb_bytes){0};
    cairo_surface_finish(pdf->surface);
    tb_status status = TB_OK;
    if (cairo_surface_status(pdf->surface) != CAIRO_STATUS_SUCCESS)
        status = tb_fail_memory(err);
    else
        status = rewrite(out, &pdf->drawn, language, err);
    cairo_surface_destroy(pdf->surface);
    tb_bytes_clear(&pdf->drawn);
    return status;
}
