/* sheet/speech.h: what is written on sheets, in the language that was asked for. Internal to this
 * folder.
 *
 * A sentence is put together in English and given to the content's own translator as a whole.
 */
#ifndef TB_SHEET_SPEECH_H
#define TB_SHEET_SPEECH_H

#include "sheet/sheet.h"

typedef struct {
    char *(*local)(const char *english); /* NULL: English */
    struct _GPtrArray *said;
} tb_speech;

/* Marks a text that is handed to tb__say() by another way than as its format. */
#define TB__SAID(text) text

void tb__speech_begin(tb_speech *speech, const tb_sheet_content *content);
void tb__speech_end(tb_speech *speech);

/* What is returned is borrowed until the end of the speech. */
const char *tb__say(tb_speech *speech, const char *format, ...)
        __attribute__((format(printf, 2, 3)));
/* The same, not translated. */
const char *tb__put_together(tb_speech *speech, const char *format, ...)
        __attribute__((format(printf, 2, 3)));

/* What was said in millimetres, in the unit, with the decimal mark of the language. */
const char *tb__say_in(tb_speech *speech, const char *local, tb_unit unit);

/* "200 × 250 mm (7 7/8 × 9 13/16 in)", or the other way round. */
const char *tb__say_size(tb_speech *speech, double width_mm, double height_mm, tb_unit unit);

/* "2.15 m (7 ft 1 in)", or the other way round. */
const char *tb__say_long(tb_speech *speech, double mm, tb_unit unit);

/* "1.62 mm (0.064 in)". */
const char *tb__say_fine(tb_speech *speech, double mm, tb_unit unit);

/* "1.0": a bit, in millimetres, or the number or fraction of the nearest bit in inches. */
const char *tb__say_bit(tb_speech *speech, double drill_mm, tb_unit unit);

/* The sum of an inspection, as tb_say_verdict() gives it. */
const char *tb__say_verdict(tb_speech *speech, const tb_inspection *inspection, tb_unit unit);

#endif
