/* app/ui/strip.c: see strip.h. */
#include "app/ui/strip.h"

#include "app/model/library.h"
#include "app/ui/pane-tools.h"
#include "flow/local.h"
#include "flow/sawing.h"

#include <glib/gi18n.h>

#define TB_TYPE_STRIP (tb_strip_get_type())
G_DECLARE_FINAL_TYPE(TbStrip, tb_strip, TB, STRIP, GtkBox)

struct _TbStrip {
    GtkBox parent_instance;

    TbDesk *desk;
    GSignalGroup *work_signals;
    GtkLabel *verdict, *facts, *saved;
    GtkLabel *next_label;
    GtkWidget *next;
    GtkWidget *long_work; /* how far what takes long is, and a button that stops it */
    GtkProgressBar *progress;
    guint watching;
    int64_t busy_us; /* since when */
};

enum { LONG_MS = 1500, WATCH_MS = 200 };

G_DEFINE_FINAL_TYPE(TbStrip, tb_strip, GTK_TYPE_BOX)

static void set_class(TbStrip *self, const char *name, bool on)
{
    if (on)
        gtk_widget_add_css_class(GTK_WIDGET(self), name);
    else
        gtk_widget_remove_css_class(GTK_WIDGET(self), name);
}

static char *count_text(tb_finding_kind kind, int n)
{
    gulong m = (gulong)n;
    switch (kind) {
    case TB_FINDING_ISLAND:
        return g_strdup_printf(ngettext("%d island", "%d islands", m), n);
    case TB_FINDING_THIN_BRIDGE:
        return g_strdup_printf(ngettext("%d thin bridge", "%d thin bridges", m), n);
    case TB_FINDING_WEAK_PENINSULA:
        return g_strdup_printf(ngettext("%d weak peninsula", "%d weak peninsulas", m), n);
    case TB_FINDING_TIGHT_OPENING:
        return g_strdup_printf(ngettext("%d tight opening", "%d tight openings", m), n);
    case TB_FINDING_NARROW_SLOT:
        return g_strdup_printf(ngettext("%d narrow slot", "%d narrow slots", m), n);
    case TB_FINDING_TIGHT_TURN:
        return g_strdup_printf(ngettext("%d tight turn", "%d tight turns", m), n);
    case TB_FINDING_CROWDED_HOLE:
        return g_strdup_printf(ngettext("%d crowded entry hole", "%d crowded entry holes", m), n);
    case TB_FINDING_THIN_FRAME:
        return g_strdup_printf(
                ngettext("%d thin place of the frame", "%d thin places of the frame", m), n);
    case TB_FINDING_SPECK:
    case TB_N_FINDING_KINDS:
        break;
    }
    return g_strdup_printf(ngettext("%d speck", "%d specks", m), n);
}

/* What should be better stands in the facts below, as a number. */
static char *verdict_text(const tb_inspection *inspection)
{
    int counts[TB_N_FINDING_KINDS] = {0};
    g_autoptr(GString) list = g_string_new(NULL);
    if (inspection->n_pieces == 0)
        return g_strdup(_("no wood at all"));
    if (inspection->n_must == 0)
        return g_strdup(_("one piece, it can be sawn"));
    for (size_t i = 0; i < inspection->n_findings; i++)
        counts[inspection->findings[i].kind] += inspection->findings[i].severity == TB_MUST;
    for (int kind = 0; kind < TB_N_FINDING_KINDS; kind++) {
        g_autofree char *count = count_text((tb_finding_kind)kind, counts[kind]);
        if (counts[kind])
            g_string_append_printf(list, "%s%s", list->len ? ", " : "", count);
    }
    return g_strdup_printf(_("can't be sawn yet: %s"), list->str);
}

/* "about 4 hours"; "" where nobody can tell. Time does not ask for the order. */
static char *time_text(TbWork *work, const tb_result *result)
{
    tb_settings settings = tb_work_state(work)->settings;
    tb_plan *plan;
    settings.saw_order = TB_ORDER_CENTRE;
    if (tb_sawing_plan(&plan, result->inspection, result->pattern, &settings, NULL, NULL))
        return g_strdup("");
    char *text = tb_local(tb_plan_about(plan->minutes).text);
    tb_plan_free(plan);
    return text;
}

static void show_inspection(TbStrip *self, const tb_result *result)
{
    const tb_inspection *inspection = result->inspection;
    bool good = inspection->n_must == 0 && inspection->n_pieces > 0;
    g_autofree char *narrowest = tb_desk_length(self->desk, inspection->narrowest_wood_mm);
    g_autofree char *verdict = verdict_text(inspection);
    g_autofree char *marked = g_strdup_printf("%s  %s", good ? "✓" : "✗", verdict);
    g_autofree char *length =
            tb_desk_inches(self->desk)
                    ? g_strdup_printf(_("%.0f ft to saw"), inspection->cut_length_mm / 304.8)
                    : g_strdup_printf(_("%.1f m to saw"), inspection->cut_length_mm / 1000);
    g_autofree char *time = time_text(tb_desk_work(self->desk), result);
    g_autofree char *openings =
            g_strdup_printf(ngettext("%zu opening", "%zu openings", (gulong)inspection->n_openings),
                    inspection->n_openings);
    g_autofree char *better = g_strdup_printf(_("%d could be better"), inspection->n_should);
    g_autofree char *wood = g_strdup_printf(_("narrowest wood %s"), narrowest);
    g_autofree char *sawing = g_strdup_printf("%s%s%s", length, *time ? ", " : "", time);
    /* Loose pieces hang by nothing: there is no narrowest wood then. */
    bool hangs = inspection->narrowest_wood_mm > 0;
    g_autoptr(GStrvBuilder) facts = g_strv_builder_new();
    g_strv_builder_add_many(facts, openings, sawing, NULL);
    if (hangs)
        g_strv_builder_add(facts, wood);
    if (inspection->n_should > 0)
        g_strv_builder_add(facts, better);
    g_auto(GStrv) parts = g_strv_builder_end(facts);
    g_autofree char *text = g_strjoinv("   ·   ", parts);
    gtk_label_set_text(self->verdict, marked);
    gtk_label_set_text(self->facts, text);
    set_class(self, "good", good);
    set_class(self, "bad", !good);
}

/* There is no pattern of what was asked for: nothing may stand here that was found in another. */
static void show_trouble(TbStrip *self, const char *trouble, bool other_in_view)
{
    g_autofree char *marked = g_strdup_printf("✗  %s", trouble);
    gtk_label_set_text(self->verdict, marked);
    gtk_label_set_text(self->facts,
            other_in_view ? _("What is in view is the pattern from before the last change") : "");
    set_class(self, "good", false);
    set_class(self, "bad", true);
}

/* Where something must be mended first, going on is not the first thing to do. */
static void weigh_next(TbStrip *self, const tb_work_pattern *pattern)
{
    bool mend = tb_desk_step(self->desk) == TB_STEP_CHECK && pattern && !pattern->coarse &&
                pattern->result->inspection->n_must > 0;
    if (mend)
        gtk_widget_remove_css_class(self->next, "suggested-action");
    else
        gtk_widget_add_css_class(self->next, "suggested-action");
}

static gboolean watch_cb(gpointer payload)
{
    TbStrip *self = payload;
    TbWork *work = tb_desk_work(self->desk);
    bool takes_long = g_get_monotonic_time() - self->busy_us > LONG_MS * 1000;
    gtk_widget_set_visible(self->long_work, takes_long);
    gtk_widget_set_visible(GTK_WIDGET(self->saved), !takes_long);
    if (work)
        gtk_progress_bar_set_fraction(self->progress, tb_work_progress(work));
    return G_SOURCE_CONTINUE;
}

static void watch(TbStrip *self)
{
    TbWork *work = tb_desk_work(self->desk);
    if (work && tb_work_busy(work)) {
        if (self->watching)
            return;
        self->busy_us = g_get_monotonic_time();
        self->watching = g_timeout_add(WATCH_MS, watch_cb, self);
    } else {
        g_clear_handle_id(&self->watching, g_source_remove);
        gtk_widget_set_visible(self->long_work, FALSE);
        gtk_widget_set_visible(GTK_WIDGET(self->saved), TRUE);
    }
}

static void update(TbStrip *self)
{
    TbWork *work = tb_desk_work(self->desk);
    const tb_work_pattern *pattern = work ? tb_work_pattern_now(work) : NULL;
    gtk_widget_set_visible(GTK_WIDGET(self), work != NULL);
    weigh_next(self, pattern);
    /* A first answer has not been looked over: what was found last stays in view. */
    if (work && *tb_work_trouble(work)) {
        show_trouble(self, tb_work_trouble(work), pattern != NULL);
    } else if (pattern && !pattern->coarse) {
        show_inspection(self, pattern->result);
    } else if (!pattern) {
        gtk_label_set_text(self->verdict, _("At work…"));
        gtk_label_set_text(self->facts, "");
        set_class(self, "good", false);
        set_class(self, "bad", false);
    }
    /* While it works, the verdict is the last one's; what was done is in the project before. */
    bool busy = work && tb_work_busy(work);
    watch(self);
    gtk_label_set_text(self->saved, busy ? _("Saved; looking it over…") : _("Everything is saved"));
}

static void stop_cb(TbStrip *self)
{
    TbWork *work = tb_desk_work(self->desk);
    if (work)
        tb_work_halt(work);
}

/* What to do when this step is done: the next one. The last has none. */
static void step_cb(TbStrip *self)
{
    int next = (int)tb_desk_step(self->desk) + 1;
    gtk_widget_set_visible(self->next, next < TB_N_STEPS);
    if (next >= TB_N_STEPS)
        return;
    g_autofree char *text = g_strdup_printf(_("Next: %s"), tb_pane_step_name((tb_step)next));
    gtk_label_set_text(self->next_label, text);
    tb_pane_name(self->next, text);
    gtk_actionable_set_action_target_value(GTK_ACTIONABLE(self->next), g_variant_new_int32(next));
    update(self);
}

static void work_cb(TbStrip *self)
{
    TbWork *work = tb_desk_work(self->desk);
    g_autofree char *place = work ? tb_library_place(tb_project_path(tb_work_project(work))) : NULL;
    gtk_widget_set_tooltip_text(GTK_WIDGET(self->saved), place);
    g_signal_group_set_target(self->work_signals, work);
    update(self);
}

static void tb_strip_dispose(GObject *object)
{
    TbStrip *self = TB_STRIP(object);
    g_clear_handle_id(&self->watching, g_source_remove);
    g_clear_object(&self->work_signals);
    g_clear_object(&self->desk);
    G_OBJECT_CLASS(tb_strip_parent_class)->dispose(object);
}

static void tb_strip_class_init(TbStripClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_strip_dispose;
    gtk_widget_class_set_css_name(GTK_WIDGET_CLASS(klass), "strip");
}

static GtkLabel *add_label(GtkWidget *box, const char *css_class)
{
    GtkWidget *label = gtk_label_new("");
    gtk_widget_add_css_class(label, css_class);
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    gtk_box_append(GTK_BOX(box), label);
    return GTK_LABEL(label);
}

static void add_long_work(TbStrip *self)
{
    GtkWidget *bar = gtk_progress_bar_new(), *stop = gtk_button_new_with_label(_("Stop"));
    self->progress = GTK_PROGRESS_BAR(bar);
    gtk_widget_set_size_request(bar, 120, -1);
    gtk_widget_set_valign(bar, GTK_ALIGN_CENTER);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(bar), GTK_ACCESSIBLE_PROPERTY_LABEL, _("At work…"), -1);
    gtk_widget_set_valign(stop, GTK_ALIGN_CENTER);
    gtk_widget_set_size_request(stop, -1, 44);
    g_signal_connect_object(stop, "clicked", G_CALLBACK(stop_cb), self, G_CONNECT_SWAPPED);
    self->long_work = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 12);
    gtk_box_append(GTK_BOX(self->long_work), bar);
    gtk_box_append(GTK_BOX(self->long_work), stop);
    gtk_widget_set_visible(self->long_work, FALSE);
    gtk_box_append(GTK_BOX(self), self->long_work);
}

static void add_next(TbStrip *self)
{
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8), *label = gtk_label_new(NULL);
    self->next = gtk_button_new();
    self->next_label = GTK_LABEL(label);
    gtk_box_append(GTK_BOX(row), label);
    gtk_box_append(
            GTK_BOX(row), g_object_new(GTK_TYPE_IMAGE, "icon-name", "go-next-symbolic",
                                  "accessible-role", GTK_ACCESSIBLE_ROLE_PRESENTATION, NULL));
    gtk_button_set_child(GTK_BUTTON(self->next), row);
    gtk_widget_add_css_class(self->next, "suggested-action");
    gtk_widget_set_valign(self->next, GTK_ALIGN_CENTER);
    gtk_widget_set_size_request(self->next, -1, 44);
    gtk_actionable_set_action_name(GTK_ACTIONABLE(self->next), "win.to-step");
    gtk_box_append(GTK_BOX(self), self->next);
}

static void tb_strip_init(TbStrip *self)
{
    gtk_box_set_spacing(GTK_BOX(self), 24);
    /* The verdict above its facts: both are read whole in a narrow window. */
    GtkWidget *lines = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
    gtk_widget_set_hexpand(lines, TRUE);
    gtk_box_append(GTK_BOX(self), lines);
    self->verdict = add_label(lines, "verdict");
    self->facts = add_label(lines, "facts");
    /* With large text the facts take a second line rather than lose their end. */
    gtk_label_set_ellipsize(self->facts, PANGO_ELLIPSIZE_NONE);
    gtk_label_set_wrap(self->facts, TRUE);
    self->saved = add_label(GTK_WIDGET(self), "saved");
    gtk_label_set_ellipsize(self->saved, PANGO_ELLIPSIZE_NONE);
    gtk_label_set_wrap(self->saved, TRUE);
    gtk_label_set_xalign(self->saved, 1);
    gtk_label_set_justify(self->saved, GTK_JUSTIFY_RIGHT);
    add_long_work(self);
    add_next(self);
    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    g_signal_group_connect_swapped(self->work_signals, "pattern", G_CALLBACK(update), self);
    g_signal_group_connect_swapped(self->work_signals, "trouble", G_CALLBACK(update), self);
    g_signal_group_connect_swapped(self->work_signals, "busy", G_CALLBACK(update), self);
}

GtkWidget *tb_strip_new(TbDesk *desk)
{
    TbStrip *self = g_object_new(TB_TYPE_STRIP, NULL);
    self->desk = g_object_ref(desk);
    g_signal_connect_object(desk, "notify::work", G_CALLBACK(work_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::inches", G_CALLBACK(update), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::step", G_CALLBACK(step_cb), self, G_CONNECT_SWAPPED);
    step_cb(self);
    work_cb(self);
    return GTK_WIDGET(self);
}
