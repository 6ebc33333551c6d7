/* app/ui/note-dialog.c: see note-dialog.h. */
#include "app/ui/note-dialog.h"

#include <adwaita.h>
#include <glib/gi18n.h>
#include <math.h>

static const double RADIUS_MM = 5;

typedef struct {
    TbDesk *desk;
    GtkTextBuffer *text;
    tb_note note;
} asking;

static void asking_free(gpointer payload, GClosure *closure)
{
    asking *a = payload;
    (void)closure;
    g_object_unref(a->desk);
    g_free(a);
}

/* One line, as it stands on the sheets; "" where nothing is written. */
static void take_text(asking *a)
{
    GtkTextIter start, end;
    const char *whole;
    gtk_text_buffer_get_bounds(a->text, &start, &end);
    g_autofree char *text = gtk_text_buffer_get_text(a->text, &start, &end, FALSE);
    g_strstrip(g_strdelimit(text, "\r\n\t", ' '));
    g_strlcpy(a->note.text, text, sizeof a->note.text);
    if (!g_utf8_validate(a->note.text, -1, &whole))
        a->note.text[whole - a->note.text] = '\0';
}

static void response_cb(AdwMessageDialog *dialog, const char *response, gpointer payload)
{
    asking *a = payload;
    TbWork *work = tb_desk_work(a->desk);
    (void)dialog;
    if (!work || g_str_equal(response, "cancel"))
        return;
    if (g_str_equal(response, "remove")) {
        tb_work_unring(work, a->note.id);
        return;
    }
    take_text(a);
    tb_work_ring(work, &a->note);
}

static gboolean key_cb(
        GtkEventControllerKey *keys, guint key, guint code, GdkModifierType with, gpointer view)
{
    (void)keys;
    (void)code;
    (void)with;
    if (key != GDK_KEY_Return && key != GDK_KEY_KP_Enter)
        return GDK_EVENT_PROPAGATE;
    gtk_widget_activate_default(view);
    return GDK_EVENT_STOP;
}

/* A few lines: a note is read whole. Return keeps it. */
static GtkWidget *text_new(asking *a)
{
    GtkWidget *view = gtk_text_view_new();
    GtkEventController *keys = gtk_event_controller_key_new();
    g_object_set(view, "wrap-mode", GTK_WRAP_WORD_CHAR, "accepts-tab", FALSE, "left-margin", 8,
            "right-margin", 8, "top-margin", 8, "bottom-margin", 8, "height-request", 110, NULL);
    gtk_widget_add_css_class(view, "note");
    gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
    g_signal_connect(keys, "key-pressed", G_CALLBACK(key_cb), view);
    gtk_widget_add_controller(view, keys);
    a->text = gtk_text_view_get_buffer(GTK_TEXT_VIEW(view));
    gtk_text_buffer_set_text(a->text, a->note.text, -1);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(view), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Note"), -1);
    return view;
}

/* The note whose ring holds the place, or a new one there. */
static tb_note note_at(TbWork *work, double x_mm, double y_mm)
{
    size_t n;
    const tb_note *notes = tb_work_notes(work, &n);
    for (size_t i = 0; i < n; i++)
        if (hypot(notes[i].x_mm - x_mm, notes[i].y_mm - y_mm) < notes[i].radius_mm)
            return notes[i];
    return (tb_note){.x_mm = x_mm, .y_mm = y_mm, .radius_mm = RADIUS_MM};
}

void tb_note_dialog_ask(GtkWindow *parent, TbDesk *desk, double x_mm, double y_mm)
{
    GtkWidget *dialog = adw_message_dialog_new(parent, _("Write a note"), NULL);
    asking *a = g_new0(asking, 1);
    a->desk = g_object_ref(desk);
    a->note = note_at(tb_desk_work(desk), x_mm, y_mm);
    GtkWidget *text = text_new(a);
    adw_message_dialog_set_extra_child(ADW_MESSAGE_DIALOG(dialog), text);
    adw_message_dialog_add_response(ADW_MESSAGE_DIALOG(dialog), "cancel", _("Cancel"));
    if (a->note.id)
        adw_message_dialog_add_response(ADW_MESSAGE_DIALOG(dialog), "remove", _("Remove"));
    adw_message_dialog_add_response(ADW_MESSAGE_DIALOG(dialog), "keep", _("Keep"));
    adw_message_dialog_set_default_response(ADW_MESSAGE_DIALOG(dialog), "keep");
    adw_message_dialog_set_close_response(ADW_MESSAGE_DIALOG(dialog), "cancel");
    g_signal_connect_data(dialog, "response", G_CALLBACK(response_cb), a, asking_free, 0);
    gtk_window_present(GTK_WINDOW(dialog));
    gtk_widget_grab_focus(text);
}
