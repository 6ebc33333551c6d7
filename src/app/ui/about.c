/* app/ui/about.c: see about.h. */
#include "app/ui/about.h"

#include "facts/caution.h"

#include <adwaita.h>
#include <glib/gi18n.h>

/* One caution to a line; the facts are kept in one place for app, sheets and command line. */
static char *cautions_text(void)
{
    GString *text = g_string_new(NULL);
    for (int i = 0; tb_caution_at(i); i++)
        g_string_append_printf(text, "• %s\n", _(tb_caution_at(i)));
    g_string_append_printf(text, "\n%s", _(tb_caution_permission()));
    return g_string_free(text, FALSE);
}

void tb_about_show(GtkWindow *parent)
{
    GtkWidget *about = adw_about_window_new();
    g_autofree char *cautions = cautions_text();
    g_object_set(about, "transient-for", parent, "modal", TRUE, "application-name", "Tombolo",
            "application-icon", "org.tombolo.Tombolo", "version", TB_VERSION, "developer-name",
            _("The Tombolo makers"), "license-type", GTK_LICENSE_GPL_3_0, "comments",
            _("A tombolo is a bar of sand that ties an island to the mainland. This does the same "
              "for portraits sawn of wood."),
            NULL);
    adw_about_window_add_legal_section(
            ADW_ABOUT_WINDOW(about), _("Cautions at the saw"), NULL, GTK_LICENSE_CUSTOM, cautions);
    gtk_window_present(GTK_WINDOW(about));
}
