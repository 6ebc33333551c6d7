/* sheet/words.h: texts from outside made fit for a page, and measures put into words.
 *
 * Internal to this folder. Texts returned are to be freed by g_free().
 */
#ifndef TB_SHEET_WORDS_H
#define TB_SHEET_WORDS_H

#include "base/num.h"
#include "sheet/bytes.h"

/* Valid UTF-8 on one line: what is not UTF-8 becomes U+FFFD, control characters, line breaks and
 * marks that turn the writing direction of what follows become blanks; at most max characters,
 * with "…" for the rest. NULL gives "". */
char *tb__words_clean(const char *text, size_t max);

/* text as XML character data; text is clean. */
bool tb__words_add_xml(tb_bytes *bytes, const char *text);

/* "200 × 250 mm (7 7/8 × 9 13/16 in)", or the other way round. */
char *tb__words_size(double width_mm, double height_mm, tb_unit unit);

/* "2.15 m (7 ft 1 in)", or the other way round. */
char *tb__words_long(double mm, tb_unit unit);

/* "1.62 mm (0.064 in)". */
char *tb__words_fine(double mm, tb_unit unit);

/* "1.0": a bit, in millimetres, or the number or fraction of the nearest bit in inches. */
char *tb__words_bit(double drill_mm, tb_unit unit);

#endif
