/* app/ui/gallery.c: see gallery.h.
 *
 * One small picture is made at a time, and none while the page is not in view.
 */
#include "app/ui/gallery.h"

#include "app/model/pictures.h"
#include "app/ui/pane-tools.h"

#include <glib/gi18n.h>

enum { MOST = 15, LONGEST_PX = 220, TILE_PX = 150 };

#define TB_TYPE_GALLERY (tb_gallery_get_type())
G_DECLARE_FINAL_TYPE(TbGallery, tb_gallery, TB, GALLERY, GtkBox)

struct _TbGallery {
    GtkBox parent_instance;

    GtkFlowBox *tiles;
    char **paths; /* NULL: not known yet */
    guint next;
    bool making;
};

G_DEFINE_FINAL_TYPE(TbGallery, tb_gallery, GTK_TYPE_BOX)

static GdkTexture *texture_of(const tb_level *level)
{
    size_t n = (size_t)level->width_px * (size_t)level->height_px;
    uint8_t *rgb = g_malloc(3 * n);
    for (size_t i = 0; i < n; i++)
        rgb[3 * i] = rgb[3 * i + 1] = rgb[3 * i + 2] = level->px[i];
    g_autoptr(GBytes) bytes = g_bytes_new_take(rgb, 3 * n);
    return gdk_memory_texture_new(level->width_px, level->height_px, GDK_MEMORY_R8G8B8, bytes,
            3 * (size_t)level->width_px);
}

static void add_tile(TbGallery *self, const char *path, const tb_picture *small)
{
    g_autofree char *name = g_path_get_basename(path);
    g_autofree char *shown = g_filename_display_name(name);
    g_autoptr(GdkTexture) texture = texture_of(&small->levels[0]);
    GtkWidget *button = gtk_button_new(), *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 6);
    GtkWidget *picture = gtk_picture_new_for_paintable(GDK_PAINTABLE(texture));
    GtkWidget *label = gtk_label_new(shown);
    gtk_widget_set_size_request(picture, TILE_PX, TILE_PX);
    gtk_picture_set_alternative_text(GTK_PICTURE(picture), shown);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_MIDDLE);
    gtk_label_set_max_width_chars(GTK_LABEL(label), 16);
    gtk_box_append(GTK_BOX(box), picture);
    gtk_box_append(GTK_BOX(box), label);
    gtk_button_set_child(GTK_BUTTON(button), box);
    gtk_widget_add_css_class(button, "flat");
    tb_pane_name(button, shown);
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), "win.open-path");
    gtk_actionable_set_action_target_value(GTK_ACTIONABLE(button), g_variant_new_string(path));
    gtk_flow_box_append(self->tiles, button);
    gtk_widget_set_focusable(gtk_widget_get_parent(button), FALSE); /* the button takes it */
    gtk_widget_set_visible(GTK_WIDGET(self), TRUE);
}

static void make_next(TbGallery *self);

static void small_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbGallery) self = payload;
    tb_picture *small = tb_pictures_small_finish(result);
    (void)source;
    self->making = false;
    if (small && self->tiles)
        add_tile(self, self->paths[self->next], small);
    tb_picture_free(small);
    self->next++;
    make_next(self);
}

/* The page around it is in view even while nothing of the gallery is. */
static void make_next(TbGallery *self)
{
    GtkWidget *around = gtk_widget_get_parent(GTK_WIDGET(self));
    if (self->making || !self->tiles || !self->paths || !self->paths[self->next] || !around ||
            !gtk_widget_get_mapped(around))
        return;
    self->making = true;
    tb_pictures_small_async(self->paths[self->next], LONGEST_PX, small_cb, g_object_ref(self));
}

static void listed_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbGallery) self = payload;
    (void)source;
    self->paths = tb_pictures_list_finish(result);
    make_next(self);
}

static void rooted_cb(TbGallery *self)
{
    GtkWidget *around = gtk_widget_get_parent(GTK_WIDGET(self));
    if (around)
        g_signal_connect_object(
                around, "map", G_CALLBACK(make_next), self, G_CONNECT_SWAPPED | G_CONNECT_AFTER);
}

static void tb_gallery_dispose(GObject *object)
{
    TB_GALLERY(object)->tiles = NULL;
    G_OBJECT_CLASS(tb_gallery_parent_class)->dispose(object);
}

static void tb_gallery_finalize(GObject *object)
{
    g_strfreev(TB_GALLERY(object)->paths);
    G_OBJECT_CLASS(tb_gallery_parent_class)->finalize(object);
}

static void tb_gallery_class_init(TbGalleryClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_gallery_dispose;
    G_OBJECT_CLASS(klass)->finalize = tb_gallery_finalize;
}

static void tb_gallery_init(TbGallery *self)
{
    GtkWidget *heading = gtk_label_new(_("Your pictures")), *tiles = gtk_flow_box_new();
    gtk_orientable_set_orientation(GTK_ORIENTABLE(self), GTK_ORIENTATION_VERTICAL);
    gtk_box_set_spacing(GTK_BOX(self), 8);
    gtk_widget_set_visible(GTK_WIDGET(self), FALSE);
    gtk_widget_add_css_class(heading, "heading");
    gtk_widget_set_margin_top(heading, 6);
    self->tiles = GTK_FLOW_BOX(tiles);
    gtk_flow_box_set_selection_mode(self->tiles, GTK_SELECTION_NONE);
    gtk_flow_box_set_homogeneous(self->tiles, TRUE);
    gtk_flow_box_set_max_children_per_line(self->tiles, 6);
    gtk_flow_box_set_min_children_per_line(self->tiles, 2);
    gtk_widget_set_halign(tiles, GTK_ALIGN_CENTER);
    tb_pane_name(tiles, _("Your pictures"));
    gtk_box_append(GTK_BOX(self), heading);
    gtk_box_append(GTK_BOX(self), tiles);
    g_signal_connect(self, "notify::parent", G_CALLBACK(rooted_cb), NULL);
    tb_pictures_list_async(MOST, listed_cb, g_object_ref(self));
}

GtkWidget *tb_gallery_new(void)
{
    return g_object_new(TB_TYPE_GALLERY, NULL);
}
