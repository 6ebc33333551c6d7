/* app/ui/pane-tools.c: see pane-tools.h. */
#include "app/ui/pane-tools.h"

#include <glib/gi18n.h>
#include <math.h>

enum { LABEL_PX = 92 };

GtkWidget *tb_pane_heading(const char *text)
{
    GtkWidget *label = gtk_label_new(text);
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_max_width_chars(GTK_LABEL(label), 28);
    gtk_widget_add_css_class(label, "heading");
    gtk_widget_set_margin_top(label, 6);
    return label;
}

/* The word beside an icon says the same: the icon is for the eye alone. */
static GtkWidget *icon_new(const char *name)
{
    g_autofree char *icon = g_strdup_printf("tombolo-%s-symbolic", name);
    GtkWidget *image = g_object_new(GTK_TYPE_IMAGE, "icon-name", icon, "accessible-role",
            GTK_ACCESSIBLE_ROLE_PRESENTATION, "pixel-size", 20, NULL);
    return image;
}

const char *tb_pane_step_name(tb_step step)
{
    static const char *const NAMES[TB_N_STEPS] = {
            N_("Photo"), N_("Tone"), N_("Pattern"), N_("Check"), N_("Sheets")};
    return _(NAMES[step]);
}

GtkWidget *tb_pane_column(tb_step step, const char *lead)
{
    static const char *const ICONS[TB_N_STEPS] = {"photo", "tone", "pattern", "check", "sheets"};
    GtkWidget *column = gtk_box_new(GTK_ORIENTATION_VERTICAL, 8);
    GtkWidget *label = gtk_label_new(tb_pane_step_name(step));
    GtkWidget *head = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 10);
    gtk_widget_add_css_class(column, "pane");
    gtk_widget_add_css_class(label, "title-2");
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_box_append(GTK_BOX(head), icon_new(ICONS[step]));
    gtk_box_append(GTK_BOX(head), label);
    gtk_box_append(GTK_BOX(column), head);
    if (lead) {
        GtkWidget *text = gtk_label_new(lead);
        gtk_label_set_xalign(GTK_LABEL(text), 0);
        gtk_label_set_wrap(GTK_LABEL(text), TRUE);
        gtk_label_set_max_width_chars(GTK_LABEL(text), 32);
        gtk_widget_add_css_class(text, "dim-label");
        gtk_box_append(GTK_BOX(column), text);
    }
    return column;
}

void tb_pane_name(GtkWidget *control, const char *label)
{
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(control), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
}

/* A list's focus is taken by the button in it: that one tells what is chosen. */
static void chosen_cb(GtkDropDown *list)
{
    GtkStringObject *chosen = gtk_drop_down_get_selected_item(list);
    if (chosen)
        gtk_accessible_update_property(GTK_ACCESSIBLE(gtk_widget_get_first_child(GTK_WIDGET(list))),
                GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, gtk_string_object_get_string(chosen), -1);
}

/* A list stands beside its label: it is no higher than that. */
static void add_row(GtkWidget *column, const char *label, GtkWidget *control)
{
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
    GtkWidget *text = gtk_label_new(label);
    gtk_label_set_xalign(GTK_LABEL(text), 0);
    gtk_label_set_wrap(GTK_LABEL(text), TRUE);
    gtk_widget_set_size_request(text, LABEL_PX, -1);
    gtk_widget_add_css_class(text, "heading");
    gtk_widget_set_hexpand(control, TRUE);
    gtk_box_append(GTK_BOX(row), text);
    gtk_box_append(GTK_BOX(row), control);
    gtk_box_append(GTK_BOX(column), row);
}

void tb_pane_add_beside(GtkWidget *column, const char *label, GtkWidget *control)
{
    tb_pane_name(control, label);
    add_row(column, label, control);
}

void tb_pane_add_named(GtkWidget *column, const char *label, GtkWidget *control)
{
    tb_pane_name(control, label);
    if (GTK_IS_DROP_DOWN(control)) {
        tb_pane_name(gtk_widget_get_first_child(control), label);
        g_signal_connect(control, "notify::selected-item", G_CALLBACK(chosen_cb), NULL);
        chosen_cb(GTK_DROP_DOWN(control));
        add_row(column, label, control);
        return;
    }
    gtk_box_append(GTK_BOX(column), tb_pane_heading(label));
    gtk_box_append(GTK_BOX(column), control);
}

GtkWidget *tb_pane_switch(GtkWidget *column, const char *label)
{
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
    GtkWidget *text = gtk_label_new(label), *turned = gtk_switch_new();
    gtk_label_set_xalign(GTK_LABEL(text), 0);
    gtk_label_set_wrap(GTK_LABEL(text), TRUE);
    gtk_widget_set_hexpand(text, TRUE);
    gtk_widget_set_valign(turned, GTK_ALIGN_CENTER);
    gtk_widget_set_size_request(row, -1, 44);
    tb_pane_name(turned, label);
    gtk_box_append(GTK_BOX(row), text);
    gtk_box_append(GTK_BOX(row), turned);
    gtk_box_append(GTK_BOX(column), row);
    return turned;
}

static void pass_wheel_of(GtkWidget *widget)
{
    GListModel *controllers = gtk_widget_observe_controllers(widget);
    for (guint i = g_list_model_get_n_items(controllers); i-- > 0;) {
        GtkEventController *controller = g_list_model_get_item(controllers, i);
        if (GTK_IS_EVENT_CONTROLLER_SCROLL(controller))
            gtk_widget_remove_controller(widget, controller);
        g_object_unref(controller);
    }
    g_object_unref(controllers);
}

void tb_pane_pass_wheel(GtkWidget *control)
{
    pass_wheel_of(control);
    for (GtkWidget *child = gtk_widget_get_first_child(control); child;
            child = gtk_widget_get_next_sibling(child))
        tb_pane_pass_wheel(child);
}

static void pressed_twice_cb(GtkGestureClick *press, int n, double x, double y, GtkEditable *number)
{
    (void)x;
    (void)y;
    if (n < 2)
        return;
    gtk_gesture_set_state(GTK_GESTURE(press), GTK_EVENT_SEQUENCE_CLAIMED);
    gtk_editable_select_region(number, 0, -1);
}

/* Whether the number can be what it says, within what its digits leave open. The toolkit's own
 * reading follows, and puts back what was there. */
static int read_cb(GtkSpinButton *number, double *value, TbDesk *desk)
{
    const char *text = gtk_editable_get_text(GTK_EDITABLE(number));
    int digits = (int)gtk_spin_button_get_digits(number);
    double least, most, half_step = pow(10, -digits) / 2;
    char *rest;
    gtk_spin_button_get_range(number, &least, &most);
    *value = g_strtod(text, &rest);
    if (rest != text && !*rest && *value >= least - half_step && *value <= most + half_step)
        return FALSE;
    g_autofree char *from = g_strdup_printf("%.*f", digits, least);
    g_autofree char *to = g_strdup_printf("%.*f", digits, most);
    g_autofree char *limits =
            g_strdup_printf(_("Only numbers from %s to %s can stand here"), from, to);
    tb_desk_say(desk, limits, false);
    return FALSE;
}

void tb_pane_number(GtkWidget *spin_button, TbDesk *desk)
{
    GtkEditable *text = gtk_editable_get_delegate(GTK_EDITABLE(spin_button));
    GtkGesture *press = gtk_gesture_click_new();
    gtk_event_controller_set_propagation_phase(GTK_EVENT_CONTROLLER(press), GTK_PHASE_CAPTURE);
    g_signal_connect_object(press, "pressed", G_CALLBACK(pressed_twice_cb), spin_button, 0);
    gtk_widget_add_controller(GTK_WIDGET(text), GTK_EVENT_CONTROLLER(press));
    g_signal_connect_object(spin_button, "input", G_CALLBACK(read_cb), desk, 0);
    gtk_spin_button_set_update_policy(GTK_SPIN_BUTTON(spin_button), GTK_UPDATE_IF_VALID);
    tb_pane_pass_wheel(spin_button);
}

GtkWidget *tb_pane_slider(
        GtkWidget *column, const char *label, double least, double most, double step, int digits)
{
    GtkWidget *slider = gtk_scale_new_with_range(GTK_ORIENTATION_HORIZONTAL, least, most, step);
    gtk_scale_set_digits(GTK_SCALE(slider), digits);
    gtk_scale_set_draw_value(GTK_SCALE(slider), TRUE);
    gtk_scale_set_value_pos(GTK_SCALE(slider), GTK_POS_RIGHT);
    tb_pane_pass_wheel(slider);
    GtkWidget *both = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    tb_pane_add_named(both, label, slider);
    gtk_box_append(GTK_BOX(column), both);
    return slider;
}

static char *length_cb(GtkScale *slider, double mm, gpointer desk)
{
    (void)slider;
    return tb_desk_length(desk, mm);
}

/* The toolkit measures the text anew when it is given how to make it. */
static void unit_cb(TbDesk *desk, GParamSpec *spec, GtkScale *slider)
{
    (void)spec;
    gtk_scale_set_format_value_func(slider, length_cb, g_object_ref(desk), g_object_unref);
}

GtkWidget *tb_pane_length_slider(GtkWidget *column, TbDesk *desk, const char *label,
        double least_mm, double most_mm, double step_mm)
{
    GtkWidget *slider = tb_pane_slider(column, label, least_mm, most_mm, step_mm, 1);
    g_signal_connect_object(desk, "notify::inches", G_CALLBACK(unit_cb), slider, 0);
    unit_cb(desk, NULL, GTK_SCALE(slider));
    return slider;
}

static void name_setup_cb(GtkSignalListItemFactory *factory, GtkListItem *item, gpointer unused)
{
    GtkWidget *label = gtk_label_new(NULL);
    (void)factory;
    (void)unused;
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    gtk_list_item_set_child(item, label);
}

static void name_bind_cb(GtkSignalListItemFactory *factory, GtkListItem *item, gpointer unused)
{
    GtkStringObject *name = gtk_list_item_get_item(item);
    (void)factory;
    (void)unused;
    gtk_label_set_text(
            GTK_LABEL(gtk_list_item_get_child(item)), gtk_string_object_get_string(name));
}

GtkWidget *tb_pane_list_new(GListModel *names)
{
    GtkWidget *list = gtk_drop_down_new(names, NULL);
    GtkListItemFactory *on_button = gtk_signal_list_item_factory_new();
    g_signal_connect(on_button, "setup", G_CALLBACK(name_setup_cb), NULL);
    g_signal_connect(on_button, "bind", G_CALLBACK(name_bind_cb), NULL);
    /* The toolkit's own stays for the list: it marks what is chosen. */
    gtk_drop_down_set_list_factory(
            GTK_DROP_DOWN(list), gtk_drop_down_get_factory(GTK_DROP_DOWN(list)));
    gtk_drop_down_set_factory(GTK_DROP_DOWN(list), on_button);
    g_object_unref(on_button);
    return list;
}

static const char *const TOOL_ICONS[TB_N_TOOLS] = {
        [TB_TOOL_MOVE] = "move",
        [TB_TOOL_WOOD] = "wood",
        [TB_TOOL_SAW] = "saw",
        [TB_TOOL_BRIDGE] = "bridge",
        [TB_TOOL_TAKE_OUT] = "take-out",
        [TB_TOOL_CLOSE] = "close",
        [TB_TOOL_NOTE] = "note",
        [TB_TOOL_KEEP_OPEN] = "keep-open",
        [TB_TOOL_LIGHTEN] = "lighten",
        [TB_TOOL_DARKEN] = "darken",
        [TB_TOOL_KEEP_DETAIL] = "keep-detail",
        [TB_TOOL_KEEP_IN] = "keep-in",
        [TB_TOOL_LEAVE_OUT] = "leave-out",
};

static GtkWidget *tool_new(tb_tool tool, const char *label, const char *hint)
{
    GtkWidget *button = gtk_toggle_button_new();
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
    GtkWidget *text = gtk_label_new(label);
    gtk_label_set_xalign(GTK_LABEL(text), 0);
    gtk_widget_set_hexpand(text, TRUE);
    gtk_label_set_wrap(GTK_LABEL(text), TRUE);
    gtk_label_set_width_chars(GTK_LABEL(text), 10);
    gtk_label_set_max_width_chars(GTK_LABEL(text), 14);
    gtk_box_append(GTK_BOX(row), icon_new(TOOL_ICONS[tool]));
    gtk_box_append(GTK_BOX(row), text);
    gtk_button_set_child(GTK_BUTTON(button), row);
    gtk_widget_set_size_request(button, -1, 46);
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), "win.tool");
    gtk_actionable_set_action_target_value(GTK_ACTIONABLE(button), g_variant_new_int32((int)tool));
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, label,
            GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, hint, -1);
    return button;
}

GtkWidget *tb_pane_tools(const tb_tool_words *tools, int n_tools)
{
    GtkWidget *grid = gtk_grid_new();
    gtk_widget_add_css_class(grid, "tools");
    gtk_grid_set_column_homogeneous(GTK_GRID(grid), TRUE);
    gtk_grid_set_row_homogeneous(GTK_GRID(grid), TRUE);
    gtk_grid_set_column_spacing(GTK_GRID(grid), 6);
    gtk_grid_set_row_spacing(GTK_GRID(grid), 6);
    for (int i = 0; i < n_tools; i++)
        gtk_grid_attach(GTK_GRID(grid),
                tool_new(tools[i].tool, _(tools[i].label), _(tools[i].hint)), i % 2, i / 2, 1, 1);
    return grid;
}

static void brush_cb(GtkRange *range, TbDesk *desk)
{
    tb_desk_set_brush_mm(desk, gtk_range_get_value(range));
}

static void brush_changed_cb(TbDesk *desk, GParamSpec *spec, GtkRange *range)
{
    (void)spec;
    gtk_range_set_value(range, tb_desk_brush_mm(desk));
}

void tb_pane_add_brush(GtkWidget *column, TbDesk *desk)
{
    GtkWidget *brush = tb_pane_length_slider(column, desk, _("Brush"), 0.4, 20, 0.1);
    gtk_range_set_value(GTK_RANGE(brush), tb_desk_brush_mm(desk));
    g_signal_connect_object(brush, "value-changed", G_CALLBACK(brush_cb), desk, 0);
    g_signal_connect_object(desk, "notify::brush-mm", G_CALLBACK(brush_changed_cb), brush, 0);
}
