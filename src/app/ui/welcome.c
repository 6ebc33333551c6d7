/* app/ui/welcome.c: see welcome.h. */
#include "app/ui/welcome.h"

#include "app/model/library.h"
#include "app/ui/gallery.h"
#include "app/ui/pane-tools.h"

#include <adwaita.h>
#include <glib/gi18n.h>
#include <string.h>

enum { RECENT_MOST = 5 };

static GtkWidget *big_button(const char *label, const char *action, const char *css_class)
{
    GtkWidget *button = gtk_button_new_with_label(label);
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), action);
    gtk_widget_add_css_class(button, "pill");
    if (css_class)
        gtk_widget_add_css_class(button, css_class);
    gtk_widget_set_halign(button, GTK_ALIGN_CENTER);
    gtk_widget_set_size_request(button, 260, 44);
    return button;
}

static GtkWidget *recent_button(const char *path)
{
    g_autofree char *name = g_path_get_basename(path);
    char *ending = strstr(name, ".tombolo");
    if (ending)
        *ending = '\0';
    GtkWidget *button = gtk_button_new(), *label = gtk_label_new(name);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    gtk_label_set_max_width_chars(GTK_LABEL(label), 16);
    gtk_button_set_child(GTK_BUTTON(button), label);
    gtk_widget_set_size_request(button, -1, 44);
    gtk_widget_add_css_class(button, "flat");
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), "win.open-path");
    gtk_actionable_set_action_target_value(GTK_ACTIONABLE(button), g_variant_new_string(path));
    gtk_widget_set_halign(button, GTK_ALIGN_CENTER);
    return button;
}

static void add_recent(GtkBox *box)
{
    g_auto(GStrv) paths = tb_library_recent(RECENT_MOST);
    GtkWidget *heading = gtk_label_new(_("Lately on the bench"));
    if (!paths[0]) {
        g_object_ref_sink(heading);
        g_object_unref(heading);
        return;
    }
    gtk_widget_add_css_class(heading, "heading");
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    gtk_widget_set_halign(row, GTK_ALIGN_CENTER);
    gtk_box_append(box, heading);
    gtk_box_append(box, row);
    for (int i = 0; paths[i]; i++)
        gtk_box_append(GTK_BOX(row), recent_button(paths[i]));
}

GtkWidget *tb_welcome_new(void)
{
    GtkWidget *page = adw_status_page_new();
    GtkWidget *buttons = gtk_box_new(GTK_ORIENTATION_VERTICAL, 12);
    adw_status_page_set_icon_name(ADW_STATUS_PAGE(page), "org.tombolo.Tombolo");
    adw_status_page_set_title(ADW_STATUS_PAGE(page), _("From a photograph to a pattern to saw"));
    adw_status_page_set_description(ADW_STATUS_PAGE(page),
            _("All of one piece, with bridges that hold. You decide; Tombolo measures.\n"
              "Drop a photograph here, or begin with one of these."));
    gtk_box_append(GTK_BOX(buttons),
            big_button(_("Choose a photograph"), "win.choose-photo", "suggested-action"));
    gtk_box_append(GTK_BOX(buttons), big_button(_("Open a project"), "win.open-project", NULL));
    gtk_box_append(GTK_BOX(buttons), big_button(_("Try the lighthouse keeper"), "win.demo", NULL));
    GtkWidget *below = gtk_box_new(GTK_ORIENTATION_VERTICAL, 12);
    gtk_box_append(GTK_BOX(below), buttons);
    add_recent(GTK_BOX(below));
    gtk_box_append(GTK_BOX(below), tb_gallery_new());
    adw_status_page_set_child(ADW_STATUS_PAGE(page), below);
    gtk_widget_add_css_class(page, "compact");
    gtk_widget_set_hexpand(page, TRUE);
    /* What scrolls in it takes the focus. */
    tb_pane_name(gtk_widget_get_first_child(page), _("First page"));
    return page;
}
