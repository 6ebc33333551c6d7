/* base/num.h: numbers as text, the same in every locale.
 *
 * A desktop toolkit sets the locale, and printf("%f") then writes a decimal comma into SVG, PDF
 * and JSON. Everything that leaves the tool as text goes through here; so does everything typed.
 */
#ifndef TB_BASE_NUM_H
#define TB_BASE_NUM_H

#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { TB_NUM_ROOM = 48 };

typedef struct {
    char text[TB_NUM_ROOM];
} tb_num;

/* value rounded half away from zero to at most `decimals` (0..9), trailing zeros dropped, "." as
 * the decimal point, never "-0". |value| >= 1e15 and non-finite give "0": nothing we measure is.
 * Used as  printf("%s", tb_num_of(w, 2).text). */
tb_num tb_num_of(double value, int decimals);

/* The same, with exactly `decimals` digits behind the point. */
tb_num tb_num_fixed(double value, int decimals);

typedef enum { TB_UNIT_MM, TB_UNIT_CM, TB_UNIT_IN } tb_unit;

/* A length in people's unit: "2.5 mm", or "0.098 in" with one decimal more. */
tb_num tb_num_length(double mm, int decimals, tb_unit unit);

/* text, where unit is TB_UNIT_IN with every "2.5 mm" in it as "0.098 in" and every "2 mm²" as
 * "0.0031 in²"; cut short where it does not fit. */
void tb_num_text(char *to, size_t room, const char *text, tb_unit unit);

/* text with the mark in place of every point between two digits; cut short where it does not fit.
 */
void tb_num_mark(char *to, size_t room, const char *text, const char *mark);

/* Reads digits with an optional sign, "." or "," as the decimal mark, and an
 * exponent ("1e3"); stores where it stopped in *end. False if there is no number, or none that is
 * finite. */
bool tb_num_read(const char *text, const char **end, double *value);

/* A length such as "200mm", "20 cm", "7.5in", "7 1/2 in", "7-1/2\"", "5/16in"; bare numbers are in
 * bare_unit. *mm is finite and > 0 and at most 100 m, else TB_EINVAL with a line that names text.
 */
TB_NODISCARD tb_status tb_length_parse(
        double *mm, const char *text, tb_unit bare_unit, tb_error *err);

#endif
