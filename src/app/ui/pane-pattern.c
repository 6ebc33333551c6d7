/* app/ui/pane-pattern.c: the hand's tools. */
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include <glib/gi18n.h>

static void brush_cb(GtkRange *range, TbDesk *desk)
{
    tb_desk_set_brush_mm(desk, gtk_range_get_value(range));
}

GtkWidget *tb_pattern_pane_new(TbDesk *desk)
{
    GtkWidget *column = tb_pane_column(TB_STEP_PATTERN, _("Pattern"),
            _("Your hand has the last word: what you paint stays, whatever else moves."));
    static const struct {
        tb_tool tool;
        const char *label, *hint;
    } TOOLS[] = {
            {TB_TOOL_MOVE, N_("Move the board"), N_("Drag to see another part")},
            {TB_TOOL_WOOD, N_("Paint wood"), N_("Wood under the brush")},
            {TB_TOOL_SAW, N_("Saw away"), N_("Opening under the brush")},
            {TB_TOOL_BRIDGE, N_("Bridge, bank to bank"), N_("Drag from one bank to the other")},
            {TB_TOOL_TAKE_OUT, N_("Take out a piece"), N_("Press on an island to drop it")},
            {TB_TOOL_CLOSE, N_("Close an opening"), N_("Press in an opening to fill it")},
            {TB_TOOL_NOTE, N_("Ring a spot"), N_("Press where a note belongs")},
    };
    for (size_t i = 0; i < G_N_ELEMENTS(TOOLS); i++)
        gtk_box_append(
                GTK_BOX(column), tb_pane_tool(TOOLS[i].tool, _(TOOLS[i].label), _(TOOLS[i].hint)));
    GtkWidget *brush = tb_pane_slider(column, _("Brush, in millimetres"), 0.4, 20, 0.1, 1);
    gtk_range_set_value(GTK_RANGE(brush), tb_desk_brush_mm(desk));
    g_signal_connect_object(brush, "value-changed", G_CALLBACK(brush_cb), desk, 0);
    return column;
}
