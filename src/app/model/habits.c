/* app/model/habits.c: see habits.h. The values live here; GSettings gives them when the app starts
 * and takes each change. */
#include "app/model/habits.h"

#include "facts/paper.h"
#include "flow/custom.h"
#include "flow/place.h"

#include <gio/gio.h>

#define SCHEMA "org.tombolo.Tombolo"

static const double BAR_LEAST_MM = 95, BAR_MOST_MM = 105;
static const double OVERLAP_MM = 10, OVERLAP_MOST_MM = 30;
enum { UNIT_LOCAL, UNIT_MM, UNIT_IN };

struct tb_habits {
    GSettings *store; /* NULL: no schema */
    bool inches;
    char *paper, *printer, *folder;
    double overlap_mm;
    GHashTable *bars; /* printer → double */
    tb_window_size window;
};

/* GLib ends a program that asks for a schema which is not there: it is looked up first, beside the
 * program before everywhere. */
static GSettings *open_store(void)
{
    g_autofree char *folder = tb_place_find("../../data", "../share/glib-2.0/schemas");
    GSettingsSchemaSource *everywhere = g_settings_schema_source_get_default(), *source = NULL;
    if (folder)
        source = g_settings_schema_source_new_from_directory(folder, everywhere, FALSE, NULL);
    if (!source && everywhere)
        source = g_settings_schema_source_ref(everywhere);
    if (!source)
        return NULL;
    GSettingsSchema *schema = g_settings_schema_source_lookup(source, SCHEMA, TRUE);
    GSettings *store = schema ? g_settings_new_full(schema, NULL, NULL) : NULL;
    g_clear_pointer(&schema, g_settings_schema_unref);
    g_settings_schema_source_unref(source);
    return store;
}

static void set_text(char **kept, const char *text)
{
    char *copy = g_strdup(text);
    g_free(*kept);
    *kept = copy;
}

static void keep_bar(tb_habits *habits, const char *printer, double measured_mm)
{
    double *kept = g_new(double, 1);
    *kept = measured_mm;
    g_hash_table_replace(habits->bars, g_strdup(printer), kept);
}

static void read_bars(tb_habits *habits)
{
    g_autoptr(GVariant) bars = g_settings_get_value(habits->store, "printer-bars");
    GVariantIter all;
    const char *printer;
    double measured_mm;
    g_variant_iter_init(&all, bars);
    while (g_variant_iter_next(&all, "{&sd}", &printer, &measured_mm))
        keep_bar(habits, printer, measured_mm);
}

static void read_store(tb_habits *habits)
{
    int unit = g_settings_get_enum(habits->store, "unit");
    g_autofree char *paper = g_settings_get_string(habits->store, "paper");
    if (unit != UNIT_LOCAL)
        habits->inches = unit == UNIT_IN;
    if (tb_paper_find(paper))
        set_text(&habits->paper, paper);
    g_free(habits->printer);
    habits->printer = g_settings_get_string(habits->store, "printer");
    g_free(habits->folder);
    habits->folder = g_settings_get_string(habits->store, "folder");
    habits->overlap_mm = CLAMP(g_settings_get_double(habits->store, "overlap"), 0, OVERLAP_MOST_MM);
    g_settings_get(
            habits->store, "window-size", "(ii)", &habits->window.width, &habits->window.height);
    habits->window.maximized = g_settings_get_boolean(habits->store, "window-maximized");
    read_bars(habits);
}

tb_habits *tb_habits_new(void)
{
    tb_habits *habits = g_new0(tb_habits, 1);
    habits->inches = tb_custom_unit() == TB_UNIT_IN;
    habits->paper = g_strdup(tb_custom_paper());
    habits->printer = g_strdup("");
    habits->folder = g_strdup("");
    habits->overlap_mm = OVERLAP_MM;
    habits->bars = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    habits->window = (tb_window_size){1366, 768, false};
    habits->store = open_store();
    if (habits->store)
        read_store(habits);
    return habits;
}

void tb_habits_free(tb_habits *habits)
{
    if (!habits)
        return;
    g_clear_object(&habits->store);
    g_hash_table_unref(habits->bars);
    g_free(habits->paper);
    g_free(habits->printer);
    g_free(habits->folder);
    g_free(habits);
}

bool tb_habits_inches(const tb_habits *habits)
{
    return habits->inches;
}

void tb_habits_set_inches(tb_habits *habits, bool inches)
{
    habits->inches = inches;
    if (habits->store)
        g_settings_set_enum(habits->store, "unit", inches ? UNIT_IN : UNIT_MM);
}

const char *tb_habits_paper(const tb_habits *habits)
{
    return habits->paper;
}

void tb_habits_set_paper(tb_habits *habits, const char *paper)
{
    set_text(&habits->paper, paper);
    if (habits->store)
        g_settings_set_string(habits->store, "paper", paper);
}

const char *tb_habits_printer(const tb_habits *habits)
{
    return habits->printer;
}

void tb_habits_set_printer(tb_habits *habits, const char *printer)
{
    set_text(&habits->printer, printer);
    if (habits->store)
        g_settings_set_string(habits->store, "printer", printer);
}

double tb_habits_bar_mm(const tb_habits *habits, const char *printer)
{
    const double *measured_mm = g_hash_table_lookup(habits->bars, printer);
    if (!measured_mm)
        measured_mm = g_hash_table_lookup(habits->bars, "");
    bool sound = measured_mm && *measured_mm >= BAR_LEAST_MM && *measured_mm <= BAR_MOST_MM;
    return sound ? *measured_mm : 100;
}

void tb_habits_set_bar_mm(tb_habits *habits, const char *printer, double measured_mm)
{
    GVariantBuilder bars;
    GHashTableIter all;
    gpointer name, value;
    keep_bar(habits, printer, measured_mm);
    if (!habits->store)
        return;
    g_variant_builder_init(&bars, G_VARIANT_TYPE("a{sd}"));
    g_hash_table_iter_init(&all, habits->bars);
    while (g_hash_table_iter_next(&all, &name, &value))
        g_variant_builder_add(&bars, "{sd}", (const char *)name, *(const double *)value);
    g_settings_set_value(habits->store, "printer-bars", g_variant_builder_end(&bars));
}

double tb_habits_overlap_mm(const tb_habits *habits)
{
    return habits->overlap_mm;
}

void tb_habits_set_overlap_mm(tb_habits *habits, double overlap_mm)
{
    habits->overlap_mm = overlap_mm;
    if (habits->store)
        g_settings_set_double(habits->store, "overlap", overlap_mm);
}

const char *tb_habits_folder(const tb_habits *habits)
{
    const char *pictures = g_get_user_special_dir(G_USER_DIRECTORY_PICTURES);
    if (g_file_test(habits->folder, G_FILE_TEST_IS_DIR))
        return habits->folder;
    return pictures && g_file_test(pictures, G_FILE_TEST_IS_DIR) ? pictures : g_get_home_dir();
}

void tb_habits_set_folder(tb_habits *habits, const char *folder)
{
    set_text(&habits->folder, folder);
    if (habits->store)
        g_settings_set_string(habits->store, "folder", folder);
}

tb_window_size tb_habits_window(const tb_habits *habits)
{
    return habits->window;
}

void tb_habits_set_window(tb_habits *habits, tb_window_size size)
{
    habits->window = size;
    if (!habits->store)
        return;
    g_settings_set(habits->store, "window-size", "(ii)", size.width, size.height);
    g_settings_set_boolean(habits->store, "window-maximized", size.maximized);
}
