/* app/ui/hint.c: see hint.h. */
#include "app/ui/hint.h"

#include <glib/gi18n.h>

static const char *const HINTS[TB_N_TOOLS] = {
        [TB_TOOL_MOVE] = N_("Drag to move the board; turn the wheel to come nearer"),
        [TB_TOOL_WOOD] = N_("Drag over the dark to make it wood"),
        [TB_TOOL_SAW] = N_("Drag over the wood to saw it away"),
        [TB_TOOL_BRIDGE] = N_("Drag across the dark, from wood to wood"),
        [TB_TOOL_TAKE_OUT] = N_("Press on a loose piece of wood to take it out"),
        [TB_TOOL_CLOSE] = N_("Press in an opening to fill it with wood"),
        [TB_TOOL_NOTE] = N_("Press where you want to write a note"),
        [TB_TOOL_KEEP_OPEN] = N_("Drag where no bridge shall cross"),
        [TB_TOOL_LIGHTEN] = N_("Drag over what is too dark: more of it becomes wood"),
        [TB_TOOL_DARKEN] = N_("Drag over what is too light: more of it is sawn away"),
        [TB_TOOL_KEEP_DETAIL] = N_("Drag over eyes, mouth or hair to keep what is fine there"),
        [TB_TOOL_KEEP_IN] = N_("Drag inside the person or animal that must stay"),
        [TB_TOOL_LEAVE_OUT] = N_("Drag in what stands behind: it goes, up to the next outline"),
};

static const char *text_of(TbDesk *desk)
{
    if (tb_desk_step(desk) == TB_STEP_PHOTO)
        return _("Pull the corners until the frame holds what you want to saw");
    if (tb_desk_step(desk) == TB_STEP_CHECK && tb_desk_tool(desk) == TB_TOOL_MOVE)
        return _("Press a line of the list to see its place");
    return _(HINTS[tb_desk_tool(desk)]);
}

static void follow(GtkLabel *label, GParamSpec *spec, TbDesk *desk)
{
    (void)spec;
    gtk_label_set_text(label, text_of(desk));
}

GtkWidget *tb_hint_new(TbDesk *desk)
{
    GtkWidget *hint = gtk_label_new(NULL);
    gtk_label_set_wrap(GTK_LABEL(hint), TRUE);
    gtk_label_set_justify(GTK_LABEL(hint), GTK_JUSTIFY_CENTER);
    gtk_widget_add_css_class(hint, "hint");
    gtk_widget_set_halign(hint, GTK_ALIGN_CENTER);
    gtk_widget_set_valign(hint, GTK_ALIGN_END);
    gtk_widget_set_can_target(hint, FALSE);
    g_signal_connect_object(desk, "notify::tool", G_CALLBACK(follow), hint, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::step", G_CALLBACK(follow), hint, G_CONNECT_SWAPPED);
    follow(GTK_LABEL(hint), NULL, desk);
    return hint;
}
