/* app/ui/welcome.c: see welcome.h. */
#include "app/ui/welcome.h"

#include <adwaita.h>
#include <glib/gi18n.h>

static GtkWidget *big_button(const char *label, const char *action, const char *css_class)
{
    GtkWidget *button = gtk_button_new_with_label(label);
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), action);
    gtk_widget_add_css_class(button, "pill");
    if (css_class)
        gtk_widget_add_css_class(button, css_class);
    gtk_widget_set_halign(button, GTK_ALIGN_CENTER);
    return button;
}

GtkWidget *tb_welcome_new(TbDesk *desk)
{
    GtkWidget *page = adw_status_page_new();
    GtkWidget *buttons = gtk_box_new(GTK_ORIENTATION_VERTICAL, 12);
    (void)desk;
    adw_status_page_set_title(ADW_STATUS_PAGE(page), _("From a photograph to a pattern to saw"));
    adw_status_page_set_description(ADW_STATUS_PAGE(page),
            _("All of one piece, with bridges that hold. You decide; Tombolo measures."));
    gtk_box_append(GTK_BOX(buttons),
            big_button(_("Choose a photograph"), "win.choose-photo", "suggested-action"));
    gtk_box_append(GTK_BOX(buttons), big_button(_("Open a project"), "win.open-project", NULL));
    adw_status_page_set_child(ADW_STATUS_PAGE(page), buttons);
    gtk_widget_set_hexpand(page, TRUE);
    return page;
}
