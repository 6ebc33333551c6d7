/* app/ui/pane-check.c: what must be mended, worst first, each with its mends; below it what should
 * be better, folded by kind, so that a hundred of one kind hide nothing else. */
#include "app/ui/finding-row.h"
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include <glib/gi18n.h>

/* One mend may undo another, widening what that one thickened: after some rounds what is left gives
 * way, is closed or taken out. */
enum { ROUNDS_MOST = 8, ROUNDS_FIRST = 3 };
enum { WATCH_MS = 200 };
enum { ROWS_MOST = 60 }; /* of one list: a longer one helps nobody; the count tells the rest */

#define TB_TYPE_CHECK_PANE (tb_check_pane_get_type())
G_DECLARE_FINAL_TYPE(TbCheckPane, tb_check_pane, TB, CHECK_PANE, GtkBox)

struct _TbCheckPane {
    GtkBox parent_instance;

    TbDesk *desk;
    GSignalGroup *work_signals;
    GtkLabel *verdict, *count, *advice; /* the one word, what it means, and what could be better */
    GtkListBox *list;
    GtkBox *kinds;
    unsigned open;  /* bits of the kinds that are unfolded */
    TbMends *mends; /* of the work in hand; NULL without one */
    GtkWidget *mend_all, *undo;
    GtkWidget *brush;   /* its width, while one is in hand */
    GtkWidget *at_work; /* how far mending all is, and a button that stops it */
    GtkProgressBar *progress;
    guint watching;
    /* what mending all did, and what takes it back while nothing else has been done since */
    GtkLabel *account;
    GtkWidget *take_back;
    tb_mending done;
    int rounds_left;
    bool mending; /* what changes is our own doing */
    int64_t head;
    bool stale; /* the list is of an older pattern; filled when it is seen */
};

G_DEFINE_FINAL_TYPE(TbCheckPane, tb_check_pane, GTK_TYPE_BOX)

static const tb_inspection *inspection_of(TbCheckPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    const tb_result *result = work ? tb_work_inspected(work) : NULL;
    return result ? result->inspection : NULL;
}

static void activated_cb(GtkListBox *list, GtkListBoxRow *row, TbCheckPane *self)
{
    (void)list;
    (void)self;
    gtk_widget_activate_action(GTK_WIDGET(row), "finding.show", NULL);
}

static GtkListBox *new_list(TbCheckPane *self, const char *name)
{
    GtkListBox *list = GTK_LIST_BOX(gtk_list_box_new());
    gtk_widget_add_css_class(GTK_WIDGET(list), "boxed-list");
    gtk_accessible_update_property(GTK_ACCESSIBLE(list), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
    g_signal_connect_object(list, "row-activated", G_CALLBACK(activated_cb), self, 0);
    return list;
}

static bool is_of(const tb_finding *finding, tb_severity severity, int kind)
{
    return finding->severity == severity && (kind < 0 || (int)finding->kind == kind);
}

/* kind -1: of any kind. */
static void fill_list(TbCheckPane *self, GtkListBox *list, tb_severity severity, int kind)
{
    const tb_inspection *inspection = inspection_of(self);
    int n = 0;
    for (size_t i = 0; inspection && i < inspection->n_findings && n < ROWS_MOST; i++) {
        if (!is_of(&inspection->findings[i], severity, kind))
            continue;
        gtk_list_box_append(list, tb_finding_row_new(self->desk, self->mends, (int)i));
        n++;
    }
}

/* What is unfolded is ringed on the bench. Rows are made when they are first seen. */
static void unfold(TbCheckPane *self, GtkExpander *fold)
{
    int kind = GPOINTER_TO_INT(g_object_get_data(G_OBJECT(fold), "kind"));
    unsigned shown = tb_desk_shown(self->desk), bit = (unsigned)TB_SHOW_KIND << kind;
    if (!gtk_expander_get_expanded(fold)) {
        self->open &= ~(1u << kind);
        tb_desk_set_shown(self->desk, shown & ~bit);
        return;
    }
    self->open |= 1u << kind;
    tb_desk_set_shown(self->desk, shown | bit);
    if (!gtk_expander_get_child(fold)) {
        GtkListBox *list = new_list(self, tb_finding_title((tb_finding_kind)kind));
        fill_list(self, list, TB_SHOULD, kind);
        gtk_expander_set_child(fold, GTK_WIDGET(list));
    }
}

static void unfolded_cb(GtkExpander *fold, GParamSpec *pspec, TbCheckPane *self)
{
    (void)pspec;
    unfold(self, fold);
}

static void add_fold(TbCheckPane *self, const tb_finding *worst, size_t n)
{
    g_autofree char *measure = tb_finding_measure(self->desk, worst);
    g_autofree char *title = g_markup_printf_escaped(
            "<b>%s: %zu</b>\n<small>%s</small>", tb_finding_title(worst->kind), n, measure);
    GtkWidget *fold = gtk_expander_new(NULL);
    GtkWidget *label = gtk_label_new(NULL);
    gtk_label_set_markup(GTK_LABEL(label), title);
    gtk_expander_set_label_widget(GTK_EXPANDER(fold), label);
    g_autofree char *name = g_strdup_printf("%s: %zu", tb_finding_title(worst->kind), n);
    gtk_accessible_update_property(GTK_ACCESSIBLE(fold), GTK_ACCESSIBLE_PROPERTY_LABEL, name,
            GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, measure, -1);
    gtk_widget_add_css_class(fold, "fold");
    g_object_set_data(G_OBJECT(fold), "kind", GINT_TO_POINTER((int)worst->kind));
    gtk_expander_set_expanded(GTK_EXPANDER(fold), (self->open & 1u << worst->kind) != 0);
    unfold(self, GTK_EXPANDER(fold));
    g_signal_connect_object(fold, "notify::expanded", G_CALLBACK(unfolded_cb), self, 0);
    gtk_box_append(self->kinds, fold);
}

/* In the order of their worst. */
static void fill_kinds(TbCheckPane *self, const tb_inspection *inspection)
{
    size_t n[TB_N_FINDING_KINDS] = {0};
    for (size_t i = 0; i < inspection->n_findings; i++)
        n[inspection->findings[i].kind] += inspection->findings[i].severity == TB_SHOULD;
    for (size_t i = 0; i < inspection->n_findings; i++) {
        const tb_finding *finding = &inspection->findings[i];
        if (finding->severity != TB_SHOULD || n[finding->kind] == 0)
            continue;
        add_fold(self, finding, n[finding->kind]);
        n[finding->kind] = 0;
    }
}

/* Where in which list the focus stands: the list itself goes, and the toolkit would look for
 * another place, far off. */
typedef struct {
    int kind; /* -1: of what must be mended */
    int row;  /* -1: nowhere in a list */
} place;

static place take_focus(TbCheckPane *self)
{
    GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(self));
    GtkWidget *focus = root ? gtk_root_get_focus(root) : NULL;
    if (!focus || !gtk_widget_is_ancestor(focus, GTK_WIDGET(self)))
        return (place){-1, -1};
    GtkWidget *row = gtk_widget_get_ancestor(focus, TB_TYPE_FINDING_ROW);
    GtkWidget *fold = gtk_widget_get_ancestor(focus, GTK_TYPE_EXPANDER);
    int kind = fold ? GPOINTER_TO_INT(g_object_get_data(G_OBJECT(fold), "kind")) : -1;
    gtk_root_set_focus(root, NULL);
    return (place){kind, row ? gtk_list_box_row_get_index(GTK_LIST_BOX_ROW(row)) : -1};
}

static GtkListBox *list_of(TbCheckPane *self, int kind)
{
    if (kind < 0)
        return self->list;
    for (GtkWidget *fold = gtk_widget_get_first_child(GTK_WIDGET(self->kinds)); fold;
            fold = gtk_widget_get_next_sibling(fold))
        if (GPOINTER_TO_INT(g_object_get_data(G_OBJECT(fold), "kind")) == kind)
            return GTK_LIST_BOX(gtk_expander_get_child(GTK_EXPANDER(fold)));
    return NULL;
}

/* What was mended is gone from the list: the one that moved up is the next to be looked at. */
static void give_focus(TbCheckPane *self, place at)
{
    GtkListBox *list = at.row < 0 ? NULL : list_of(self, at.kind);
    GtkListBoxRow *row = NULL;
    for (int i = at.row; list && i >= 0 && !row; i--)
        row = gtk_list_box_get_row_at_index(list, i);
    if (row)
        gtk_widget_grab_focus(GTK_WIDGET(row));
}

static void clear(TbCheckPane *self)
{
    GtkWidget *child;
    while ((child = gtk_widget_get_first_child(GTK_WIDGET(self->list))))
        gtk_list_box_remove(self->list, child);
    while ((child = gtk_widget_get_first_child(GTK_WIDGET(self->kinds))))
        gtk_box_remove(self->kinds, child);
}

static void set_text(GtkLabel *label, char *text)
{
    gtk_label_set_text(label, text);
    gtk_widget_set_visible(GTK_WIDGET(label), *text != '\0');
    g_free(text);
}

static void show_verdict(TbCheckPane *self, const char *text, const char *css_class)
{
    static const char *const CLASSES[] = {"success", "error"};
    for (size_t i = 0; i < G_N_ELEMENTS(CLASSES); i++)
        gtk_widget_remove_css_class(GTK_WIDGET(self->verdict), CLASSES[i]);
    if (css_class)
        gtk_widget_add_css_class(GTK_WIDGET(self->verdict), css_class);
    gtk_label_set_text(self->verdict, text);
}

/* Nothing was looked over: what hinders it, and what to do about it, or that it will be. */
static void show_none(TbCheckPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    const char *trouble = work ? tb_work_trouble(work) : "";
    bool may_undo = work && tb_work_state(work)->n_actions > 0;
    show_verdict(self, *trouble ? _("Not yet.") : _("At work…"), *trouble ? "error" : NULL);
    set_text(self->count, g_strdup(trouble));
    set_text(self->advice, g_strdup(work ? tb_work_remedy(work) : ""));
    gtk_widget_set_visible(self->undo, *trouble && may_undo);
}

/* First whether it can be sawn, and loud; then in a low voice what could be better. */
static void show_counts(TbCheckPane *self, const tb_inspection *inspection)
{
    int n_must = inspection->n_must, n_should = inspection->n_should;
    bool good = n_must == 0 && inspection->n_pieces > 0;
    show_verdict(self, good ? _("It can be sawn.") : _("Not yet."), good ? "success" : "error");
    set_text(self->count,
            inspection->n_pieces == 0 ? g_strdup(_("There is no wood at all."))
            : n_must                  ? g_strdup_printf(ngettext("%d place must be mended first.",
                                                                "%d places must be mended first.", (gulong)n_must),
                                                n_must)
                                      : g_strdup(_("Nothing must be mended.")));
    set_text(self->advice,
            n_should ? g_strdup_printf(
                               ngettext("%d place could be better, if you like:",
                                       "%d places could be better, if you like:", (gulong)n_should),
                               n_should)
                     : g_strdup(""));
}

static gboolean watch_cb(gpointer payload)
{
    TbCheckPane *self = payload;
    gtk_progress_bar_set_fraction(self->progress, self->mends ? tb_mends_progress(self->mends) : 0);
    return G_SOURCE_CONTINUE;
}

/* While rounds go on there is a button that stops them in the place of the one that began them. */
static void show_rounds(TbCheckPane *self)
{
    const tb_inspection *inspection = inspection_of(self);
    bool on = self->rounds_left > 0, must = inspection && inspection->n_must > 0;
    gtk_widget_set_visible(self->at_work, on);
    gtk_widget_set_visible(self->mend_all, !on && must);
    if (on && !self->watching)
        self->watching = g_timeout_add(WATCH_MS, watch_cb, self);
    if (!on)
        g_clear_handle_id(&self->watching, g_source_remove);
}

static void end_rounds(TbCheckPane *self)
{
    self->rounds_left = 0;
    self->mending = false;
    show_rounds(self);
}

static void fill(TbCheckPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    const tb_inspection *inspection = inspection_of(self);
    bool must = inspection && inspection->n_must > 0;
    self->stale = false;
    place at = take_focus(self);
    clear(self);
    gtk_widget_set_visible(self->undo, FALSE);
    gtk_widget_set_visible(GTK_WIDGET(self->list), must);
    gtk_widget_set_visible(self->mend_all, must && self->rounds_left == 0);
    if (inspection) {
        fill_list(self, self->list, TB_MUST, -1);
        fill_kinds(self, inspection);
        show_counts(self, inspection);
        give_focus(self, at);
    } else if (work) {
        show_none(self);
    }
}

/* Findings are shown on the bench while this step is the one; rows are made when they are seen. */
static void update(TbCheckPane *self)
{
    bool here = tb_desk_step(self->desk) == TB_STEP_CHECK;
    unsigned shown = tb_desk_shown(self->desk) & ~(unsigned)TB_SHOW_FINDINGS;
    tb_desk_set_shown(self->desk, here ? shown | TB_SHOW_FINDINGS : shown);
    if (here && self->stale)
        fill(self);
    else if (self->stale)
        clear(self);
}

/* A first answer, while a slider moves, is not looked over: what was found last stays in view. */
static bool only_sketched(TbCheckPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    const tb_work_pattern *pattern = work ? tb_work_pattern_now(work) : NULL;
    return pattern && pattern->coarse && !*tb_work_trouble(work);
}

static void trouble_cb(TbCheckPane *self)
{
    if (inspection_of(self) || only_sketched(self))
        return;
    end_rounds(self);
    self->stale = true;
    tb_desk_set_finding(self->desk, -1);
    update(self);
}

/* The account stands until something else is done. */
static void show_account(TbCheckPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    if (self->mending)
        return;
    bool last = work && self->done.n_drawn > 0 && tb_work_state(work)->head == self->head;
    if (!last && self->done.n_drawn > 0) {
        self->done.n_drawn = 0;
        gtk_label_set_text(self->account, "");
    }
    gtk_widget_set_visible(GTK_WIDGET(self->account), *gtk_label_get_text(self->account) != '\0');
    gtk_widget_set_visible(self->take_back, last);
}

static char *done_text(tb_mend mend, int n)
{
    switch (mend) {
    case TB_MEND_THICKEN:
        return g_strdup_printf(_("%d thickened"), n);
    case TB_MEND_TIE:
        return g_strdup_printf(_("%d tied"), n);
    case TB_MEND_TRIM:
        return g_strdup_printf(_("%d taken out"), n);
    case TB_MEND_WIDEN:
        return g_strdup_printf(_("%d widened"), n);
    case TB_MEND_EASE:
        return g_strdup_printf(_("%d eased"), n);
    case TB_MEND_CLOSE:
    case TB_N_MENDS:
        break;
    }
    return g_strdup_printf(_("%d closed"), n);
}

/* "3 thickened, 2 closed; 1 left to your hand" */
static char *account_text(const tb_mending *done)
{
    GString *text = g_string_new(NULL);
    for (int i = 0; i < TB_N_MENDS; i++) {
        g_autofree char *part = done_text((tb_mend)i, done->n_by[i]);
        if (done->n_by[i] > 0)
            g_string_append_printf(text, "%s%s", text->len ? ", " : "", part);
    }
    g_autofree char *left = g_strdup_printf(
            ngettext("%d left to your hand", "%d left to your hand", (gulong)done->n_left),
            done->n_left);
    if (done->n_left > 0)
        g_string_append_printf(text, "%s%s", text->len ? "; " : "", left);
    return g_string_free(text, FALSE);
}

/* One mend makes another needful now and then: what is left is mended again, some rounds. */
static void mend_round(TbCheckPane *self)
{
    self->mending = true;
    show_rounds(self);
    tb_mends_all(self->mends, self->rounds_left <= ROUNDS_MOST - ROUNDS_FIRST);
}

static void mended_cb(TbCheckPane *self)
{
    const tb_mending *done = tb_mends_account(self->mends);
    self->mending = false;
    for (int i = 0; i < TB_N_MENDS; i++)
        self->done.n_by[i] += done->n_by[i];
    self->done.n_drawn += done->n_drawn;
    self->done.n_left = done->n_left;
    bool gave_way = self->rounds_left <= ROUNDS_MOST - ROUNDS_FIRST;
    self->rounds_left = done->n_drawn > 0 ? self->rounds_left - 1 : 0;
    self->head = tb_work_state(tb_desk_work(self->desk))->head;
    g_autofree char *text = account_text(&self->done);
    gtk_label_set_text(self->account, text);
    show_account(self);
    show_rounds(self);
    if (done->n_drawn == 0 && done->n_left > 0 && !gave_way) {
        self->rounds_left = ROUNDS_MOST - ROUNDS_FIRST;
        mend_round(self);
    }
}

static void pattern_cb(TbCheckPane *self)
{
    const tb_inspection *inspection = inspection_of(self);
    TbWork *work = tb_desk_work(self->desk);
    if (only_sketched(self))
        return;
    self->stale = true;
    tb_desk_set_finding(self->desk, -1);
    update(self);
    if (!inspection || !tb_work_settled(work) || self->rounds_left == 0 || self->mending)
        return;
    if (inspection->n_must > 0 && tb_work_state(work)->head == self->head)
        mend_round(self);
    else
        end_rounds(self);
}

static void mend_all_cb(GtkButton *button, TbCheckPane *self)
{
    (void)button;
    if (!inspection_of(self))
        return;
    self->done = (tb_mending){0};
    self->rounds_left = ROUNDS_MOST;
    mend_round(self);
}

static void stop_cb(GtkButton *button, TbCheckPane *self)
{
    (void)button;
    self->rounds_left = 0;
    if (self->mends)
        tb_mends_halt(self->mends);
    end_rounds(self);
}

static void take_back_cb(GtkButton *button, TbCheckPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    (void)button;
    if (work && self->done.n_drawn > 0)
        tb_work_take_back(work, self->done.n_drawn);
}

static void follow_tool(TbCheckPane *self)
{
    tb_tool tool = tb_desk_tool(self->desk);
    gtk_widget_set_visible(self->brush, tool == TB_TOOL_WOOD || tool == TB_TOOL_SAW);
}

static void drop_mends(TbCheckPane *self)
{
    if (self->mends)
        tb_mends_stop(self->mends);
    g_clear_object(&self->mends);
}

static void work_cb(TbCheckPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    drop_mends(self);
    if (work) {
        self->mends = tb_mends_new(work);
        g_signal_connect_object(
                self->mends, "mended", G_CALLBACK(mended_cb), self, G_CONNECT_SWAPPED);
    }
    g_signal_group_set_target(self->work_signals, work);
    end_rounds(self);
    self->done = (tb_mending){0};
    gtk_label_set_text(self->account, "");
    show_account(self);
    pattern_cb(self);
}

static void tb_check_pane_dispose(GObject *object)
{
    TbCheckPane *self = TB_CHECK_PANE(object);
    g_clear_handle_id(&self->watching, g_source_remove);
    drop_mends(self);
    g_clear_object(&self->work_signals);
    g_clear_object(&self->desk);
    G_OBJECT_CLASS(tb_check_pane_parent_class)->dispose(object);
}

static void tb_check_pane_class_init(TbCheckPaneClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_check_pane_dispose;
}

static GtkLabel *add_text(TbCheckPane *self, const char *css_class)
{
    GtkWidget *label = gtk_label_new(NULL);
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_max_width_chars(GTK_LABEL(label), 24);
    gtk_widget_add_css_class(label, css_class);
    gtk_box_append(GTK_BOX(self), label);
    return GTK_LABEL(label);
}

static void tb_check_pane_init(TbCheckPane *self)
{
    static const tb_tool_words TOOLS[] = {
            {TB_TOOL_MOVE, N_("Move the board"), N_("Drag to see another part")},
            {TB_TOOL_WOOD, N_("Paint wood"), N_("Wood under the brush")},
            {TB_TOOL_SAW, N_("Saw away"), N_("Opening under the brush")},
            {TB_TOOL_NOTE, N_("Write a note"), N_("Press where a note belongs")},
    };
    gtk_orientable_set_orientation(GTK_ORIENTABLE(self), GTK_ORIENTATION_VERTICAL);
    gtk_box_set_spacing(GTK_BOX(self), 8);
    gtk_box_append(GTK_BOX(self), tb_pane_column(TB_STEP_CHECK, NULL));
    self->verdict = add_text(self, "title-1");
    self->count = add_text(self, "title-4");
    self->mend_all = gtk_button_new_with_label(_("Mend all that must be mended"));
    gtk_widget_add_css_class(self->mend_all, "suggested-action");
    gtk_widget_set_size_request(self->mend_all, -1, 60);
    g_signal_connect_object(self->mend_all, "clicked", G_CALLBACK(mend_all_cb), self, 0);
    gtk_box_append(GTK_BOX(self), self->mend_all);
    self->at_work = gtk_box_new(GTK_ORIENTATION_VERTICAL, 8);
    self->progress = GTK_PROGRESS_BAR(gtk_progress_bar_new());
    GtkWidget *stop = gtk_button_new_with_label(_("Stop mending"));
    gtk_widget_set_size_request(stop, -1, 44);
    g_signal_connect_object(stop, "clicked", G_CALLBACK(stop_cb), self, 0);
    gtk_accessible_update_property(GTK_ACCESSIBLE(self->progress), GTK_ACCESSIBLE_PROPERTY_LABEL,
            _("Mends that were tried"), -1);
    gtk_box_append(GTK_BOX(self->at_work), GTK_WIDGET(self->progress));
    gtk_box_append(GTK_BOX(self->at_work), stop);
    gtk_widget_set_visible(self->at_work, FALSE);
    gtk_box_append(GTK_BOX(self), self->at_work);
    self->undo = gtk_button_new_with_label(_("Undo"));
    gtk_actionable_set_action_name(GTK_ACTIONABLE(self->undo), "win.undo");
    gtk_widget_set_size_request(self->undo, -1, 60);
    gtk_widget_set_visible(self->undo, FALSE);
    gtk_box_append(GTK_BOX(self), self->undo);
    self->account = GTK_LABEL(tb_pane_heading(""));
    gtk_widget_set_visible(GTK_WIDGET(self->account), FALSE);
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->account));
    self->take_back = gtk_button_new_with_label(_("Take all of it back"));
    gtk_widget_set_size_request(self->take_back, -1, 44);
    gtk_widget_set_visible(self->take_back, FALSE);
    g_signal_connect_object(self->take_back, "clicked", G_CALLBACK(take_back_cb), self, 0);
    gtk_box_append(GTK_BOX(self), self->take_back);
    gtk_box_append(GTK_BOX(self), tb_pane_tools(TOOLS, G_N_ELEMENTS(TOOLS)));
    self->brush = gtk_box_new(GTK_ORIENTATION_VERTICAL, 8);
    gtk_box_append(GTK_BOX(self), self->brush);
    self->list = new_list(self, _("Findings, worst first"));
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->list));
    self->advice = add_text(self, "dim-label");
    gtk_widget_set_margin_top(GTK_WIDGET(self->advice), 12);
    self->kinds = GTK_BOX(gtk_box_new(GTK_ORIENTATION_VERTICAL, 4));
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->kinds));
    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    g_signal_group_connect_swapped(self->work_signals, "pattern", G_CALLBACK(pattern_cb), self);
    g_signal_group_connect_swapped(self->work_signals, "trouble", G_CALLBACK(trouble_cb), self);
    g_signal_group_connect_swapped(self->work_signals, "changed", G_CALLBACK(show_account), self);
}

GtkWidget *tb_check_pane_new(TbDesk *desk)
{
    TbCheckPane *self = g_object_new(TB_TYPE_CHECK_PANE, "css-name", "pane", NULL);
    self->desk = g_object_ref(desk);
    g_signal_connect_object(desk, "notify::work", G_CALLBACK(work_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::step", G_CALLBACK(update), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::tool", G_CALLBACK(follow_tool), self, G_CONNECT_SWAPPED);
    tb_pane_add_brush(self->brush, desk);
    follow_tool(self);
    work_cb(self);
    return GTK_WIDGET(self);
}
