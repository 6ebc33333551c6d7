/* app/model/mends.h: what can be done about the findings of the pattern at hand.
 *
 * Mends are tried by a worker thread, one after the other, in the order they are asked for; the
 * main thread draws what was found good. What is known of one pattern goes with it.
 *
 * Signals
 *   tried    (finding) what one mend of that finding comes to is known now
 *   mended   mending all is over, or was stopped: tb_mends_account()
 *
 * Thread  main thread only
 */
#ifndef TB_APP_MENDS_H
#define TB_APP_MENDS_H

#include "app/model/work.h"
#include "pattern/mend.h"

#define TB_TYPE_MENDS (tb_mends_get_type())
G_DECLARE_FINAL_TYPE(TbMends, tb_mends, TB, MENDS, GObject)

/* What mending all did. */
typedef struct {
    int n_by[TB_N_MENDS]; /* strokes of each mend */
    int n_drawn;          /* all of them, each an action of its own */
    int n_left;           /* findings of which no mend is good */
} tb_mending;

TbMends *tb_mends_new(TbWork *work);

/* What the finding's n-th mend (tb_mends_of()) comes to; NULL until it has been tried, which then
 * is under way. Borrowed until another inspection is asked about. */
const tb_proposal *tb_mends_ask(TbMends *self, tb_result *inspected, size_t finding, int n);

/* Draws the finding's n-th mend, which was found good. False, and the work's `trouble` tells why,
 * where that is not the inspection at hand any more. */
bool tb_mends_draw(TbMends *self, tb_result *inspected, size_t finding, int n);

/* Begins to mend whatever must be mended in the pattern at hand: of each finding the first mend
 * that is good, or, where it gives way, the last. An island is taken out only then. Nothing is
 * drawn before all were tried. */
void tb_mends_all(TbMends *self, bool gives_way);
bool tb_mends_busy(TbMends *self);       /* with mending all */
double tb_mends_progress(TbMends *self); /* of that, 0..1 */
const tb_mending *tb_mends_account(TbMends *self);

/* Draws nothing more of all that was to be mended, and tells so by `mended`. */
void tb_mends_halt(TbMends *self);

/* Stops the worker for good. */
void tb_mends_stop(TbMends *self);

#endif
