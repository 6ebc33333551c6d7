/* app/ui/bench-input.c: pointer, pen and wheel.
 *
 * A stroke is drawn into a copy of the pattern at once, so it follows the pointer; when it ends it
 * goes to the work, and the exact pattern takes the copy's place.
 */
#include "app/ui/bench-private.h"

#include <glib/gi18n.h>

#include <math.h>

static const double WHEEL_STEP = 1.15;

static const tb_stroke_kind KINDS[TB_N_TOOLS] = {
        [TB_TOOL_WOOD] = TB_STROKE_WOOD,
        [TB_TOOL_SAW] = TB_STROKE_SAW,
        [TB_TOOL_BRIDGE] = TB_STROKE_BRIDGE,
        [TB_TOOL_TAKE_OUT] = TB_STROKE_TAKE_OUT,
        [TB_TOOL_CLOSE] = TB_STROKE_CLOSE,
        [TB_TOOL_KEEP_OPEN] = TB_STROKE_KEEP_OPEN,
        [TB_TOOL_LIGHTEN] = TB_STROKE_LIGHTEN,
        [TB_TOOL_DARKEN] = TB_STROKE_DARKEN,
        [TB_TOOL_KEEP_DETAIL] = TB_STROKE_KEEP_DETAIL,
        [TB_TOOL_KEEP_IN] = TB_STROKE_KEEP_IN,
        [TB_TOOL_LEAVE_OUT] = TB_STROKE_LEAVE_OUT,
};

static bool brushes(tb_tool tool)
{
    return tool == TB_TOOL_WOOD || tool == TB_TOOL_SAW || tool >= TB_TOOL_KEEP_OPEN;
}

void tb__bench_drop_live(TbBench *self)
{
    if (self->pressed)
        return;
    tb_hand_free(self->hand);
    tb_picture_free(self->live);
    self->hand = NULL;
    self->live = NULL;
}

static void start_live(TbBench *self)
{
    const tb_work_pattern *pattern = tb_work_pattern_now(self->work);
    if (self->hand || !pattern || pattern->coarse)
        return;
    if (tb_hand_new(&self->hand, pattern->result->pattern, 32 << 20, NULL))
        return;
    self->live = tb_picture_copy(pattern->picture);
    if (self->live)
        tb_tiles_follow(self->tiles, self->live);
    else
        tb__bench_drop_live(self);
}

/* Lays what is new of the stroke on the copy. */
static void lay_live(TbBench *self, size_t first_point)
{
    tb_rect dirty;
    if (!self->hand || !tb_stroke_on_mask(self->stroke.kind) ||
            tb_hand_draw(self->hand, &dirty, &self->stroke, first_point, NULL))
        return;
    tb_picture_refresh(self->live, self->hand->mask, dirty);
    double s = self->hand->mask->px_per_mm;
    tb_tiles_drop_rect(self->tiles, dirty.left_px / s, dirty.top_px / s, dirty.right_px / s,
            dirty.bottom_px / s);
}

static bool add_point(TbBench *self, double x_mm, double y_mm, double pressure)
{
    double width_mm = tb_desk_brush_mm(self->desk) *
                      (brushes(tb_desk_tool(self->desk)) ? 0.3 + 0.7 * pressure : 1);
    return tb_stroke_add(&self->stroke, x_mm, y_mm, width_mm, NULL) == TB_OK;
}

void tb_bench_press(TbBench *self, double x_mm, double y_mm, double pressure)
{
    if (!self->work || self->pressed || tb_desk_tool(self->desk) == TB_TOOL_MOVE ||
            tb__bench_framing(self))
        return;
    if (tb_desk_tool(self->desk) == TB_TOOL_NOTE) {
        g_signal_emit_by_name(self, "note-wanted", x_mm, y_mm);
        return;
    }
    tb_stroke_clear(&self->stroke);
    self->stroke = (tb_stroke)TB_STROKE_INIT(KINDS[tb_desk_tool(self->desk)]);
    if (!add_point(self, x_mm, y_mm, pressure))
        return;
    start_live(self);
    self->pressed = true;
    if (brushes(tb_desk_tool(self->desk)))
        lay_live(self, 0);
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

void tb_bench_drag_to(TbBench *self, double x_mm, double y_mm, double pressure)
{
    if (!self->pressed)
        return;
    if (brushes(tb_desk_tool(self->desk))) {
        size_t first = self->stroke.n_points;
        if (add_point(self, x_mm, y_mm, pressure))
            lay_live(self, first);
    } else if (tb_desk_tool(self->desk) == TB_TOOL_BRIDGE) {
        self->stroke.n_points = 1;
        add_point(self, x_mm, y_mm, pressure);
    }
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

/* Whether there is something at the stroke's place. A piece is looked for as it is before the tie:
 * what is tied hangs together with everything. */
static bool find_place(TbBench *self)
{
    bool found = true;
    tb_hand *untied = NULL;
    const tb_work_pattern *pattern = tb_work_pattern_now(self->work);
    if (self->stroke.kind == TB_STROKE_TAKE_OUT && pattern &&
            tb_hand_new(&untied, pattern->result->untied, 0, NULL) == TB_OK)
        (void)!tb_hand_bound(&found, untied, &self->stroke, NULL);
    else if (self->hand)
        (void)!tb_hand_bound(&found, self->hand, &self->stroke, NULL);
    tb_hand_free(untied);
    return found;
}

/* What was pressed in vain is told why. */
static void say_nothing_there(TbBench *self)
{
    const char *why = self->stroke.kind == TB_STROKE_TAKE_OUT ? _("There is no loose piece here")
                      : self->stroke.kind == TB_STROKE_CLOSE
                              ? _("There is no opening here")
                              : _("A bridge begins on wood and ends on wood");
    tb_desk_say(self->desk, why, false);
}

/* On the tone a stroke shows by the pattern alone; what came of it is told then. */
static void keep_before(TbBench *self)
{
    const tb_work_pattern *pattern = tb_work_pattern_now(self->work);
    if (tb_desk_step(self->desk) != TB_STEP_TONE || !pattern || pattern->coarse || self->before)
        return;
    self->before = tb_result_hold(pattern->result);
}

/* What is sawn away at the board's edge leaves the piece one, and Check only advises to mend it:
 * whoever slipped there must hear of it at once. */
static bool saws_rim(TbBench *self)
{
    double width_mm, height_mm;
    tb__bench_board_size(self, &width_mm, &height_mm);
    for (size_t i = 0; self->stroke.kind == TB_STROKE_SAW && i < self->stroke.n_points; i++) {
        const tb_stroke_point *p = &self->stroke.points[i];
        double x_mm = p->x_um / 1000.0, y_mm = p->y_um / 1000.0, reach_mm = p->width_um / 2000.0;
        if (x_mm < reach_mm || y_mm < reach_mm || x_mm > width_mm - reach_mm ||
                y_mm > height_mm - reach_mm)
            return true;
    }
    return false;
}

void tb_bench_release(TbBench *self)
{
    if (!self->pressed)
        return;
    self->pressed = false;
    bool found = brushes(tb_desk_tool(self->desk)) || find_place(self);
    if (found && !brushes(tb_desk_tool(self->desk)))
        lay_live(self, 0);
    if (found) {
        keep_before(self);
        tb_work_draw(self->work, &self->stroke);
        if (saws_rim(self))
            tb_desk_say(self->desk, _("This saws into the board's edge: the frame is open there"),
                    true);
    } else {
        say_nothing_there(self);
    }
    tb_stroke_clear(&self->stroke);
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

void tb_bench_cancel(TbBench *self)
{
    if (!self->pressed)
        return;
    self->pressed = false;
    tb_stroke_clear(&self->stroke);
    tb__bench_drop_live(self);
    tb__bench_show_scene(self);
}

/* ---- pointer and pen
 * ------------------------------------------------------------------------------ */

/* Of the pen, 1 of anything else. Events without a pen may say that they have axes and give none:
 * asked for one of them, the toolkit would read there. */
static double pressure_of(GtkGesture *gesture)
{
    GdkEvent *event = gtk_gesture_get_last_event(gesture, NULL);
    double *axes = NULL;
    guint n = 0;
    if (!event || !gdk_event_get_device_tool(event) || !gdk_event_get_axes(event, &axes, &n) ||
            !axes || n <= GDK_AXIS_PRESSURE)
        return 1;
    return axes[GDK_AXIS_PRESSURE] > 0 ? axes[GDK_AXIS_PRESSURE] : 1;
}

static bool moves(TbBench *self, GtkGestureSingle *gesture)
{
    guint button = gtk_gesture_single_get_current_button(gesture);
    return tb_desk_tool(self->desk) == TB_TOOL_MOVE || button == GDK_BUTTON_MIDDLE;
}

static void drag_begin_cb(GtkGestureDrag *gesture, double x, double y, TbBench *self)
{
    double x_mm, y_mm;
    guint button = gtk_gesture_single_get_current_button(GTK_GESTURE_SINGLE(gesture));
    gtk_widget_grab_focus(GTK_WIDGET(self));
    self->drag_left_px = self->left_px;
    self->drag_top_px = self->top_px;
    if (tb__bench_framing(self) && button == GDK_BUTTON_PRIMARY)
        tb__bench_frame_take(self, tb__bench_grip_at(self, x, y));
    self->moving = !self->grip && moves(self, GTK_GESTURE_SINGLE(gesture));
    if (self->moving || button != GDK_BUTTON_PRIMARY)
        return;
    tb__bench_to_board(self, x, y, &x_mm, &y_mm);
    tb_bench_press(self, x_mm, y_mm, pressure_of(GTK_GESTURE(gesture)));
}

static void drag_update_cb(GtkGestureDrag *gesture, double dx, double dy, TbBench *self)
{
    double x, y, x_mm, y_mm;
    if (self->grip) {
        tb__bench_frame_pull(self, dx, dy);
        return;
    }
    if (self->moving) {
        int scale = gtk_widget_get_scale_factor(GTK_WIDGET(self));
        self->left_px = self->drag_left_px + (int)lround(dx * scale);
        self->top_px = self->drag_top_px + (int)lround(dy * scale);
        self->fitted = false;
        gtk_widget_queue_draw(GTK_WIDGET(self));
        return;
    }
    gtk_gesture_drag_get_start_point(gesture, &x, &y);
    tb__bench_to_board(self, x + dx, y + dy, &x_mm, &y_mm);
    tb_bench_drag_to(self, x_mm, y_mm, pressure_of(GTK_GESTURE(gesture)));
}

static void drag_end_cb(GtkGestureDrag *gesture, double dx, double dy, TbBench *self)
{
    (void)gesture;
    (void)dx;
    (void)dy;
    if (self->grip)
        tb__bench_frame_release(self);
    else if (!self->moving)
        tb_bench_release(self);
    self->moving = false;
}

static void drag_cancel_cb(GtkGesture *gesture, GdkEventSequence *sequence, TbBench *self)
{
    (void)gesture;
    (void)sequence;
    tb_bench_cancel(self);
    self->grip = TB_GRIP_NONE;
    self->moving = false;
}

static void motion_cb(GtkEventControllerMotion *controller, double x, double y, TbBench *self)
{
    (void)controller;
    tb__bench_to_board(self, x, y, &self->pointer_x_mm, &self->pointer_y_mm);
    self->keyed = false;
    if (tb__bench_framing(self))
        gtk_widget_set_cursor_from_name(
                GTK_WIDGET(self), tb__bench_grip_cursor(tb__bench_grip_at(self, x, y)));
    g_signal_emit_by_name(self, "pointed", self->pointer_x_mm, self->pointer_y_mm);
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void leave_cb(GtkEventControllerMotion *controller, TbBench *self)
{
    (void)controller;
    self->pointer_x_mm = self->pointer_y_mm = NAN;
    g_signal_emit_by_name(self, "pointed", NAN, NAN);
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

/* The wheel zooms about the pointer; with Shift or on a touchpad's two fingers it pans. */
static gboolean scroll_cb(GtkEventControllerScroll *controller, double dx, double dy, TbBench *self)
{
    GdkModifierType keys =
            gtk_event_controller_get_current_event_state(GTK_EVENT_CONTROLLER(controller));
    double x = gtk_widget_get_width(GTK_WIDGET(self)) / 2.0;
    double y = gtk_widget_get_height(GTK_WIDGET(self)) / 2.0;
    bool surface = gtk_event_controller_scroll_get_unit(controller) == GDK_SCROLL_UNIT_SURFACE;
    if (keys & GDK_SHIFT_MASK) {
        tb__bench_move(self, -(dx + dy) * 40, 0);
    } else if (surface && !(keys & GDK_CONTROL_MASK)) {
        tb__bench_move(self, -dx, -dy);
    } else {
        if (!isnan(self->pointer_x_mm))
            tb__bench_to_widget(self, self->pointer_x_mm, self->pointer_y_mm, &x, &y);
        tb__bench_zoom_about(self, pow(WHEEL_STEP, surface ? -dy / 20 : -dy), x, y);
    }
    return GDK_EVENT_STOP;
}

static void pinch_cb(GtkGestureZoom *gesture, double scale, TbBench *self)
{
    double x, y, last = *(double *)g_object_get_data(G_OBJECT(gesture), "last");
    if (gtk_gesture_get_bounding_box_center(GTK_GESTURE(gesture), &x, &y))
        tb__bench_zoom_about(self, scale / last, x, y);
    *(double *)g_object_get_data(G_OBJECT(gesture), "last") = scale;
}

static void pinch_begin_cb(GtkGesture *gesture, GdkEventSequence *sequence, TbBench *self)
{
    (void)sequence;
    tb_bench_cancel(self);
    *(double *)g_object_get_data(G_OBJECT(gesture), "last") = 1;
}

/* On the bench a note shows its beginning. */
static gboolean tooltip_cb(
        GtkWidget *widget, int x, int y, gboolean by_keys, GtkTooltip *tooltip, TbBench *self)
{
    const tb_note *note = by_keys || self->pressed ? NULL : tb__bench_note_at(self, x, y);
    (void)widget;
    gtk_tooltip_set_text(tooltip, note ? note->text : NULL);
    return note && *note->text && tb_desk_shown(self->desk) & TB_SHOW_NOTES;
}

void tb__bench_add_controllers(TbBench *self)
{
    GtkWidget *widget = GTK_WIDGET(self);
    gtk_widget_set_has_tooltip(widget, TRUE);
    g_signal_connect_object(self, "query-tooltip", G_CALLBACK(tooltip_cb), self, 0);
    GtkGesture *drag = gtk_gesture_drag_new();
    gtk_gesture_single_set_button(GTK_GESTURE_SINGLE(drag), 0);
    g_signal_connect_object(drag, "drag-begin", G_CALLBACK(drag_begin_cb), self, 0);
    g_signal_connect_object(drag, "drag-update", G_CALLBACK(drag_update_cb), self, 0);
    g_signal_connect_object(drag, "drag-end", G_CALLBACK(drag_end_cb), self, 0);
    g_signal_connect_object(drag, "cancel", G_CALLBACK(drag_cancel_cb), self, 0);
    gtk_widget_add_controller(widget, GTK_EVENT_CONTROLLER(drag));

    GtkGesture *pinch = gtk_gesture_zoom_new();
    g_object_set_data_full(G_OBJECT(pinch), "last", g_new0(double, 1), g_free);
    g_signal_connect_object(pinch, "begin", G_CALLBACK(pinch_begin_cb), self, 0);
    g_signal_connect_object(pinch, "scale-changed", G_CALLBACK(pinch_cb), self, 0);
    gtk_widget_add_controller(widget, GTK_EVENT_CONTROLLER(pinch));

    GtkEventController *motion = gtk_event_controller_motion_new();
    g_signal_connect_object(motion, "enter", G_CALLBACK(motion_cb), self, 0);
    g_signal_connect_object(motion, "motion", G_CALLBACK(motion_cb), self, 0);
    g_signal_connect_object(motion, "leave", G_CALLBACK(leave_cb), self, 0);
    gtk_widget_add_controller(widget, motion);

    GtkEventController *scroll =
            gtk_event_controller_scroll_new(GTK_EVENT_CONTROLLER_SCROLL_BOTH_AXES);
    g_signal_connect_object(scroll, "scroll", G_CALLBACK(scroll_cb), self, 0);
    gtk_widget_add_controller(widget, scroll);

    tb__bench_add_keys(self);
}
