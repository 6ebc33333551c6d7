/* app/ui/pane-tools.h: what the panes are put together from: headings, rows, tool buttons. */
#ifndef TB_APP_PANE_TOOLS_H
#define TB_APP_PANE_TOOLS_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

/* "Tone", in the user's language; static. */
const char *tb_pane_step_name(tb_step step);

/* A column with the pane's margins, the step's icon and its name. */
GtkWidget *tb_pane_column(tb_step step, const char *lead);
GtkWidget *tb_pane_heading(const char *text);

/* What a screen reader calls it. */
void tb_pane_name(GtkWidget *control, const char *label);

/* A control under its label, a list beside it; named by it for screen readers. */
void tb_pane_add_named(GtkWidget *column, const char *label, GtkWidget *control);

/* A control beside its label; named by it for screen readers. */
void tb_pane_add_beside(GtkWidget *column, const char *label, GtkWidget *control);

/* A switch beside its label, named by it: a screen reader can turn it, as it can't a check box. */
GtkWidget *tb_pane_switch(GtkWidget *column, const char *label);

/* A label above a slider; named for screen readers by the label. The slider is returned. */
GtkWidget *tb_pane_slider(
        GtkWidget *column, const char *label, double least, double most, double step, int digits);

/* The same of a length in millimetres, told in the desk's unit. */
GtkWidget *tb_pane_length_slider(GtkWidget *column, TbDesk *desk, const char *label,
        double least_mm, double most_mm, double step_mm);

/* A list to choose from whose long names are cut short on its button, not in the list. Takes the
 * names. */
GtkWidget *tb_pane_list_new(GListModel *names);

/* The wheel passes over it: it scrolls the panel and changes nothing by the way. For sliders and
 * numbers. */
void tb_pane_pass_wheel(GtkWidget *control);

/* Large toggles, two side by side. Words are marked for translation, and translated here. */
typedef struct {
    tb_tool tool;
    const char *label, *hint;
} tb_tool_words;
GtkWidget *tb_pane_tools(const tb_tool_words *tools, int n_tools);

/* How broad the brush is: a slider of the desk's brush. */
void tb_pane_add_brush(GtkWidget *column, TbDesk *desk);

/* A number to be typed: what is none, or out of range, changes nothing, and the desk says what
 * could be. A double press takes all of it. */
void tb_pane_number(GtkWidget *spin_button, TbDesk *desk);

#endif
