/* app/ui/bridges.c: see bridges.h. */
#include "app/ui/bridges.h"

#include "app/ui/pane-tools.h"
#include "base/num.h"
#include "flow/local.h"

#include <glib/gi18n.h>

enum { ROWS_MOST = 60 }; /* a longer list helps nobody; the count tells the rest */

/* ---- a bridge ----------------------------------------------------------------------------------
 */

#define TB_TYPE_BRIDGE_ROW (tb_bridge_row_get_type())
G_DECLARE_FINAL_TYPE(TbBridgeRow, tb_bridge_row, TB, BRIDGE_ROW, GtkListBoxRow)

struct _TbBridgeRow {
    GtkListBoxRow parent_instance;

    TbDesk *desk;
    int index; /* in the tie's bridges, which the list is made anew for */
};

G_DEFINE_FINAL_TYPE(TbBridgeRow, tb_bridge_row, GTK_TYPE_LIST_BOX_ROW)

static const tb_tie_account *tie_of(TbDesk *desk)
{
    TbWork *work = tb_desk_work(desk);
    const tb_work_pattern *pattern = work ? tb_work_pattern_now(work) : NULL;
    return pattern && !pattern->coarse ? pattern->result->tie : NULL;
}

static const tb_bridge *bridge_of(TbBridgeRow *self)
{
    const tb_tie_account *tie = tie_of(self->desk);
    return tie && (size_t)self->index < tie->n_bridges ? &tie->bridges[self->index] : NULL;
}

static void show_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    TbBridgeRow *self = TB_BRIDGE_ROW(widget);
    const tb_bridge *bridge = bridge_of(self);
    (void)name;
    (void)parameter;
    if (!bridge || bridge->n_path == 0)
        return;
    tb_point middle = bridge->path[bridge->n_path / 2];
    tb_desk_set_bridge(self->desk, self->index);
    tb_desk_glide(self->desk, middle.x_mm, middle.y_mm);
}

static void refuse_cb(GtkButton *button, TbBridgeRow *self)
{
    const tb_bridge *bridge = bridge_of(self);
    (void)button;
    if (!bridge)
        return;
    tb_work_refuse(tb_desk_work(self->desk), bridge);
    tb_desk_say(self->desk, _("Refused: no bridge will cross there"), true);
}

static void tb_bridge_row_finalize(GObject *object)
{
    g_clear_object(&TB_BRIDGE_ROW(object)->desk);
    G_OBJECT_CLASS(tb_bridge_row_parent_class)->finalize(object);
}

static void tb_bridge_row_class_init(TbBridgeRowClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = tb_bridge_row_finalize;
    gtk_widget_class_install_action(GTK_WIDGET_CLASS(klass), "bridge.show", NULL, show_cb);
}

static void tb_bridge_row_init(TbBridgeRow *self)
{
    (void)self;
}

static GtkWidget *line_new(const char *text, const char *css_class)
{
    GtkWidget *label = gtk_label_new(text);
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_widget_add_css_class(label, css_class);
    return label;
}

/* Below 0 the picture gains by the bridge: it costs nothing. */
static char *cost_text(const tb_bridge *bridge)
{
    g_autofree char *cost = tb_local_number(tb_num_of(bridge->likeness_cost, 1).text);
    return bridge->likeness_cost < 0.05 ? g_strdup(_("costs nothing"))
                                        : g_strdup_printf(_("changes %s mm²"), cost);
}

static GtkWidget *row_new(TbDesk *desk, const tb_bridge *bridge, int index)
{
    TbBridgeRow *self = g_object_new(TB_TYPE_BRIDGE_ROW, NULL);
    self->desk = g_object_ref(desk);
    self->index = index;
    g_autofree char *cost = cost_text(bridge);
    g_autofree char *title = g_strdup_printf("%d   %s", index + 1, cost);
    g_autofree char *length = tb_desk_length(desk, bridge->length_mm);
    g_autofree char *width = tb_desk_length(desk, bridge->width_mm);
    g_autofree char *size = g_strdup_printf(_("%s long, %s wide"), length, width);
    g_autofree char *name = g_strdup_printf(_("Refuse bridge %d"), index + 1);
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
    GtkWidget *lines = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
    GtkWidget *refuse = gtk_button_new_with_label(_("Refuse"));
    gtk_widget_add_css_class(box, "finding");
    gtk_widget_set_hexpand(lines, TRUE);
    gtk_box_append(GTK_BOX(lines), line_new(title, "heading"));
    gtk_box_append(GTK_BOX(lines), line_new(size, "dim-label"));
    gtk_box_append(GTK_BOX(box), lines);
    gtk_widget_set_valign(refuse, GTK_ALIGN_CENTER);
    tb_pane_name(refuse, name);
    g_signal_connect_object(refuse, "clicked", G_CALLBACK(refuse_cb), self, 0);
    gtk_box_append(GTK_BOX(box), refuse);
    gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(self), box);
    gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, title,
            GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, size, -1);
    return GTK_WIDGET(self);
}

/* ---- all of them -------------------------------------------------------------------------------
 */

#define TB_TYPE_BRIDGES (tb_bridges_get_type())
G_DECLARE_FINAL_TYPE(TbBridges, tb_bridges, TB, BRIDGES, GtkBox)

struct _TbBridges {
    GtkBox parent_instance;

    TbDesk *desk;
    GSignalGroup *work_signals;
    GtkWidget *tied;
    GtkLabel *count;
    GtkListBox *list;
    bool stale;     /* the list is of an older pattern; filled when it is seen */
    bool following; /* the work's settings are being shown, not changed */
};

G_DEFINE_FINAL_TYPE(TbBridges, tb_bridges, GTK_TYPE_BOX)

static int dearest_first(gconstpointer a, gconstpointer b, gpointer payload)
{
    const tb_bridge *bridges = payload;
    double x = bridges[*(const int *)a].likeness_cost;
    double y = bridges[*(const int *)b].likeness_cost;
    return (y > x) - (y < x);
}

static char *count_text(const tb_tie_account *tie)
{
    g_autofree char *bridges = g_strdup_printf(
            ngettext("%zu bridge", "%zu bridges", (gulong)tie->n_bridges), tie->n_bridges);
    g_autofree char *dropped = g_strdup_printf(
            ngettext("%zu island dropped", "%zu islands dropped", (gulong)tie->n_dropped),
            tie->n_dropped);
    return tie->n_dropped ? g_strdup_printf("%s, %s", bridges, dropped) : g_steal_pointer(&bridges);
}

static void fill(TbBridges *self)
{
    const tb_tie_account *tie = tie_of(self->desk);
    GtkWidget *row;
    self->stale = false;
    while ((row = gtk_widget_get_first_child(GTK_WIDGET(self->list))))
        gtk_list_box_remove(self->list, row);
    gtk_widget_set_visible(GTK_WIDGET(self->list), tie && tie->n_bridges > 0);
    gtk_label_set_text(self->count, "");
    if (!tie)
        return;
    g_autofree int *order = g_new(int, MAX(tie->n_bridges, 1));
    for (size_t i = 0; i < tie->n_bridges; i++)
        order[i] = (int)i;
    g_qsort_with_data(order, (int)tie->n_bridges, sizeof *order, dearest_first, tie->bridges);
    for (size_t i = 0; i < MIN(tie->n_bridges, ROWS_MOST); i++)
        gtk_list_box_append(self->list, row_new(self->desk, &tie->bridges[order[i]], order[i]));
    g_autofree char *text = count_text(tie);
    gtk_label_set_text(self->count, text);
}

static void update(TbBridges *self)
{
    TbWork *work = tb_desk_work(self->desk);
    if (!work || tb_desk_step(self->desk) != TB_STEP_PATTERN)
        return;
    self->following = true;
    gtk_switch_set_active(GTK_SWITCH(self->tied), tb_work_state(work)->settings.tie != 0);
    self->following = false;
    if (self->stale)
        fill(self);
}

static void pattern_cb(TbBridges *self)
{
    self->stale = true;
    tb_desk_set_bridge(self->desk, -1);
    update(self);
}

static void tied_cb(GtkSwitch *tied, GParamSpec *spec, TbBridges *self)
{
    (void)spec;
    TbWork *work = tb_desk_work(self->desk);
    if (self->following || !work)
        return;
    tb_settings s = tb_work_state(work)->settings;
    s.tie = gtk_switch_get_active(tied);
    tb_work_set(work, &s);
}

static void activated_cb(GtkListBox *list, GtkListBoxRow *row, TbBridges *self)
{
    (void)list;
    (void)self;
    gtk_widget_activate_action(GTK_WIDGET(row), "bridge.show", NULL);
}

static void work_cb(TbBridges *self)
{
    g_signal_group_set_target(self->work_signals, tb_desk_work(self->desk));
    pattern_cb(self);
}

static void inches_cb(TbBridges *self)
{
    self->stale = true;
    update(self);
}

static void tb_bridges_dispose(GObject *object)
{
    TbBridges *self = TB_BRIDGES(object);
    g_clear_object(&self->work_signals);
    g_clear_object(&self->desk);
    G_OBJECT_CLASS(tb_bridges_parent_class)->dispose(object);
}

static void tb_bridges_class_init(TbBridgesClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_bridges_dispose;
}

static void tb_bridges_init(TbBridges *self)
{
    gtk_orientable_set_orientation(GTK_ORIENTABLE(self), GTK_ORIENTATION_VERTICAL);
    gtk_box_set_spacing(GTK_BOX(self), 8);
    gtk_box_append(GTK_BOX(self), tb_pane_heading(_("Bridges")));
    self->tied = tb_pane_switch(GTK_WIDGET(self), _("Tie loose pieces by bridges"));
    g_signal_connect_object(self->tied, "notify::active", G_CALLBACK(tied_cb), self, 0);
    self->count = GTK_LABEL(line_new("", "dim-label"));
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->count));
    self->list = GTK_LIST_BOX(gtk_list_box_new());
    gtk_widget_add_css_class(GTK_WIDGET(self->list), "boxed-list");
    tb_pane_name(GTK_WIDGET(self->list), _("Bridges, the dearest first"));
    g_signal_connect_object(self->list, "row-activated", G_CALLBACK(activated_cb), self, 0);
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->list));
    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    g_signal_group_connect_swapped(self->work_signals, "pattern", G_CALLBACK(pattern_cb), self);
    g_signal_group_connect_swapped(self->work_signals, "changed", G_CALLBACK(update), self);
}

GtkWidget *tb_bridges_new(TbDesk *desk)
{
    TbBridges *self = g_object_new(TB_TYPE_BRIDGES, NULL);
    self->desk = g_object_ref(desk);
    g_signal_connect_object(desk, "notify::work", G_CALLBACK(work_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::step", G_CALLBACK(update), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::inches", G_CALLBACK(inches_cb), self, G_CONNECT_SWAPPED);
    work_cb(self);
    return GTK_WIDGET(self);
}
