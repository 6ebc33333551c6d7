/* app/ui/window.c: see window.h. */
#include "app/ui/window.h"

#include "app/model/library.h"
#include "app/ui/bench.h"
#include "app/ui/pane.h"
#include "app/ui/strip.h"
#include "app/ui/welcome.h"

#include <glib/gi18n.h>

struct _TbWindow {
    AdwApplicationWindow parent_instance;

    /* Template widgets */
    AdwToastOverlay *toasts;
    GtkStack *pages, *panes;
    GtkOverlay *bench_overlay;
    GtkBox *welcome_box, *strip_box, *steps;
    GtkSpinner *spinner;

    /* Owned */
    TbDesk *desk;
    GSignalGroup *work_signals;
    GtkFileChooserNative *chooser;
};

G_DEFINE_FINAL_TYPE(TbWindow, tb_window, ADW_TYPE_APPLICATION_WINDOW)

static void say_cb(TbWindow *self, const char *text, gboolean may_undo)
{
    AdwToast *toast = adw_toast_new(text);
    if (may_undo) {
        adw_toast_set_button_label(toast, _("Undo"));
        adw_toast_set_action_name(toast, "win.undo");
    }
    adw_toast_overlay_add_toast(self->toasts, toast);
}

/* ---- what can be done now
 * ------------------------------------------------------------------------ */

static void update_undo(TbWindow *self, const char *action, bool possible)
{
    gtk_widget_action_set_enabled(GTK_WIDGET(self), action, possible);
}

static void update_actions(TbWindow *self)
{
    TbWork *work = tb_desk_work(self->desk);
    const tb_project_state *state = work ? tb_work_state(work) : NULL;
    update_undo(self, "win.undo", state && state->n_actions > 0);
    update_undo(self, "win.redo", state && state->n_undone > 0);
    gtk_spinner_set_spinning(self->spinner, work && tb_work_busy(work));
    gtk_widget_set_sensitive(GTK_WIDGET(self->steps), work != NULL);
}

static void work_cb(TbWindow *self)
{
    TbWork *work = tb_desk_work(self->desk);
    g_signal_group_set_target(self->work_signals, work);
    gtk_stack_set_visible_child_name(self->pages, work ? "work" : "welcome");
    update_actions(self);
}

static void trouble_cb(TbWindow *self, const char *text)
{
    tb_desk_say(self->desk, text, false);
}

static void step_cb(TbWindow *self)
{
    static const char *const NAMES[] = {"photo", "tone", "pattern", "check", "sheets"};
    gtk_stack_set_visible_child_name(self->panes, NAMES[tb_desk_step(self->desk)]);
}

/* ---- opening
 * --------------------------------------------------------------------------------------- */

void tb_window_open_file(TbWindow *self, GFile *file)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = g_file_get_path(file);
    g_autoptr(TbWork) work = path ? tb_library_open(path, &error) : NULL;
    if (!work) {
        say_cb(self, error ? error->message : _("This can't be opened from there"), FALSE);
        return;
    }
    tb_desk_set_work(self->desk, work);
    tb_desk_set_step(self->desk, TB_STEP_PHOTO);
}

static void chosen_cb(GtkNativeDialog *dialog, int response, TbWindow *self)
{
    if (response == GTK_RESPONSE_ACCEPT) {
        g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
        tb_window_open_file(self, file);
    }
    g_clear_object(&self->chooser);
}

static void choose(
        TbWindow *self, const char *title, const char *filter_name, const char *const *patterns)
{
    g_clear_object(&self->chooser);
    self->chooser = gtk_file_chooser_native_new(
            title, GTK_WINDOW(self), GTK_FILE_CHOOSER_ACTION_OPEN, _("Open"), _("Cancel"));
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

static void act_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    static const char *const PHOTOS[] = {"jpg", "jpeg", "png", "tif", "tiff", "webp", "heic", NULL};
    static const char *const PROJECTS[] = {"tombolo", NULL};
    TbWindow *self = TB_WINDOW(widget);
    TbWork *work = tb_desk_work(self->desk);
    (void)parameter;
    if (g_str_equal(name, "win.undo") && work)
        tb_work_undo(work);
    else if (g_str_equal(name, "win.redo") && work)
        tb_work_redo(work);
    else if (g_str_equal(name, "win.choose-photo"))
        choose(self, _("Choose a photograph"), _("Photographs"), PHOTOS);
    else if (g_str_equal(name, "win.open-project"))
        choose(self, _("Open a project"), _("Tombolo projects"), PROJECTS);
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

static void tb_window_dispose(GObject *object)
{
    TbWindow *self = TB_WINDOW(object);
    g_clear_object(&self->chooser);
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
    static const char *const ACTIONS[] = {
            "win.undo", "win.redo", "win.choose-photo", "win.open-project"};
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);
    G_OBJECT_CLASS(klass)->dispose = tb_window_dispose;
    G_OBJECT_CLASS(klass)->finalize = tb_window_finalize;
    for (size_t i = 0; i < G_N_ELEMENTS(ACTIONS); i++)
        gtk_widget_class_install_action(widget_class, ACTIONS[i], NULL, act_cb);
    gtk_widget_class_add_binding_action(
            widget_class, GDK_KEY_z, GDK_CONTROL_MASK, "win.undo", NULL);
    gtk_widget_class_add_binding_action(
            widget_class, GDK_KEY_z, GDK_CONTROL_MASK | GDK_SHIFT_MASK, "win.redo", NULL);
    gtk_widget_class_set_template_from_resource(widget_class, "/org/tombolo/Tombolo/ui/window.ui");
    gtk_widget_class_bind_template_child(widget_class, TbWindow, toasts);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, pages);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, panes);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, bench_overlay);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, welcome_box);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, strip_box);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, steps);
    gtk_widget_class_bind_template_child(widget_class, TbWindow, spinner);
}

static void add_desk_action(TbWindow *self, const char *name, const char *property)
{
    GPropertyAction *action = g_property_action_new(name, self->desk, property);
    g_action_map_add_action(G_ACTION_MAP(self), G_ACTION(action));
    g_object_unref(action);
}

static void add_panes(TbWindow *self)
{
    gtk_overlay_set_child(self->bench_overlay, tb_bench_new(self->desk));
    gtk_box_append(self->welcome_box, tb_welcome_new(self->desk));
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
    add_desk_action(self, "step", "step");
    add_desk_action(self, "tool", "tool");
    add_desk_action(self, "view", "view");
    add_desk_action(self, "inches", "inches");
    add_panes(self);

    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    for (size_t i = 0; i < G_N_ELEMENTS(CHANGES); i++)
        g_signal_group_connect_swapped(
                self->work_signals, CHANGES[i], G_CALLBACK(update_actions), self);
    g_signal_group_connect_swapped(self->work_signals, "trouble", G_CALLBACK(trouble_cb), self);
    g_signal_connect_object(
            self->desk, "notify::work", G_CALLBACK(work_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(
            self->desk, "notify::step", G_CALLBACK(step_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(self->desk, "say", G_CALLBACK(say_cb), self, G_CONNECT_SWAPPED);

    GtkDropTarget *drop = gtk_drop_target_new(G_TYPE_FILE, GDK_ACTION_COPY);
    g_signal_connect_object(drop, "drop", G_CALLBACK(drop_cb), self, 0);
    gtk_widget_add_controller(GTK_WIDGET(self), GTK_EVENT_CONTROLLER(drop));
    work_cb(self);
}

GtkWidget *tb_window_new(AdwApplication *application)
{
    return g_object_new(TB_TYPE_WINDOW, "application", application, NULL);
}
