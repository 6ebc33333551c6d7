/* The pages to be looked at are those that are printed: each is painted here and compared with what
 * poppler's pdftoppm makes of the same page of the PDF. */
#include "board.h"
#include "sheet/leaves.h"
#include "sheet/tiles.h"

#include <cairo.h>
#include <glib/gstdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { DPI = 120, SQUARE = 14 };

typedef struct {
    tb_mask *mask;
    tb_outline *outline;
    tb_inspection *inspection;
    tb_sheet_content content;
    tb_sheet_options options;
} fixture;

/* 300 × 150 mm, so that it takes two pages. */
static void set_up(fixture *f, gconstpointer unused)
{
    tb_limits limits = TB_LIMITS_INIT;
    (void)unused;
    f->mask = board_new(300, 150, 5);
    for (int i = 0; i < 4; i++)
        board_set_disc(f->mask, 40 + 60 * i, 75, 24, 0);
    board_set_disc(f->mask, 40, 75, 6, 1);
    board_set_box(f->mask, 39, 75, 40, 110, 1);
    f->outline = board_trace(f->mask);
    g_assert_cmpint(tb_inspect(&f->inspection, f->mask, &limits, NULL, NULL), ==, TB_OK);
    f->content = (tb_sheet_content){.mask = f->mask,
            .outline = f->outline,
            .inspection = f->inspection,
            .title = "Four moons",
            .designer = "Ilka Varga-Thorne",
            .stock = "Birch plywood, 6.5 mm",
            .species = "birch",
            .blade = "2/0",
            .thickness_mm = 6.5};
    f->options = (tb_sheet_options)TB_SHEET_OPTIONS_INIT;
}

static void tear_down(fixture *f, gconstpointer unused)
{
    (void)unused;
    tb_inspection_free(f->inspection);
    tb_outline_free(f->outline);
    tb_mask_free(f->mask);
}

static tb_leaves *draw(const fixture *f)
{
    tb_leaves *leaves = NULL;
    g_assert_cmpint(tb_leaves_draw(&leaves, NULL, &f->content, &f->options, NULL, NULL), ==, TB_OK);
    return leaves;
}

static void test_leaves__stand_in_the_order_of_the_file(fixture *f, gconstpointer unused)
{
    static const struct {
        tb_leaf_kind kind;
        const char *name;
        double width_mm;
    } WANTED[] = {{TB_LEAF_FRONT, "", 210}, {TB_LEAF_PATTERN, "A1", 210},
            {TB_LEAF_PATTERN, "B1", 210}, {TB_LEAF_CUT_LIST, "", 210}};
    tb_leaves *leaves = draw(f);
    (void)unused;
    g_assert_cmpint(tb_leaves_count(leaves), ==, 4);
    for (int i = 0; i < 4; i++) {
        g_assert_cmpint((int)tb_leaves_at(leaves, i)->kind, ==, (int)WANTED[i].kind);
        g_assert_cmpstr(tb_leaves_at(leaves, i)->name, ==, WANTED[i].name);
        g_assert_cmpfloat(tb_leaves_at(leaves, i)->width_mm, ==, WANTED[i].width_mm);
    }
    tb_leaves_free(leaves);
}

static void test_leaves__refuse_what_the_file_refuses(fixture *f, gconstpointer unused)
{
    tb_leaves *leaves = NULL;
    tb_error err = {0};
    (void)unused;
    f->options.paper_w_mm = 100;
    g_assert_cmpint(
            tb_leaves_draw(&leaves, NULL, &f->content, &f->options, NULL, &err), ==, TB_EINVAL);
    g_assert_null(leaves);
    g_assert_nonnull(strstr(err.text, "a paper of 100"));
}

static int grey(const uint32_t *px, int i)
{
    return (int)((px[i] & 255) + (px[i] >> 8 & 255) + (px[i] >> 16 & 255)) / 3;
}

/* The page's picture by poppler; to be freed by cairo_surface_destroy(). */
static cairo_surface_t *printed(const char *pdf, int page)
{
    g_autofree char *stem = g_strconcat(pdf, ".page", NULL);
    g_autofree char *command = g_strdup_printf(
            "pdftoppm -r %d -f %d -l %d -singlefile -png %s %s", DPI, page, page, pdf, stem);
    g_autofree char *png = g_strconcat(stem, ".png", NULL);
    g_assert_true(g_spawn_command_line_sync(command, NULL, NULL, NULL, NULL));
    cairo_surface_t *picture = cairo_image_surface_create_from_png(png);
    g_assert_cmpint((int)cairo_surface_status(picture), ==, (int)CAIRO_STATUS_SUCCESS);
    g_remove(png);
    return picture;
}

/* Two painters soften edges in their own ways: where both are looked at from a little farther off,
 * in squares of three millimetres, a page is the same page. */
static void compare(tb_leaves *leaves, int i, cairo_surface_t *picture)
{
    int w = cairo_image_surface_get_width(picture), h = cairo_image_surface_get_height(picture);
    const uint32_t *theirs = (const uint32_t *)(void *)cairo_image_surface_get_data(picture);
    const tb_leaf *leaf = tb_leaves_at(leaves, i);
    uint32_t *ours = g_new(uint32_t, (size_t)w * (size_t)h);
    int stride = cairo_image_surface_get_stride(picture) / 4, worst = 0;
    double sum = 0;
    g_assert_cmpint(abs(w - (int)lround(leaf->width_mm / 25.4 * DPI)), <=, 1);
    g_assert_cmpint(abs(h - (int)lround(leaf->height_mm / 25.4 * DPI)), <=, 1);
    g_assert_cmpint(tb_leaves_paint(leaves, i, ours, w, h, NULL), ==, TB_OK);
    for (int y = 0; y + SQUARE <= h; y += SQUARE)
        for (int x = 0; x + SQUARE <= w; x += SQUARE) {
            int apart = 0;
            for (int k = 0; k < SQUARE * SQUARE; k++) {
                int row = y + k / SQUARE, column = x + k % SQUARE;
                int mine = grey(ours, row * w + column);
                apart += mine - grey(theirs, row * stride + column);
                sum += 255 - mine;
            }
            worst = MAX(worst, abs(apart) / (SQUARE * SQUARE));
        }
    g_test_message("page %d: %d levels apart at most", i + 1, worst);
    g_assert_cmpint(worst, <, 40);
    g_assert_cmpfloat(sum / ((double)w * h), >, 0.5);
    g_free(ours);
}

static void compare_all(const fixture *f)
{
    g_autofree char *path = NULL;
    tb_bytes pdf;
    tb_sheet_account account;
    tb_leaves *leaves = draw(f);
    close(g_file_open_tmp("tombolo-XXXXXX.pdf", &path, NULL));
    g_assert_cmpint(tb_sheets_pdf(&pdf, &account, &f->content, &f->options, NULL, NULL), ==, TB_OK);
    g_assert_true(g_file_set_contents(path, (const char *)pdf.data, (gssize)pdf.n, NULL));
    g_assert_cmpint(tb_leaves_count(leaves), ==, account.n_pages);
    for (int i = 0; i < account.n_pages; i++) {
        cairo_surface_t *picture = printed(path, i + 1);
        compare(leaves, i, picture);
        cairo_surface_destroy(picture);
    }
    g_remove(path);
    tb_bytes_clear(&pdf);
    tb_leaves_free(leaves);
}

static void test_leaves__are_the_printed_pages(fixture *f, gconstpointer unused)
{
    (void)unused;
    compare_all(f);
    f->options.ink = TB_INK_HATCH;
    compare_all(f);
}

static void test_leaves__are_the_printed_marks(fixture *f, gconstpointer unused)
{
    (void)unused;
    f->options.marks = TB_MARKS_FINDINGS;
    compare_all(f);
    f->options.marks = TB_MARKS_BLANK;
    compare_all(f);
}

/* What differs between two paintings of a leaf lies within so many mm of a place on the paper. */
static void assert_differ_near(
        tb_leaves *before, tb_leaves *after, int leaf, double x_mm, double y_mm, double within_mm)
{
    const double px_per_mm = 4;
    int w = (int)(tb_leaves_at(before, leaf)->width_mm * px_per_mm), n = 0;
    int h = (int)(tb_leaves_at(before, leaf)->height_mm * px_per_mm);
    g_autofree uint32_t *a = g_new(uint32_t, (size_t)w * (size_t)h);
    g_autofree uint32_t *b = g_new(uint32_t, (size_t)w * (size_t)h);
    g_assert_cmpint(tb_leaves_paint(before, leaf, a, w, h, NULL), ==, TB_OK);
    g_assert_cmpint(tb_leaves_paint(after, leaf, b, w, h, NULL), ==, TB_OK);
    for (int i = 0; i < w * h; i++)
        if (a[i] != b[i]) {
            double dx = (i % w + 0.5) / px_per_mm - x_mm, dy = (i / w + 0.5) / px_per_mm - y_mm;
            g_assert_cmpfloat(hypot(dx, dy), <, within_mm);
            n++;
        }
    g_assert_cmpint(n, >, 100);
}

static void test_leaves__a_note_is_ringed_where_it_lies(fixture *f, gconstpointer unused)
{
    static const tb_sheet_note NOTE = {70, 20, 5, "softer here"};
    tb_tiling t;
    (void)unused;
    f->options.marks = TB_MARKS_FINDINGS;
    tb_leaves *before = draw(f);
    f->content.notes = &NOTE;
    f->content.n_notes = 1;
    tb_leaves *after = draw(f);
    g_assert_cmpint(tb__tile(&t, f->outline, &f->options, NULL), ==, TB_OK);
    assert_differ_near(before, after, 1, t.area_x_mm + t.shift_x_mm + NOTE.x_mm,
            t.area_y_mm + t.shift_y_mm + NOTE.y_mm, 8.5); /* the number lies on the ring */
    tb_leaves_free(before);
    tb_leaves_free(after);
}

/* Whether poppler's pdftotext reads each text in the sheets. */
static void assert_all_read(const fixture *f, bool wanted)
{
    g_autofree char *path = NULL, *said = NULL;
    tb_bytes pdf;
    close(g_file_open_tmp("tombolo-XXXXXX.pdf", &path, NULL));
    g_assert_cmpint(tb_sheets_pdf(&pdf, NULL, &f->content, &f->options, NULL, NULL), ==, TB_OK);
    g_assert_true(g_file_set_contents(path, (const char *)pdf.data, (gssize)pdf.n, NULL));
    g_autofree char *command = g_strdup_printf("pdftotext %s -", path);
    g_assert_true(g_spawn_command_line_sync(command, &said, NULL, NULL, NULL));
    for (size_t i = 0; i < f->content.n_notes; i++)
        g_assert_true((strstr(said, f->content.notes[i].text) != NULL) == wanted);
    g_remove(path);
    tb_bytes_clear(&pdf);
}

/* More than one page holds. */
static void test_leaves__notes_are_listed_where_marks_are(fixture *f, gconstpointer unused)
{
    static tb_sheet_note notes[70];
    (void)unused;
    for (int i = 0; i < 70; i++) {
        notes[i] = (tb_sheet_note){4 * i, 2 * i, 5, ""};
        g_snprintf(notes[i].text, sizeof notes[i].text, "softer here, no. %d.", i);
    }
    f->content.notes = notes;
    f->content.n_notes = 70;
    assert_all_read(f, false);
    f->options.marks = TB_MARKS_FINDINGS;
    assert_all_read(f, true);
    f->options.marks = TB_MARKS_BLANK;
    assert_all_read(f, true);
    compare_all(f);
}

/* The widest that fits lies on one page, and a hair more does not: by the pages themselves. */
static void test_leaves__one_page_holds_what_is_said_to_fit(void)
{
    static const double SHAPES[][2] = {{200, 250}, {250, 200}, {100, 100}, {30, 300}};
    tb_sheet_options options = TB_SHEET_OPTIONS_INIT;
    options.scale_correction = 1.01;
    for (size_t i = 0; i < G_N_ELEMENTS(SHAPES); i++) {
        tb_tiling tiling;
        double width_mm = tb_sheet_one_page_mm(SHAPES[i][0], SHAPES[i][1], &options);
        double height_mm = width_mm * SHAPES[i][1] / SHAPES[i][0];
        tb_outline fits = {.width_mm = width_mm - 0.01, .height_mm = height_mm - 0.01};
        tb_outline more = {.width_mm = width_mm * 1.001, .height_mm = height_mm * 1.001};
        g_assert_cmpint(tb__tile(&tiling, &fits, &options, NULL), ==, TB_OK);
        g_assert_cmpint(tiling.n_columns * tiling.n_rows, ==, 1);
        g_assert_cmpint(tb__tile(&tiling, &more, &options, NULL), ==, TB_OK);
        g_assert_cmpint(tiling.n_columns * tiling.n_rows, >, 1);
    }
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_autofree char *judge = g_find_program_in_path("pdftoppm");
    g_test_add("/leaves/order", fixture, NULL, set_up, test_leaves__stand_in_the_order_of_the_file,
            tear_down);
    g_test_add("/leaves/refuse", fixture, NULL, set_up, test_leaves__refuse_what_the_file_refuses,
            tear_down);
    g_test_add_func("/leaves/one_page", test_leaves__one_page_holds_what_is_said_to_fit);
    g_test_add("/leaves/note", fixture, NULL, set_up, test_leaves__a_note_is_ringed_where_it_lies,
            tear_down);
    if (judge) {
        g_test_add("/leaves/notes", fixture, NULL, set_up,
                test_leaves__notes_are_listed_where_marks_are, tear_down);
        g_test_add("/leaves/printed", fixture, NULL, set_up, test_leaves__are_the_printed_pages,
                tear_down);
        g_test_add("/leaves/marks", fixture, NULL, set_up, test_leaves__are_the_printed_marks,
                tear_down);
    }
    return g_test_run();
}
