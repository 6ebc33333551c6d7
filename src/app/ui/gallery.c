/* app/ui/gallery.c: see gallery.h.
 *
 * One card is made at a time, and none while the page is not in view.
 */
#include "app/ui/gallery.h"

#include "app/model/library.h"
#include "app/model/pictures.h"
#include "app/ui/cards.h"

#include <glib/gi18n.h>

/* Whole lines at six, four, three and two columns; one line of patterns. */
enum { PHOTOS_MOST = 12, PATTERNS_MOST = 6 };

#define TB_TYPE_GALLERY (tb_gallery_get_type())
G_DECLARE_FINAL_TYPE(TbGallery, tb_gallery, TB, GALLERY, GtkBox)

struct _TbGallery {
    GtkBox parent_instance;

    tb_gallery_kind kind;
    TbCards *cards;
    GPtrArray *shown; /* GtkWidget, of patterns: the card of each path */
    char **paths;     /* NULL: not known yet */
    guint next;       /* of the paths, to be made */
    bool making, listing;
};

G_DEFINE_FINAL_TYPE(TbGallery, tb_gallery, GTK_TYPE_BOX)

static GtkWidget *add(TbGallery *self, const char *path, GBytes *picture)
{
    g_autofree char *base = tb_library_name(path);
    g_autofree char *name = g_filename_display_name(base);
    gtk_widget_set_visible(GTK_WIDGET(self), TRUE);
    return tb_cards_add(self->cards, path, name, picture);
}

static void make_next(TbGallery *self);

static void card_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbGallery) self = payload;
    g_autoptr(GBytes) picture = tb_pictures_card_finish(result);
    (void)source;
    self->making = false;
    if (!self->cards)
        return;
    if (picture && self->kind == TB_GALLERY_PHOTOS)
        add(self, self->paths[self->next], picture);
    else if (picture)
        tb_cards_show(g_ptr_array_index(self->shown, self->next), picture);
    self->next++;
    make_next(self);
}

/* The page around it is in view even while nothing of the gallery is. */
static bool in_view(TbGallery *self)
{
    GtkWidget *around = gtk_widget_get_parent(GTK_WIDGET(self));
    return self->cards && around && gtk_widget_get_mapped(around);
}

static void make_next(TbGallery *self)
{
    if (self->making || self->listing || !self->paths || !self->paths[self->next] || !in_view(self))
        return;
    self->making = true;
    tb_pictures_card_async(self->paths[self->next], card_cb, g_object_ref(self));
}

/* ---- which ------------------------------------------------------------------------------------
 */

/* Takes the paths. A photograph has its card when it has shown that it is one; a project at once,
 * for its picture may take a while. */
static void take(TbGallery *self, char **paths)
{
    bool same = self->kind == TB_GALLERY_PHOTOS && self->paths && paths &&
                g_strv_equal((const char *const *)self->paths, (const char *const *)paths);
    if (same) {
        g_strfreev(paths);
        return;
    }
    g_strfreev(self->paths);
    self->paths = paths;
    self->next = 0;
    tb_cards_clear(self->cards);
    g_ptr_array_set_size(self->shown, 0);
    gtk_widget_set_visible(GTK_WIDGET(self), FALSE);
    for (int i = 0; self->kind == TB_GALLERY_PATTERNS && paths[i]; i++)
        g_ptr_array_add(self->shown, add(self, paths[i], NULL));
}

static void listed_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(TbGallery) self = payload;
    char **paths = tb_pictures_list_finish(result);
    (void)source;
    self->listing = false;
    if (self->cards)
        take(self, paths);
    else
        g_strfreev(paths);
    make_next(self);
}

/* A card that is being made belongs to the list as it was: the list is left then. */
static void look(TbGallery *self)
{
    if (self->making || self->listing || !in_view(self))
        return;
    if (self->kind == TB_GALLERY_PATTERNS) {
        take(self, tb_library_recent(PATTERNS_MOST));
        make_next(self);
    } else {
        self->listing = true;
        tb_pictures_list_async(PHOTOS_MOST, listed_cb, g_object_ref(self));
    }
}

static void parent_cb(TbGallery *self)
{
    GtkWidget *around = gtk_widget_get_parent(GTK_WIDGET(self));
    if (around)
        g_signal_connect_object(
                around, "map", G_CALLBACK(look), self, G_CONNECT_SWAPPED | G_CONNECT_AFTER);
}

/* ---- GObject ----------------------------------------------------------------------------------
 */

static void tb_gallery_dispose(GObject *object)
{
    TB_GALLERY(object)->cards = NULL;
    G_OBJECT_CLASS(tb_gallery_parent_class)->dispose(object);
}

static void tb_gallery_finalize(GObject *object)
{
    g_strfreev(TB_GALLERY(object)->paths);
    g_ptr_array_unref(TB_GALLERY(object)->shown);
    G_OBJECT_CLASS(tb_gallery_parent_class)->finalize(object);
}

static void tb_gallery_class_init(TbGalleryClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = tb_gallery_dispose;
    G_OBJECT_CLASS(klass)->finalize = tb_gallery_finalize;
}

static void tb_gallery_init(TbGallery *self)
{
    self->shown = g_ptr_array_new();
    gtk_orientable_set_orientation(GTK_ORIENTABLE(self), GTK_ORIENTATION_VERTICAL);
    gtk_box_set_spacing(GTK_BOX(self), 12);
    gtk_widget_set_visible(GTK_WIDGET(self), FALSE);
    g_signal_connect(self, "notify::parent", G_CALLBACK(parent_cb), NULL);
}

GtkWidget *tb_gallery_new(tb_gallery_kind kind)
{
    TbGallery *self = g_object_new(TB_TYPE_GALLERY, NULL);
    const char *words = kind == TB_GALLERY_PHOTOS ? _("Or press one of your newest photographs")
                                                  : _("Or go on where you left off");
    GtkWidget *heading = gtk_label_new(words);
    gtk_widget_add_css_class(heading, "heading");
    gtk_label_set_wrap(GTK_LABEL(heading), TRUE);
    gtk_label_set_justify(GTK_LABEL(heading), GTK_JUSTIFY_CENTER);
    self->kind = kind;
    self->cards = TB_CARDS(tb_cards_new(words));
    gtk_box_append(GTK_BOX(self), heading);
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->cards));
    return GTK_WIDGET(self);
}
