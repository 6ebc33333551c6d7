/* sheet/marks.h: findings and notes ringed and numbered on the pattern. Internal to this folder. */
#ifndef TB_SHEET_MARKS_H
#define TB_SHEET_MARKS_H

#include "pattern/say.h"
#include "sheet/paint.h"
#include "sheet/sheet.h"
#include "sheet/speech.h"

/* As many findings are marked and listed; a pattern with more needs another kind of help. As many
 * notes are marked. */
enum { TB_MARKS_MAX = 300 };

size_t tb__marks_count(const tb_inspection *inspection);

/* Rings in millimetres of the board: a full line for what must be mended, dashes for what should
 * be, dots for a note. Numbers are those of the lists, counted from 1: on a disc those of findings,
 * on a square those of notes. */
typedef struct {
    const tb_inspection *inspection; /* NULL: no findings */
    const tb_sheet_note *notes;
    size_t n_notes;
    double size; /* how much larger than on paper to draw: 1 on a page in true size */
} tb_rings;
void tb__marks_rings(tb_brush *brush, const tb_rings *rings);

/* The number of a note on its square, its middle there. */
void tb__marks_note_number(tb_brush *brush, double x_mm, double y_mm, size_t number);

/* Letters along the top and numbers along the left of the part of the board that is shown. */
typedef struct {
    double left_mm, top_mm, right_mm, bottom_mm; /* of what is shown, on the board */
    double board_w_mm, board_h_mm;
    double size; /* as above */
    tb_unit unit;
} tb_grid;
void tb__marks_grid(tb_brush *brush, const tb_grid *grid);

/* "c4": the cell of that grid a place lies in. */
typedef struct {
    char text[16];
} tb_grid_name;
tb_grid_name tb__marks_cell(double x_mm, double y_mm, tb_unit unit);

/* "The first 300 of 402 are ringed."; "" where all are. */
const char *tb__say_ringed(tb_speech *speech, const tb_inspection *inspection);

/* "Thin bridge", for people. */
const char *tb__say_kind(tb_speech *speech, tb_finding_kind kind);

/* "1.21 mm", "must be 1.60 mm" and both, "1.21 mm, must be 1.60 mm"; see say.h. */
const char *tb__say_measured(tb_speech *speech, const tb_finding *finding, tb_unit unit);
const char *tb__say_wanted(tb_speech *speech, const tb_finding *finding, tb_unit unit);
const char *tb__say_measure(tb_speech *speech, const tb_finding *finding, tb_unit unit);

/* What to do about it. */
const char *tb__say_advice(tb_speech *speech, const tb_finding *finding, tb_unit unit);

#endif
