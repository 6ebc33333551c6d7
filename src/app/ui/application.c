/* app/ui/application.c: see application.h. */
#include "app/ui/application.h"

#include "app/ui/window.h"

static TbWindow *window_of(GApplication *application)
{
    GtkWindow *window = gtk_application_get_active_window(GTK_APPLICATION(application));
    return window ? TB_WINDOW(window) : TB_WINDOW(tb_window_new(ADW_APPLICATION(application)));
}

static void activate_cb(GApplication *application)
{
    gtk_window_present(GTK_WINDOW(window_of(application)));
}

static void open_cb(GApplication *application, GFile **files, int n_files, const char *hint)
{
    TbWindow *window = window_of(application);
    (void)hint;
    gtk_window_present(GTK_WINDOW(window));
    if (n_files > 0)
        tb_window_open_file(window, files[0]);
}

static void startup_cb(GApplication *application)
{
    static const char *const UNDO[] = {"<Control>z", NULL};
    static const char *const REDO[] = {"<Control><Shift>z", NULL};
    static const char *const FIT[] = {"<Control>0", NULL};
    GtkCssProvider *style = gtk_css_provider_new();
    gtk_css_provider_load_from_resource(style, "/org/tombolo/Tombolo/ui/style.css");
    gtk_style_context_add_provider_for_display(gdk_display_get_default(), GTK_STYLE_PROVIDER(style),
            GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
    g_object_unref(style);
    gtk_application_set_accels_for_action(GTK_APPLICATION(application), "win.undo", UNDO);
    gtk_application_set_accels_for_action(GTK_APPLICATION(application), "win.redo", REDO);
    gtk_application_set_accels_for_action(GTK_APPLICATION(application), "bench.fit", FIT);
}

AdwApplication *tb_application_new(void)
{
    AdwApplication *application = adw_application_new(
            TB_APPLICATION_ID, G_APPLICATION_HANDLES_OPEN | G_APPLICATION_NON_UNIQUE);
    g_signal_connect(application, "startup", G_CALLBACK(startup_cb), NULL);
    g_signal_connect(application, "activate", G_CALLBACK(activate_cb), NULL);
    g_signal_connect(application, "open", G_CALLBACK(open_cb), NULL);
    return application;
}
