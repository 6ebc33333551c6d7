/* app/model/desk.h: what is in hand: the work on the bench, the tool, the view, the unit.
 *
 * Panes and bench share one desk and never know each other. Every property notifies.
 *
 *   work      TbWork or NULL
 *   step      tb_step
 *   tool      tb_tool; every step keeps its own
 *   brush-mm  double, 0.4 … 40; brushes on the tone have their own, which begins broad
 *   view      tb_view; the first step has its own, which begins with the photograph
 *   shown     flags of tb_show
 *   inches    boolean
 *   ink       tb_ink, of the sheets and of the view of them
 *   bridge    int, index into the tie's bridges, -1: none
 *   finding   int, index into the inspection's findings, -1: none
 *   pages     TbPages, the sheets as they will print, or NULL while they are not known
 *
 * Signals
 *   glide     (x_mm, y_mm) the bench is asked to bring a place to its middle
 *   say       (text, may undo) a line for the user, for a moment
 */
#ifndef TB_APP_DESK_H
#define TB_APP_DESK_H

#include "app/model/habits.h"
#include "app/model/pages.h"
#include "app/model/work.h"
#include "sheet/sheet.h"

typedef enum {
    TB_STEP_PHOTO,
    TB_STEP_TONE,
    TB_STEP_PATTERN,
    TB_STEP_CHECK,
    TB_STEP_SHEETS,
    TB_N_STEPS
} tb_step;

typedef enum {
    TB_TOOL_MOVE, /* moves the board under the pointer */
    TB_TOOL_WOOD,
    TB_TOOL_SAW,
    TB_TOOL_BRIDGE,
    TB_TOOL_TAKE_OUT,
    TB_TOOL_CLOSE,
    TB_TOOL_NOTE,
    TB_TOOL_KEEP_OPEN,
    TB_TOOL_LIGHTEN,
    TB_TOOL_DARKEN,
    TB_TOOL_KEEP_DETAIL,
    TB_TOOL_KEEP_IN,
    TB_TOOL_LEAVE_OUT,
    TB_N_TOOLS
} tb_tool;

typedef enum {
    TB_VIEW_HANG,     /* wood over a dark backer */
    TB_VIEW_INK,      /* ink on paper */
    TB_VIEW_PHOTO,    /* the photograph */
    TB_VIEW_BLEND,    /* the pattern over the photograph */
    TB_VIEW_STRENGTH, /* how weak the wood is */
    TB_N_VIEWS
} tb_view;

/* Marks over the picture. */
typedef enum {
    TB_SHOW_FINDINGS = 1 << 0,
    TB_SHOW_BRIDGES = 1 << 1,
    TB_SHOW_HOLES = 1 << 2,
    TB_SHOW_NOTES = 1 << 3,
    TB_SHOW_GRID = 1 << 4,
    TB_SHOW_KIND = 1 << 8, /* shifted by a tb_finding_kind: also what should be better of it */
} tb_show;

#define TB_TYPE_DESK (tb_desk_get_type())
G_DECLARE_FINAL_TYPE(TbDesk, tb_desk, TB, DESK, GObject)

TbDesk *tb_desk_new(void);

/* Borrowed. */
tb_habits *tb_desk_habits(TbDesk *self);

TbWork *tb_desk_work(TbDesk *self);
void tb_desk_set_work(TbDesk *self, TbWork *work);
tb_step tb_desk_step(TbDesk *self);
void tb_desk_set_step(TbDesk *self, tb_step step);
tb_tool tb_desk_tool(TbDesk *self);
void tb_desk_set_tool(TbDesk *self, tb_tool tool);
double tb_desk_brush_mm(TbDesk *self);
void tb_desk_set_brush_mm(TbDesk *self, double width_mm);
tb_view tb_desk_view(TbDesk *self);
void tb_desk_set_view(TbDesk *self, tb_view view);
unsigned tb_desk_shown(TbDesk *self);
void tb_desk_set_shown(TbDesk *self, unsigned shown);
tb_ink tb_desk_ink(TbDesk *self);
void tb_desk_set_ink(TbDesk *self, tb_ink ink);
bool tb_desk_inches(TbDesk *self);
void tb_desk_set_inches(TbDesk *self, bool inches);
int tb_desk_finding(TbDesk *self);
void tb_desk_set_finding(TbDesk *self, int finding);
int tb_desk_bridge(TbDesk *self);
void tb_desk_set_bridge(TbDesk *self, int bridge);

TbPages *tb_desk_pages(TbDesk *self);
void tb_desk_set_pages(TbDesk *self, TbPages *pages);
/* There are none, and why: a line for the user; notifies of `pages`. "" while nothing is known. */
void tb_desk_set_no_pages(TbDesk *self, const char *why);
const char *tb_desk_no_pages(TbDesk *self);

void tb_desk_glide(TbDesk *self, double x_mm, double y_mm);
void tb_desk_say(TbDesk *self, const char *text, bool may_undo);

/* A length in the user's unit, for people: "12.5 mm", "0.492 in". To be freed by g_free(). */
char *tb_desk_length(TbDesk *self, double length_mm);

#endif
