/* app/model/desk.c: see desk.h. */
#include "app/model/desk.h"

#include "base/num.h"
#include "flow/local.h"

#include <glib/gi18n.h>

/* A mouth on a board of 200 mm is some 25 mm wide and 5 high: a brush for it, and one for a cheek.
 */
static const double BRUSH_MM = 2, TONE_BRUSH_MM = 8;

struct _TbDesk {
    GObject parent_instance;

    tb_habits *habits;
    TbWork *work;
    TbPages *pages;
    char *no_pages; /* why there are none; may be NULL */
    int step, finding, bridge;
    int tools[TB_N_STEPS];
    int views[2]; /* of all other steps, of the first */
    unsigned shown;
    double brush_mm[2]; /* of all other steps, of the tone */
    gboolean inches;
    int ink;
};

G_DEFINE_FINAL_TYPE(TbDesk, tb_desk, G_TYPE_OBJECT)

enum {
    PROP_0,
    PROP_WORK,
    PROP_STEP,
    PROP_TOOL,
    PROP_BRUSH_MM,
    PROP_VIEW,
    PROP_SHOWN,
    PROP_INCHES,
    PROP_INK,
    PROP_FINDING,
    PROP_BRIDGE,
    PROP_PAGES,
    N_PROPS
};
static GParamSpec *props[N_PROPS];

enum { GLIDE, SAY, N_SIGNALS };
static guint signals[N_SIGNALS];

TbDesk *tb_desk_new(void)
{
    return g_object_new(TB_TYPE_DESK, NULL);
}

tb_habits *tb_desk_habits(TbDesk *self)
{
    return self->habits;
}

static void notify(TbDesk *self, int prop)
{
    g_object_notify_by_pspec(G_OBJECT(self), props[prop]);
}

static void set_int(TbDesk *self, int *field, int value, int prop)
{
    if (*field == value)
        return;
    *field = value;
    notify(self, prop);
}

TbWork *tb_desk_work(TbDesk *self)
{
    return self->work;
}

void tb_desk_set_work(TbDesk *self, TbWork *work)
{
    if (self->work && self->work != work)
        tb_work_stop(self->work);
    if (g_set_object(&self->work, work)) {
        set_int(self, &self->finding, -1, PROP_FINDING);
        set_int(self, &self->bridge, -1, PROP_BRIDGE);
        tb_desk_set_pages(self, NULL);
        notify(self, PROP_WORK);
    }
}

tb_step tb_desk_step(TbDesk *self)
{
    return (tb_step)self->step;
}

void tb_desk_set_step(TbDesk *self, tb_step step)
{
    int tool = (int)tb_desk_tool(self), view = (int)tb_desk_view(self);
    double brush_mm = tb_desk_brush_mm(self);
    set_int(self, &self->step, (int)step, PROP_STEP);
    if (tool != (int)tb_desk_tool(self))
        notify(self, PROP_TOOL);
    if (view != (int)tb_desk_view(self))
        notify(self, PROP_VIEW);
    if (brush_mm != tb_desk_brush_mm(self))
        notify(self, PROP_BRUSH_MM);
}

tb_tool tb_desk_tool(TbDesk *self)
{
    return (tb_tool)self->tools[self->step];
}

void tb_desk_set_tool(TbDesk *self, tb_tool tool)
{
    set_int(self, &self->tools[self->step], (int)tool, PROP_TOOL);
}

static double *brush_of(TbDesk *self)
{
    return &self->brush_mm[self->step == TB_STEP_TONE ? 1 : 0];
}

double tb_desk_brush_mm(TbDesk *self)
{
    return *brush_of(self);
}

void tb_desk_set_brush_mm(TbDesk *self, double width_mm)
{
    width_mm = CLAMP(width_mm, 0.4, 40);
    if (width_mm == *brush_of(self))
        return;
    *brush_of(self) = width_mm;
    notify(self, PROP_BRUSH_MM);
}

static int *view_of(TbDesk *self)
{
    return &self->views[self->step == TB_STEP_PHOTO ? 1 : 0];
}

tb_view tb_desk_view(TbDesk *self)
{
    return (tb_view)*view_of(self);
}

void tb_desk_set_view(TbDesk *self, tb_view view)
{
    set_int(self, view_of(self), (int)view, PROP_VIEW);
}

unsigned tb_desk_shown(TbDesk *self)
{
    return self->shown;
}

void tb_desk_set_shown(TbDesk *self, unsigned shown)
{
    if (shown == self->shown)
        return;
    self->shown = shown;
    notify(self, PROP_SHOWN);
}

tb_ink tb_desk_ink(TbDesk *self)
{
    return (tb_ink)self->ink;
}

void tb_desk_set_ink(TbDesk *self, tb_ink ink)
{
    set_int(self, &self->ink, (int)ink, PROP_INK);
}

bool tb_desk_inches(TbDesk *self)
{
    return self->inches;
}

void tb_desk_set_inches(TbDesk *self, bool inches)
{
    if (self->inches == (int)inches)
        return;
    tb_habits_set_inches(self->habits, inches);
    set_int(self, &self->inches, inches, PROP_INCHES);
}

int tb_desk_finding(TbDesk *self)
{
    return self->finding;
}

void tb_desk_set_finding(TbDesk *self, int finding)
{
    set_int(self, &self->finding, finding, PROP_FINDING);
}

int tb_desk_bridge(TbDesk *self)
{
    return self->bridge;
}

void tb_desk_set_bridge(TbDesk *self, int bridge)
{
    set_int(self, &self->bridge, bridge, PROP_BRIDGE);
}

TbPages *tb_desk_pages(TbDesk *self)
{
    return self->pages;
}

void tb_desk_set_pages(TbDesk *self, TbPages *pages)
{
    bool told = self->no_pages != NULL;
    g_clear_pointer(&self->no_pages, g_free);
    if (g_set_object(&self->pages, pages) || told)
        notify(self, PROP_PAGES);
}

void tb_desk_set_no_pages(TbDesk *self, const char *why)
{
    if (g_strcmp0(self->no_pages, why) == 0)
        return;
    g_free(self->no_pages);
    self->no_pages = g_strdup(why);
    g_clear_object(&self->pages);
    notify(self, PROP_PAGES);
}

const char *tb_desk_no_pages(TbDesk *self)
{
    return self->no_pages ? self->no_pages : "";
}

void tb_desk_glide(TbDesk *self, double x_mm, double y_mm)
{
    g_signal_emit(self, signals[GLIDE], 0, x_mm, y_mm);
}

void tb_desk_say(TbDesk *self, const char *text, bool may_undo)
{
    g_signal_emit(self, signals[SAY], 0, text, may_undo);
}

char *tb_desk_length(TbDesk *self, double length_mm)
{
    tb_num number = self->inches ? tb_num_of(length_mm / 25.4, 3)
                                 : tb_num_of(length_mm, length_mm < 10 ? 2 : 1);
    g_autofree char *local = tb_local_number(number.text);
    return g_strdup_printf(self->inches ? _("%s in") : _("%s mm"), local);
}

static void tb_desk_get_property(GObject *object, guint id, GValue *value, GParamSpec *spec)
{
    TbDesk *self = TB_DESK(object);
    switch (id) {
    case PROP_WORK:
        g_value_set_object(value, self->work);
        break;
    case PROP_STEP:
        g_value_set_int(value, self->step);
        break;
    case PROP_TOOL:
        g_value_set_int(value, (int)tb_desk_tool(self));
        break;
    case PROP_BRUSH_MM:
        g_value_set_double(value, tb_desk_brush_mm(self));
        break;
    case PROP_VIEW:
        g_value_set_int(value, (int)tb_desk_view(self));
        break;
    case PROP_SHOWN:
        g_value_set_uint(value, self->shown);
        break;
    case PROP_INCHES:
        g_value_set_boolean(value, self->inches);
        break;
    case PROP_INK:
        g_value_set_int(value, self->ink);
        break;
    case PROP_FINDING:
        g_value_set_int(value, self->finding);
        break;
    case PROP_BRIDGE:
        g_value_set_int(value, self->bridge);
        break;
    case PROP_PAGES:
        g_value_set_object(value, self->pages);
        break;
    default:
        G_OBJECT_WARN_INVALID_PROPERTY_ID(object, id, spec);
    }
}

static void tb_desk_set_property(GObject *object, guint id, const GValue *value, GParamSpec *spec)
{
    TbDesk *self = TB_DESK(object);
    switch (id) {
    case PROP_WORK:
        tb_desk_set_work(self, g_value_get_object(value));
        break;
    case PROP_STEP:
        tb_desk_set_step(self, (tb_step)g_value_get_int(value));
        break;
    case PROP_TOOL:
        tb_desk_set_tool(self, (tb_tool)g_value_get_int(value));
        break;
    case PROP_BRUSH_MM:
        tb_desk_set_brush_mm(self, g_value_get_double(value));
        break;
    case PROP_VIEW:
        tb_desk_set_view(self, (tb_view)g_value_get_int(value));
        break;
    case PROP_SHOWN:
        tb_desk_set_shown(self, g_value_get_uint(value));
        break;
    case PROP_INCHES:
        tb_desk_set_inches(self, g_value_get_boolean(value));
        break;
    case PROP_INK:
        tb_desk_set_ink(self, (tb_ink)g_value_get_int(value));
        break;
    case PROP_FINDING:
        tb_desk_set_finding(self, g_value_get_int(value));
        break;
    case PROP_BRIDGE:
        tb_desk_set_bridge(self, g_value_get_int(value));
        break;
    case PROP_PAGES:
        tb_desk_set_pages(self, g_value_get_object(value));
        break;
    default:
        G_OBJECT_WARN_INVALID_PROPERTY_ID(object, id, spec);
    }
}

static void tb_desk_dispose(GObject *object)
{
    tb_desk_set_work(TB_DESK(object), NULL);
    tb_desk_set_pages(TB_DESK(object), NULL);
    G_OBJECT_CLASS(tb_desk_parent_class)->dispose(object);
}

static void tb_desk_finalize(GObject *object)
{
    tb_habits_free(TB_DESK(object)->habits);
    g_free(TB_DESK(object)->no_pages);
    G_OBJECT_CLASS(tb_desk_parent_class)->finalize(object);
}

static void tb_desk_class_init(TbDeskClass *klass)
{
    GObjectClass *object_class = G_OBJECT_CLASS(klass);
    const GParamFlags flags = G_PARAM_READWRITE | G_PARAM_EXPLICIT_NOTIFY | G_PARAM_STATIC_STRINGS;
    object_class->get_property = tb_desk_get_property;
    object_class->set_property = tb_desk_set_property;
    object_class->dispose = tb_desk_dispose;
    object_class->finalize = tb_desk_finalize;
    props[PROP_WORK] = g_param_spec_object("work", NULL, NULL, TB_TYPE_WORK, flags);
    props[PROP_STEP] = g_param_spec_int("step", NULL, NULL, 0, TB_N_STEPS - 1, 0, flags);
    props[PROP_TOOL] = g_param_spec_int("tool", NULL, NULL, 0, TB_N_TOOLS - 1, 0, flags);
    props[PROP_BRUSH_MM] = g_param_spec_double("brush-mm", NULL, NULL, 0.4, 40, BRUSH_MM, flags);
    props[PROP_VIEW] = g_param_spec_int("view", NULL, NULL, 0, TB_N_VIEWS - 1, 0, flags);
    props[PROP_SHOWN] = g_param_spec_uint("shown", NULL, NULL, 0, 31, 0, flags);
    props[PROP_INCHES] = g_param_spec_boolean("inches", NULL, NULL, FALSE, flags);
    props[PROP_INK] = g_param_spec_int("ink", NULL, NULL, 0, TB_INK_HATCH, 0, flags);
    props[PROP_FINDING] = g_param_spec_int("finding", NULL, NULL, -1, G_MAXINT, -1, flags);
    props[PROP_BRIDGE] = g_param_spec_int("bridge", NULL, NULL, -1, G_MAXINT, -1, flags);
    props[PROP_PAGES] = g_param_spec_object("pages", NULL, NULL, TB_TYPE_PAGES, flags);
    g_object_class_install_properties(object_class, N_PROPS, props);
    GType type = G_TYPE_FROM_CLASS(klass);
    signals[GLIDE] = g_signal_new(
            "glide", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 2, G_TYPE_DOUBLE, G_TYPE_DOUBLE);
    signals[SAY] = g_signal_new(
            "say", type, 0, 0, NULL, NULL, NULL, G_TYPE_NONE, 2, G_TYPE_STRING, G_TYPE_BOOLEAN);
}

static void tb_desk_init(TbDesk *self)
{
    self->habits = tb_habits_new();
    self->inches = tb_habits_inches(self->habits);
    self->brush_mm[0] = BRUSH_MM;
    self->brush_mm[1] = TONE_BRUSH_MM;
    self->views[1] = TB_VIEW_PHOTO;
    self->finding = -1;
    self->bridge = -1;
    self->shown = TB_SHOW_NOTES | TB_SHOW_BRIDGES;
}
