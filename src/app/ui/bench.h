/* app/ui/bench.h: the drawing area: the piece, its findings and the designer's hand.
 *
 * The bench follows its desk: shows the desk's work, sends strokes of the desk's tool to it. It
 * keeps nothing of its own but how large and where the board lies.
 *
 * Actions  bench.fit, bench.true-size, bench.nearer, bench.farther, bench.left/right/up/down (pan)
 * Signals  view-changed; note-wanted (x_mm, y_mm); pointed (x_mm, y_mm; NAN when it left)
 */
#ifndef TB_APP_BENCH_H
#define TB_APP_BENCH_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

#define TB_TYPE_BENCH (tb_bench_get_type())
G_DECLARE_FINAL_TYPE(TbBench, tb_bench, TB, BENCH, GtkWidget)

GtkWidget *tb_bench_new(TbDesk *desk);

/* Brings a place to the middle, near enough to see it. */
void tb_bench_glide_to(TbBench *self, double x_mm, double y_mm);

void tb_bench_fit(TbBench *self);
/* Millimetre on the screen for a millimetre of the board, as the screen tells its size. */
void tb_bench_true_size(TbBench *self);
/* A widget's pixels on a millimetre of the screen it is on. */
double tb_bench_true_px_per_mm(GtkWidget *widget);
void tb_bench_zoom(TbBench *self, double factor);
/* Device pixels on a millimetre. */
double tb_bench_px_per_mm(TbBench *self);

/* Milliseconds the last snapshot took and tiles it drew: for tests and tuning. */
double tb_bench_last_frame_ms(TbBench *self, int *n_tiles);

/* One stroke as the pointer would make it: for tests and the keyboard. */
void tb_bench_press(TbBench *self, double x_mm, double y_mm, double pressure);
void tb_bench_drag_to(TbBench *self, double x_mm, double y_mm, double pressure);
void tb_bench_release(TbBench *self);
void tb_bench_cancel(TbBench *self);

#endif
