/* app/ui/board.c: see board.h.
 *
 * Every sheet is a view that is stale until its picture has come. One picture is painted at a time:
 * the sheet that is taken up first, then the others in their order. What comes of pages that are no
 * longer the desk's is thrown away.
 */
#include "app/ui/board.h"

#include "app/model/pages.h"
#include "app/ui/page-tile.h"
#include "app/ui/sheet-view.h"

#include <glib/gi18n.h>
#include <math.h>

enum { GAP_PX = 26, MARGIN_PX = 30, NAME_PX = 34, COLUMNS_MOST = 12 };
enum { TILE_SMALLEST_PX = 140, TILE_LEAST_PX = 240, TILE_MOST_PX = 430 };
enum { ONE_MOST_PX = 900, PICTURE_MOST_PX = 3400, TILES_MOST = 240 };

struct _TbBoard {
    GtkBox parent_instance;

    TbDesk *desk;
    TbPages *pages;
    GtkStack *stack;
    GtkFlowBox *all;
    GtkScrolledWindow *all_scroll, *one_scroll;
    GtkLabel *name, *waiting;
    TbSheetView *one;
    int open;         /* the page that is taken up, -1: none */
    double px_per_mm; /* of that page, in the widget's pixels; 0: as it fits */
    guint laying;
    bool painting;
};

G_DEFINE_FINAL_TYPE(TbBoard, tb_board, GTK_TYPE_BOX)

static int n_tiles(TbBoard *self)
{
    return self->pages ? MIN(tb_pages_count(self->pages), TILES_MOST) : 0;
}

static TbPageTile *tile_at(TbBoard *self, int i)
{
    return TB_PAGE_TILE(gtk_flow_box_get_child_at_index(self->all, i));
}

/* ---- painting
 * -----------------------------------------------------------------------------------------------
 */

typedef struct {
    TbBoard *board;
    TbSheetView *view;
} painting;

static void paint_next(TbBoard *self);

static void painted_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autofree painting *p = payload;
    g_autoptr(TbBoard) self = p->board;
    g_autoptr(TbSheetView) view = p->view;
    cairo_surface_t *picture = tb_pages_paint_finish(TB_PAGES(source), result);
    self->painting = false;
    if (self->pages == TB_PAGES(source) && picture)
        tb_sheet_view_show(view, picture);
    g_clear_pointer(&picture, cairo_surface_destroy);
    paint_next(self);
}

static void paint(TbBoard *self, TbSheetView *view, int page)
{
    painting *p = g_new(painting, 1);
    int width_px, height_px;
    *p = (painting){g_object_ref(self), g_object_ref(view)};
    tb_sheet_view_size_px(view, &width_px, &height_px);
    tb_sheet_view_set_stale(view, false);
    self->painting = true;
    tb_pages_paint_async(self->pages, page, width_px, height_px, painted_cb, p);
}

static void paint_next(TbBoard *self)
{
    if (self->painting || !self->pages || !gtk_widget_get_mapped(GTK_WIDGET(self)))
        return;
    if (self->open >= 0 && tb_sheet_view_is_stale(self->one)) {
        paint(self, self->one, self->open);
        return;
    }
    for (int i = 0; i < n_tiles(self); i++) {
        TbSheetView *view = tb_page_tile_view(tile_at(self, i));
        if (tb_sheet_view_is_stale(view)) {
            paint(self, view, i);
            return;
        }
    }
}

/* ---- laying out
 * --------------------------------------------------------------------------------------------- */

static void largest(TbBoard *self, double *width_mm, double *height_mm)
{
    *width_mm = *height_mm = 1;
    for (int i = 0; i < n_tiles(self); i++) {
        double w, h;
        tb_pages_size(self->pages, i, &w, &h);
        *width_mm = fmax(*width_mm, w);
        *height_mm = fmax(*height_mm, h);
    }
}

/* How wide a tile may be so that so many stand in a row, and its rows in the height. */
static double tile_width(int n_columns, int n_rows, double w, double h, double aspect)
{
    double across = (w - 2 * MARGIN_PX - (n_columns - 1) * GAP_PX) / n_columns;
    double down = (h - 2 * MARGIN_PX - (n_rows - 1) * GAP_PX) / n_rows - NAME_PX;
    return fmin(fmin(across, down / aspect), TILE_MOST_PX);
}

/* The largest tiles that show all pages at once. Where those are too small to read: as many in a
 * row as can be read, a whole row in view. */
static double best_tile_width(int n, double w, double h, double aspect)
{
    double all = 0, row = TILE_SMALLEST_PX;
    for (int columns = 1; columns <= CLAMP(n, 1, COLUMNS_MOST); columns++) {
        int rows = (n + columns - 1) / columns;
        double whole_row = tile_width(columns, 1, w, h, aspect);
        all = fmax(all, tile_width(columns, rows, w, h, aspect));
        row = whole_row >= TILE_LEAST_PX ? whole_row : fmax(row, whole_row);
    }
    return all >= TILE_LEAST_PX ? all : row;
}

static void lay_tiles(TbBoard *self)
{
    double w_mm, h_mm, w = gtk_widget_get_width(GTK_WIDGET(self->all_scroll));
    double h = gtk_widget_get_height(GTK_WIDGET(self->all_scroll));
    largest(self, &w_mm, &h_mm);
    double px_per_mm = floor(best_tile_width(n_tiles(self), w, h, h_mm / w_mm)) / w_mm;
    for (int i = 0; i < n_tiles(self); i++) {
        double page_w, page_h;
        tb_pages_size(self->pages, i, &page_w, &page_h);
        tb_sheet_view_resize(tb_page_tile_view(tile_at(self, i)), (int)lround(page_w * px_per_mm),
                (int)lround(page_h * px_per_mm));
    }
}

/* The whole width of the page, but no wider than it is pleasant to read. */
static double fitting_px_per_mm(TbBoard *self)
{
    double w_mm, h_mm, room = gtk_widget_get_width(GTK_WIDGET(self->stack)) - 2 * MARGIN_PX;
    tb_pages_size(self->pages, self->open, &w_mm, &h_mm);
    return fmax(0.3, fmin(room / w_mm, ONE_MOST_PX / fmin(w_mm, h_mm)));
}

static double open_px_per_mm(TbBoard *self)
{
    double w_mm, h_mm, wanted = self->px_per_mm;
    tb_pages_size(self->pages, self->open, &w_mm, &h_mm);
    return fmin(wanted > 0 ? wanted : fitting_px_per_mm(self), PICTURE_MOST_PX / fmax(w_mm, h_mm));
}

static void lay_one(TbBoard *self)
{
    double w_mm, h_mm, px_per_mm = open_px_per_mm(self);
    tb_pages_size(self->pages, self->open, &w_mm, &h_mm);
    tb_sheet_view_resize(self->one, (int)lround(w_mm * px_per_mm), (int)lround(h_mm * px_per_mm));
}

static gboolean lay_cb(gpointer payload)
{
    TbBoard *self = payload;
    self->laying = 0;
    if (self->pages && gtk_widget_get_mapped(GTK_WIDGET(self))) {
        lay_tiles(self);
        if (self->open >= 0)
            lay_one(self);
        paint_next(self);
    }
    return G_SOURCE_REMOVE;
}

/* Not at once: sizes are not to change while they are given. */
static void lay_soon(TbBoard *self)
{
    if (!self->laying)
        self->laying = g_idle_add_full(G_PRIORITY_HIGH_IDLE, lay_cb, self, NULL);
}

/* ---- one page taken up
 * -------------------------------------------------------------------------------------- */

static void show_open(TbBoard *self)
{
    int n = tb_pages_count(self->pages);
    g_autofree char *name = tb_pages_name(self->pages, self->open);
    g_autofree char *text = g_strdup_printf(_("%s, %d of %d"), name, self->open + 1, n);
    gtk_label_set_text(self->name, text);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(self->one), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
    gtk_widget_action_set_enabled(GTK_WIDGET(self), "board.before", self->open > 0);
    gtk_widget_action_set_enabled(GTK_WIDGET(self), "board.next", self->open + 1 < n);
}

static void open_page(TbBoard *self, int page)
{
    self->open = CLAMP(page, 0, tb_pages_count(self->pages) - 1);
    tb_sheet_view_show(self->one, NULL);
    tb_sheet_view_set_stale(self->one, true);
    gtk_adjustment_set_value(gtk_scrolled_window_get_vadjustment(self->one_scroll), 0);
    gtk_stack_set_visible_child_name(self->stack, "one");
    show_open(self);
    lay_one(self);
    gtk_widget_grab_focus(GTK_WIDGET(self->one));
    paint_next(self);
}

void tb_board_show_all(TbBoard *self)
{
    int page = self->open;
    self->open = -1;
    self->px_per_mm = 0;
    gtk_stack_set_visible_child_name(self->stack, self->pages ? "all" : "waiting");
    if (page >= 0 && page < n_tiles(self))
        gtk_widget_grab_focus(GTK_WIDGET(tile_at(self, page)));
    lay_soon(self);
}

/* Takes up the page that has the focus, or the first one. */
static bool take_up(TbBoard *self)
{
    GtkWidget *tile = gtk_widget_get_focus_child(GTK_WIDGET(self->all));
    if (!self->pages || self->open >= 0)
        return self->pages != NULL;
    open_page(self, tile ? gtk_flow_box_child_get_index(GTK_FLOW_BOX_CHILD(tile)) : 0);
    return true;
}

void tb_board_show_size(TbBoard *self, double px_per_mm)
{
    if (!take_up(self))
        return;
    self->px_per_mm = px_per_mm;
    lay_one(self);
    paint_next(self);
}

void tb_board_zoom(TbBoard *self, double factor)
{
    if (self->open < 0 && factor > 1)
        take_up(self);
    else if (self->open >= 0 && open_px_per_mm(self) * factor < 0.98 * fitting_px_per_mm(self))
        tb_board_show_all(self);
    else if (self->open >= 0)
        tb_board_show_size(self, open_px_per_mm(self) * factor);
}

static void scroll(TbBoard *self, int down)
{
    GtkAdjustment *place = gtk_scrolled_window_get_vadjustment(self->one_scroll);
    double step = gtk_adjustment_get_page_size(place) / 5;
    gtk_adjustment_set_value(place, gtk_adjustment_get_value(place) + down * step);
}

static void act_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    TbBoard *self = TB_BOARD(widget);
    (void)parameter;
    if (self->open < 0)
        return;
    if (g_str_equal(name, "board.all"))
        tb_board_show_all(self);
    else if (g_str_equal(name, "board.up") || g_str_equal(name, "board.down"))
        scroll(self, g_str_equal(name, "board.up") ? -1 : 1);
    else
        open_page(self, self->open + (g_str_equal(name, "board.next") ? 1 : -1));
}

static void activated_cb(GtkFlowBox *all, GtkFlowBoxChild *tile, TbBoard *self)
{
    (void)all;
    open_page(self, gtk_flow_box_child_get_index(tile));
}

/* A second press lays the page down again. */
static void pressed_again_cb(TbBoard *self)
{
    tb_board_show_all(self);
}

/* ---- following the desk
 * ------------------------------------------------------------------------------------- */

static void fit_tiles(TbBoard *self)
{
    while (tile_at(self, n_tiles(self)))
        gtk_flow_box_remove(self->all, GTK_WIDGET(tile_at(self, n_tiles(self))));
    for (int i = 0; i < n_tiles(self); i++) {
        if (!tile_at(self, i))
            gtk_flow_box_insert(self->all, tb_page_tile_new(), -1);
        g_autofree char *name = tb_pages_name(self->pages, i);
        g_autofree char *told =
                g_strdup_printf(_("%s, %d of %d"), name, i + 1, tb_pages_count(self->pages));
        tb_page_tile_set_name(tile_at(self, i), name, told);
        tb_sheet_view_set_stale(tb_page_tile_view(tile_at(self, i)), true);
    }
}

/* What is in view stays until its successor is painted. */
static void pages_cb(TbBoard *self)
{
    g_set_object(&self->pages, tb_desk_pages(self->desk));
    fit_tiles(self);
    if (!self->pages) {
        const char *why = tb_desk_no_pages(self->desk);
        gtk_label_set_text(self->waiting, *why ? why : _("The pages are being drawn…"));
        self->open = -1;
        tb_board_show_all(self);
    } else if (self->open < 0) {
        gtk_stack_set_visible_child_name(self->stack, "all");
    } else {
        self->open = MIN(self->open, tb_pages_count(self->pages) - 1);
        tb_sheet_view_set_stale(self->one, true);
        show_open(self);
    }
    lay_soon(self);
}

/* ---- building
 * -----------------------------------------------------------------------------------------------
 */

static GtkScrolledWindow *add_scroll(TbBoard *self, GtkWidget *child, const char *label)
{
    GtkWidget *scroll = gtk_scrolled_window_new();
    gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scroll), child);
    gtk_widget_set_vexpand(scroll, TRUE);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(scroll), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
    GtkAdjustment *sizes[] = {gtk_scrolled_window_get_hadjustment(GTK_SCROLLED_WINDOW(scroll)),
            gtk_scrolled_window_get_vadjustment(GTK_SCROLLED_WINDOW(scroll))};
    for (int i = 0; i < 2; i++)
        g_signal_connect_object(
                sizes[i], "notify::page-size", G_CALLBACK(lay_soon), self, G_CONNECT_SWAPPED);
    return GTK_SCROLLED_WINDOW(scroll);
}

static void add_all(TbBoard *self)
{
    self->all = GTK_FLOW_BOX(gtk_flow_box_new());
    gtk_flow_box_set_selection_mode(self->all, GTK_SELECTION_NONE);
    gtk_flow_box_set_homogeneous(self->all, TRUE);
    gtk_flow_box_set_max_children_per_line(self->all, COLUMNS_MOST);
    gtk_flow_box_set_column_spacing(self->all, GAP_PX);
    gtk_flow_box_set_row_spacing(self->all, GAP_PX);
    gtk_widget_add_css_class(GTK_WIDGET(self->all), "sheets");
    gtk_widget_set_valign(GTK_WIDGET(self->all), GTK_ALIGN_CENTER);
    gtk_accessible_update_property(GTK_ACCESSIBLE(self->all), GTK_ACCESSIBLE_PROPERTY_LABEL,
            _("Pages as they will print"), -1);
    g_signal_connect_object(self->all, "child-activated", G_CALLBACK(activated_cb), self, 0);
    self->all_scroll = add_scroll(self, GTK_WIDGET(self->all), _("Pages as they will print"));
    gtk_scrolled_window_set_policy(self->all_scroll, GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
    gtk_stack_add_named(self->stack, GTK_WIDGET(self->all_scroll), "all");
}

static GtkWidget *turn_button(const char *icon, const char *label, const char *action)
{
    GtkWidget *button = gtk_button_new_from_icon_name(icon);
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), action);
    gtk_widget_set_tooltip_text(button, label);
    gtk_widget_set_size_request(button, 44, 44);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
    return button;
}

static GtkWidget *bar_new(TbBoard *self)
{
    GtkWidget *bar = gtk_center_box_new(), *turn = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 0);
    GtkWidget *back = gtk_button_new_with_label(_("All pages"));
    gtk_actionable_set_action_name(GTK_ACTIONABLE(back), "board.all");
    gtk_widget_set_size_request(back, -1, 44);
    self->name = GTK_LABEL(gtk_label_new(NULL));
    gtk_widget_add_css_class(GTK_WIDGET(self->name), "heading");
    gtk_label_set_ellipsize(self->name, PANGO_ELLIPSIZE_END);
    gtk_widget_add_css_class(turn, "linked");
    gtk_box_append(
            GTK_BOX(turn), turn_button("go-previous-symbolic", _("Page before"), "board.before"));
    gtk_box_append(GTK_BOX(turn), turn_button("go-next-symbolic", _("Next page"), "board.next"));
    gtk_center_box_set_start_widget(GTK_CENTER_BOX(bar), back);
    gtk_center_box_set_center_widget(GTK_CENTER_BOX(bar), GTK_WIDGET(self->name));
    gtk_center_box_set_end_widget(GTK_CENTER_BOX(bar), turn);
    gtk_widget_add_css_class(bar, "bar");
    return bar;
}

static void add_one(TbBoard *self)
{
    GtkWidget *column = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    GtkGesture *press = gtk_gesture_click_new();
    self->one = TB_SHEET_VIEW(tb_sheet_view_new());
    gtk_widget_set_focusable(GTK_WIDGET(self->one), TRUE);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(self->one), GTK_ACCESSIBLE_PROPERTY_LABEL, _("One page"), -1);
    gtk_widget_set_cursor_from_name(GTK_WIDGET(self->one), "pointer");
    g_signal_connect_object(
            press, "released", G_CALLBACK(pressed_again_cb), self, G_CONNECT_SWAPPED);
    gtk_widget_add_controller(GTK_WIDGET(self->one), GTK_EVENT_CONTROLLER(press));
    self->one_scroll = add_scroll(self, GTK_WIDGET(self->one), _("One page"));
    gtk_box_append(GTK_BOX(column), bar_new(self));
    gtk_box_append(GTK_BOX(column), GTK_WIDGET(self->one_scroll));
    gtk_stack_add_named(self->stack, column, "one");
}

static void tb_board_dispose(GObject *object)
{
    TbBoard *self = TB_BOARD(object);
    g_clear_handle_id(&self->laying, g_source_remove);
    g_clear_object(&self->pages);
    g_clear_object(&self->desk);
    G_OBJECT_CLASS(tb_board_parent_class)->dispose(object);
}

static void tb_board_class_init(TbBoardClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);
    static const char *const ACTIONS[] = {
            "board.all", "board.before", "board.next", "board.up", "board.down"};
    static const struct {
        guint key;
        const char *action;
    } KEYS[] = {{GDK_KEY_Escape, "board.all"}, {GDK_KEY_BackSpace, "board.all"},
            {GDK_KEY_Return, "board.all"}, {GDK_KEY_space, "board.all"},
            {GDK_KEY_Left, "board.before"}, {GDK_KEY_Right, "board.next"}, {GDK_KEY_Up, "board.up"},
            {GDK_KEY_Down, "board.down"}};
    G_OBJECT_CLASS(klass)->dispose = tb_board_dispose;
    gtk_widget_class_set_css_name(widget_class, "board");
    for (size_t i = 0; i < G_N_ELEMENTS(ACTIONS); i++)
        gtk_widget_class_install_action(widget_class, ACTIONS[i], NULL, act_cb);
    for (size_t i = 0; i < G_N_ELEMENTS(KEYS); i++)
        gtk_widget_class_add_binding_action(widget_class, KEYS[i].key, 0, KEYS[i].action, NULL);
}

static void tb_board_init(TbBoard *self)
{
    self->open = -1;
    self->stack = GTK_STACK(gtk_stack_new());
    gtk_widget_set_hexpand(GTK_WIDGET(self->stack), TRUE);
    gtk_widget_set_vexpand(GTK_WIDGET(self->stack), TRUE);
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->stack));
    self->waiting = GTK_LABEL(gtk_label_new(NULL));
    gtk_label_set_wrap(self->waiting, TRUE);
    gtk_label_set_justify(self->waiting, GTK_JUSTIFY_CENTER);
    gtk_label_set_max_width_chars(self->waiting, 48);
    gtk_widget_add_css_class(GTK_WIDGET(self->waiting), "dim-label");
    gtk_stack_add_named(self->stack, GTK_WIDGET(self->waiting), "waiting");
    add_all(self);
    add_one(self);
    g_signal_connect(self, "map", G_CALLBACK(lay_soon), NULL);
}

GtkWidget *tb_board_new(TbDesk *desk)
{
    TbBoard *self = g_object_new(TB_TYPE_BOARD, NULL);
    self->desk = g_object_ref(desk);
    g_signal_connect_object(desk, "notify::pages", G_CALLBACK(pages_cb), self, G_CONNECT_SWAPPED);
    pages_cb(self);
    return GTK_WIDGET(self);
}
