/* app/ui/pane-photo.c: which part of the photograph, how large, of what, with which blade. */
#include "app/ui/pane-tools.h"
#include "app/ui/pane.h"

#include "app/model/frame.h"
#include "facts/blade.h"
#include "facts/paper.h"
#include "facts/stock.h"
#include "flow/local.h"
#include "sheet/sheet.h"

#include <glib/gi18n.h>
#include <math.h>

#define TB_TYPE_PHOTO_PANE (tb_photo_pane_get_type())
G_DECLARE_FINAL_TYPE(TbPhotoPane, tb_photo_pane, TB, PHOTO_PANE, GtkBox)

struct _TbPhotoPane {
    GtkBox parent_instance;

    TbDesk *desk;
    GSignalGroup *work_signals;
    GtkWidget *shape, *width, *height, *turn;
    GtkWidget *stock, *blade, *grain, *bridge;
    GtkLabel *unit, *one_page;
    bool following; /* the work's settings are being shown, not changed */
};

G_DEFINE_FINAL_TYPE(TbPhotoPane, tb_photo_pane, GTK_TYPE_BOX)

/* Common finished sizes, upright; 0: any. */
static const struct {
    const char *label;
    double width_mm, height_mm;
} SHAPES[] = {
        {N_("As framed"), 0, 0},
        {N_("200 × 250 mm"), 200, 250},
        {N_("8 × 10 in"), 203.2, 254},
        {N_("5 × 7 in"), 127, 177.8},
        {N_("11 × 14 in"), 279.4, 355.6},
        {N_("12 × 16 in"), 304.8, 406.4},
        {N_("130 × 180 mm"), 130, 180},
        {N_("300 × 400 mm"), 300, 400},
        {N_("200 × 200 mm"), 200, 200},
};

static double unit_mm(TbPhotoPane *self)
{
    return tb_desk_inches(self->desk) ? 25.4 : 1;
}

static const tb_settings *settings_of(TbPhotoPane *self)
{
    TbWork *work = tb_desk_work(self->desk);
    return work ? &tb_work_state(work)->settings : NULL;
}

static const tb_photo_info *photo_of(TbPhotoPane *self)
{
    return tb_work_photo_info(tb_desk_work(self->desk));
}

/* ---- showing
 * --------------------------------------------------------------------------------------- */

static guint shape_of(const tb_settings *s)
{
    for (guint i = 1; i < G_N_ELEMENTS(SHAPES); i++)
        if (fabs(fmin(s->width_mm, s->height_mm) - SHAPES[i].width_mm) < 0.01 &&
                fabs(fmax(s->width_mm, s->height_mm) - SHAPES[i].height_mm) < 0.01)
            return i;
    return 0;
}

static guint stock_index(const char *name)
{
    tb_stock stock;
    for (int i = 0; tb_stock_at(i, &stock); i++)
        if (g_str_equal(stock.name, name))
            return (guint)i;
    return GTK_INVALID_LIST_POSITION;
}

static guint blade_index(const char *name)
{
    for (int i = 0; tb_blade_at(i); i++)
        if (g_str_equal(tb_blade_at(i)->name, name))
            return (guint)i;
    return GTK_INVALID_LIST_POSITION;
}

static void follow_size(TbPhotoPane *self, const tb_settings *s)
{
    double width_mm, height_mm;
    bool inches = tb_desk_inches(self->desk);
    GtkWidget *sides[] = {self->width, self->height};
    tb_frame_size(s, photo_of(self), &width_mm, &height_mm);
    for (int i = 0; i < 2; i++) {
        GtkSpinButton *side = GTK_SPIN_BUTTON(sides[i]);
        gtk_spin_button_set_digits(side, inches ? 2 : 0);
        gtk_spin_button_set_increments(side, inches ? 0.25 : 5, inches ? 1 : 25);
        gtk_spin_button_set_range(side, 20 / unit_mm(self),
                fmax(tb_frame_side_most(s, photo_of(self), i == 0), i ? height_mm : width_mm) /
                        unit_mm(self));
        gtk_spin_button_set_value(side, (i ? height_mm : width_mm) / unit_mm(self));
    }
    gtk_label_set_text(self->unit, inches ? _("in") : _("mm"));
}

/* In the steps of the numbers above it, and never more than fits. */
static char *length_within(TbPhotoPane *self, double mm)
{
    bool inches = tb_desk_inches(self->desk);
    double step_mm = inches ? 0.254 : 1;
    return tb_desk_length(self->desk, floor(mm / step_mm + 1e-6) * step_mm);
}

/* How large this shape may be for the pattern to need no gluing together. */
static void follow_page(TbPhotoPane *self, const tb_settings *s)
{
    const tb_paper *paper = tb_paper_find(s->paper);
    const tb_habits *habits = tb_desk_habits(self->desk);
    tb_sheet_options options = TB_SHEET_OPTIONS_INIT;
    double width_mm, height_mm;
    gtk_widget_set_visible(GTK_WIDGET(self->one_page), paper != NULL);
    if (!paper)
        return;
    options.paper_w_mm = paper->width_mm;
    options.paper_h_mm = paper->height_mm;
    options.scale_correction = 100 / tb_habits_bar_mm(habits, tb_habits_printer(habits));
    tb_frame_size(s, photo_of(self), &width_mm, &height_mm);
    double most_mm = tb_sheet_one_page_mm(width_mm, height_mm, &options);
    g_autofree char *width = length_within(self, most_mm);
    g_autofree char *height = length_within(self, most_mm * height_mm / width_mm);
    g_autofree char *text =
            g_strdup_printf(_("Up to %s × %s fits one sheet of %s."), width, height, paper->title);
    gtk_label_set_text(self->one_page, text);
}

static void follow(TbPhotoPane *self)
{
    const tb_settings *s = settings_of(self);
    if (!s)
        return;
    self->following = true;
    follow_size(self, s);
    follow_page(self, s);
    gtk_range_set_value(GTK_RANGE(self->turn), tb_frame_straightening(s) * 180 / G_PI);
    gtk_drop_down_set_selected(GTK_DROP_DOWN(self->shape), shape_of(s));
    gtk_drop_down_set_selected(GTK_DROP_DOWN(self->stock), stock_index(s->stock));
    gtk_drop_down_set_selected(GTK_DROP_DOWN(self->blade), blade_index(s->blade));
    gtk_drop_down_set_selected(GTK_DROP_DOWN(self->grain), fabs(s->grain_rad) < 0.1 ? 1 : 0);
    gtk_range_set_value(GTK_RANGE(self->bridge), s->bridge_mm);
    self->following = false;
}

/* ---- changing
 * -------------------------------------------------------------------------------------- */

static void slid_cb(GtkRange *range, TbPhotoPane *self)
{
    const tb_settings *now = settings_of(self);
    if (self->following || !now)
        return;
    tb_settings s = *now;
    if (GTK_WIDGET(range) == self->bridge)
        s.bridge_mm = gtk_range_get_value(range);
    else
        tb_frame_straighten(&s, gtk_range_get_value(range) * G_PI / 180);
    tb_work_slide(tb_desk_work(self->desk), &s);
}

static void sized_cb(GtkSpinButton *side, TbPhotoPane *self)
{
    const tb_settings *now = settings_of(self);
    if (self->following || !now)
        return;
    tb_settings s = *now;
    bool both = s.width_mm > 0 && s.height_mm > 0;
    double width_mm, height_mm, mm = gtk_spin_button_get_value(side) * unit_mm(self);
    tb_frame_size(now, photo_of(self), &width_mm, &height_mm);
    /* The toolkit calls it a change as well when it puts back what was there. */
    if (fabs(mm - (GTK_WIDGET(side) == self->width ? width_mm : height_mm)) < 1e-6)
        return;
    if (GTK_WIDGET(side) == self->width) {
        s.width_mm = mm;
        s.height_mm = both ? s.height_mm : 0;
    } else {
        s.height_mm = mm;
        s.width_mm = both ? s.width_mm : 0;
    }
    tb_work_slide(tb_desk_work(self->desk), &s);
}

/* A size lies on its side where the frame does. */
static void take_shape(TbPhotoPane *self, tb_settings *s)
{
    guint i = gtk_drop_down_get_selected(GTK_DROP_DOWN(self->shape));
    double width_mm, height_mm;
    tb_frame_size(s, photo_of(self), &width_mm, &height_mm);
    bool lies = width_mm > height_mm;
    if (i > 0 && i < G_N_ELEMENTS(SHAPES)) {
        s->width_mm = lies ? SHAPES[i].height_mm : SHAPES[i].width_mm;
        s->height_mm = lies ? SHAPES[i].width_mm : SHAPES[i].height_mm;
    } else {
        tb_frame frame = tb_frame_of(s, photo_of(self));
        s->width_mm = lies ? width_mm : 0;
        s->height_mm = lies ? 0 : height_mm;
        tb_frame_put(s, &frame, photo_of(self));
    }
}

/* The frame may be out of sight. */
static void show_whole(TbPhotoPane *self)
{
    gtk_widget_activate_action(GTK_WIDGET(self), "win.fit", NULL);
}

/* Upright or on its side, as large as it can be. */
static void swap_cb(GtkButton *button, TbPhotoPane *self)
{
    const tb_settings *now = settings_of(self);
    (void)button;
    if (!now)
        return;
    tb_settings s = *now;
    double width_mm, height_mm;
    tb_frame_size(&s, photo_of(self), &width_mm, &height_mm);
    s.width_mm = height_mm;
    s.height_mm = width_mm;
    tb_frame_put_whole(&s, photo_of(self));
    tb_work_set(tb_desk_work(self->desk), &s);
}

static void whole_cb(GtkButton *button, TbPhotoPane *self)
{
    const tb_settings *now = settings_of(self);
    (void)button;
    if (!now)
        return;
    tb_settings s = *now;
    tb_frame_put_whole(&s, photo_of(self));
    tb_work_set(tb_desk_work(self->desk), &s);
    show_whole(self);
}

static void quarter_cb(GtkButton *button, TbPhotoPane *self)
{
    const tb_settings *now = settings_of(self);
    (void)button;
    if (!now)
        return;
    tb_settings s = *now;
    tb_frame_turn_quarter(&s, photo_of(self));
    tb_work_set(tb_desk_work(self->desk), &s);
    show_whole(self);
}

static void chosen_cb(GtkDropDown *list, GParamSpec *spec, TbPhotoPane *self)
{
    const tb_settings *now = settings_of(self);
    guint i = gtk_drop_down_get_selected(list);
    tb_stock stock;
    (void)spec;
    if (self->following || !now || i == GTK_INVALID_LIST_POSITION)
        return;
    tb_settings s = *now;
    if (GTK_WIDGET(list) == self->shape)
        take_shape(self, &s);
    else if (GTK_WIDGET(list) == self->stock && tb_stock_at((int)i, &stock))
        g_strlcpy(s.stock, stock.name, sizeof s.stock);
    else if (GTK_WIDGET(list) == self->blade)
        g_strlcpy(s.blade, tb_blade_at((int)i)->name, sizeof s.blade);
    else if (GTK_WIDGET(list) == self->grain)
        s.grain_rad = i == 1 ? 0 : G_PI / 2;
    tb_work_set(tb_desk_work(self->desk), &s);
}

/* ---- building
 * -------------------------------------------------------------------------------------- */

static GtkWidget *add_list(TbPhotoPane *self, const char *label, GtkStringList *names)
{
    GtkWidget *list = tb_pane_list_new(G_LIST_MODEL(names));
    tb_pane_add_named(GTK_WIDGET(self), label, list);
    g_signal_connect_object(list, "notify::selected", G_CALLBACK(chosen_cb), self, 0);
    return list;
}

static GtkWidget *side_button(TbPhotoPane *self, const char *label)
{
    GtkWidget *side = gtk_spin_button_new_with_range(20, 2000, 5);
    gtk_accessible_update_property(GTK_ACCESSIBLE(side), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
    gtk_editable_set_width_chars(GTK_EDITABLE(side), 5);
    g_signal_connect_object(side, "value-changed", G_CALLBACK(sized_cb), self, 0);
    return side;
}

/* The list of sizes, and beside it what lays one on its side. */
static void add_shapes(TbPhotoPane *self)
{
    GtkStringList *shapes = gtk_string_list_new(NULL);
    for (size_t i = 0; i < G_N_ELEMENTS(SHAPES); i++)
        gtk_string_list_append(shapes, _(SHAPES[i].label));
    self->shape = add_list(self, _("Finished size"), shapes);
    GtkWidget *swap = gtk_button_new_with_label("⇄");
    gtk_widget_set_tooltip_text(swap, _("Width for height"));
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(swap), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Width for height"), -1);
    g_signal_connect_object(swap, "clicked", G_CALLBACK(swap_cb), self, 0);
    gtk_box_append(GTK_BOX(gtk_widget_get_parent(self->shape)), swap);
}

static void add_size(TbPhotoPane *self)
{
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
    self->width = side_button(self, _("Width"));
    self->height = side_button(self, _("Height"));
    self->unit = GTK_LABEL(gtk_label_new(""));
    gtk_box_append(GTK_BOX(row), self->width);
    gtk_box_append(GTK_BOX(row), gtk_label_new("×"));
    gtk_box_append(GTK_BOX(row), self->height);
    gtk_box_append(GTK_BOX(row), GTK_WIDGET(self->unit));
    gtk_box_append(GTK_BOX(self), row);
    self->one_page = GTK_LABEL(gtk_label_new(NULL));
    gtk_label_set_xalign(self->one_page, 0);
    gtk_label_set_wrap(self->one_page, TRUE);
    gtk_widget_add_css_class(GTK_WIDGET(self->one_page), "dim-label");
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->one_page));
}

static void add_frame(TbPhotoPane *self)
{
    static const struct {
        const char *label;
        GCallback clicked_cb;
    } BUTTONS[] = {{N_("Whole picture"), G_CALLBACK(whole_cb)},
            {N_("Turn a quarter"), G_CALLBACK(quarter_cb)}};
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
    gtk_box_set_homogeneous(GTK_BOX(row), TRUE);
    for (int i = 0; i < 2; i++) {
        GtkWidget *button = gtk_button_new_with_label(_(BUTTONS[i].label));
        gtk_label_set_wrap(GTK_LABEL(gtk_button_get_child(GTK_BUTTON(button))), TRUE);
        gtk_widget_set_size_request(button, -1, 44);
        g_signal_connect_object(button, "clicked", BUTTONS[i].clicked_cb, self, 0);
        gtk_box_append(GTK_BOX(row), button);
    }
    gtk_box_append(GTK_BOX(self), row);
}

static GtkStringList *stock_names(void)
{
    GtkStringList *names = gtk_string_list_new(NULL);
    tb_stock stock;
    for (int i = 0; tb_stock_at(i, &stock); i++) {
        g_autofree char *title = tb_local(stock.title);
        gtk_string_list_append(names, title);
    }
    return names;
}

static GtkStringList *blade_names(void)
{
    GtkStringList *names = gtk_string_list_new(NULL);
    for (int i = 0; tb_blade_at(i); i++) {
        g_autofree char *name = g_strdup_printf(
                _("No. %s, cuts %.2f mm"), tb_blade_at(i)->name, tb_blade_kerf_mm(tb_blade_at(i)));
        gtk_string_list_append(names, name);
    }
    return names;
}

static void tb_photo_pane_dispose(GObject *object)
{
    TbPhotoPane *self = TB_PHOTO_PANE(object);
    g_clear_object(&self->work_signals);
    g_clear_object(&self->desk);
    G_OBJECT_CLASS(tb_photo_pane_parent_class)->dispose(object);
}

static void tb_photo_pane_class_init(TbPhotoPaneClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_photo_pane_dispose;
}

static void tb_photo_pane_init(TbPhotoPane *self)
{
    const char *const grains[] = {_("Upright"), _("Across"), NULL};
    gtk_orientable_set_orientation(GTK_ORIENTABLE(self), GTK_ORIENTATION_VERTICAL);
    gtk_box_set_spacing(GTK_BOX(self), 8);
    gtk_box_append(GTK_BOX(self),
            tb_pane_column(TB_STEP_PHOTO, _("Which part, how large, from which board.")));
    add_frame(self);
    self->turn = tb_pane_slider(GTK_WIDGET(self), _("Straighten, degrees"), -20, 20, 0.1, 1);
    g_signal_connect_object(self->turn, "value-changed", G_CALLBACK(slid_cb), self, 0);
    add_shapes(self);
    add_size(self);
    self->stock = add_list(self, _("Board"), stock_names());
    self->grain = add_list(self, _("Grain"), gtk_string_list_new(grains));
    self->blade = add_list(self, _("Blade"), blade_names());
    self->work_signals = g_signal_group_new(TB_TYPE_WORK);
    g_signal_group_connect_swapped(self->work_signals, "changed", G_CALLBACK(follow), self);
}

static void work_cb(TbPhotoPane *self)
{
    g_signal_group_set_target(self->work_signals, tb_desk_work(self->desk));
    follow(self);
}

GtkWidget *tb_photo_pane_new(TbDesk *desk)
{
    TbPhotoPane *self = g_object_new(TB_TYPE_PHOTO_PANE, "css-name", "pane", NULL);
    self->desk = g_object_ref(desk);
    tb_pane_number(self->width, desk);
    tb_pane_number(self->height, desk);
    self->bridge = tb_pane_length_slider(GTK_WIDGET(self), desk, _("Narrowest bridge"), 1, 6, 0.1);
    g_signal_connect_object(self->bridge, "value-changed", G_CALLBACK(slid_cb), self, 0);
    g_signal_connect_object(desk, "notify::work", G_CALLBACK(work_cb), self, G_CONNECT_SWAPPED);
    g_signal_connect_object(desk, "notify::inches", G_CALLBACK(follow), self, G_CONNECT_SWAPPED);
    work_cb(self);
    return GTK_WIDGET(self);
}
