/* app/ui/cards.c: see cards.h. */
#include "app/ui/cards.h"

#include "app/model/pictures.h"
#include "app/ui/pane-tools.h"

enum { COLUMNS_MOST = 6, GAP_PX = 16, PICTURE_PX = 144, NAME_CHARS = 14 };

struct _TbCards {
    GtkWidget parent_instance;
};

G_DEFINE_FINAL_TYPE(TbCards, tb_cards, GTK_TYPE_WIDGET)

/* ---- where each lies --------------------------------------------------------------------------
 */

static int n_cards(GtkWidget *widget)
{
    int n = 0;
    for (GtkWidget *c = gtk_widget_get_first_child(widget); c; c = gtk_widget_get_next_sibling(c))
        n++;
    return n;
}

/* All are as wide as the widest must be, and as high as the highest is then. */
static int card_width(GtkWidget *widget)
{
    int width = 1;
    for (GtkWidget *c = gtk_widget_get_first_child(widget); c; c = gtk_widget_get_next_sibling(c)) {
        int least;
        gtk_widget_measure(c, GTK_ORIENTATION_HORIZONTAL, -1, &least, NULL, NULL, NULL);
        width = MAX(width, least);
    }
    return width;
}

static int card_height(GtkWidget *widget, int width)
{
    int height = 1;
    for (GtkWidget *c = gtk_widget_get_first_child(widget); c; c = gtk_widget_get_next_sibling(c)) {
        int wanted;
        gtk_widget_measure(c, GTK_ORIENTATION_VERTICAL, width, NULL, &wanted, NULL, NULL);
        height = MAX(height, wanted);
    }
    return height;
}

static int columns_in(int n, int card, int width)
{
    return MAX(MIN(MIN(n, COLUMNS_MOST), (width + GAP_PX) / (card + GAP_PX)), 1);
}

static int lines_px(int n, int card)
{
    return MAX(n * (card + GAP_PX) - GAP_PX, 0);
}

static void tb_cards_measure(GtkWidget *widget, GtkOrientation orientation, int for_size,
        int *minimum, int *natural, int *minimum_baseline, int *natural_baseline)
{
    int n = n_cards(widget), card = card_width(widget), most = MIN(n, COLUMNS_MOST);
    *minimum_baseline = *natural_baseline = -1;
    if (orientation == GTK_ORIENTATION_HORIZONTAL) {
        *minimum = lines_px(MIN(n, 1), card);
        *natural = lines_px(most, card);
    } else {
        int columns = for_size < 0 ? MAX(most, 1) : columns_in(n, card, for_size);
        *minimum = *natural = lines_px((n + columns - 1) / columns, card_height(widget, card));
    }
}

static void tb_cards_size_allocate(GtkWidget *widget, int width, int height, int baseline)
{
    int n = n_cards(widget), card = card_width(widget), columns = columns_in(n, card, width), i = 0;
    int card_h = card_height(widget, card), left = (width - lines_px(columns, card)) / 2;
    bool from_right = gtk_widget_get_direction(widget) == GTK_TEXT_DIR_RTL;
    (void)height;
    for (GtkWidget *c = gtk_widget_get_first_child(widget); c; c = gtk_widget_get_next_sibling(c)) {
        int column = from_right ? columns - 1 - i % columns : i % columns;
        GtkAllocation place = {MAX(left, 0) + column * (card + GAP_PX),
                i / columns * (card_h + GAP_PX), card, card_h};
        gtk_widget_size_allocate(c, &place, baseline);
        i++;
    }
}

static GtkSizeRequestMode tb_cards_get_request_mode(GtkWidget *widget)
{
    (void)widget;
    return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

/* ---- one --------------------------------------------------------------------------------------
 */

void tb_cards_show(GtkWidget *card, GBytes *picture)
{
    GtkPicture *place = g_object_get_data(G_OBJECT(card), "picture");
    g_autoptr(GdkTexture) texture = gdk_memory_texture_new(
            TB_CARD_PX, TB_CARD_PX, GDK_MEMORY_R8G8B8, picture, (gsize)3 * TB_CARD_PX);
    gtk_picture_set_paintable(place, GDK_PAINTABLE(texture));
}

GtkWidget *tb_cards_add(TbCards *self, const char *path, const char *name, GBytes *picture)
{
    GtkWidget *card = gtk_button_new(), *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    GtkWidget *place =
            g_object_new(GTK_TYPE_PICTURE, "accessible-role", GTK_ACCESSIBLE_ROLE_PRESENTATION,
                    "width-request", PICTURE_PX, "height-request", PICTURE_PX, NULL);
    GtkWidget *label = gtk_label_new(name);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_MIDDLE);
    gtk_label_set_width_chars(GTK_LABEL(label), NAME_CHARS);
    gtk_label_set_max_width_chars(GTK_LABEL(label), NAME_CHARS);
    gtk_widget_add_css_class(label, "name");
    gtk_box_append(GTK_BOX(box), place);
    gtk_box_append(GTK_BOX(box), label);
    gtk_button_set_child(GTK_BUTTON(card), box);
    gtk_widget_set_overflow(card, GTK_OVERFLOW_HIDDEN);
    gtk_widget_add_css_class(card, "picture-card");
    if (g_utf8_strlen(name, -1) > NAME_CHARS)
        gtk_widget_set_tooltip_text(card, name);
    tb_pane_name(card, name);
    g_object_set_data(G_OBJECT(card), "picture", place);
    gtk_actionable_set_action_name(GTK_ACTIONABLE(card), "win.open-path");
    gtk_actionable_set_action_target_value(GTK_ACTIONABLE(card), g_variant_new_string(path));
    gtk_widget_set_parent(card, GTK_WIDGET(self));
    if (picture)
        tb_cards_show(card, picture);
    return card;
}

void tb_cards_clear(TbCards *self)
{
    GtkWidget *card;
    while ((card = gtk_widget_get_first_child(GTK_WIDGET(self))))
        gtk_widget_unparent(card);
}

/* ---- GObject ----------------------------------------------------------------------------------
 */

static void tb_cards_dispose(GObject *object)
{
    tb_cards_clear(TB_CARDS(object));
    G_OBJECT_CLASS(tb_cards_parent_class)->dispose(object);
}

static void tb_cards_class_init(TbCardsClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);
    G_OBJECT_CLASS(klass)->dispose = tb_cards_dispose;
    widget_class->measure = tb_cards_measure;
    widget_class->size_allocate = tb_cards_size_allocate;
    widget_class->get_request_mode = tb_cards_get_request_mode;
    gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
}

static void tb_cards_init(TbCards *self)
{
    (void)self;
}

GtkWidget *tb_cards_new(const char *heading)
{
    GtkWidget *self = g_object_new(TB_TYPE_CARDS, NULL);
    tb_pane_name(self, heading);
    return self;
}
