/* app/ui/history-window.c: see history-window.h. */
#include "app/ui/history-window.h"

#include "app/ui/pane-tools.h"
#include "base/alloc.h"
#include "flow/local.h"

#include <adwaita.h>
#include <glib/gi18n.h>

enum { LINES_MOST = 200, ASIDES_MOST = 10 }; /* a longer list is not read; the newest are shown */

#define TB_TYPE_HISTORY_WINDOW (tb_history_window_get_type())
G_DECLARE_FINAL_TYPE(TbHistoryWindow, tb_history_window, TB, HISTORY_WINDOW, AdwWindow)

struct _TbHistoryWindow {
    AdwWindow parent_instance;

    TbDesk *desk;
    TbWork *work;
    GtkEditable *name;
    GtkListBox *named, *asides, *done;
};

G_DEFINE_FINAL_TYPE(TbHistoryWindow, tb_history_window, ADW_TYPE_WINDOW)

static char *time_text(int64_t at_s)
{
    g_autoptr(GDateTime) at = g_date_time_new_from_unix_local(at_s);
    return g_date_time_format(at, "%x  %H:%M");
}

static void clear(GtkListBox *list)
{
    GtkWidget *row;
    while ((row = gtk_widget_get_first_child(GTK_WIDGET(list))))
        gtk_list_box_remove(list, row);
}

/* Names come from the project: they are text, not markup. */
static GtkWidget *line_new(const char *title, int64_t at_s)
{
    GtkWidget *row = adw_action_row_new();
    g_autofree char *when = time_text(at_s);
    g_object_set(row, "use-markup", FALSE, "title", title, "subtitle", when, NULL);
    return row;
}

/* What the button puts back is the row's to keep. */
static GtkWidget *restorable_new(
        TbHistoryWindow *self, const char *title, int64_t at_s, gpointer what, GCallback put_back)
{
    GtkWidget *row = line_new(title, at_s), *button = gtk_button_new_with_label(_("Put back"));
    g_object_set_data_full(G_OBJECT(button), "what", what, g_free);
    gtk_widget_set_valign(button, GTK_ALIGN_CENTER);
    g_signal_connect_object(button, "clicked", put_back, self, 0);
    adw_action_row_add_suffix(ADW_ACTION_ROW(row), button);
    return row;
}

static void put_back_cb(GtkButton *button, TbHistoryWindow *self)
{
    const char *name = g_object_get_data(G_OBJECT(button), "what");
    g_autofree char *text = g_strdup_printf(_("“%s” is back"), name);
    tb_work_restore(self->work, name);
    tb_desk_say(self->desk, text, true);
}

static void fill_named(TbHistoryWindow *self)
{
    tb_snapshot *snapshots = NULL;
    size_t n = 0;
    tb_error err = {0};
    clear(self->named);
    if (tb_project_snapshots(&snapshots, &n, tb_work_project(self->work), &err))
        return;
    for (size_t i = n; i-- > 0;)
        gtk_list_box_append(
                self->named, restorable_new(self, snapshots[i].name, snapshots[i].at_s,
                                     g_strdup(snapshots[i].name), G_CALLBACK(put_back_cb)));
    gtk_widget_set_visible(GTK_WIDGET(self->named), n > 0);
    tb_free(snapshots);
}

static void take_up_cb(GtkButton *button, TbHistoryWindow *self)
{
    const tb_aside *aside = g_object_get_data(G_OBJECT(button), "what");
    g_autofree char *when = time_text(aside->at_s);
    g_autofree char *text = g_strdup_printf(_("“%s” is back"), when);
    tb_work_take_up(self->work, aside->action, when);
    tb_desk_say(self->desk, text, true);
}

static GtkWidget *aside_row_new(TbHistoryWindow *self, const tb_aside *aside)
{
    g_autofree char *title =
            g_strdup_printf(ngettext("%zu change", "%zu changes", (gulong)aside->n), aside->n);
    return restorable_new(
            self, title, aside->at_s, g_memdup2(aside, sizeof *aside), G_CALLBACK(take_up_cb));
}

static void fill_asides(TbHistoryWindow *self)
{
    tb_aside *asides = NULL;
    size_t n = 0;
    tb_error err = {0};
    clear(self->asides);
    if (tb_project_asides(&asides, &n, tb_work_project(self->work), &err))
        return;
    for (size_t i = 0; i < n && i < ASIDES_MOST; i++)
        gtk_list_box_append(self->asides, aside_row_new(self, &asides[i]));
    gtk_widget_set_visible(GTK_WIDGET(self->asides), n > 0);
    gtk_widget_set_visible(gtk_widget_get_prev_sibling(GTK_WIDGET(self->asides)), n > 0);
    tb_free(asides);
}

static void fill_done(TbHistoryWindow *self)
{
    tb_action_line *lines = NULL;
    size_t n = 0;
    tb_error err = {0};
    clear(self->done);
    if (tb_project_history(&lines, &n, tb_work_project(self->work), &err))
        return;
    for (size_t i = n, shown = 0; i-- > 0 && shown < LINES_MOST; shown++) {
        g_autofree char *name = tb_local(lines[i].name);
        g_autofree char *title =
                lines[i].undone ? g_strdup_printf(_("%s (undone)"), name) : g_strdup(name);
        GtkWidget *row = line_new(title, lines[i].at_s);
        if (lines[i].undone)
            gtk_widget_add_css_class(row, "dim-label");
        gtk_list_box_append(self->done, row);
    }
    tb_free(lines);
}

static void fill(TbHistoryWindow *self)
{
    fill_named(self);
    fill_asides(self);
    fill_done(self);
}

static void name_cb(TbHistoryWindow *self)
{
    const char *name = gtk_editable_get_text(self->name);
    if (!*name)
        return;
    tb_work_snapshot(self->work, name);
    gtk_editable_set_text(self->name, "");
    fill(self);
}

static void tb_history_window_dispose(GObject *object)
{
    TbHistoryWindow *self = TB_HISTORY_WINDOW(object);
    g_clear_object(&self->work);
    g_clear_object(&self->desk);
    G_OBJECT_CLASS(tb_history_window_parent_class)->dispose(object);
}

static void tb_history_window_class_init(TbHistoryWindowClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_history_window_dispose;
    gtk_widget_class_add_binding_action(
            GTK_WIDGET_CLASS(klass), GDK_KEY_Escape, 0, "window.close", NULL);
}

static GtkListBox *add_list(GtkBox *column, const char *title)
{
    GtkWidget *heading = gtk_label_new(title);
    GtkWidget *list = gtk_list_box_new();
    gtk_widget_add_css_class(heading, "heading");
    gtk_label_set_xalign(GTK_LABEL(heading), 0);
    gtk_widget_add_css_class(list, "boxed-list");
    gtk_list_box_set_selection_mode(GTK_LIST_BOX(list), GTK_SELECTION_NONE);
    gtk_accessible_update_property(GTK_ACCESSIBLE(list), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
    gtk_box_append(column, heading);
    gtk_box_append(column, list);
    return GTK_LIST_BOX(list);
}

static GtkWidget *name_row_new(TbHistoryWindow *self)
{
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    GtkWidget *button = gtk_button_new_with_label(_("Name it"));
    self->name = GTK_EDITABLE(gtk_entry_new());
    gtk_entry_set_placeholder_text(GTK_ENTRY(self->name), _("A name for how it is now"));
    gtk_accessible_update_property(GTK_ACCESSIBLE(self->name), GTK_ACCESSIBLE_PROPERTY_LABEL,
            _("A name for how it is now"), -1);
    gtk_widget_set_hexpand(GTK_WIDGET(self->name), TRUE);
    g_signal_connect_swapped(self->name, "activate", G_CALLBACK(name_cb), self);
    g_signal_connect_swapped(button, "clicked", G_CALLBACK(name_cb), self);
    gtk_box_append(GTK_BOX(row), GTK_WIDGET(self->name));
    gtk_box_append(GTK_BOX(row), button);
    return row;
}

static void tb_history_window_init(TbHistoryWindow *self)
{
    GtkWidget *column = gtk_box_new(GTK_ORIENTATION_VERTICAL, 12);
    GtkWidget *scroller = gtk_scrolled_window_new();
    GtkWidget *page = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    g_object_set(column, "margin-top", 12, "margin-bottom", 18, "margin-start", 18, "margin-end",
            18, NULL);
    gtk_box_append(GTK_BOX(column), name_row_new(self));
    self->named = add_list(GTK_BOX(column), _("Named states"));
    self->asides = add_list(GTK_BOX(column), _("Undone and set aside"));
    self->done = add_list(GTK_BOX(column), _("What was done, newest first"));
    gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scroller), column);
    gtk_widget_set_vexpand(scroller, TRUE);
    tb_pane_name(scroller, _("History"));
    gtk_box_append(GTK_BOX(page), adw_header_bar_new());
    gtk_box_append(GTK_BOX(page), scroller);
    adw_window_set_content(ADW_WINDOW(self), page);
}

void tb_history_window_show(GtkWindow *parent, TbDesk *desk)
{
    TbHistoryWindow *self =
            g_object_new(TB_TYPE_HISTORY_WINDOW, "title", _("History"), "transient-for", parent,
                    "modal", TRUE, "default-width", 420, "default-height", 520, NULL);
    self->desk = g_object_ref(desk);
    self->work = g_object_ref(tb_desk_work(desk));
    g_signal_connect_object(self->work, "changed", G_CALLBACK(fill), self, G_CONNECT_SWAPPED);
    fill(self);
    gtk_window_present(GTK_WINDOW(self));
}
