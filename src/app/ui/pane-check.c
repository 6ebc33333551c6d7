/* app/ui/pane-check.c: the findings, worst first, each with its mends. */
#include "app/ui/finding-row.h"
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include "pattern/mend.h"

#include <glib/gi18n.h>

enum { ROWS_MOST = 120 }; /* a longer list helps nobody; the count tells the rest */

#define TB_TYPE_CHECK_PANE (tb_check_pane_get_type())
G_DECLARE_FINAL_TYPE(TbCheckPane, tb_check_pane, TB, CHECK_PANE, GtkBox)

struct _TbCheckPane {
    GtkBox parent_instance;

    TbDesk *desk;
    GSignalGroup *work_signals;
    GtkLabel *count;
    GtkListBox *list;
    GtkWidget *mend_all;
    bool stale; /* the list is of an older pattern; filled when it is seen */
};

G_DEFINE_FINAL_TYPE(TbCheckPane, tb_check_pane, GTK_TYPE_BOX)

static const tb_inspection *inspection_of(TbCheckPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    const tb_work_pattern *pattern = work ? tb_work_pattern_now(work) : NULL;
    return pattern && !pattern->coarse ? pattern->result->inspection : NULL;
}

static void fill(TbCheckPane *self)
{
    const tb_inspection *inspection = inspection_of(self);
    GtkWidget *row;
    if (!inspection)
        return;
    self->stale = false;
    while ((row = gtk_widget_get_first_child(GTK_WIDGET(self->list))))
        gtk_list_box_remove(self->list, row);
    for (size_t i = 0; i < MIN(inspection->n_findings, ROWS_MOST); i++)
        gtk_list_box_append(self->list, tb_finding_row_new(self->desk, (int)i));
    g_autofree char *text = inspection->n_findings == 0
                                    ? g_strdup(_("Nothing to mend."))
                                    : g_strdup_printf(_("%d must be mended, %d should be."),
                                              inspection->n_must, inspection->n_should);
    gtk_label_set_text(self->count, text);
    gtk_widget_set_sensitive(self->mend_all, inspection->n_must > 0);
}

/* Findings are shown on the bench while this step is the one; rows are made when they are seen. */
static void update(TbCheckPane *self)
{
    bool here = tb_desk_step(self->desk) == TB_STEP_CHECK;
    unsigned shown = tb_desk_shown(self->desk) & ~(unsigned)TB_SHOW_FINDINGS;
    tb_desk_set_shown(self->desk, here ? shown | TB_SHOW_FINDINGS : shown);
    if (here && self->stale)
        fill(self);
}

static void pattern_cb(TbCheckPane *self)
{
    self->stale = true;
    tb_desk_set_finding(self->desk, -1);
    update(self);
}

static void activated_cb(GtkListBox *list, GtkListBoxRow *row, TbCheckPane *self)
{
    (void)list;
    (void)self;
    gtk_widget_activate_action(GTK_WIDGET(row), "finding.show", NULL);
}

static void mend_all_cb(GtkButton *button, TbCheckPane *self)
{
    const tb_inspection *inspection = inspection_of(self);
    TbWork *work = tb_desk_work(self->desk);
    (void)button;
    if (!inspection || !work)
        return;
    int n_mended = tb_work_mend_all(work);
    g_autofree char *text = g_strdup_printf(
            ngettext("%d place mended", "%d places mended", (gulong)n_mended), n_mended);
    tb_desk_say(self->desk, text, n_mended > 0);
}

static void work_cb(TbCheckPane *self)
{
    g_signal_group_set_target(self->work_signals, tb_desk_work(self->desk));
    pattern_cb(self);
}

static void tb_check_pane_dispose(GObject *object)
{
    TbCheckPane *self = TB_CHECK_PANE(object);
    g_clear_object(&self->work_signals);
    g_clear_object(&self->desk);
    G_OBJECT_CLASS(tb_check_pane_parent_class)->dispose(object);
}

static void tb_check_pane_class_init(TbCheckPaneClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_check_pane_dispose;
}

static void tb_check_pane_init(TbCheckPane *self)
{
    gtk_orientable_set_orientation(GTK_ORIENTABLE(self), GTK_ORIENTATION_VERTICAL);
    gtk_box_set_spacing(GTK_BOX(self), 8);
    gtk_box_append(GTK_BOX(self),
            tb_pane_column(_("Check"), _("Every place that would fail at the saw, worst first.")));
    self->count = GTK_LABEL(tb_pane_heading(""));
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->count));
    self->mend_all = gtk_button_new_with_label(_("Mend all that must be mended"));
    gtk_widget_add_css_class(self->mend_all, "suggested-action");
    gtk_widget_set_size_request(self->mend_all, -1, 44);
    g_signal_connect_object(self->mend_all, "clicked", G_CALLBACK(mend_all_cb), self, 0);
    gtk_box_append(GTK_BOX(self), self->mend_all);
    self->list = GTK_LIST_BOX(gtk_list_box_new());
    gtk_widget_add_css_class(GTK_WIDGET(self->list), "boxed-list");
    gtk_accessible_update_property(GTK_ACCESSIBLE(self->list), GTK_ACCESSIBLE_PROPERTY_LABEL,
            _("Findings, worst first"), -1);
    g_signal_connect_object(self->list, "row-activated", G_CALLBACK(activated_cb), self, 0);
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->list));
    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    g_signal_group_connect_swapped(self->work_signals, "pattern", G_CALLBACK(pattern_cb), self);
}

GtkWidget *tb_check_pane_new(TbDesk *desk)
{
    TbCheckPane *self = g_object_new(TB_TYPE_CHECK_PANE, "css-name", "pane", NULL);
    self->desk = g_object_ref(desk);
    g_signal_connect_object(desk, "notify::work", G_CALLBACK(work_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::step", G_CALLBACK(update), self, G_CONNECT_SWAPPED);
    work_cb(self);
    return GTK_WIDGET(self);
}
