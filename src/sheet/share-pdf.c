/* sheet/share-pdf.c: the whole pattern on one page of its own size; see shared.h. */
#include "sheet/ink.h"
#include "sheet/pdf.h"
#include "sheet/shared.h"
#include "sheet/speech.h"
#include "sheet/words.h"

#include <glib.h>

static const double MARGIN_MM = 10, STRIP_MM = 8;

static void draw(cairo_surface_t *surface, const tb_sheet_content *content, const char *credit,
        tb_speech *speech)
{
    const tb_outline *o = content->outline;
    tb_brush brush;
    tb__brush_init(&brush, surface, TB_POINTS_PER_MM);
    cairo_save(brush.cr);
    cairo_translate(brush.cr, MARGIN_MM, MARGIN_MM);
    tb__ink_paint(brush.cr, o, TB_INK_SOLID);
    cairo_restore(brush.cr);
    const char *size = tb__say(speech, "finished size %s",
            tb__say_size(speech, o->width_mm, o->height_mm, TB_UNIT_MM));
    const char *line = tb__put_together(speech, "%s%s%s", credit, *credit ? "  ·  " : "", size);
    tb_type type = {.size_mm = 3.2, .width_mm = o->width_mm, .lines = 1, .grey = 0.2};
    tb__paint_text(&brush, MARGIN_MM, MARGIN_MM + o->height_mm + 3, &type, line);
    cairo_show_page(brush.cr);
    tb__brush_clear(&brush);
}

tb_status tb__share_pdf(
        tb_bytes *out, const tb_sheet_content *content, const char *credit, tb_error *err)
{
    tb_pdf pdf;
    tb_speech speech;
    tb__speech_begin(&speech, content);
    char *title = tb__words_clean(content->title, 4000);
    char *designer = tb__words_clean(content->designer, 4000);
    tb_status status = tb__pdf_begin(
            &pdf, *title ? title : tb__say(&speech, "Fretwork pattern"), designer, err);
    if (!status) {
        tb__pdf_page(&pdf, content->outline->width_mm + 2 * MARGIN_MM,
                content->outline->height_mm + 2 * MARGIN_MM + STRIP_MM);
        draw(pdf.surface, content, credit, &speech);
        status = tb__pdf_finish(&pdf, out, content->language, err);
    }
    tb__speech_end(&speech);
    g_free(title);
    g_free(designer);
    return status;
}
