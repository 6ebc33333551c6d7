/* app/ui/finding-row.c: see finding-row.h. */
#include "app/ui/finding-row.h"

#include "base/num.h"
#include "flow/local.h"

#include <glib/gi18n.h>
#include <math.h>

struct _TbFindingRow {
    GtkListBoxRow parent_instance;

    TbDesk *desk;
    TbMends *mends;
    int index;
    tb_result *inspected; /* held: the finding is its index-th */
    GtkWidget *buttons[TB_MENDS_MOST];
    GtkLabel *outcomes[TB_MENDS_MOST];
};

G_DEFINE_FINAL_TYPE(TbFindingRow, tb_finding_row, GTK_TYPE_LIST_BOX_ROW)

const char *tb_finding_title(tb_finding_kind kind)
{
    static const char *const TITLES[TB_N_FINDING_KINDS] = {
            [TB_FINDING_ISLAND] = N_("Island"),
            [TB_FINDING_THIN_BRIDGE] = N_("Thin bridge"),
            [TB_FINDING_WEAK_PENINSULA] = N_("Weak peninsula"),
            [TB_FINDING_TIGHT_OPENING] = N_("Tight opening"),
            [TB_FINDING_NARROW_SLOT] = N_("Narrow slot"),
            [TB_FINDING_TIGHT_TURN] = N_("Tight turn"),
            [TB_FINDING_CROWDED_HOLE] = N_("Crowded entry hole"),
            [TB_FINDING_THIN_FRAME] = N_("Thin frame"),
            [TB_FINDING_SPECK] = N_("Speck"),
    };
    return _(TITLES[kind]);
}

static const char *mend_title(tb_mend mend)
{
    static const char *const TITLES[TB_N_MENDS] = {
            [TB_MEND_THICKEN] = N_("Thicken"),
            [TB_MEND_TIE] = N_("Tie"),
            [TB_MEND_TRIM] = N_("Take out"),
            [TB_MEND_WIDEN] = N_("Widen"),
            [TB_MEND_CLOSE] = N_("Close"),
            [TB_MEND_EASE] = N_("Ease"),
    };
    return _(TITLES[mend]);
}

static const tb_finding *finding_of(TbFindingRow *self)
{
    return &self->inspected->inspection->findings[self->index];
}

int tb_finding_row_index(TbFindingRow *self)
{
    return self->index;
}

static void show_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    TbFindingRow *self = TB_FINDING_ROW(widget);
    (void)name;
    (void)parameter;
    TbWork *work = tb_desk_work(self->desk);
    if (!work || tb_work_inspected(work) != self->inspected)
        return;
    tb_desk_set_finding(self->desk, self->index);
    tb_desk_glide(self->desk, finding_of(self)->x_mm, finding_of(self)->y_mm);
}

/* What is too narrow an opening wants the saw, all else wood. */
static tb_tool tool_of(tb_finding_kind kind)
{
    bool saws = kind == TB_FINDING_TIGHT_OPENING || kind == TB_FINDING_NARROW_SLOT ||
                kind == TB_FINDING_CROWDED_HOLE;
    return saws ? TB_TOOL_SAW : TB_TOOL_WOOD;
}

/* The place in view and the brush in hand. */
static void by_hand_cb(GtkButton *button, TbFindingRow *self)
{
    (void)button;
    show_cb(GTK_WIDGET(self), NULL, NULL);
    tb_desk_set_tool(self->desk, tool_of(finding_of(self)->kind));
}

static void mend_cb(GtkButton *button, TbFindingRow *self)
{
    int n = GPOINTER_TO_INT(g_object_get_data(G_OBJECT(button), "mend"));
    tb_mend mends[TB_MENDS_MOST];
    tb_mends_of(mends, finding_of(self)->kind);
    g_autoptr(TbDesk) desk = g_object_ref(self->desk); /* the row may go with what it tells of */
    g_autofree char *text = g_strdup_printf(
            _("%s: %s"), tb_finding_title(finding_of(self)->kind), mend_title(mends[n]));
    if (tb_mends_draw(self->mends, self->inspected, (size_t)self->index, n))
        tb_desk_say(desk, text, true);
}

char *tb_finding_measure(TbDesk *desk, const tb_finding *f)
{
    if (g_str_equal(f->unit, "mm")) {
        g_autofree char *measured = tb_desk_length(desk, f->measured);
        g_autofree char *limit = tb_desk_length(desk, f->limit);
        return g_strdup_printf(_("%s; the limit is %s"), measured, limit);
    }
    g_autofree char *measured = tb_local_number(tb_num_of(f->measured, 2).text);
    if (f->kind == TB_FINDING_ISLAND)
        return g_strdup_printf(_("%s %s of loose wood"), measured, f->unit);
    g_autofree char *limit = tb_local_number(tb_num_of(f->limit, 2).text);
    if (f->kind == TB_FINDING_WEAK_PENINSULA)
        return g_strdup_printf(_("%s times the load reckoned safe"), measured);
    return *f->unit ? g_strdup_printf(_("%s %s; the limit is %s"), measured, f->unit, limit)
                    : g_strdup_printf(_("%s; the limit is %s"), measured, limit);
}

/* In the user's language first, for its sentences are known by their millimetres. */
static char *advice_of(TbDesk *desk, const tb_finding *f)
{
    char text[600];
    g_autofree char *local = tb_local(f->advice);
    if (!tb_desk_inches(desk))
        return g_steal_pointer(&local);
    tb_num_text(text, sizeof text, local, TB_UNIT_IN);
    return tb_local_number(text);
}

static GtkWidget *text_label(const char *text, const char *css_class)
{
    GtkWidget *label = gtk_label_new(text);
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    if (css_class)
        gtk_widget_add_css_class(label, css_class);
    return label;
}

/* "2.6 mm then" */
static char *measure_then(TbFindingRow *self, const tb_proposal *p)
{
    const tb_finding *f = finding_of(self);
    if (isnan(p->then))
        return g_strdup(p->advised ? _("safe then") : _("good then"));
    if (g_str_equal(f->unit, "mm")) {
        g_autofree char *length = tb_desk_length(self->desk, p->then);
        return g_strdup_printf(_("%s then"), length);
    }
    g_autofree char *load = tb_local_number(tb_num_of(p->then, 2).text);
    return g_strdup_printf(_("%s times the load reckoned safe then"), load);
}

/* What the mend comes to, as far as is known: "Thicken: 2.6 mm then". */
static char *outcome_text(TbFindingRow *self, const tb_proposal *p, const char *title)
{
    if (!p)
        return g_strdup("");
    if (p->hindrance != TB_MEND_WORKS) {
        g_autofree char *why = tb_local(tb_hindrance_text(p->hindrance));
        return g_strdup_printf(_("%s: %s"), title, why);
    }
    g_autofree char *then = measure_then(self, p);
    g_autofree char *told = g_strdup_printf(_("%s: %s"), title, then);
    g_autofree char *more =
            p->n_new == 0 ? NULL
                          : g_strdup_printf(ngettext("%d other place could be better then",
                                                    "%d other places could be better then",
                                                    (gulong)p->n_new),
                                    p->n_new);
    const char *parts[] = {
            told, p->advised ? _("still less than advised") : more, p->advised ? more : NULL, NULL};
    return g_strjoinv("; ", (char **)(uintptr_t)parts);
}

static void show_mends(TbFindingRow *self)
{
    tb_mend mends[TB_MENDS_MOST];
    int n = tb_mends_of(mends, finding_of(self)->kind);
    for (int i = 0; i < n; i++) {
        const tb_proposal *p = tb_mends_ask(self->mends, self->inspected, (size_t)self->index, i);
        g_autofree char *text = outcome_text(self, p, mend_title(mends[i]));
        gtk_widget_set_sensitive(self->buttons[i], p && p->hindrance == TB_MEND_WORKS);
        gtk_label_set_text(self->outcomes[i], text);
        gtk_accessible_update_property(
                GTK_ACCESSIBLE(self->buttons[i]), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
    }
}

static void tried_cb(TbFindingRow *self, guint finding)
{
    if ((int)finding == self->index &&
            tb_work_inspected(tb_desk_work(self->desk)) == self->inspected)
        show_mends(self);
}

static void add_mends(TbFindingRow *self, GtkBox *box)
{
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
    tb_mend mends[TB_MENDS_MOST];
    int n = tb_mends_of(mends, finding_of(self)->kind);
    gtk_box_append(box, row);
    for (int i = 0; i < n; i++) {
        GtkWidget *button = gtk_button_new_with_label(mend_title(mends[i]));
        g_autofree char *label = g_strdup_printf("%s, %d", mend_title(mends[i]), self->index + 1);
        g_object_set_data(G_OBJECT(button), "mend", GINT_TO_POINTER(i));
        gtk_accessible_update_property(
                GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
        g_signal_connect_object(button, "clicked", G_CALLBACK(mend_cb), self, 0);
        gtk_box_append(GTK_BOX(row), button);
        self->buttons[i] = button;
        self->outcomes[i] = GTK_LABEL(text_label("", "dim-label"));
        gtk_box_append(box, GTK_WIDGET(self->outcomes[i]));
    }
    if (n > 1) { /* three names side by side would be wider than the pane in some languages */
        row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
        gtk_box_append(box, row);
    }
    GtkWidget *by_hand = gtk_button_new_with_label(_("By hand"));
    g_autofree char *label = g_strdup_printf("%s, %d", _("By hand"), self->index + 1);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(by_hand), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
    g_signal_connect_object(by_hand, "clicked", G_CALLBACK(by_hand_cb), self, 0);
    gtk_box_append(GTK_BOX(row), by_hand);
    show_mends(self);
    g_signal_connect_object(self->mends, "tried", G_CALLBACK(tried_cb), self, G_CONNECT_SWAPPED);
}

static void tb_finding_row_finalize(GObject *object)
{
    TbFindingRow *self = TB_FINDING_ROW(object);
    g_clear_object(&self->desk);
    g_clear_object(&self->mends);
    g_clear_pointer(&self->inspected, tb_result_release);
    G_OBJECT_CLASS(tb_finding_row_parent_class)->finalize(object);
}

static void tb_finding_row_class_init(TbFindingRowClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = tb_finding_row_finalize;
    gtk_widget_class_install_action(GTK_WIDGET_CLASS(klass), "finding.show", NULL, show_cb);
}

static void tb_finding_row_init(TbFindingRow *self)
{
    (void)self;
}

GtkWidget *tb_finding_row_new(TbDesk *desk, TbMends *mends, int index)
{
    TbFindingRow *self = g_object_new(TB_TYPE_FINDING_ROW, NULL);
    self->desk = g_object_ref(desk);
    self->mends = g_object_ref(mends);
    self->index = index;
    self->inspected = tb_work_inspected_hold(tb_desk_work(desk));
    const tb_finding *finding = finding_of(self);
    bool must = finding->severity == TB_MUST;
    const char *kind = tb_finding_title(finding->kind);
    g_autofree char *title = must ? g_strdup_printf(_("%d   %s, must be mended"), index + 1, kind)
                                  : g_strdup_printf("%d   %s", index + 1, kind);
    g_autofree char *measure = tb_finding_measure(desk, finding);
    g_autofree char *advice = advice_of(desk, finding);
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 4);
    gtk_widget_add_css_class(box, "finding");
    gtk_box_append(GTK_BOX(box), text_label(title, must ? "must" : "heading"));
    gtk_box_append(GTK_BOX(box), text_label(measure, NULL));
    gtk_box_append(GTK_BOX(box), text_label(advice, "dim-label"));
    add_mends(self, GTK_BOX(box));
    gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(self), box);
    gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, title,
            GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, measure, -1);
    return GTK_WIDGET(self);
}
