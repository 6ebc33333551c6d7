/* app/ui/page-tile.c: see page-tile.h. */
#include "app/ui/page-tile.h"

struct _TbPageTile {
    GtkFlowBoxChild parent_instance;

    GtkWidget *view, *name;
};

G_DEFINE_FINAL_TYPE(TbPageTile, tb_page_tile, GTK_TYPE_FLOW_BOX_CHILD)

void tb_page_tile_set_name(TbPageTile *self, const char *name, const char *told)
{
    gtk_label_set_text(GTK_LABEL(self->name), name);
    gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, told, -1);
    gtk_accessible_update_property(
            GTK_ACCESSIBLE(self->view), GTK_ACCESSIBLE_PROPERTY_LABEL, told, -1);
}

TbSheetView *tb_page_tile_view(TbPageTile *self)
{
    return TB_SHEET_VIEW(self->view);
}

static void open_cb(GtkWidget *widget, const char *name, GVariant *parameter)
{
    (void)name;
    (void)parameter;
    gtk_widget_activate(widget);
}

static void tb_page_tile_class_init(TbPageTileClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);
    gtk_widget_class_install_action(widget_class, "page.open", NULL, open_cb);
    gtk_widget_class_set_css_name(widget_class, "tile");
}

static void tb_page_tile_init(TbPageTile *self)
{
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 8);
    self->view = tb_sheet_view_new();
    self->name = gtk_label_new(NULL);
    gtk_label_set_ellipsize(GTK_LABEL(self->name), PANGO_ELLIPSIZE_END);
    gtk_widget_set_halign(box, GTK_ALIGN_CENTER);
    gtk_widget_set_valign(box, GTK_ALIGN_CENTER);
    gtk_box_append(GTK_BOX(box), self->view);
    gtk_box_append(GTK_BOX(box), self->name);
    gtk_flow_box_child_set_child(GTK_FLOW_BOX_CHILD(self), box);
    gtk_widget_set_cursor_from_name(GTK_WIDGET(self), "pointer");
}

GtkWidget *tb_page_tile_new(void)
{
    return g_object_new(TB_TYPE_PAGE_TILE, NULL);
}
