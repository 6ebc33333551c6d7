/* app/ui/pane-pattern.c: the hand's tools. */
#include "app/ui/bridges.h"
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include <glib/gi18n.h>

GtkWidget *tb_pattern_pane_new(TbDesk *desk)
{
    GtkWidget *column =
            tb_pane_column(TB_STEP_PATTERN, _("What you paint stays, whatever else moves."));
    static const tb_tool_words TOOLS[] = {
            {TB_TOOL_MOVE, N_("Move the board"), N_("Drag to see another part")},
            {TB_TOOL_WOOD, N_("Paint wood"), N_("Wood under the brush")},
            {TB_TOOL_SAW, N_("Saw away"), N_("Opening under the brush")},
            {TB_TOOL_BRIDGE, N_("Place a bridge"), N_("Drag from one bank to the other")},
            {TB_TOOL_TAKE_OUT, N_("Take out a piece"), N_("Press on an island to drop it")},
            {TB_TOOL_CLOSE, N_("Close an opening"), N_("Press in an opening to fill it")},
            {TB_TOOL_KEEP_OPEN, N_("No bridge here"),
                    N_("No bridge crosses what is under the brush")},
            {TB_TOOL_NOTE, N_("Write a note"), N_("Press where a note belongs")},
    };
    gtk_box_append(GTK_BOX(column), tb_pane_tools(TOOLS, G_N_ELEMENTS(TOOLS)));
    tb_pane_add_brush(column, desk);
    gtk_box_append(GTK_BOX(column), tb_bridges_new(desk));
    return column;
}
