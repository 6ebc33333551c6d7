/* app/ui/bench.c: the widget, its view and its actions; see bench.h. */
#include "app/ui/bench-private.h"

#include <adwaita.h>
#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

static const double ZOOM_LEAST = 0.3, ZOOM_MOST = 200; /* device pixels to a millimetre */
static const double ZOOM_STEP = 1.25, PAN_STEP = 60;
static const double GLIDE_PX_PER_MM = 12;

G_DEFINE_FINAL_TYPE(TbBench, tb_bench, GTK_TYPE_WIDGET)

enum { VIEW_CHANGED, NOTE_WANTED, POINTED, N_SIGNALS };
static guint signals[N_SIGNALS];

static int scale_of(TbBench *self)
{
    return gtk_widget_get_scale_factor(GTK_WIDGET(self));
}

void tb__bench_to_board(TbBench *self, double x, double y, double *x_mm, double *y_mm)
{
    *x_mm = (x * scale_of(self) - self->left_px) / self->px_per_mm;
    *y_mm = (y * scale_of(self) - self->top_px) / self->px_per_mm;
}

void tb__bench_to_widget(TbBench *self, double x_mm, double y_mm, double *x, double *y)
{
    *x = (x_mm * self->px_per_mm + self->left_px) / scale_of(self);
    *y = (y_mm * self->px_per_mm + self->top_px) / scale_of(self);
}

void tb__bench_board_size(TbBench *self, double *width_mm, double *height_mm)
{
    const tb_work_pattern *pattern = self->work ? tb_work_pattern_now(self->work) : NULL;
    const tb_picture *photo = self->work ? tb_work_photo_picture(self->work) : NULL;
    *width_mm = 200;
    *height_mm = 250;
    if (pattern) {
        *width_mm = pattern->result->width_mm;
        *height_mm = pattern->result->height_mm;
    } else if (photo) {
        *width_mm = photo->levels[0].width_px / photo->px_per_mm;
        *height_mm = photo->levels[0].height_px / photo->px_per_mm;
    } else if (self->work) {
        tb_frame_size(&tb_work_state(self->work)->settings, tb_work_photo_info(self->work),
                width_mm, height_mm);
    }
}

void tb__bench_marks_changed(TbBench *self)
{
    self->marks_stale = true;
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

void tb__bench_show_scene(TbBench *self)
{
    const tb_work_pattern *pattern = self->work ? tb_work_pattern_now(self->work) : NULL;
    tb_scene scene = {0};
    scene.pattern = self->live ? self->live : pattern ? pattern->picture : NULL;
    scene.photo = self->work ? tb_work_photo_picture(self->work) : NULL;
    scene.view = !scene.pattern && scene.photo ? TB_VIEW_PHOTO : tb_desk_view(self->desk);
    if (scene.view == TB_VIEW_STRENGTH && self->work)
        scene.strength = tb_work_strength(self->work);
    scene.ink = tb_desk_ink(self->desk);
    scene.hatched = adw_style_manager_get_high_contrast(adw_style_manager_get_default());
    scene.px_per_mm = self->px_per_mm;
    tb__bench_board_size(self, &scene.width_mm, &scene.height_mm);
    tb_tiles_set(self->tiles, &scene);
    tb__bench_marks_changed(self);
}

static void view_changed(TbBench *self)
{
    tb__bench_show_scene(self);
    g_signal_emit(self, signals[VIEW_CHANGED], 0);
}

/* ---- zoom and place ----------------------------------------------------------------------------
 */

static void centre_on(TbBench *self, double x_mm, double y_mm)
{
    int scale = scale_of(self);
    self->left_px = (int)lround(
            gtk_widget_get_width(GTK_WIDGET(self)) * scale / 2.0 - x_mm * self->px_per_mm);
    self->top_px = (int)lround(
            gtk_widget_get_height(GTK_WIDGET(self)) * scale / 2.0 - y_mm * self->px_per_mm);
}

/* Room about the whole board. */
enum { SIDE_PX = 28, HEAD_PX = 16 };

/* At the foot lie the scale bar and the hint, which large letters break into two lines. */
static int foot_px(TbBench *self)
{
    int width = gtk_widget_get_width(GTK_WIDGET(self)), line_px = 0;
    PangoLayout *layout = gtk_widget_create_pango_layout(GTK_WIDGET(self), "H");
    pango_layout_get_pixel_size(layout, NULL, &line_px);
    g_object_unref(layout);
    return (27 * line_px > width - 180 ? 2 : 1) * line_px + 44;
}

/* A small frame is the whole board, and the photograph around it as much larger. */
static double zoom_least(TbBench *self)
{
    double left, top, right, bottom, width_mm, height_mm;
    if (!tb__bench_framing(self))
        return ZOOM_LEAST;
    tb__bench_frame_extent(self, &left, &top, &right, &bottom);
    tb__bench_board_size(self, &width_mm, &height_mm);
    return ZOOM_LEAST * fmin(width_mm / (right - left), height_mm / (bottom - top));
}

static void fit_now(TbBench *self)
{
    double left = 0, top_mm = 0, right, bottom;
    int scale = scale_of(self), foot = foot_px(self);
    double w = gtk_widget_get_width(GTK_WIDGET(self)) - 2 * SIDE_PX;
    double h = gtk_widget_get_height(GTK_WIDGET(self)) - HEAD_PX - foot;
    tb__bench_board_size(self, &right, &bottom);
    if (tb__bench_framing(self))
        tb__bench_frame_extent(self, &left, &top_mm, &right, &bottom);
    if (w < 10 || h < 10)
        return;
    self->px_per_mm = fmin(w / (right - left), h / (bottom - top_mm)) * scale;
    self->px_per_mm = fmin(fmax(self->px_per_mm, zoom_least(self)), ZOOM_MOST);
    centre_on(self, (left + right) / 2, (top_mm + bottom) / 2);
    self->top_px -= (foot - HEAD_PX) / 2 * scale;
}

void tb_bench_fit(TbBench *self)
{
    self->fitted = true;
    fit_now(self);
    view_changed(self);
}

enum { REST_MS = 140 };

static gboolean refine_cb(gpointer payload)
{
    TbBench *self = payload;
    self->refine = 0;
    tb_tiles_hasten(self->tiles, false);
    gtk_widget_queue_draw(GTK_WIDGET(self));
    return G_SOURCE_REMOVE;
}

void tb__bench_zoom_about(TbBench *self, double factor, double x, double y)
{
    double x_mm, y_mm;
    int scale = scale_of(self);
    tb__bench_to_board(self, x, y, &x_mm, &y_mm);
    /* One step is drawn as it shall stay; haste is for what follows it closely. */
    tb_tiles_hasten(self->tiles, self->refine != 0);
    g_clear_handle_id(&self->refine, g_source_remove);
    self->refine = g_timeout_add(REST_MS, refine_cb, self);
    self->px_per_mm = fmin(fmax(self->px_per_mm * factor, zoom_least(self)), ZOOM_MOST);
    self->left_px = (int)lround(x * scale - x_mm * self->px_per_mm);
    self->top_px = (int)lround(y * scale - y_mm * self->px_per_mm);
    self->fitted = false;
    view_changed(self);
}

void tb_bench_zoom(TbBench *self, double factor)
{
    double x = gtk_widget_get_width(GTK_WIDGET(self)) / 2.0;
    double y = gtk_widget_get_height(GTK_WIDGET(self)) / 2.0;
    if (self->keyed)
        tb__bench_to_widget(self, self->pointer_x_mm, self->pointer_y_mm, &x, &y);
    tb__bench_zoom_about(self, factor, x, y);
}

double tb_bench_true_px_per_mm(GtkWidget *widget)
{
    GdkSurface *surface = gtk_native_get_surface(gtk_widget_get_native(widget));
    GdkDisplay *display = gtk_widget_get_display(widget);
    GdkMonitor *monitor = surface ? gdk_display_get_monitor_at_surface(display, surface) : NULL;
    GdkRectangle area = {0};
    if (!monitor || gdk_monitor_get_width_mm(monitor) <= 50)
        return 96 / 25.4;
    gdk_monitor_get_geometry(monitor, &area);
    return (double)area.width / gdk_monitor_get_width_mm(monitor);
}

void tb_bench_true_size(TbBench *self)
{
    double wanted = tb_bench_true_px_per_mm(GTK_WIDGET(self)) * scale_of(self);
    tb_bench_zoom(self, wanted / self->px_per_mm);
}

void tb__bench_move(TbBench *self, double dx, double dy)
{
    self->left_px += (int)lround(dx * scale_of(self));
    self->top_px += (int)lround(dy * scale_of(self));
    self->fitted = false;
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

/* A third of the way at each frame: quick at first, gentle at the end. */
static gboolean glide_cb(GtkWidget *widget, GdkFrameClock *clock, gpointer payload)
{
    TbBench *self = TB_BENCH(widget);
    double x, y;
    (void)clock;
    (void)payload;
    tb__bench_to_widget(self, self->glide_x_mm, self->glide_y_mm, &x, &y);
    double dx = gtk_widget_get_width(widget) / 2.0 - x;
    double dy = gtk_widget_get_height(widget) / 2.0 - y;
    if (hypot(dx, dy) < 2) {
        centre_on(self, self->glide_x_mm, self->glide_y_mm);
        self->glide = 0;
        gtk_widget_queue_draw(widget);
        return G_SOURCE_REMOVE;
    }
    tb__bench_move(self, dx / 3, dy / 3);
    return G_SOURCE_CONTINUE;
}

void tb_bench_glide_to(TbBench *self, double x_mm, double y_mm)
{
    gboolean animated = TRUE;
    g_object_get(
            gtk_widget_get_settings(GTK_WIDGET(self)), "gtk-enable-animations", &animated, NULL);
    self->glide_x_mm = x_mm;
    self->glide_y_mm = y_mm;
    if (self->px_per_mm < GLIDE_PX_PER_MM * scale_of(self) * 0.6)
        tb_bench_zoom(self, GLIDE_PX_PER_MM * scale_of(self) / self->px_per_mm);
    self->fitted = false;
    if (!animated) {
        centre_on(self, x_mm, y_mm);
        gtk_widget_queue_draw(GTK_WIDGET(self));
    } else if (!self->glide) {
        self->glide = gtk_widget_add_tick_callback(GTK_WIDGET(self), glide_cb, NULL, NULL);
    }
}

double tb_bench_px_per_mm(TbBench *self)
{
    return self->px_per_mm;
}

/* ---- what it shows ------------------------------------------------------------------------------
 */

/* A stroke that changed nothing would leave its painter in doubt whether it was seen. */
static void tell_change(TbBench *self)
{
    const tb_work_pattern *pattern = self->work ? tb_work_pattern_now(self->work) : NULL;
    if (!self->before || (pattern && !tb_work_settled(self->work)))
        return;
    const tb_mask *now = pattern ? pattern->result->pattern : NULL, *then = self->before->pattern;
    bool same = now && now != then && now->width_px == then->width_px &&
                now->height_px == then->height_px &&
                memcmp(now->px, then->px, tb_mask_area_px(now)) == 0;
    if (same && tb_desk_step(self->desk) == TB_STEP_TONE)
        tb_desk_say(self->desk, _("That changed nothing yet; go over it once more"), true);
    g_clear_pointer(&self->before, tb_result_release);
}

static void pattern_cb(TbBench *self)
{
    tell_change(self);
    tb_frame before = self->board_frame;
    double before_px_per_mm = self->board_frame_px_per_mm;
    tb__bench_drop_live(self);
    tb_tiles_drop(self->tiles);
    if (self->work)
        self->board_frame = tb__bench_frame_shown(self, &self->board_frame_px_per_mm);
    if (self->fitted)
        fit_now(self);
    else if (self->work && tb__bench_framing(self))
        tb__bench_frame_follow(self, &before, before_px_per_mm);
    tb__bench_show_scene(self);
}

static void photo_cb(TbBench *self)
{
    g_clear_pointer(&self->photo_surface, cairo_surface_destroy);
    self->photo_level = NULL;
    tb_tiles_drop(self->tiles);
    pattern_cb(self);
}

static void follow_work(TbBench *self)
{
    if (!g_set_object(&self->work, tb_desk_work(self->desk)))
        return;
    tb_bench_cancel(self);
    memset(self->looks, 0, sizeof self->looks);
    g_clear_pointer(&self->before, tb_result_release);
    g_signal_group_set_target(self->work_signals, self->work);
    photo_cb(self);
    tb_bench_fit(self);
}

/* A brush is its own pointer: the ring, as broad as the stroke will be. */
static void follow_tool(TbBench *self)
{
    tb_bench_cancel(self);
    bool moves = tb_desk_tool(self->desk) == TB_TOOL_MOVE;
    gtk_widget_set_cursor_from_name(GTK_WIDGET(self), moves ? "grab" : "none");
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

/* The steps that show the board keep the place one looks at; the photograph is found as it was
 * left. */
static void change_look(TbBench *self, bool on_photo)
{
    if (self->glide) {
        gtk_widget_remove_tick_callback(GTK_WIDGET(self), self->glide);
        centre_on(self, self->glide_x_mm, self->glide_y_mm);
    }
    self->glide = 0;
    self->looks[self->on_photo].px_per_mm = self->fitted ? 0 : self->px_per_mm;
    self->looks[self->on_photo].left_px = self->left_px;
    self->looks[self->on_photo].top_px = self->top_px;
    self->on_photo = on_photo;
    tb_bench_fit(self);
    if (self->looks[on_photo].px_per_mm <= 0)
        return;
    self->px_per_mm = self->looks[on_photo].px_per_mm;
    self->left_px = self->looks[on_photo].left_px;
    self->top_px = self->looks[on_photo].top_px;
    self->fitted = false;
    view_changed(self);
}

static void follow_step(TbBench *self)
{
    tb__bench_marks_changed(self);
    self->grip = TB_GRIP_NONE;
    bool on_photo = tb_desk_step(self->desk) == TB_STEP_PHOTO;
    if (on_photo != self->on_photo)
        change_look(self, on_photo);
    follow_tool(self);
}

static void follow_desk(TbBench *self)
{
    g_signal_connect_object(
            self->desk, "notify::work", G_CALLBACK(follow_work), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(
            self->desk, "notify::tool", G_CALLBACK(follow_tool), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(
            self->desk, "notify::step", G_CALLBACK(follow_step), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(
            self->desk, "notify::view", G_CALLBACK(view_changed), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(
            self->desk, "notify::ink", G_CALLBACK(tb__bench_show_scene), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(self->desk, "notify::brush-mm", G_CALLBACK(gtk_widget_queue_draw), self,
            G_CONNECT_SWAPPED);
    static const char *const MARKS[] = {
            "notify::shown", "notify::inches", "notify::finding", "notify::bridge"};
    for (size_t i = 0; i < G_N_ELEMENTS(MARKS); i++)
        g_signal_connect_object(
                self->desk, MARKS[i], G_CALLBACK(tb__bench_marks_changed), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(
            self->desk, "glide", G_CALLBACK(tb_bench_glide_to), self, G_CONNECT_SWAPPED);
    follow_work(self);
    follow_tool(self);
}

double tb_bench_last_frame_ms(TbBench *self, int *n_tiles)
{
    if (n_tiles)
        *n_tiles = self->frame_tiles;
    return self->frame_ms;
}

/* ---- GtkWidget ----------------------------------------------------------------------------------
 */

/* The same node as long as nothing of it changes: then the renderer leaves alone what it covers. */
static GskRenderNode *marks_node(TbBench *self, int width, int height)
{
    if (self->marks && !self->marks_stale && !tb__bench_framing(self) &&
            self->marks_px_per_mm == self->px_per_mm && self->marks_left_px == self->left_px &&
            self->marks_top_px == self->top_px && self->marks_width == width &&
            self->marks_height == height)
        return self->marks;
    g_clear_pointer(&self->marks, gsk_render_node_unref);
    self->marks = gsk_cairo_node_new(&GRAPHENE_RECT_INIT(0, 0, (float)width, (float)height));
    cairo_t *cr = gsk_cairo_node_get_draw_context(self->marks);
    tb__bench_draw_marks(self, cr);
    cairo_destroy(cr);
    self->marks_stale = false;
    self->marks_px_per_mm = self->px_per_mm;
    self->marks_left_px = self->left_px;
    self->marks_top_px = self->top_px;
    self->marks_width = width;
    self->marks_height = height;
    return self->marks;
}

static void tb_bench_snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    TbBench *self = TB_BENCH(widget);
    int64_t start = g_get_monotonic_time();
    int width = gtk_widget_get_width(widget), height = gtk_widget_get_height(widget);
    int scale = scale_of(self);
    gtk_snapshot_push_clip(snapshot, &GRAPHENE_RECT_INIT(0, 0, (float)width, (float)height));
    if (tb__bench_framing(self)) {
        cairo_t *under = gtk_snapshot_append_cairo(
                snapshot, &GRAPHENE_RECT_INIT(0, 0, (float)width, (float)height));
        tb__bench_draw_photo(self, under);
        cairo_destroy(under);
    }
    self->frame_tiles = 0;
    if (self->work)
        self->frame_tiles = tb_tiles_snapshot(self->tiles, snapshot, self->left_px, self->top_px,
                width * scale, height * scale, scale);
    if (self->work)
        gtk_snapshot_append_node(snapshot, marks_node(self, width, height));
    graphene_rect_t brush;
    if (tb__bench_brush_bounds(self, &brush)) {
        cairo_t *cr = gtk_snapshot_append_cairo(snapshot, &brush);
        tb__bench_draw_brush(self, cr);
        cairo_destroy(cr);
    }
    gtk_snapshot_pop(snapshot);
    self->frame_ms = (double)(g_get_monotonic_time() - start) / 1000;
}

static void tb_bench_size_allocate(GtkWidget *widget, int width, int height, int baseline)
{
    TbBench *self = TB_BENCH(widget);
    (void)width;
    (void)height;
    (void)baseline;
    if (self->fitted) {
        fit_now(self);
        tb__bench_show_scene(self);
    }
}

static void tb_bench_measure(GtkWidget *widget, GtkOrientation orientation, int for_size,
        int *minimum, int *natural, int *minimum_baseline, int *natural_baseline)
{
    (void)widget;
    (void)for_size;
    *minimum = 200;
    *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? 900 : 700;
    *minimum_baseline = *natural_baseline = -1;
}

static void act_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    TbBench *self = TB_BENCH(widget);
    (void)parameter;
    if (g_str_equal(name, "bench.fit"))
        tb_bench_fit(self);
    else if (g_str_equal(name, "bench.true-size"))
        tb_bench_true_size(self);
    else if (g_str_equal(name, "bench.nearer"))
        tb_bench_zoom(self, ZOOM_STEP);
    else if (g_str_equal(name, "bench.farther"))
        tb_bench_zoom(self, 1 / ZOOM_STEP);
    else if (g_str_equal(name, "bench.left"))
        tb__bench_move(self, PAN_STEP, 0);
    else if (g_str_equal(name, "bench.right"))
        tb__bench_move(self, -PAN_STEP, 0);
    else if (g_str_equal(name, "bench.up"))
        tb__bench_move(self, 0, PAN_STEP);
    else if (g_str_equal(name, "bench.down"))
        tb__bench_move(self, 0, -PAN_STEP);
}

static void tb_bench_dispose(GObject *object)
{
    TbBench *self = TB_BENCH(object);
    self->pressed = false;
    g_clear_handle_id(&self->refine, g_source_remove);
    tb__bench_drop_live(self);
    g_signal_group_set_target(self->work_signals, NULL);
    g_clear_object(&self->work);
    g_clear_pointer(&self->before, tb_result_release);
    G_OBJECT_CLASS(tb_bench_parent_class)->dispose(object);
}

static void tb_bench_finalize(GObject *object)
{
    TbBench *self = TB_BENCH(object);
    g_clear_object(&self->work_signals);
    g_clear_object(&self->desk);
    g_clear_pointer(&self->photo_surface, cairo_surface_destroy);
    g_clear_pointer(&self->marks, gsk_render_node_unref);
    tb_tiles_free(self->tiles);
    tb_stroke_clear(&self->stroke);
    G_OBJECT_CLASS(tb_bench_parent_class)->finalize(object);
}

static void tb_bench_class_init(TbBenchClass *klass)
{
    static const char *const ACTIONS[] = {"bench.fit", "bench.true-size", "bench.nearer",
            "bench.farther", "bench.left", "bench.right", "bench.up", "bench.down"};
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);
    GType type = G_TYPE_FROM_CLASS(klass);
    G_OBJECT_CLASS(klass)->dispose = tb_bench_dispose;
    G_OBJECT_CLASS(klass)->finalize = tb_bench_finalize;
    widget_class->snapshot = tb_bench_snapshot;
    widget_class->size_allocate = tb_bench_size_allocate;
    widget_class->measure = tb_bench_measure;
    for (size_t i = 0; i < G_N_ELEMENTS(ACTIONS); i++)
        gtk_widget_class_install_action(widget_class, ACTIONS[i], NULL, act_cb);
    gtk_widget_class_set_css_name(widget_class, "bench");
    gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_IMG);
    signals[VIEW_CHANGED] =
            g_signal_new("view-changed", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
    signals[NOTE_WANTED] = g_signal_new("note-wanted", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 2,
            G_TYPE_DOUBLE, G_TYPE_DOUBLE);
    signals[POINTED] = g_signal_new(
            "pointed", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 2, G_TYPE_DOUBLE, G_TYPE_DOUBLE);
}

static void tb_bench_init(TbBench *self)
{
    self->tiles = tb_tiles_new();
    self->px_per_mm = 3;
    self->fitted = true;
    self->on_photo = true;
    self->pointer_x_mm = self->pointer_y_mm = NAN;
    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    g_signal_group_connect_swapped(self->work_signals, "pattern", G_CALLBACK(pattern_cb), self);
    g_signal_group_connect_swapped(self->work_signals, "photo", G_CALLBACK(photo_cb), self);
    g_signal_group_connect_swapped(
            self->work_signals, "changed", G_CALLBACK(tb__bench_marks_changed), self);
    gtk_widget_set_focusable(GTK_WIDGET(self), TRUE);
    gtk_widget_set_hexpand(GTK_WIDGET(self), TRUE);
    gtk_widget_set_vexpand(GTK_WIDGET(self), TRUE);
    gtk_widget_set_overflow(GTK_WIDGET(self), GTK_OVERFLOW_HIDDEN);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Bench"), -1);
    g_signal_connect_object(adw_style_manager_get_default(), "notify::high-contrast",
            G_CALLBACK(tb__bench_show_scene), self, G_CONNECT_SWAPPED);
    tb__bench_add_controllers(self);
}

GtkWidget *tb_bench_new(TbDesk *desk)
{
    TbBench *self = g_object_new(TB_TYPE_BENCH, NULL);
    self->desk = g_object_ref(desk);
    follow_desk(self);
    return GTK_WIDGET(self);
}
