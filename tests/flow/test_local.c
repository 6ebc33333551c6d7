/* Sentences of the lower rooms in the user's language: src/flow/local.h. */
#include "flow/local.h"

#include <glib.h>
#include <libintl.h>
#include <locale.h>

static void check(const char *text, const char *wanted)
{
    g_autofree char *local = tb_local(text);
    g_assert_cmpstr(local, ==, wanted);
}

static void test_local__puts_what_was_measured_into_the_translation(void)
{
    check("Widen this slot to 1.4 mm, or close it.",
            "Weiten Sie diesen Schlitz auf 1.4 mm, oder schließen Sie ihn.");
    check("Thicken this bridge to 2.5 mm, or take it out.",
            "Verdicken Sie diesen Steg auf 2.5 mm, oder nehmen Sie ihn heraus.");
    check("bridge", "Steg");
}

static void test_local__takes_the_sentence_that_tells_most(void)
{
    check("the project is damaged (a table is missing)",
            "Das Projekt ist beschädigt (eine Tabelle fehlt)");
    check("the project is damaged (out of range)", "Das Projekt ist beschädigt (out of range)");
}

static void test_local__changes_order_where_the_translation_does(void)
{
    check("the pattern does not fit into 30 kB even at 100 pixels",
            "Die Vorlage passt selbst mit 100 Bildpunkten nicht in 30 kB");
}

static void test_local__leaves_what_it_does_not_know(void)
{
    check("", "");
    check("100 % oak", "100 % oak");
    check("Widen this slot to 1.4 mm", "Widen this slot to 1.4 mm");
}

static void test_local__leaves_names_that_people_gave(void)
{
    check("return to bridge", "Rückkehr zu bridge");
    check("return to before the 2. try", "Rückkehr zu before the 2. try");
}

int main(int argc, char **argv)
{
    g_setenv("LANGUAGE", "de", TRUE);
    g_test_init(&argc, &argv, NULL);
    setlocale(LC_ALL, "C.UTF-8");
    bindtextdomain(GETTEXT_PACKAGE, g_getenv("TB_LANGUAGES"));
    bind_textdomain_codeset(GETTEXT_PACKAGE, "UTF-8");
    textdomain(GETTEXT_PACKAGE);
    g_test_add_func("/local/fills", test_local__puts_what_was_measured_into_the_translation);
    g_test_add_func("/local/most", test_local__takes_the_sentence_that_tells_most);
    g_test_add_func("/local/order", test_local__changes_order_where_the_translation_does);
    g_test_add_func("/local/unknown", test_local__leaves_what_it_does_not_know);
    g_test_add_func("/local/names", test_local__leaves_names_that_people_gave);
    return g_test_run();
}
