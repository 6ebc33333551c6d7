/* A window that gives a file away: to be dragged from, or by the clipboard, as another program
 * would.
 *
 * giver drag FILE | copy FILE | picture FILE   Says "ready" when it can be taken; the pointer takes
 * hold anywhere in it. */
#include <gtk/gtk.h>
#include <string.h>

static GdkContentProvider *content_of(const char *way, const char *path)
{
    g_autoptr(GFile) file = g_file_new_for_path(path);
    if (g_str_equal(way, "picture")) {
        g_autoptr(GError) error = NULL;
        g_autoptr(GdkTexture) picture = gdk_texture_new_from_filename(path, &error);
        g_assert_no_error(error);
        return gdk_content_provider_new_typed(GDK_TYPE_TEXTURE, picture);
    }
    GSList files = {file, NULL};
    return gdk_content_provider_new_typed(GDK_TYPE_FILE_LIST, &files);
}

static void activate_cb(GtkApplication *application, char **words)
{
    GtkWidget *window = gtk_application_window_new(application);
    g_autoptr(GdkContentProvider) content = content_of(words[1], words[2]);
    gtk_window_set_title(GTK_WINDOW(window), "giver");
    gtk_window_set_decorated(GTK_WINDOW(window), FALSE);
    gtk_window_set_default_size(GTK_WINDOW(window), 120, 120);
    if (g_str_equal(words[1], "drag")) {
        GtkDragSource *drag = gtk_drag_source_new();
        gtk_drag_source_set_content(drag, content);
        gtk_widget_add_controller(window, GTK_EVENT_CONTROLLER(drag));
    }
    gtk_window_present(GTK_WINDOW(window));
    if (!g_str_equal(words[1], "drag"))
        gdk_clipboard_set_content(gtk_widget_get_clipboard(window), content);
    g_print("ready\n");
}

int main(int argc, char **argv)
{
    if (argc != 3)
        return 2;
    g_autoptr(GtkApplication) application =
            gtk_application_new("org.tombolo.Giver", G_APPLICATION_NON_UNIQUE);
    g_signal_connect(application, "activate", G_CALLBACK(activate_cb), argv);
    return g_application_run(G_APPLICATION(application), 1, argv);
}
