/* app/model/habits.h: what the user chose for good: unit, paper, printers, folder, the window's
 * size.
 *
 * They are kept by GSettings. Where the schema is not installed everything is as it comes, and
 * what is set lasts as long as the app.
 */
#ifndef TB_APP_HABITS_H
#define TB_APP_HABITS_H

#include <glib.h>
#include <stdbool.h>

typedef struct tb_habits tb_habits;

typedef struct {
    int width, height;
    bool maximized;
} tb_window_size;

tb_habits *tb_habits_new(void);
void tb_habits_free(tb_habits *habits);

bool tb_habits_inches(const tb_habits *habits);
void tb_habits_set_inches(tb_habits *habits, bool inches);

/* A name of facts/paper.h; until the next change. */
const char *tb_habits_paper(const tb_habits *habits);
void tb_habits_set_paper(tb_habits *habits, const char *paper);

/* The printer used last, "" for none; until the next change. */
const char *tb_habits_printer(const tb_habits *habits);
void tb_habits_set_printer(tb_habits *habits, const char *printer);

/* What a bar of 100 mm measured on a printer: 95 … 105. Where nobody has measured: as on "", and
 * that is 100 at first. */
double tb_habits_bar_mm(const tb_habits *habits, const char *printer);
void tb_habits_set_bar_mm(tb_habits *habits, const char *printer, double measured_mm);

/* Of neighbouring pages: 0 … 30, 10 at first. */
double tb_habits_overlap_mm(const tb_habits *habits);
void tb_habits_set_overlap_mm(tb_habits *habits, double overlap_mm);

/* The folder a photograph was taken from last, or the user's own for pictures, or home; until the
 * next change. */
const char *tb_habits_folder(const tb_habits *habits);
void tb_habits_set_folder(tb_habits *habits, const char *folder);

tb_window_size tb_habits_window(const tb_habits *habits);
void tb_habits_set_window(tb_habits *habits, tb_window_size size);

#endif
