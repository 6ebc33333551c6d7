/* app/ui/bench-keys.c: the bench by keys alone.
 *
 * Arrows move a cursor, with Shift by single pixels; at the view's edge the board moves under it.
 * Space or Return presses there and lets go again, Escape gives the stroke up. Digits take up the
 * tools of the step in their order on the panel, 0 the board itself; Page Up and Page Down change
 * the brush. While the frame is being set, the arrows move it.
 */
#include "app/ui/bench-private.h"

#include <glib/gi18n.h>
#include <math.h>

static const double STEP_PX = 12, PAN_STEP_PX = 60, BRUSH_STEP = 1.2;

/* What a screen reader says of the cursor's place. */
static void tell_place(TbBench *self)
{
    const tb_work_pattern *pattern = self->work ? tb_work_pattern_now(self->work) : NULL;
    const tb_mask *mask = pattern ? pattern->result->pattern : NULL;
    g_autofree char *across = tb_desk_length(self->desk, self->pointer_x_mm);
    g_autofree char *down = tb_desk_length(self->desk, self->pointer_y_mm);
    const char *what = _("beside the board");
    if (mask) {
        int x = (int)floor(self->pointer_x_mm * mask->px_per_mm);
        int y = (int)floor(self->pointer_y_mm * mask->px_per_mm);
        if (x >= 0 && y >= 0 && x < mask->width_px && y < mask->height_px)
            what = mask->px[(size_t)y * (size_t)mask->width_px + (size_t)x] ? _("wood")
                                                                            : _("opening");
    }
    g_autofree char *text = g_strdup_printf(_("%s across, %s down: %s"), across, down, what);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
}

static void put_cursor(TbBench *self, double dx, double dy)
{
    int width = gtk_widget_get_width(GTK_WIDGET(self));
    int height = gtk_widget_get_height(GTK_WIDGET(self));
    double x = width / 2.0, y = height / 2.0;
    if (!isnan(self->pointer_x_mm))
        tb__bench_to_widget(self, self->pointer_x_mm, self->pointer_y_mm, &x, &y);
    double beyond_x = x + dx - CLAMP(x + dx, 0, width);
    double beyond_y = y + dy - CLAMP(y + dy, 0, height);
    if (beyond_x != 0 || beyond_y != 0)
        tb__bench_move(self, -beyond_x, -beyond_y);
    tb__bench_to_board(
            self, x + dx - beyond_x, y + dy - beyond_y, &self->pointer_x_mm, &self->pointer_y_mm);
    self->keyed = true;
    tb_bench_drag_to(self, self->pointer_x_mm, self->pointer_y_mm, 1);
    g_signal_emit_by_name(self, "pointed", self->pointer_x_mm, self->pointer_y_mm);
    tell_place(self);
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

static bool frame_key(TbBench *self, guint key, bool grows)
{
    if (key == GDK_KEY_Escape && self->grip)
        self->grip = TB_GRIP_NONE;
    else if (key == GDK_KEY_Left || key == GDK_KEY_Right)
        tb__bench_frame_step(self, key == GDK_KEY_Right ? 1 : -1, 0, grows);
    else if (key == GDK_KEY_Up || key == GDK_KEY_Down)
        tb__bench_frame_step(self, 0, key == GDK_KEY_Down ? 1 : -1, grows);
    else
        return false;
    gtk_widget_queue_draw(GTK_WIDGET(self));
    return true;
}

/* The board has no cursor: it moves itself. */
static bool arrow_key(TbBench *self, guint key, bool fine)
{
    static const struct {
        guint key;
        int dx, dy;
    } ARROWS[] = {{GDK_KEY_Left, -1, 0}, {GDK_KEY_Right, 1, 0}, {GDK_KEY_Up, 0, -1},
            {GDK_KEY_Down, 0, 1}};
    for (size_t i = 0; i < G_N_ELEMENTS(ARROWS); i++) {
        if (key != ARROWS[i].key)
            continue;
        bool moves = tb_desk_tool(self->desk) == TB_TOOL_MOVE;
        double step = fine ? 1 : moves ? PAN_STEP_PX : STEP_PX;
        if (moves)
            tb__bench_move(self, -step * ARROWS[i].dx, -step * ARROWS[i].dy);
        else
            put_cursor(self, step * ARROWS[i].dx, step * ARROWS[i].dy);
        return true;
    }
    return false;
}

/* In the order of the panels. */
static bool tool_key(TbBench *self, guint key)
{
    static const tb_tool OF_TONE[] = {TB_TOOL_MOVE, TB_TOOL_LIGHTEN, TB_TOOL_DARKEN,
            TB_TOOL_KEEP_DETAIL, TB_TOOL_KEEP_IN, TB_TOOL_LEAVE_OUT};
    static const tb_tool OF_PATTERN[] = {TB_TOOL_MOVE, TB_TOOL_WOOD, TB_TOOL_SAW, TB_TOOL_BRIDGE,
            TB_TOOL_TAKE_OUT, TB_TOOL_CLOSE, TB_TOOL_KEEP_OPEN, TB_TOOL_NOTE};
    bool tones = tb_desk_step(self->desk) == TB_STEP_TONE;
    guint n_tools = tones ? G_N_ELEMENTS(OF_TONE) : G_N_ELEMENTS(OF_PATTERN);
    if (key < GDK_KEY_0 || key - GDK_KEY_0 >= n_tools)
        return false;
    tb_desk_set_tool(self->desk, (tones ? OF_TONE : OF_PATTERN)[key - GDK_KEY_0]);
    return true;
}

static bool press_key(TbBench *self, guint key)
{
    bool presses = key == GDK_KEY_space || key == GDK_KEY_Return || key == GDK_KEY_KP_Enter;
    if (presses && self->pressed) {
        tb_bench_release(self);
    } else if (presses) {
        if (isnan(self->pointer_x_mm))
            put_cursor(self, 0, 0);
        tb_bench_press(self, self->pointer_x_mm, self->pointer_y_mm, 1);
    } else if (key == GDK_KEY_Escape && self->pressed) {
        tb_bench_cancel(self);
    } else {
        return false;
    }
    return true;
}

static bool view_key(TbBench *self, guint key)
{
    double brush_mm = tb_desk_brush_mm(self->desk);
    if (key == GDK_KEY_Page_Up)
        tb_desk_set_brush_mm(self->desk, brush_mm * BRUSH_STEP);
    else if (key == GDK_KEY_Page_Down)
        tb_desk_set_brush_mm(self->desk, brush_mm / BRUSH_STEP);
    else if (key == GDK_KEY_plus || key == GDK_KEY_KP_Add)
        gtk_widget_activate_action(GTK_WIDGET(self), "bench.nearer", NULL);
    else if (key == GDK_KEY_minus || key == GDK_KEY_KP_Subtract)
        gtk_widget_activate_action(GTK_WIDGET(self), "bench.farther", NULL);
    else
        return false;
    return true;
}

static gboolean key_cb(GtkEventControllerKey *controller, guint key, guint code,
        GdkModifierType keys, TbBench *self)
{
    bool shifted = keys & GDK_SHIFT_MASK;
    (void)controller;
    (void)code;
    if (keys & (GDK_CONTROL_MASK | GDK_ALT_MASK))
        return GDK_EVENT_PROPAGATE;
    if (view_key(self, key))
        return GDK_EVENT_STOP;
    if (tb__bench_framing(self))
        return frame_key(self, key, shifted) ? GDK_EVENT_STOP : GDK_EVENT_PROPAGATE;
    bool ours = arrow_key(self, key, shifted) || press_key(self, key) || tool_key(self, key);
    return ours ? GDK_EVENT_STOP : GDK_EVENT_PROPAGATE;
}

void tb__bench_add_keys(TbBench *self)
{
    GtkEventController *keys = gtk_event_controller_key_new();
    g_signal_connect_object(keys, "key-pressed", G_CALLBACK(key_cb), self, 0);
    gtk_widget_add_controller(GTK_WIDGET(self), keys);
}
