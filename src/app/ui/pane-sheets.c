/* app/ui/pane-sheets.c: paper, ink and words; printing, saving and sharing. */
#include "app/model/library.h"
#include "app/model/papers.h"
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include "facts/paper.h"

#include <glib/gi18n.h>
#include <gtk/gtkunixprint.h>
#include <math.h>
#include <string.h>

#define TB_TYPE_SHEETS_PANE (tb_sheets_pane_get_type())
G_DECLARE_FINAL_TYPE(TbSheetsPane, tb_sheets_pane, TB, SHEETS_PANE, GtkBox)

enum { PRINT, SAVE, SHARE, SET, N_TAKERS };
enum { TITLE, DESIGNER, CREDIT, PERMISSION, N_WORDS };

struct _TbSheetsPane {
    GtkBox parent_instance;

    TbDesk *desk;
    GSignalGroup *work_signals;
    GtkWidget *paper, *ink, *marks, *overlap, *bar, *order;
    GtkWidget *words[N_WORDS];
    GtkWidget *takers[N_TAKERS]; /* what prints or writes the pages */
    GtkLabel *n_pages, *account, *overlap_unit;
    GtkFileChooserNative *chooser;
    bool following;
    bool looking, look_again; /* pages are being drawn; something has changed since */
    bool sharing;             /* the chooser asks for a share copy */
    char *print_path;
    double printed_bar_mm; /* what the sheets at print_path were made for */
    GtkPrintJob *printing; /* waits for sheets that its printer needs otherwise */
    GtkLabel *printer;
};

G_DEFINE_FINAL_TYPE(TbSheetsPane, tb_sheets_pane, GTK_TYPE_BOX)

/* ---- what is wished
 * --------------------------------------------------------------------------------- */

static guint chosen(GtkWidget *list)
{
    return gtk_drop_down_get_selected(GTK_DROP_DOWN(list));
}

static double bar_mm(TbSheetsPane *self)
{
    return gtk_spin_button_get_value(GTK_SPIN_BUTTON(self->bar));
}

static tb_papers_wish wish_of(TbSheetsPane *self, char *path)
{
    const tb_paper *paper = tb_paper_at((int)chosen(self->paper));
    tb_papers_wish wish = {
            .path = path, .sheet = TB_SHEET_OPTIONS_INIT, .copy = TB_SHARE_OPTIONS_INIT};
    if (paper) {
        wish.sheet.paper_w_mm = paper->width_mm;
        wish.sheet.paper_h_mm = paper->height_mm;
    }
    wish.sheet.ink = (tb_ink)chosen(self->ink);
    wish.sheet.marks = (tb_marks)chosen(self->marks);
    wish.sheet.overlap_mm = tb_habits_overlap_mm(tb_desk_habits(self->desk));
    wish.sheet.scale_correction = 100 / bar_mm(self);
    wish.sheet.unit = tb_desk_inches(self->desk) ? TB_UNIT_IN : TB_UNIT_MM;
    return wish;
}

/* ---- the pages as they will print
 * ----------------------------------------------------------------------- */

static void look(TbSheetsPane *self);

static void show_account(TbSheetsPane *self, const tb_sheet_account *account)
{
    double saved = account->solid_share > 0 ? 1 - account->ink_share / account->solid_share : 0;
    g_autofree char *n_pages = g_strdup_printf(
            ngettext("%d page", "%d pages", (gulong)account->n_pages), account->n_pages);
    g_autofree char *across = g_strdup_printf(
            _("The pattern: %d across, %d down"), account->n_columns, account->n_rows);
    g_autofree char *less = g_strdup_printf(_("%.0f %% less ink than solid"), saved * 100);
    g_autofree char *text =
            saved >= 0.005 ? g_strdup_printf("%s\n%s", across, less) : g_strdup(across);
    gtk_label_set_text(self->n_pages, n_pages);
    gtk_label_set_text(self->account, text);
}

/* What the pattern's trouble is stands here as well, and what to do about it. */
static void show_no_pages(TbSheetsPane *self, const char *why, const char *remedy)
{
    g_autofree char *text = g_strdup_printf("%s.\n%s", why, remedy);
    gtk_label_set_text(self->n_pages, _("No pages"));
    gtk_label_set_text(self->account, text);
    tb_desk_set_no_pages(self->desk, text);
}

/* Nothing can be made of pages that are not there. */
static void pages_cb(TbSheetsPane *self)
{
    bool there = tb_desk_pages(self->desk) != NULL;
    for (int i = 0; i < N_TAKERS; i++)
        gtk_widget_set_sensitive(self->takers[i], there);
    if (!there && !*tb_desk_no_pages(self->desk)) {
        gtk_label_set_text(self->n_pages, "");
        gtk_label_set_text(self->account, "");
    }
}

static void looked_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbSheetsPane) self = payload;
    g_autoptr(GError) error = NULL;
    g_autoptr(TbPages) pages = tb_papers_look_finish(TB_WORK(source), result, &error);
    self->looking = false;
    if (!self->desk || tb_desk_work(self->desk) != TB_WORK(source))
        return;
    if (pages) {
        tb_desk_set_pages(self->desk, pages);
        show_account(self, tb_pages_account(pages));
    } else {
        show_no_pages(self, error->message, tb_work_remedy(TB_WORK(source)));
    }
    if (self->look_again)
        look(self);
}

static void look(TbSheetsPane *self)
{
    TbWork *work = self->desk ? tb_desk_work(self->desk) : NULL;
    if (!work || tb_desk_step(self->desk) != TB_STEP_SHEETS || !tb_work_settled(work))
        return;
    self->look_again = self->looking;
    if (*tb_work_trouble(work)) {
        show_no_pages(self, tb_work_trouble(work), tb_work_remedy(work));
        return;
    }
    if (self->looking)
        return;
    self->looking = true;
    tb_papers_wish wish = wish_of(self, NULL);
    tb_papers_look_async(work, &wish, looked_cb, g_object_ref(self));
}

/* ---- saving and sharing
 * ------------------------------------------------------------------------------ */

static void made_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbSheetsPane) self = payload;
    g_autoptr(GError) error = NULL;
    tb_sheet_account account;
    bool good = tb_papers_make_finish(TB_WORK(source), result, &account, &error);
    g_autofree char *place = good ? tb_library_place(tb_papers_path(result)) : NULL;
    g_autofree char *text = good ? g_strdup_printf(_("Written: %s"), place) : NULL;
    if (self->desk)
        tb_desk_say(self->desk, good ? text : error->message, false);
}

static void chosen_file_cb(GtkNativeDialog *dialog, int response, TbSheetsPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    if (response == GTK_RESPONSE_ACCEPT && work) {
        g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
        g_autofree char *path = g_file_get_path(file);
        tb_papers_wish wish = wish_of(self, path);
        wish.share = self->sharing;
        tb_papers_make_async(work, &wish, made_cb, g_object_ref(self));
    }
    g_clear_object(&self->chooser);
}

/* The piece's own name, with what a file of its kind ends in; never its photograph's. */
static char *file_name(TbSheetsPane *self, const char *otherwise, const char *ending)
{
    TbWork *work = tb_desk_work(self->desk);
    const char *title = work ? tb_work_state(work)->words.title : "";
    const char *photo = NULL;
    const uint8_t *bytes;
    size_t n_bytes;
    if (work)
        (void)!tb_project_photo(tb_work_project(work), &bytes, &n_bytes, &photo, NULL);
    g_autofree char *stem = g_strdup(*title ? title : otherwise);
    char *name = g_strconcat(g_strdelimit(stem, "/\n\r\t", ' '), ending, NULL);
    if (g_strcmp0(name, photo) != 0)
        return name;
    g_free(name);
    return g_strconcat(stem, "-2", ending, NULL);
}

static void ask_where(TbSheetsPane *self, const char *title, const char *name, bool sharing)
{
    GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(self));
    self->sharing = sharing;
    g_clear_object(&self->chooser);
    self->chooser = gtk_file_chooser_native_new(
            title, GTK_WINDOW(root), GTK_FILE_CHOOSER_ACTION_SAVE, _("Save"), _("Cancel"));
    gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(self->chooser), name);
    g_signal_connect_object(self->chooser, "response", G_CALLBACK(chosen_file_cb), self, 0);
    gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(self->chooser), TRUE);
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(self->chooser));
}

static void save_cb(GtkButton *button, TbSheetsPane *self)
{
    (void)button;
    g_autofree char *name = file_name(self, _("sheets"), ".pdf");
    ask_where(self, _("Save sheets"), name, false);
}

static void share_cb(GtkButton *button, TbSheetsPane *self)
{
    (void)button;
    g_autofree char *name = file_name(self, _("pattern"), "-share.jpg");
    ask_where(self, _("Share a copy: .jpg, .png, .svg or .pdf"), name, true);
}

static void folder_cb(GtkNativeDialog *dialog, int response, TbSheetsPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    if (response == GTK_RESPONSE_ACCEPT && work) {
        g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
        g_autofree char *path = g_file_get_path(file);
        tb_papers_wish wish = wish_of(self, path);
        wish.set = true;
        tb_papers_make_async(work, &wish, made_cb, g_object_ref(self));
    }
    g_clear_object(&self->chooser);
}

static void set_cb(GtkButton *button, TbSheetsPane *self)
{
    GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(self));
    (void)button;
    g_clear_object(&self->chooser);
    self->chooser = gtk_file_chooser_native_new(_("Where the folder of all files goes"),
            GTK_WINDOW(root), GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER, _("Choose"), _("Cancel"));
    g_signal_connect_object(self->chooser, "response", G_CALLBACK(folder_cb), self, 0);
    gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(self->chooser), TRUE);
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(self->chooser));
}

/* ---- printing: the PDF goes to the printer as it is, true to size
 * -------------------------------------- */

static void sent_cb(GtkPrintJob *job, gpointer payload, const GError *error)
{
    TbSheetsPane *self = payload;
    (void)job;
    if (self->desk)
        tb_desk_say(self->desk,
                error ? error->message : _("On its way to the printer. Measure a bar."), false);
}

static void send(TbSheetsPane *self, GtkPrintJob *job)
{
    g_autoptr(GError) error = NULL;
    if (gtk_print_job_set_source_file(job, self->print_path, &error))
        gtk_print_job_send(job, sent_cb, g_object_ref(self), g_object_unref);
    else
        tb_desk_say(self->desk, error->message, false);
}

static void made_again_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbSheetsPane) self = payload;
    g_autoptr(GtkPrintJob) job = g_steal_pointer(&self->printing);
    g_autoptr(GError) error = NULL;
    tb_sheet_account account;
    if (!self->desk)
        return;
    if (!tb_papers_make_finish(TB_WORK(source), result, &account, &error))
        tb_desk_say(self->desk, error->message, false);
    else if (job)
        send(self, job);
}

static void make_for_print(TbSheetsPane *self, TbWork *work, GAsyncReadyCallback done_cb)
{
    tb_papers_wish wish = wish_of(self, self->print_path);
    self->printed_bar_mm = bar_mm(self);
    tb_papers_make_async(work, &wish, done_cb, g_object_ref(self));
}

static void show_printer(TbSheetsPane *self)
{
    tb_habits *habits = tb_desk_habits(self->desk);
    const char *name = tb_habits_printer(habits);
    g_autofree char *text = g_strdup_printf(_("On %s"), name);
    bool following = self->following;
    gtk_label_set_text(self->printer, text);
    gtk_widget_set_visible(GTK_WIDGET(self->printer), *name != '\0');
    self->following = true;
    gtk_spin_button_set_value(GTK_SPIN_BUTTON(self->bar), tb_habits_bar_mm(habits, name));
    self->following = following;
}

/* Each printer has its own correction: the sheets are made again where this one's is another. */
static void print_on(TbSheetsPane *self, GtkPrinter *printer, GtkPrintJob *job)
{
    TbWork *work = tb_desk_work(self->desk);
    tb_habits_set_printer(tb_desk_habits(self->desk), gtk_printer_get_name(printer));
    show_printer(self);
    if (fabs(bar_mm(self) - self->printed_bar_mm) < 0.01 || !work) {
        send(self, job);
        return;
    }
    g_set_object(&self->printing, job);
    make_for_print(self, work, made_again_cb);
}

static void print_to_cb(GtkDialog *dialog, int response, TbSheetsPane *self)
{
    GtkPrinter *printer = gtk_print_unix_dialog_get_selected_printer(GTK_PRINT_UNIX_DIALOG(dialog));
    if (response == GTK_RESPONSE_OK && printer) {
        g_autoptr(GtkPrintJob) job = gtk_print_job_new(_("Tombolo sheets"), printer,
                gtk_print_unix_dialog_get_settings(GTK_PRINT_UNIX_DIALOG(dialog)),
                gtk_print_unix_dialog_get_page_setup(GTK_PRINT_UNIX_DIALOG(dialog)));
        print_on(self, printer, job);
    }
    gtk_window_destroy(GTK_WINDOW(dialog));
}

static void ready_to_print_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbSheetsPane) self = payload;
    g_autoptr(GError) error = NULL;
    tb_sheet_account account;
    GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(self));
    if (!tb_papers_make_finish(TB_WORK(source), result, &account, &error)) {
        if (self->desk)
            tb_desk_say(self->desk, error->message, false);
        return;
    }
    if (!root)
        return;
    GtkWidget *dialog =
            gtk_print_unix_dialog_new(_("Print at 100 %, no fitting"), GTK_WINDOW(root));
    gtk_print_unix_dialog_set_manual_capabilities(
            GTK_PRINT_UNIX_DIALOG(dialog), GTK_PRINT_CAPABILITY_GENERATE_PDF);
    g_signal_connect_object(dialog, "response", G_CALLBACK(print_to_cb), self, 0);
    gtk_window_present(GTK_WINDOW(dialog));
}

static void print_cb(GtkButton *button, TbSheetsPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    (void)button;
    if (!work)
        return;
    g_free(self->print_path);
    self->print_path = g_build_filename(g_get_user_runtime_dir(), "tombolo-print.pdf", NULL);
    make_for_print(self, work, ready_to_print_cb);
}

/* ---- following and changing
 * ----------------------------------------------------------------------------- */

static char *word_at(tb_words *words, int i)
{
    char *const fields[N_WORDS] = {words->title, words->designer, words->credit, words->permission};
    return fields[i];
}

static guint paper_index(const char *name)
{
    for (int i = 0; tb_paper_at(i); i++)
        if (g_str_equal(tb_paper_at(i)->name, name))
            return (guint)i;
    return 0;
}

static void follow(TbSheetsPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    if (!work)
        return;
    tb_words words = tb_work_state(work)->words;
    self->following = true;
    for (int i = 0; i < N_WORDS; i++)
        if (strcmp(gtk_editable_get_text(GTK_EDITABLE(self->words[i])), word_at(&words, i)) != 0)
            gtk_editable_set_text(GTK_EDITABLE(self->words[i]), word_at(&words, i));
    gtk_drop_down_set_selected(
            GTK_DROP_DOWN(self->paper), paper_index(tb_work_state(work)->settings.paper));
    gtk_drop_down_set_selected(
            GTK_DROP_DOWN(self->order), (guint)tb_work_state(work)->settings.saw_order);
    self->following = false;
    look(self);
}

static void words_cb(GtkEventControllerFocus *focus, TbSheetsPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    (void)focus;
    if (!work)
        return;
    tb_words words = tb_work_state(work)->words;
    for (int i = 0; i < N_WORDS; i++)
        g_strlcpy(word_at(&words, i), gtk_editable_get_text(GTK_EDITABLE(self->words[i])),
                TB_WORDS_ROOM);
    tb_work_write(work, &words);
}

static void paper_cb(GtkDropDown *list, GParamSpec *spec, TbSheetsPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    const tb_paper *paper = tb_paper_at((int)gtk_drop_down_get_selected(list));
    (void)spec;
    if (self->following || !work || !paper)
        return;
    tb_settings s = tb_work_state(work)->settings;
    g_strlcpy(s.paper, paper->name, sizeof s.paper);
    tb_habits_set_paper(tb_desk_habits(self->desk), paper->name);
    tb_work_set(work, &s);
}

static void order_cb(GtkDropDown *list, GParamSpec *spec, TbSheetsPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    (void)spec;
    if (self->following || !work)
        return;
    tb_settings s = tb_work_state(work)->settings;
    s.saw_order = (int)gtk_drop_down_get_selected(list);
    tb_work_set(work, &s);
}

static void bar_cb(GtkSpinButton *bar, TbSheetsPane *self)
{
    tb_habits *habits = tb_desk_habits(self->desk);
    (void)bar;
    if (self->following)
        return;
    tb_habits_set_bar_mm(habits, tb_habits_printer(habits), bar_mm(self));
    look(self);
}

static void work_cb(TbSheetsPane *self)
{
    g_signal_group_set_target(self->work_signals, tb_desk_work(self->desk));
    follow(self);
}

/* ---- building
 * ---------------------------------------------------------------------------------------------- */

static void add_words(TbSheetsPane *self)
{
    const char *const labels[N_WORDS] = {
            _("Title"), _("Designer"), _("Photograph by"), _("Permission")};
    for (int i = 0; i < N_WORDS; i++) {
        GtkEventController *focus = gtk_event_controller_focus_new();
        self->words[i] = gtk_entry_new();
        tb_pane_add_named(GTK_WIDGET(self), labels[i], self->words[i]);
        g_signal_connect_object(focus, "leave", G_CALLBACK(words_cb), self, 0);
        gtk_widget_add_controller(self->words[i], focus);
    }
}

static GtkWidget *add_button(
        TbSheetsPane *self, const char *label, GCallback clicked_cb, const char *css_class)
{
    GtkWidget *button = gtk_button_new_with_label(label);
    gtk_widget_set_size_request(button, -1, 44);
    if (css_class)
        gtk_widget_add_css_class(button, css_class);
    g_signal_connect_object(button, "clicked", clicked_cb, self, 0);
    gtk_box_append(GTK_BOX(self), button);
    return button;
}

static GtkWidget *add_list(TbSheetsPane *self, const char *label, const char *const *names)
{
    GtkWidget *list = tb_pane_list_new(G_LIST_MODEL(gtk_string_list_new(names)));
    tb_pane_add_named(GTK_WIDGET(self), label, list);
    g_signal_connect_object(list, "notify::selected", G_CALLBACK(look), self, G_CONNECT_SWAPPED);
    return list;
}

static void add_bar(TbSheetsPane *self)
{
    self->bar = gtk_spin_button_new_with_range(95, 105, 0.1);
    tb_pane_add_named(GTK_WIDGET(self), _("What did your 100 mm bar measure? (mm)"), self->bar);
    g_signal_connect_object(self->bar, "value-changed", G_CALLBACK(bar_cb), self, 0);
    self->printer = GTK_LABEL(gtk_label_new(NULL));
    gtk_label_set_xalign(self->printer, 0);
    gtk_widget_add_css_class(GTK_WIDGET(self->printer), "dim-label");
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->printer));
}

static void follow_overlap(TbSheetsPane *self)
{
    GtkSpinButton *overlap = GTK_SPIN_BUTTON(self->overlap);
    bool inches = tb_desk_inches(self->desk);
    double unit_mm = inches ? 25.4 : 1;
    double overlap_mm = tb_habits_overlap_mm(tb_desk_habits(self->desk));
    self->following = true;
    gtk_spin_button_set_digits(overlap, inches ? 2 : 0);
    gtk_spin_button_set_increments(overlap, inches ? 0.05 : 1, inches ? 0.25 : 5);
    gtk_spin_button_set_range(overlap, 0, 30 / unit_mm);
    gtk_spin_button_set_value(overlap, overlap_mm / unit_mm);
    gtk_label_set_text(self->overlap_unit, inches ? _("in") : _("mm"));
    self->following = false;
}

static void overlap_cb(GtkSpinButton *overlap, TbSheetsPane *self)
{
    if (self->following)
        return;
    tb_habits_set_overlap_mm(tb_desk_habits(self->desk),
            gtk_spin_button_get_value(overlap) * (tb_desk_inches(self->desk) ? 25.4 : 1));
    look(self);
}

/* Where pages are glued together they need some of each other. */
static void add_overlap(TbSheetsPane *self)
{
    self->overlap = gtk_spin_button_new_with_range(0, 30, 1);
    self->overlap_unit = GTK_LABEL(gtk_label_new(NULL));
    tb_pane_add_beside(GTK_WIDGET(self), _("Overlap"), self->overlap);
    gtk_box_append(GTK_BOX(gtk_widget_get_parent(self->overlap)), GTK_WIDGET(self->overlap_unit));
    gtk_widget_set_tooltip_text(self->overlap, _("How far neighbouring pages show the same"));
    g_signal_connect_object(self->overlap, "value-changed", G_CALLBACK(overlap_cb), self, 0);
}

/* In the order of tb_saw_order. */
static void add_order(TbSheetsPane *self)
{
    const char *const orders[] = {
            _("From the middle"), _("Weak parts first"), _("Weak parts last"), NULL};
    self->order = tb_pane_list_new(G_LIST_MODEL(gtk_string_list_new(orders)));
    tb_pane_add_named(GTK_WIDGET(self), _("Order of sawing"), self->order);
    g_signal_connect_object(self->order, "notify::selected", G_CALLBACK(order_cb), self, 0);
}

static void add_account(TbSheetsPane *self)
{
    self->n_pages = GTK_LABEL(tb_pane_heading(""));
    self->account = GTK_LABEL(gtk_label_new(NULL));
    gtk_label_set_xalign(self->account, 0);
    gtk_label_set_wrap(self->account, TRUE);
    gtk_label_set_max_width_chars(self->account, 32);
    gtk_widget_add_css_class(GTK_WIDGET(self->account), "dim-label");
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->n_pages));
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->account));
}

/* The bench shows the ink that is chosen here. */
static void ink_cb(TbSheetsPane *self)
{
    tb_desk_set_ink(self->desk, (tb_ink)chosen(self->ink));
}

static void tb_sheets_pane_dispose(GObject *object)
{
    TbSheetsPane *self = TB_SHEETS_PANE(object);
    g_clear_object(&self->chooser);
    g_clear_object(&self->printing);
    g_clear_object(&self->work_signals);
    g_clear_object(&self->desk);
    g_clear_pointer(&self->print_path, g_free);
    G_OBJECT_CLASS(tb_sheets_pane_parent_class)->dispose(object);
}

static void tb_sheets_pane_class_init(TbSheetsPaneClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_sheets_pane_dispose;
}

static void tb_sheets_pane_init(TbSheetsPane *self)
{
    const char *const inks[] = {_("Pale, saves ink"), _("Solid"), _("Line"), _("Hatch"), NULL};
    const char *const marks[] = {
            _("None"), _("Findings, ringed and listed"), _("A page for the red pen"), NULL};
    GtkStringList *papers = gtk_string_list_new(NULL);
    gtk_orientable_set_orientation(GTK_ORIENTABLE(self), GTK_ORIENTATION_VERTICAL);
    gtk_box_set_spacing(GTK_BOX(self), 8);
    gtk_box_append(GTK_BOX(self),
            tb_pane_column(TB_STEP_SHEETS, _("True to size on paper, light on ink.")));
    for (int i = 0; tb_paper_at(i); i++)
        gtk_string_list_append(papers, tb_paper_at(i)->title);
    self->paper = tb_pane_list_new(G_LIST_MODEL(papers));
    tb_pane_add_named(GTK_WIDGET(self), _("Paper"), self->paper);
    g_signal_connect_object(self->paper, "notify::selected", G_CALLBACK(paper_cb), self, 0);
    self->ink = add_list(self, _("Ink"), inks);
    g_signal_connect_object(
            self->ink, "notify::selected", G_CALLBACK(ink_cb), self, G_CONNECT_SWAPPED);
    self->marks = add_list(self, _("Marks"), marks);
    add_overlap(self);
    add_account(self);
    self->takers[PRINT] = add_button(self, _("Print…"), G_CALLBACK(print_cb), "suggested-action");
    self->takers[SAVE] = add_button(self, _("Save as PDF…"), G_CALLBACK(save_cb), NULL);
    self->takers[SHARE] = add_button(self, _("Share a copy…"), G_CALLBACK(share_cb), NULL);
    self->takers[SET] = add_button(self, _("Everything in a folder…"), G_CALLBACK(set_cb), NULL);
    add_bar(self);
    add_order(self);
    add_words(self);
    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    g_signal_group_connect_swapped(self->work_signals, "changed", G_CALLBACK(follow), self);
    g_signal_group_connect_swapped(self->work_signals, "pattern", G_CALLBACK(look), self);
    g_signal_group_connect_swapped(self->work_signals, "busy", G_CALLBACK(look), self);
}

GtkWidget *tb_sheets_pane_new(TbDesk *desk)
{
    TbSheetsPane *self = g_object_new(TB_TYPE_SHEETS_PANE, "css-name", "pane", NULL);
    self->desk = g_object_ref(desk);
    tb_pane_number(self->overlap, desk);
    tb_pane_number(self->bar, desk);
    g_signal_connect_object(desk, "notify::work", G_CALLBACK(work_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::pages", G_CALLBACK(pages_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::step", G_CALLBACK(look), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(
            desk, "notify::inches", G_CALLBACK(follow_overlap), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::inches", G_CALLBACK(look), self, G_CONNECT_SWAPPED);
    follow_overlap(self);
    show_printer(self);
    pages_cb(self);
    work_cb(self);
    return GTK_WIDGET(self);
}
