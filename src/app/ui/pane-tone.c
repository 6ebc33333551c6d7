/* app/ui/pane-tone.c: darkness, detail, evening and lines; brushes on the tone. */
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include <glib/gi18n.h>

#define TB_TYPE_TONE_PANE (tb_tone_pane_get_type())
G_DECLARE_FINAL_TYPE(TbTonePane, tb_tone_pane, TB, TONE_PANE, GtkBox)

struct _TbTonePane {
    GtkBox parent_instance;

    TbDesk *desk;
    GSignalGroup *work_signals;
    GtkWidget *darkness, *evening, *automatic, *lines, *detail;
    GtkWidget *drawn; /* the photograph is a pattern: nothing below it has a say */
    unsigned drag;    /* number of the drag that goes on */
    bool following;   /* the work's settings are being shown, not changed */
};

G_DEFINE_FINAL_TYPE(TbTonePane, tb_tone_pane, GTK_TYPE_BOX)

static double value_of(GtkWidget *slider)
{
    return gtk_range_get_value(GTK_RANGE(slider));
}

/* The strength in use: the pattern tells it where it was chosen from the picture. */
static double evening_of(TbWork *work)
{
    double set = tb_work_state(work)->settings.evening;
    const tb_work_pattern *pattern = tb_work_pattern_now(work);
    return set >= 0 ? set : pattern ? pattern->result->evening : 0.5;
}

static void follow(TbTonePane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    if (!work)
        return;
    const tb_settings *s = &tb_work_state(work)->settings;
    self->following = true;
    gtk_range_set_value(GTK_RANGE(self->darkness), s->darkness);
    gtk_range_set_value(GTK_RANGE(self->evening), evening_of(work) * 100);
    gtk_check_button_set_active(GTK_CHECK_BUTTON(self->automatic), s->evening < 0);
    gtk_range_set_value(GTK_RANGE(self->lines), s->lines * 100);
    gtk_drop_down_set_selected(GTK_DROP_DOWN(self->detail), s->detail);
    gtk_check_button_set_active(GTK_CHECK_BUTTON(self->drawn), s->drawn != 0);
    gtk_widget_set_visible(self->drawn, s->drawn != 0);
    for (GtkWidget *below = gtk_widget_get_next_sibling(self->drawn); below;
            below = gtk_widget_get_next_sibling(below))
        gtk_widget_set_sensitive(below, !s->drawn);
    self->following = false;
}

static void change(TbTonePane *self, GtkWidget *moved)
{
    TbWork *work = tb_desk_work(self->desk);
    if (self->following || !work)
        return;
    tb_settings s = tb_work_state(work)->settings;
    if (moved == self->darkness)
        s.darkness = value_of(self->darkness);
    else if (moved == self->evening)
        s.evening = value_of(self->evening) / 100;
    else if (moved == self->automatic)
        s.evening = gtk_check_button_get_active(GTK_CHECK_BUTTON(self->automatic))
                            ? -1
                            : value_of(self->evening) / 100;
    else if (moved == self->drawn)
        s.drawn = gtk_check_button_get_active(GTK_CHECK_BUTTON(self->drawn));
    else if (moved == self->lines)
        s.lines = value_of(self->lines) / 100;
    else
        s.detail = (tb_detail)gtk_drop_down_get_selected(GTK_DROP_DOWN(self->detail));
    if (moved == self->detail || moved == self->automatic || moved == self->drawn)
        tb_work_set(work, &s);
    else
        tb_work_slide(work, &s);
}

static void moved_cb(GtkRange *range, TbTonePane *self)
{
    change(self, GTK_WIDGET(range));
}

static void automatic_cb(GtkWidget *automatic, TbTonePane *self)
{
    change(self, automatic);
}

static void detail_cb(GtkWidget *detail, GParamSpec *spec, TbTonePane *self)
{
    (void)spec;
    change(self, detail);
}

static void work_cb(TbTonePane *self)
{
    g_signal_group_set_target(self->work_signals, tb_desk_work(self->desk));
    follow(self);
}

static GtkWidget *add_slider(
        TbTonePane *self, GtkWidget *column, const char *label, double least, double most)
{
    GtkWidget *slider = tb_pane_slider(column, label, least, most, 1, 0);
    g_signal_connect_object(slider, "value-changed", G_CALLBACK(moved_cb), self, 0);
    return slider;
}

/* What is needed now and then, below the brushes. */
static void add_finer(TbTonePane *self)
{
    const char *const details[] = {_("Fine"), _("Medium"), _("Bold"), NULL};
    GtkWidget *fold = gtk_expander_new(_("Light and shadow"));
    GtkWidget *folded = gtk_box_new(GTK_ORIENTATION_VERTICAL, 8);
    self->lines = add_slider(self, GTK_WIDGET(self), _("Outlines"), 0, 200);
    gtk_widget_set_tooltip_text(self->lines, _("How strongly outlines in the picture are drawn"));
    self->detail = gtk_drop_down_new_from_strings(details);
    tb_pane_add_named(GTK_WIDGET(self), _("Detail"), self->detail);
    g_signal_connect_object(self->detail, "notify::selected", G_CALLBACK(detail_cb), self, 0);
    self->automatic = gtk_check_button_new_with_label(_("Tombolo chooses what suits the picture"));
    g_signal_connect_object(self->automatic, "toggled", G_CALLBACK(automatic_cb), self, 0);
    self->evening = add_slider(self, folded, _("Brighten shadows, calm what glares"), 0, 100);
    gtk_box_append(GTK_BOX(folded), self->automatic);
    gtk_widget_add_css_class(fold, "fold");
    tb_pane_name(fold, _("Light and shadow"));
    gtk_expander_set_child(GTK_EXPANDER(fold), folded);
    gtk_box_append(GTK_BOX(self), fold);
}

static void tb_tone_pane_dispose(GObject *object)
{
    TbTonePane *self = TB_TONE_PANE(object);
    g_clear_object(&self->work_signals);
    g_clear_object(&self->desk);
    G_OBJECT_CLASS(tb_tone_pane_parent_class)->dispose(object);
}

static void tb_tone_pane_class_init(TbTonePaneClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_tone_pane_dispose;
}

static void tb_tone_pane_init(TbTonePane *self)
{
    static const tb_tool_words TOOLS[] = {
            {TB_TOOL_MOVE, N_("Move the board"), N_("Drag to see another part")},
            {TB_TOOL_LIGHTEN, N_("Lighten"), N_("More wood under the brush")},
            {TB_TOOL_DARKEN, N_("Darken"), N_("More opening under the brush")},
            {TB_TOOL_KEEP_DETAIL, N_("Keep detail"), N_("Fine features stay here")},
            {TB_TOOL_KEEP_IN, N_("Keep this in"), N_("A stroke inside the person or the animal")},
            {TB_TOOL_LEAVE_OUT, N_("Leave this out"), N_("A stroke in what stands behind")},
    };
    gtk_orientable_set_orientation(GTK_ORIENTABLE(self), GTK_ORIENTATION_VERTICAL);
    gtk_box_set_spacing(GTK_BOX(self), 8);
    gtk_box_append(GTK_BOX(self),
            tb_pane_column(TB_STEP_TONE, _("Light becomes wood, dark is sawn away.")));
    self->drawn = gtk_check_button_new_with_label(_("A pattern: keep it as it was drawn"));
    g_signal_connect_object(self->drawn, "toggled", G_CALLBACK(automatic_cb), self, 0);
    gtk_box_append(GTK_BOX(self), self->drawn);
    self->darkness = add_slider(self, GTK_WIDGET(self), _("Darkness"), -50, 50);
    gtk_widget_set_tooltip_text(
            self->darkness, _("To the left more wood, to the right more is sawn"));
    gtk_box_append(GTK_BOX(self), tb_pane_tools(TOOLS, G_N_ELEMENTS(TOOLS)));
    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    g_signal_group_connect_swapped(self->work_signals, "changed", G_CALLBACK(follow), self);
    g_signal_group_connect_swapped(self->work_signals, "pattern", G_CALLBACK(follow), self);
}

GtkWidget *tb_tone_pane_new(TbDesk *desk)
{
    TbTonePane *self = g_object_new(TB_TYPE_TONE_PANE, "css-name", "pane", NULL);
    self->desk = g_object_ref(desk);
    tb_pane_add_brush(GTK_WIDGET(self), desk);
    add_finer(self);
    g_signal_connect_object(desk, "notify::work", G_CALLBACK(work_cb), self, G_CONNECT_SWAPPED);
    work_cb(self);
    return GTK_WIDGET(self);
}
