/* app/ui/welcome.c: see welcome.h. */
#include "app/ui/welcome.h"

#include "app/ui/gallery.h"
#include "app/ui/pane-tools.h"

#include <adwaita.h>
#include <glib/gi18n.h>

/* Six cards side by side. */
enum { WIDTH_PX = 996, ICON_PX = 72 };

static GtkWidget *centred_label(const char *text, const char *css_class)
{
    GtkWidget *label = gtk_label_new(text);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_justify(GTK_LABEL(label), GTK_JUSTIFY_CENTER);
    if (css_class)
        gtk_widget_add_css_class(label, css_class);
    return label;
}

static GtkWidget *icon_new(void)
{
    return g_object_new(GTK_TYPE_IMAGE, "icon-name", "org.tombolo.Tombolo", "pixel-size", ICON_PX,
            "accessible-role", GTK_ACCESSIBLE_ROLE_PRESENTATION, NULL);
}

static GtkWidget *main_button(void)
{
    GtkWidget *button = gtk_button_new_with_label(_("Choose a photograph"));
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), "win.choose-photo");
    gtk_widget_add_css_class(button, "pill");
    gtk_widget_add_css_class(button, "suggested-action");
    gtk_widget_add_css_class(button, "main");
    gtk_widget_set_halign(button, GTK_ALIGN_CENTER);
    return button;
}

/* What it does, and below what that is. */
static GtkWidget *way_button(const char *title, const char *told, const char *action)
{
    GtkWidget *button = gtk_button_new(), *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
    gtk_box_append(GTK_BOX(box), centred_label(title, NULL));
    gtk_box_append(GTK_BOX(box), centred_label(told, "told"));
    gtk_button_set_child(GTK_BUTTON(button), box);
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), action);
    gtk_widget_add_css_class(button, "way");
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, title,
            GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, told, -1);
    return button;
}

static GtkWidget *ways(void)
{
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 16);
    gtk_box_set_homogeneous(GTK_BOX(row), TRUE);
    gtk_widget_set_halign(row, GTK_ALIGN_CENTER);
    gtk_box_append(GTK_BOX(row), way_button(_("Go on with a saved pattern"),
                                         _("one that you began before"), "win.open-project"));
    gtk_box_append(GTK_BOX(row), way_button(_("Try it with our example"),
                                         _("a lighthouse keeper, drawn and invented"), "win.demo"));
    return row;
}

GtkWidget *tb_welcome_new(void)
{
    GtkWidget *page = gtk_scrolled_window_new(), *middle = adw_clamp_new();
    GtkWidget *column = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    gtk_widget_add_css_class(page, "first-page");
    gtk_widget_set_valign(column, GTK_ALIGN_CENTER);
    gtk_box_append(GTK_BOX(column), icon_new());
    gtk_box_append(
            GTK_BOX(column), centred_label(_("From a photograph to a pattern to saw"), "title-1"));
    gtk_box_append(GTK_BOX(column),
            centred_label(_("You choose a picture of a person or an animal. Tombolo works out what "
                            "stays wood and what is sawn away."),
                    "lead"));
    gtk_box_append(GTK_BOX(column), main_button());
    gtk_box_append(GTK_BOX(column),
            centred_label(_("or drag one from a folder into this window"), "told"));
    gtk_box_append(GTK_BOX(column), ways());
    gtk_box_append(GTK_BOX(column), tb_gallery_new(TB_GALLERY_PATTERNS));
    gtk_box_append(GTK_BOX(column), tb_gallery_new(TB_GALLERY_PHOTOS));
    adw_clamp_set_maximum_size(ADW_CLAMP(middle), WIDTH_PX);
    adw_clamp_set_tightening_threshold(ADW_CLAMP(middle), WIDTH_PX);
    adw_clamp_set_child(ADW_CLAMP(middle), column);
    gtk_scrolled_window_set_policy(
            GTK_SCROLLED_WINDOW(page), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
    gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(page), middle);
    gtk_widget_set_hexpand(page, TRUE);
    /* It takes the focus, for its keys scroll. */
    tb_pane_name(page, _("First page"));
    return page;
}
