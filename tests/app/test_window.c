/* The window, made but not shown; says that it is skipped where there is no display. */
#include "app/ui/application.h"
#include "app/ui/window.h"

#include <adwaita.h>

enum { TARGET_LEAST_PX = 44 };

static GtkWidget *window_new(AdwApplication **application)
{
    *application = tb_application_new();
    g_assert_true(g_application_register(G_APPLICATION(*application), NULL, NULL));
    return tb_window_new(*application);
}

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
    AdwApplication *application;
    GtkWidget *window = window_new(&application);
    int n_tools = 0;
    visit_all(window, check_tool_cb, &n_tools);
    g_assert_cmpint(n_tools, >=, TB_N_TOOLS);
    gtk_window_destroy(GTK_WINDOW(window));
    g_object_unref(application);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    if (!gtk_init_check()) {
        g_print("1..0 # SKIP no display\n");
        return 0;
    }
    adw_init();
    g_test_add_func("/window/tools", test_window__has_tools_that_a_finger_meets);
    return g_test_run();
}
