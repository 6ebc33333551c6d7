/* The window, made and not presented; says that it is skipped where there is no display. */
#include "app/ui/application.h"
#include "app/ui/window.h"

#include <adwaita.h>
#include <stdbool.h>

enum { TARGET_LEAST_PX = 44 };

static GtkWidget *made; /* one for all tests */

typedef void (*visit)(GtkWidget *widget, void *payload);

static void visit_all(GtkWidget *widget, visit visit_cb, void *payload)
{
    visit_cb(widget, payload);
    for (GtkWidget *child = gtk_widget_get_first_child(widget); child;
            child = gtk_widget_get_next_sibling(child))
        visit_all(child, visit_cb, payload);
}

static void check_tool_cb(GtkWidget *widget, void *payload)
{
    int *n_tools = payload, least;
    const char *action = GTK_IS_ACTIONABLE(widget)
                                 ? gtk_actionable_get_action_name(GTK_ACTIONABLE(widget))
                                 : NULL;
    if (g_strcmp0(action, "win.tool") != 0)
        return;
    ++*n_tools;
    for (int way = GTK_ORIENTATION_HORIZONTAL; way <= GTK_ORIENTATION_VERTICAL; way++) {
        gtk_widget_measure(widget, (GtkOrientation)way, -1, &least, NULL, NULL, NULL);
        g_assert_cmpint(least, >=, TARGET_LEAST_PX);
    }
}

static void test_window__has_tools_that_a_finger_meets(void)
{
    GtkApplicationWindow *window = GTK_APPLICATION_WINDOW(made);
    int n_tools = 0;
    visit_all(GTK_WIDGET(window), check_tool_cb, &n_tools);
    g_assert_cmpint(n_tools, >=, TB_N_TOOLS);
}

static void collect_shortcut_cb(GtkWidget *widget, void *payload)
{
    g_autofree char *keys = NULL;
    if (!GTK_IS_SHORTCUTS_SHORTCUT(widget))
        return;
    g_object_get(widget, "accelerator", &keys, NULL);
    g_ptr_array_add(payload, g_steal_pointer(&keys));
}

static bool is_told(GPtrArray *told, char **keys)
{
    for (guint i = 0; i < told->len; i++) {
        g_autofree char *own = NULL;
        guint key;
        GdkModifierType with;
        if (!gtk_accelerator_parse(g_ptr_array_index(told, i), &key, &with))
            continue;
        own = gtk_accelerator_name(key, with);
        if (g_strv_contains((const char *const *)keys, own))
            return true;
    }
    return false;
}

/* The shortcuts window names every action that has keys. */
static void test_window__tells_all_its_keys(void)
{
    GtkApplicationWindow *window = GTK_APPLICATION_WINDOW(made);
    GtkApplication *application = gtk_window_get_application(GTK_WINDOW(window));
    GtkShortcutsWindow *help = gtk_application_window_get_help_overlay(window);
    g_autoptr(GPtrArray) told = g_ptr_array_new_with_free_func(g_free);
    g_auto(GStrv) actions = gtk_application_list_action_descriptions(application);
    g_assert_nonnull(help);
    visit_all(GTK_WIDGET(help), collect_shortcut_cb, told);
    g_assert_cmpint(told->len, >, 20);
    for (int i = 0; actions[i]; i++) {
        g_auto(GStrv) keys = gtk_application_get_accels_for_action(application, actions[i]);
        if (!is_told(told, keys))
            g_error("the shortcuts window does not tell of %s", actions[i]);
    }
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    if (!gtk_init_check()) {
        g_print("1..0 # SKIP no display\n");
        return 0;
    }
    adw_init();
    AdwApplication *application = tb_application_new();
    if (!g_application_register(G_APPLICATION(application), NULL, NULL))
        return 1;
    made = tb_window_new(application);
    g_test_add_func("/window/tools", test_window__has_tools_that_a_finger_meets);
    g_test_add_func("/window/keys", test_window__tells_all_its_keys);
    int failed = g_test_run();
    gtk_window_destroy(GTK_WINDOW(made));
    g_object_unref(application);
    return failed;
}
