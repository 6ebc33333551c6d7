/* Strokes and small values as bytes. */
#include "base/alloc.h"
#include "made.h"
#include "project/pack.h"
#include "project/stroke.h"

#include <glib.h>
#include <string.h>

static void test_pack__numbers_come_back(void)
{
    static const int64_t ROWS[] = {
            0, 1, -1, 63, 64, -64, -65, 1 << 20, INT32_MIN, INT64_MAX, INT64_MIN};
    tb_packer packer = {0};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++)
        tb_pack_int(&packer, ROWS[i]);
    tb_pack_real(&packer, -0.1);
    tb_pack_text(&packer, "Große Möwe");
    g_assert_false(packer.failed);
    tb_unpacker in = {packer.bytes, packer.bytes + packer.n, false};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++)
        g_assert_cmpint(tb_unpack_int(&in), ==, ROWS[i]);
    char text[16];
    g_assert_cmpfloat(tb_unpack_real(&in), ==, -0.1);
    tb_unpack_text(&in, text, sizeof text);
    g_assert_cmpstr(text, ==, "Große Möwe");
    g_assert_true(tb_unpack_done(&in));
    g_assert_cmpint(tb_unpack_int(&in), ==, 0);
    g_assert_false(tb_unpack_done(&in));
    tb_free(packer.bytes);
}

static void test_pack__only_the_shortest_form_is_read(void)
{
    static const uint8_t ROWS[][11] = {{0x80, 0x00}, {0xff, 0x80, 0x00},
            {0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x02},
            {0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x01}, {0x80}};
    static const size_t LENGTHS[] = {2, 3, 10, 11, 1};
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        tb_unpacker in = {ROWS[i], ROWS[i] + LENGTHS[i], false};
        tb_unpack_uint(&in, UINT64_MAX);
        g_assert_true(in.failed);
    }
}

/* GLib judges what is UTF-8. */
static void test_pack__text_is_utf8(void)
{
    GRand *rand = g_rand_new_with_seed(3);
    for (int i = 0; i < 200000; i++) {
        char text[6] = {0};
        for (int k = 0; k < 5; k++)
            text[k] = (char)(g_rand_boolean(rand) ? g_rand_int_range(rand, 0x80, 0x100)
                                                  : g_rand_int_range(rand, 0, 0x100));
        g_assert_cmpint(tb_text_fits(text, sizeof text), ==, g_utf8_validate(text, -1, NULL));
    }
    g_assert_false(tb_text_fits("five.", 5));
    g_assert_true(tb_text_fits("four", 5));
    g_rand_free(rand);
}

static void test_stroke__comes_back_as_it_was(void)
{
    for (unsigned i = 0; i < 300; i++) {
        tb_stroke stroke = made_stroke(i), back;
        uint8_t *bytes;
        size_t n;
        g_assert_cmpint(tb_stroke_encode(&bytes, &n, &stroke, NULL), ==, TB_OK);
        g_assert_cmpint(tb_stroke_decode(&back, bytes, n, NULL), ==, TB_OK);
        g_assert_true(tb_stroke_equal(&stroke, &back));
        tb_free(bytes);
        tb_stroke_clear(&stroke);
        tb_stroke_clear(&back);
    }
}

/* Whatever is read at all has no other form. */
static void test_stroke__refuses_every_other_form(void)
{
    tb_stroke stroke = made_stroke(5), back;
    uint8_t *bytes, *again;
    size_t n, n_again;
    int read = 0;
    g_assert_cmpint(tb_stroke_encode(&bytes, &n, &stroke, NULL), ==, TB_OK);
    for (size_t cut = 0; cut < n; cut++)
        g_assert_cmpint(tb_stroke_decode(&back, bytes, cut, NULL), ==, TB_EREAD);
    for (size_t i = 0; i < n * 256; i++) {
        g_autofree uint8_t *changed = g_memdup2(bytes, n);
        changed[i / 256] = (uint8_t)i;
        if (tb_stroke_decode(&back, changed, n, NULL))
            continue;
        read++;
        g_assert_cmpint(tb_stroke_encode(&again, &n_again, &back, NULL), ==, TB_OK);
        g_assert_cmpmem(again, n_again, changed, n);
        tb_free(again);
        tb_stroke_clear(&back);
    }
    g_assert_cmpint(read, >, (int)n);
    tb_free(bytes);
    tb_stroke_clear(&stroke);
}

static void test_stroke__a_count_without_points_costs_nothing(void)
{
    static const uint8_t BYTES[] = {1, 0, 0, 0x80, 0x80, 0x04, 0, 0, 0};
    tb_stroke back;
    g_assert_cmpint(tb_stroke_decode(&back, BYTES, sizeof BYTES, NULL), ==, TB_EREAD);
    g_assert_null(back.points);
}

static void test_stroke__kinds_have_names(void)
{
    for (int i = 0; i < TB_N_STROKE_KINDS; i++) {
        tb_stroke_kind kind;
        g_assert_true(tb_stroke_kind_find(&kind, tb_stroke_kind_name((tb_stroke_kind)i)));
        g_assert_cmpint(kind, ==, i);
    }
    tb_stroke_kind kind;
    g_assert_false(tb_stroke_kind_find(&kind, "scribble"));
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/pack/numbers_come_back", test_pack__numbers_come_back);
    g_test_add_func(
            "/pack/only_the_shortest_form_is_read", test_pack__only_the_shortest_form_is_read);
    g_test_add_func("/pack/text_is_utf8", test_pack__text_is_utf8);
    g_test_add_func("/stroke/comes_back_as_it_was", test_stroke__comes_back_as_it_was);
    g_test_add_func("/stroke/refuses_every_other_form", test_stroke__refuses_every_other_form);
    g_test_add_func("/stroke/a_count_without_points_costs_nothing",
            test_stroke__a_count_without_points_costs_nothing);
    g_test_add_func("/stroke/kinds_have_names", test_stroke__kinds_have_names);
    return g_test_run();
}
