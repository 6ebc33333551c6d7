/* app/ui/window.c: see window.h. */
#include "app/ui/window.h"

#include "app/model/errors.h"
#include "app/model/keeper.h"
#include "app/model/library.h"
#include "app/ui/about.h"
#include "app/ui/bench.h"
#include "app/ui/board.h"
#include "app/ui/hint.h"
#include "app/ui/history-window.h"
#include "app/ui/note-dialog.h"
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"
#include "app/ui/strip.h"
#include "app/ui/welcome.h"
#include "flow/local.h"

#include <glib/gi18n.h>
#include <glib/gstdio.h>

/* A letter's usual width: about half as much again as one's own. */
enum { LARGE_PX = 11, SAY_S = 8 };

struct _TbWindow {
    AdwApplicationWindow parent_instance;

    /* Template widgets */
    AdwToastOverlay *toasts;
    GtkStack *pages, *middle, *panes;
    GtkBox *bench_box, *welcome_box, *strip_box, *steps;
    GtkSpinner *spinner;
    GtkWidget *header, *title_label, *undo_button, *redo_button;
    GtkWidget *bench, *board;

    /* Owned */
    TbDesk *desk;
    GSignalGroup *work_signals;
    GtkFileChooserNative *chooser;
    AdwToast *toast;         /* the last, while it lives */
    int n_opening;           /* files that are being looked at */
    GCancellable *rendering; /* of the demo photograph */
    tb_view view_before;     /* while the photograph is held up */
    bool held;
};

G_DEFINE_FINAL_TYPE(TbWindow, tb_window, ADW_TYPE_APPLICATION_WINDOW)

static void say(TbWindow *self, const char *text, const char *button, const char *action)
{
    /* Said already, and still there to be read: a queue would speak of what is long past. */
    if (self->toast && g_str_equal(adw_toast_get_title(self->toast), text))
        return;
    AdwToast *toast = adw_toast_new(text);
    adw_toast_set_timeout(toast, SAY_S);
    g_set_weak_pointer(&self->toast, toast);
    adw_toast_set_button_label(toast, button);
    adw_toast_set_action_name(toast, action);
    adw_toast_overlay_add_toast(self->toasts, toast);
}

static void say_cb(TbWindow *self, const char *text, gboolean may_undo)
{
    say(self, text, may_undo ? _("Undo") : NULL, may_undo ? "win.undo" : NULL);
}

static void set_aside_cb(TbWindow *self, int n)
{
    g_autofree char *text = g_strdup_printf(
            ngettext("%d undone change is set aside", "%d undone changes are set aside", (gulong)n),
            n);
    say(self, text, _("History…"), "win.history");
}

/* ---- what can be done now
 * ------------------------------------------------------------------------ */

/* Where the user's letters are large the steps need the room of the two words beside them. */
static void follow_letters(TbWindow *self)
{
    PangoContext *context = gtk_widget_get_pango_context(GTK_WIDGET(self));
    PangoFontMetrics *metrics = pango_context_get_metrics(context, NULL, NULL);
    bool large = pango_font_metrics_get_approximate_char_width(metrics) > LARGE_PX * PANGO_SCALE;
    pango_font_metrics_unref(metrics);
    if (large == gtk_widget_has_css_class(GTK_WIDGET(self), "large-letters"))
        return;
    if (large) {
        gtk_widget_add_css_class(GTK_WIDGET(self), "large-letters");
        gtk_button_set_icon_name(GTK_BUTTON(self->undo_button), "edit-undo-symbolic");
        gtk_button_set_icon_name(GTK_BUTTON(self->redo_button), "edit-redo-symbolic");
    } else {
        gtk_widget_remove_css_class(GTK_WIDGET(self), "large-letters");
        gtk_button_set_label(GTK_BUTTON(self->undo_button), _("Undo"));
        gtk_button_set_label(GTK_BUTTON(self->redo_button), _("Redo"));
    }
}

/* "Undo bridge": the button says what it would take back; NULL: nothing. */
static void show_undo(TbWindow *self, GtkWidget *button, const char *action, const char *text)
{
    gtk_widget_action_set_enabled(GTK_WIDGET(self), action, text != NULL);
    gtk_widget_set_tooltip_text(button, text);
}

static void update_actions(TbWindow *self)
{
    TbWork *work = tb_desk_work(self->desk);
    char undo[TB_ACTION_NAME_ROOM] = "", redo[TB_ACTION_NAME_ROOM] = "";
    bool can_undo = work && tb_project_undo_name(tb_work_project(work), undo);
    bool can_redo = work && tb_project_redo_name(tb_work_project(work), redo);
    g_autofree char *last = tb_local(undo);
    g_autofree char *next = tb_local(redo);
    g_autofree char *undo_text = g_strdup_printf(_("Undo %s"), last);
    g_autofree char *redo_text = g_strdup_printf(_("Redo %s"), next);
    show_undo(self, self->undo_button, "win.undo", can_undo ? undo_text : NULL);
    show_undo(self, self->redo_button, "win.redo", can_redo ? redo_text : NULL);
    gtk_spinner_set_spinning(
            self->spinner, self->rendering || self->n_opening > 0 || (work && tb_work_busy(work)));
    gtk_widget_action_set_enabled(GTK_WIDGET(self), "win.history", work != NULL);
    gtk_widget_action_set_enabled(GTK_WIDGET(self), "win.save-copy", work != NULL);
    gtk_widget_action_set_enabled(GTK_WIDGET(self), "win.first-page", work != NULL);
}

static void work_cb(TbWindow *self)
{
    TbWork *work = tb_desk_work(self->desk);
    g_signal_group_set_target(self->work_signals, work);
    gtk_stack_set_visible_child_name(self->pages, work ? "work" : "welcome");
    /* The first page has one thing to do, and nothing to take back. */
    gtk_widget_set_visible(self->title_label, !work);
    gtk_widget_set_visible(GTK_WIDGET(self->steps), work != NULL);
    gtk_widget_set_visible(self->undo_button, work != NULL);
    gtk_widget_set_visible(self->redo_button, work != NULL);
    update_actions(self);
}

static void trouble_cb(TbWindow *self, const char *text)
{
    tb_desk_say(self->desk, text, false);
}

/* In the last step the sheets lie where the bench was. */
static bool on_sheets(TbWindow *self)
{
    return tb_desk_step(self->desk) == TB_STEP_SHEETS;
}

static void step_cb(TbWindow *self)
{
    static const char *const NAMES[] = {"photo", "tone", "pattern", "check", "sheets"};
    GtkWidget *side = gtk_widget_get_ancestor(GTK_WIDGET(self->panes), GTK_TYPE_SCROLLED_WINDOW);
    gtk_stack_set_visible_child_name(self->panes, NAMES[tb_desk_step(self->desk)]);
    gtk_stack_set_visible_child_name(self->middle, on_sheets(self) ? "board" : "bench");
    gtk_adjustment_set_value(gtk_scrolled_window_get_vadjustment(GTK_SCROLLED_WINDOW(side)), 0);
}

/* ---- opening
 * --------------------------------------------------------------------------------------- */

static tb_settings settings_to_start_with(TbWindow *self)
{
    tb_settings start = TB_SETTINGS_INIT;
    g_strlcpy(start.paper, tb_habits_paper(tb_desk_habits(self->desk)), sizeof start.paper);
    return start;
}

static void take(TbWindow *self, TbWork *work, bool drawn, const GError *error)
{
    if (!work) {
        say_cb(self, error ? error->message : _("This can't be opened from there"), FALSE);
        return;
    }
    tb_desk_set_work(self->desk, work);
    tb_desk_set_step(self->desk, drawn ? TB_STEP_CHECK : TB_STEP_PHOTO);
    if (drawn)
        say_cb(self, _("A pattern already: it stays as it was drawn"), FALSE);
}

/* A file on its way to the bench. What worked on a project last may hold it for a moment more: it
 * ends as soon as it sees that it shall, so the project is asked for again. */
typedef struct {
    TbWindow *window;
    char *path;
    int tries_left;
} opening;

enum { TRIES_MOST = 20, TRY_AGAIN_MS = 150 };

static void opening_free(opening *o)
{
    g_object_unref(o->window);
    g_free(o->path);
    g_free(o);
}

static void open_it(opening *o);

static gboolean again_cb(gpointer payload)
{
    open_it(payload);
    return G_SOURCE_REMOVE;
}

static void opened_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    opening *o = payload;
    TbWindow *self = o->window;
    g_autoptr(GError) error = NULL;
    bool drawn;
    (void)source;
    if (self->desk) {
        g_autoptr(TbWork) work = tb_library_open_finish(result, &drawn, &error);
        if (g_error_matches(error, TB_WORK_ERROR, TB_EBUSY) && o->tries_left-- > 0) {
            g_timeout_add(TRY_AGAIN_MS, again_cb, o);
            return;
        }
        self->n_opening--;
        take(self, work, drawn, error);
        update_actions(self);
    }
    opening_free(o);
}

static void open_it(opening *o)
{
    if (!o->window->desk) {
        opening_free(o);
        return;
    }
    tb_settings start = settings_to_start_with(o->window);
    tb_library_open_async(o->path, &start, opened_cb, o);
}

static bool on_bench(TbWindow *self, GFile *file)
{
    TbWork *work = tb_desk_work(self->desk);
    if (!work)
        return false;
    g_autoptr(GFile) here = g_file_new_for_path(tb_project_path(tb_work_project(work)));
    return g_file_equal(here, file);
}

void tb_window_open_file(TbWindow *self, GFile *file)
{
    g_autofree char *path = g_file_get_path(file);
    if (!path) {
        take(self, NULL, false, NULL);
        return;
    }
    if (on_bench(self, file)) {
        say_cb(self, _("It is on the bench already"), FALSE);
        return;
    }
    opening *o = g_new(opening, 1);
    *o = (opening){g_object_ref(self), g_steal_pointer(&path), TRIES_MOST};
    self->n_opening++;
    open_it(o);
    update_actions(self);
}

static void chosen_cb(GtkNativeDialog *dialog, int response, TbWindow *self)
{
    if (response == GTK_RESPONSE_ACCEPT) {
        g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
        g_autofree char *path = g_file_get_path(file);
        g_autofree char *folder = path ? g_path_get_dirname(path) : NULL;
        if (folder && !g_str_has_suffix(path, ".tombolo"))
            tb_habits_set_folder(tb_desk_habits(self->desk), folder);
        tb_window_open_file(self, file);
    }
    g_clear_object(&self->chooser);
}

static void start_in(GtkFileChooser *chooser, const char *folder)
{
    g_autoptr(GFile) file = g_file_new_for_path(folder);
    gtk_file_chooser_set_current_folder(chooser, file, NULL);
}

/* In the folder where such files were last, or will be. */
static void choose(TbWindow *self, const char *title, const char *folder, const char *filter_name,
        const char *const *patterns)
{
    g_clear_object(&self->chooser);
    self->chooser = gtk_file_chooser_native_new(
            title, GTK_WINDOW(self), GTK_FILE_CHOOSER_ACTION_OPEN, _("Open"), _("Cancel"));
    start_in(GTK_FILE_CHOOSER(self->chooser), folder);
    GtkFileFilter *filter = gtk_file_filter_new();
    gtk_file_filter_set_name(filter, filter_name);
    for (; *patterns; patterns++)
        gtk_file_filter_add_suffix(filter, *patterns);
    gtk_file_chooser_add_filter(GTK_FILE_CHOOSER(self->chooser), filter);
    g_object_unref(filter);
    g_signal_connect_object(self->chooser, "response", G_CALLBACK(chosen_cb), self, 0);
    gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(self->chooser), TRUE);
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(self->chooser));
}

static void choose_project(TbWindow *self)
{
    static const char *const PROJECTS[] = {"tombolo", NULL};
    g_autofree char *folder = tb_library_folder();
    choose(self, _("Go on with a saved pattern"), folder, _("Patterns saved by Tombolo"), PROJECTS);
}

/* ---- pasting
 * --------------------------------------------------------------------------------------- */

/* A picture without a file gets one, which the project then takes in whole. */
static void picture_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbWindow) self = payload;
    g_autoptr(GError) error = NULL;
    g_autoptr(GdkTexture) picture =
            gdk_clipboard_read_texture_finish(GDK_CLIPBOARD(source), result, &error);
    if (!self->desk)
        return;
    g_autofree char *folder = g_dir_make_tmp("tombolo-XXXXXX", NULL);
    g_autofree char *name = g_strdup_printf("%s.png", _("pasted"));
    g_autofree char *path = folder ? g_build_filename(folder, name, NULL) : NULL;
    if (!picture || !path || !gdk_texture_save_to_png(picture, path)) {
        say_cb(self, _("There is no picture to paste"), FALSE);
    } else {
        tb_settings start = settings_to_start_with(self);
        g_autoptr(TbWork) work = tb_library_open(path, &start, &error);
        take(self, work, false, error);
    }
    if (path)
        g_remove(path);
    if (folder)
        g_rmdir(folder);
}

static void files_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbWindow) self = payload;
    const GValue *value = gdk_clipboard_read_value_finish(GDK_CLIPBOARD(source), result, NULL);
    GSList *files = value ? g_value_get_boxed(value) : NULL;
    if (self->desk && files)
        tb_window_open_file(self, files->data);
}

/* Into a line of text, where the keyboard is in one. */
static void paste(TbWindow *self)
{
    GtkWidget *focus = gtk_window_get_focus(GTK_WINDOW(self));
    if (focus && GTK_IS_EDITABLE(focus)) {
        gtk_widget_activate_action(focus, "clipboard.paste", NULL);
        return;
    }
    GdkClipboard *clipboard = gtk_widget_get_clipboard(GTK_WIDGET(self));
    GdkContentFormats *formats = gdk_clipboard_get_formats(clipboard);
    if (gdk_content_formats_contain_gtype(formats, GDK_TYPE_FILE_LIST))
        gdk_clipboard_read_value_async(clipboard, GDK_TYPE_FILE_LIST, G_PRIORITY_DEFAULT, NULL,
                files_cb, g_object_ref(self));
    else
        gdk_clipboard_read_texture_async(clipboard, NULL, picture_cb, g_object_ref(self));
}

/* ---- the demo
 * ---------------------------------------------------------------------------------------- */

static void rendered_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbWindow) self = payload;
    g_autoptr(GError) error = NULL;
    g_autoptr(GFile) file = tb_keeper_render_finish(result, &error);
    (void)source;
    g_clear_object(&self->rendering);
    if (!self->desk || g_error_matches(error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
        return;
    if (file)
        tb_window_open_file(self, file);
    else
        say_cb(self, error->message, FALSE);
    update_actions(self);
}

static void show_demo(TbWindow *self)
{
    if (self->rendering)
        return;
    self->rendering = g_cancellable_new();
    say_cb(self, _("The keeper is being rendered; it takes some seconds"), FALSE);
    tb_keeper_render_async(self->rendering, rendered_cb, g_object_ref(self));
    update_actions(self);
}

static void open_path_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    g_autoptr(GFile) file = g_file_new_for_path(g_variant_get_string(parameter, NULL));
    (void)name;
    tb_window_open_file(TB_WINDOW(widget), file);
}

/* ---- marks and views
 * ----------------------------------------------------------------------------------- */

static void show_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    TbWindow *self = TB_WINDOW(widget);
    unsigned mark = (unsigned)g_variant_get_int32(parameter);
    (void)name;
    tb_desk_set_shown(self->desk, tb_desk_shown(self->desk) ^ mark);
}

static void to_step_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    (void)name;
    tb_desk_set_step(TB_WINDOW(widget)->desk, (tb_step)g_variant_get_int32(parameter));
}

/* Holding B shows what came before, or of the photograph what becomes of it; letting go shows again
 * what was there. */
static gboolean hold_cb(GtkEventControllerKey *controller, guint key, guint code,
        GdkModifierType keys, TbWindow *self)
{
    GtkWidget *focus = gtk_window_get_focus(GTK_WINDOW(self));
    (void)controller;
    (void)code;
    if ((key != GDK_KEY_b && key != GDK_KEY_B) || keys & (GDK_CONTROL_MASK | GDK_ALT_MASK) ||
            (focus && GTK_IS_EDITABLE(focus)))
        return GDK_EVENT_PROPAGATE;
    if (!self->held) {
        self->held = true;
        self->view_before = tb_desk_view(self->desk);
        tb_desk_set_view(
                self->desk, self->view_before == TB_VIEW_PHOTO ? TB_VIEW_HANG : TB_VIEW_PHOTO);
    }
    return GDK_EVENT_STOP;
}

static void let_go_cb(GtkEventControllerKey *controller, guint key, guint code,
        GdkModifierType keys, TbWindow *self)
{
    (void)controller;
    (void)code;
    (void)keys;
    if (self->held && (key == GDK_KEY_b || key == GDK_KEY_B)) {
        self->held = false;
        tb_desk_set_view(self->desk, self->view_before);
    }
}

/* The toolkit lets a press on what is insensitive fall on what lies beneath: on the title bar,
 * where two make the window as large as the screen. It ends here. */
static void header_press_cb(GtkGestureClick *press, int n, double x, double y, GtkWidget *header)
{
    GtkWidget *pressed = gtk_widget_pick(header, x, y, GTK_PICK_INSENSITIVE);
    (void)n;
    if (pressed && !gtk_widget_is_sensitive(pressed))
        gtk_gesture_set_state(GTK_GESTURE(press), GTK_EVENT_SEQUENCE_CLAIMED);
}

static void note_wanted_cb(TbWindow *self, double x_mm, double y_mm)
{
    tb_note_dialog_ask(GTK_WINDOW(self), self->desk, x_mm, y_mm);
}

/* ---- a copy
 * ------------------------------------------------------------------------------------------- */

static void copy_to_cb(GtkNativeDialog *dialog, int response, TbWindow *self)
{
    TbWork *work = tb_desk_work(self->desk);
    if (response == GTK_RESPONSE_ACCEPT && work) {
        g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
        g_autofree char *path = g_file_get_path(file);
        tb_error err = {0};
        /* The dialog has asked before it replaces. */
        bool kept = path && !tb_project_copy(tb_work_project(work), path, true, &err);
        g_autofree char *trouble = tb_local(err.text);
        g_autofree char *place = path ? tb_library_place(path) : NULL;
        g_autofree char *told = place ? g_strdup_printf(_("A copy is kept: %s"), place) : NULL;
        say_cb(self, kept && told ? told : trouble, FALSE);
    }
    g_clear_object(&self->chooser);
}

static void save_copy(TbWindow *self)
{
    TbWork *work = tb_desk_work(self->desk);
    g_autofree char *name = g_path_get_basename(tb_project_path(tb_work_project(work)));
    g_clear_object(&self->chooser);
    self->chooser = gtk_file_chooser_native_new(_("Save a copy"), GTK_WINDOW(self),
            GTK_FILE_CHOOSER_ACTION_SAVE, _("Save"), _("Cancel"));
    gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(self->chooser), name);
    g_signal_connect_object(self->chooser, "response", G_CALLBACK(copy_to_cb), self, 0);
    gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(self->chooser), TRUE);
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(self->chooser));
}

/* ---- actions
 * ------------------------------------------------------------------------------------------- */

/* The focus goes from the bench to the panel beside it, and from anywhere to the bench. */
static void change_side(TbWindow *self)
{
    GtkWidget *middle = gtk_stack_get_visible_child(self->middle);
    if (gtk_widget_get_focus_child(middle))
        gtk_widget_child_focus(GTK_WIDGET(self->panes), GTK_DIR_TAB_FORWARD);
    else if (on_sheets(self))
        gtk_widget_child_focus(middle, GTK_DIR_TAB_FORWARD);
    else
        gtk_widget_grab_focus(self->bench);
}

static bool is_look(const char *name)
{
    static const char *const LOOKS[] = {
            "win.fit", "win.true-size", "win.nearer", "win.farther", NULL};
    return g_strv_contains(LOOKS, name);
}

static void look_at_sheets(TbWindow *self, const char *name)
{
    TbBoard *board = TB_BOARD(self->board);
    if (g_str_equal(name, "win.fit"))
        tb_board_show_all(board);
    else if (g_str_equal(name, "win.true-size"))
        tb_board_show_size(board, tb_bench_true_px_per_mm(self->board));
    else
        tb_board_zoom(board, g_str_equal(name, "win.nearer") ? 1.25 : 0.8);
}

static void act_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    static const char *const PHOTOS[] = {"jpg", "jpeg", "png", "tif", "tiff", "webp", "heic", NULL};
    TbWindow *self = TB_WINDOW(widget);
    TbWork *work = tb_desk_work(self->desk);
    (void)parameter;
    if (g_str_equal(name, "win.undo") && work)
        tb_work_undo(work);
    else if (g_str_equal(name, "win.redo") && work)
        tb_work_redo(work);
    else if (g_str_equal(name, "win.about"))
        tb_about_show(GTK_WINDOW(self));
    else if (g_str_equal(name, "win.history") && work)
        tb_history_window_show(GTK_WINDOW(self), self->desk);
    else if (g_str_equal(name, "win.save-copy") && work)
        save_copy(self);
    else if (g_str_equal(name, "win.first-page"))
        tb_desk_set_work(self->desk, NULL);
    else if (g_str_equal(name, "win.choose-photo"))
        choose(self, _("Choose a photograph"), tb_habits_folder(tb_desk_habits(self->desk)),
                _("Photographs"), PHOTOS);
    else if (g_str_equal(name, "win.paste"))
        paste(self);
    else if (g_str_equal(name, "win.demo"))
        show_demo(self);
    else if (on_sheets(self) && is_look(name))
        look_at_sheets(self, name);
    else if (g_str_equal(name, "win.fit"))
        tb_bench_fit(TB_BENCH(self->bench));
    else if (g_str_equal(name, "win.to-bench"))
        change_side(self);
    else if (g_str_equal(name, "win.true-size"))
        tb_bench_true_size(TB_BENCH(self->bench));
    else if (g_str_equal(name, "win.nearer"))
        tb_bench_zoom(TB_BENCH(self->bench), 1.25);
    else if (g_str_equal(name, "win.farther"))
        tb_bench_zoom(TB_BENCH(self->bench), 0.8);
    else if (g_str_equal(name, "win.open-project"))
        choose_project(self);
}

static gboolean drop_cb(
        GtkDropTarget *target, const GValue *value, double x, double y, TbWindow *self)
{
    (void)target;
    (void)x;
    (void)y;
    tb_window_open_file(self, g_value_get_object(value));
    return TRUE;
}

/* ---- GObject
 * ---------------------------------------------------------------------------------------- */

TbDesk *tb_window_desk(TbWindow *self)
{
    return self->desk;
}

static gboolean tb_window_close_request(GtkWindow *window)
{
    tb_window_size size = {.maximized = gtk_window_is_maximized(window)};
    gtk_window_get_default_size(window, &size.width, &size.height);
    tb_habits_set_window(tb_desk_habits(TB_WINDOW(window)->desk), size);
    return GTK_WINDOW_CLASS(tb_window_parent_class)->close_request(window);
}

static void tb_window_dispose(GObject *object)
{
    TbWindow *self = TB_WINDOW(object);
    g_clear_object(&self->chooser);
    g_clear_weak_pointer(&self->toast);
    if (self->rendering)
        g_cancellable_cancel(self->rendering);
    if (self->desk)
        tb_desk_set_work(self->desk, NULL);
    g_clear_object(&self->work_signals);
    G_OBJECT_CLASS(tb_window_parent_class)->dispose(object);
}

static void tb_window_finalize(GObject *object)
{
    g_clear_object(&TB_WINDOW(object)->desk);
    G_OBJECT_CLASS(tb_window_parent_class)->finalize(object);
}

static void tb_window_class_init(TbWindowClass *klass)
{
    static const char *const ACTIONS[] = {"win.undo", "win.redo", "win.choose-photo",
            "win.open-project", "win.demo", "win.fit", "win.true-size", "win.nearer", "win.farther",
            "win.about", "win.history", "win.save-copy", "win.to-bench", "win.paste",
            "win.first-page"};
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);
    G_OBJECT_CLASS(klass)->dispose = tb_window_dispose;
    G_OBJECT_CLASS(klass)->finalize = tb_window_finalize;
    GTK_WINDOW_CLASS(klass)->close_request = tb_window_close_request;
    for (size_t i = 0; i < G_N_ELEMENTS(ACTIONS); i++)
        gtk_widget_class_install_action(widget_class, ACTIONS[i], NULL, act_cb);
    gtk_widget_class_install_action(widget_class, "win.open-path", "s", open_path_cb);
    gtk_widget_class_install_action(widget_class, "win.show", "i", show_cb);
    gtk_widget_class_install_action(widget_class, "win.to-step", "i", to_step_cb);
    gtk_widget_class_set_template_from_resource(widget_class, "/org/tombolo/Tombolo/ui/window.ui");
    gtk_widget_class_bind_template_child(widget_class, TbWindow, toasts);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, pages);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, panes);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, middle);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, bench_box);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, welcome_box);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, strip_box);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, steps);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, spinner);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, header);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, title_label);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, undo_button);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, redo_button);
}

static void add_desk_action(TbWindow *self, const char *name, const char *property)
{
    GPropertyAction *action = g_property_action_new(name, self->desk, property);
    g_action_map_add_action(G_ACTION_MAP(self), G_ACTION(action));
    g_object_unref(action);
}

/* A number in a disc and a name. */
static GtkWidget *step_button(tb_step step)
{
    const char *name = tb_pane_step_name(step);
    g_autofree char *digit = g_strdup_printf("%d", step + 1);
    g_autofree char *told = g_strdup_printf("%d  %s", step + 1, name);
    GtkWidget *button = gtk_toggle_button_new(), *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 7);
    GtkWidget *number = gtk_label_new(digit);
    gtk_widget_set_valign(number, GTK_ALIGN_CENTER);
    gtk_widget_add_css_class(number, "number");
    gtk_box_append(GTK_BOX(box), number);
    gtk_box_append(GTK_BOX(box), gtk_label_new(name));
    gtk_button_set_child(GTK_BUTTON(button), box);
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), "win.step");
    gtk_actionable_set_action_target_value(GTK_ACTIONABLE(button), g_variant_new_int32(step));
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, told, -1);
    return button;
}

static void add_steps(TbWindow *self)
{
    for (int step = 0; step < TB_N_STEPS; step++) {
        if (step > 0)
            gtk_box_append(self->steps,
                    g_object_new(GTK_TYPE_IMAGE, "icon-name", "go-next-symbolic", "pixel-size", 12,
                            "accessible-role", GTK_ACCESSIBLE_ROLE_PRESENTATION, NULL));
        gtk_box_append(self->steps, step_button((tb_step)step));
    }
}

static void add_panes(TbWindow *self)
{
    self->bench = tb_bench_new(self->desk);
    g_signal_connect_object(
            self->bench, "note-wanted", G_CALLBACK(note_wanted_cb), self, G_CONNECT_SWAPPED);
    gtk_widget_set_vexpand(self->bench, TRUE);
    GtkWidget *over = gtk_overlay_new();
    gtk_overlay_set_child(GTK_OVERLAY(over), self->bench);
    gtk_overlay_add_overlay(GTK_OVERLAY(over), tb_hint_new(self->desk));
    gtk_box_append(self->bench_box, over);
    self->board = tb_board_new(self->desk);
    gtk_stack_add_named(self->middle, self->board, "board");
    gtk_box_append(self->welcome_box, tb_welcome_new());
    gtk_box_append(self->strip_box, tb_strip_new(self->desk));
    gtk_stack_add_named(self->panes, tb_photo_pane_new(self->desk), "photo");
    gtk_stack_add_named(self->panes, tb_tone_pane_new(self->desk), "tone");
    gtk_stack_add_named(self->panes, tb_pattern_pane_new(self->desk), "pattern");
    gtk_stack_add_named(self->panes, tb_check_pane_new(self->desk), "check");
    gtk_stack_add_named(self->panes, tb_sheets_pane_new(self->desk), "sheets");
}

static void tb_window_init(TbWindow *self)
{
    static const char *const CHANGES[] = {"changed", "pattern", "busy"};
    self->desk = tb_desk_new();
    gtk_widget_init_template(GTK_WIDGET(self));
    tb_window_size size = tb_habits_window(tb_desk_habits(self->desk));
    gtk_window_set_default_size(GTK_WINDOW(self), size.width, size.height);
    if (size.maximized)
        gtk_window_maximize(GTK_WINDOW(self));
    add_desk_action(self, "step", "step");
    add_desk_action(self, "tool", "tool");
    add_desk_action(self, "view", "view");
    add_desk_action(self, "inches", "inches");
    add_steps(self);
    add_panes(self);

    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    for (size_t i = 0; i < G_N_ELEMENTS(CHANGES); i++)
        g_signal_group_connect_swapped(
                self->work_signals, CHANGES[i], G_CALLBACK(update_actions), self);
    g_signal_group_connect_swapped(self->work_signals, "trouble", G_CALLBACK(trouble_cb), self);
    g_signal_group_connect_swapped(self->work_signals, "set-aside", G_CALLBACK(set_aside_cb), self);
    g_signal_connect_object(
            self->desk, "notify::work", G_CALLBACK(work_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(
            self->desk, "notify::step", G_CALLBACK(step_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(self->desk, "say", G_CALLBACK(say_cb), self, G_CONNECT_SWAPPED);

    GtkGesture *press = gtk_gesture_click_new();
    gtk_gesture_single_set_button(GTK_GESTURE_SINGLE(press), 0);
    gtk_event_controller_set_propagation_phase(GTK_EVENT_CONTROLLER(press), GTK_PHASE_CAPTURE);
    g_signal_connect_object(press, "pressed", G_CALLBACK(header_press_cb), self->header, 0);
    gtk_widget_add_controller(self->header, GTK_EVENT_CONTROLLER(press));
    GtkDropTarget *drop = gtk_drop_target_new(G_TYPE_FILE, GDK_ACTION_COPY);
    g_signal_connect_object(drop, "drop", G_CALLBACK(drop_cb), self, 0);
    gtk_widget_add_controller(GTK_WIDGET(self), GTK_EVENT_CONTROLLER(drop));
    GtkEventController *keys = gtk_event_controller_key_new();
    gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
    g_signal_connect_object(keys, "key-pressed", G_CALLBACK(hold_cb), self, 0);
    g_signal_connect_object(keys, "key-released", G_CALLBACK(let_go_cb), self, 0);
    gtk_widget_add_controller(GTK_WIDGET(self), keys);
    GtkSettings *settings = gtk_widget_get_settings(GTK_WIDGET(self));
    g_signal_connect_object(settings, "notify::gtk-font-name", G_CALLBACK(follow_letters), self,
            G_CONNECT_SWAPPED | G_CONNECT_AFTER);
    g_signal_connect_object(settings, "notify::gtk-xft-dpi", G_CALLBACK(follow_letters), self,
            G_CONNECT_SWAPPED | G_CONNECT_AFTER);
    follow_letters(self);
    work_cb(self);
}

GtkWidget *tb_window_new(AdwApplication *application)
{
    return g_object_new(TB_TYPE_WINDOW, "application", application, NULL);
}
