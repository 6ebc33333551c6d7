/* app/ui/sheet-view.c: see sheet-view.h. The paper itself is drawn by the style sheet. */
#include "app/ui/sheet-view.h"

struct _TbSheetView {
    GtkWidget parent_instance;

    int width, height;
    bool stale;
    cairo_surface_t *picture;
};

G_DEFINE_FINAL_TYPE(TbSheetView, tb_sheet_view, GTK_TYPE_WIDGET)

void tb_sheet_view_resize(TbSheetView *self, int width, int height)
{
    if (width == self->width && height == self->height)
        return;
    self->width = width;
    self->height = height;
    self->stale = true;
    gtk_widget_queue_resize(GTK_WIDGET(self));
}

void tb_sheet_view_size_px(TbSheetView *self, int *width_px, int *height_px)
{
    int scale = gtk_widget_get_scale_factor(GTK_WIDGET(self));
    *width_px = MAX(self->width, 1) * scale;
    *height_px = MAX(self->height, 1) * scale;
}

bool tb_sheet_view_is_stale(TbSheetView *self)
{
    return self->stale;
}

void tb_sheet_view_set_stale(TbSheetView *self, bool stale)
{
    self->stale = stale;
}

void tb_sheet_view_show(TbSheetView *self, cairo_surface_t *picture)
{
    g_clear_pointer(&self->picture, cairo_surface_destroy);
    self->picture = picture ? cairo_surface_reference(picture) : NULL;
    gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void tb_sheet_view_snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    TbSheetView *self = TB_SHEET_VIEW(widget);
    int width = gtk_widget_get_width(widget), height = gtk_widget_get_height(widget);
    if (!self->picture || width < 1 || height < 1)
        return;
    cairo_t *cr = gtk_snapshot_append_cairo(
            snapshot, &GRAPHENE_RECT_INIT(0, 0, (float)width, (float)height));
    cairo_scale(cr, (double)width / cairo_image_surface_get_width(self->picture),
            (double)height / cairo_image_surface_get_height(self->picture));
    cairo_set_source_surface(cr, self->picture, 0, 0);
    cairo_paint(cr);
    cairo_destroy(cr);
}

static void tb_sheet_view_measure(GtkWidget *widget, GtkOrientation orientation, int for_size,
        int *minimum, int *natural, int *minimum_baseline, int *natural_baseline)
{
    TbSheetView *self = TB_SHEET_VIEW(widget);
    (void)for_size;
    *minimum = *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? self->width : self->height;
    *minimum_baseline = *natural_baseline = -1;
}

static void tb_sheet_view_finalize(GObject *object)
{
    g_clear_pointer(&TB_SHEET_VIEW(object)->picture, cairo_surface_destroy);
    G_OBJECT_CLASS(tb_sheet_view_parent_class)->finalize(object);
}

static void tb_sheet_view_class_init(TbSheetViewClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);
    G_OBJECT_CLASS(klass)->finalize = tb_sheet_view_finalize;
    widget_class->snapshot = tb_sheet_view_snapshot;
    widget_class->measure = tb_sheet_view_measure;
    gtk_widget_class_set_css_name(widget_class, "sheet");
    gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void tb_sheet_view_init(TbSheetView *self)
{
    self->stale = true;
    gtk_widget_set_halign(GTK_WIDGET(self), GTK_ALIGN_CENTER);
    gtk_widget_set_valign(GTK_WIDGET(self), GTK_ALIGN_CENTER);
}

GtkWidget *tb_sheet_view_new(void)
{
    return g_object_new(TB_TYPE_SHEET_VIEW, NULL);
}
