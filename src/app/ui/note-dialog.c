/* app/ui/note-dialog.c: see note-dialog.h. */
#include "app/ui/note-dialog.h"

#include <adwaita.h>
#include <glib/gi18n.h>
#include <math.h>

static const double RADIUS_MM = 5;

typedef struct {
    TbDesk *desk;
    GtkWidget *entry;
    tb_note note;
} asking;

static void asking_free(gpointer payload, GClosure *closure)
{
    asking *a = payload;
    (void)closure;
    g_object_unref(a->desk);
    g_free(a);
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
    g_strlcpy(a->note.text, gtk_editable_get_text(GTK_EDITABLE(a->entry)), sizeof a->note.text);
    tb_work_ring(work, &a->note);
}

/* The note whose ring holds the place, or a new one there. */
static tb_note note_at(TbWork *work, double x_mm, double y_mm)
{
    const tb_project_state *state = tb_work_state(work);
    for (size_t i = 0; i < state->n_notes; i++)
        if (hypot(state->notes[i].x_mm - x_mm, state->notes[i].y_mm - y_mm) <
                state->notes[i].radius_mm)
            return state->notes[i];
    return (tb_note){.x_mm = x_mm, .y_mm = y_mm, .radius_mm = RADIUS_MM};
}

void tb_note_dialog_ask(GtkWindow *parent, TbDesk *desk, double x_mm, double y_mm)
{
    GtkWidget *dialog = adw_message_dialog_new(parent, _("Ring this spot"), NULL);
    asking *a = g_new0(asking, 1);
    a->desk = g_object_ref(desk);
    a->note = note_at(tb_desk_work(desk), x_mm, y_mm);
    a->entry = gtk_entry_new();
    gtk_editable_set_text(GTK_EDITABLE(a->entry), a->note.text);
    gtk_entry_set_activates_default(GTK_ENTRY(a->entry), TRUE);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(a->entry), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Note"), -1);
    adw_message_dialog_set_extra_child(ADW_MESSAGE_DIALOG(dialog), a->entry);
    adw_message_dialog_add_response(ADW_MESSAGE_DIALOG(dialog), "cancel", _("Cancel"));
    if (a->note.id)
        adw_message_dialog_add_response(ADW_MESSAGE_DIALOG(dialog), "remove", _("Remove"));
    adw_message_dialog_add_response(ADW_MESSAGE_DIALOG(dialog), "keep", _("Keep"));
    adw_message_dialog_set_default_response(ADW_MESSAGE_DIALOG(dialog), "keep");
    adw_message_dialog_set_close_response(ADW_MESSAGE_DIALOG(dialog), "cancel");
    g_signal_connect_data(dialog, "response", G_CALLBACK(response_cb), a, asking_free, 0);
    gtk_window_present(GTK_WINDOW(dialog));
}
