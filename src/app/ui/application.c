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
    static const struct {
        const char *action;
        const char *keys[3];
    } KEYS[] = {
            {"win.undo", {"<Control>z"}},
            {"win.redo", {"<Control><Shift>z"}},
            {"win.choose-photo", {"<Control>n"}},
            {"win.paste", {"<Control>v"}},
            {"win.open-project", {"<Control>o"}},
            {"win.save-copy", {"<Control><Shift>s"}},
            {"win.history", {"<Control>h"}},
            {"win.fit", {"<Control>0"}},
            {"win.nearer", {"<Control>plus", "<Control>equal"}},
            {"win.farther", {"<Control>minus"}},
            {"win.true-size", {"<Control><Shift>0", "<Control>parenright"}},
            {"win.view(0)", {"<Control>1"}},
            {"win.view(1)", {"<Control>2"}},
            {"win.view(2)", {"<Control>3"}},
            {"win.view(3)", {"<Control>4"}},
            {"win.inches", {"<Control>u"}},
            {"win.to-bench", {"F6"}},
            {"win.step(0)", {"<Alt>1"}},
            {"win.step(1)", {"<Alt>2"}},
            {"win.step(2)", {"<Alt>3"}},
            {"win.step(3)", {"<Alt>4"}},
            {"win.step(4)", {"<Alt>5"}},
    };
    for (size_t i = 0; i < G_N_ELEMENTS(KEYS); i++)
        gtk_application_set_accels_for_action(
                GTK_APPLICATION(application), KEYS[i].action, KEYS[i].keys);
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
