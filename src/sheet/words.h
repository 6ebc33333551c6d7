/* sheet/words.h: texts from outside made fit for a page.
 *
 * Internal to this folder. Texts returned are to be freed by g_free().
 */
#ifndef TB_SHEET_WORDS_H
#define TB_SHEET_WORDS_H

#include "sheet/bytes.h"

/* Valid UTF-8 on one line: what is not UTF-8 becomes U+FFFD, control characters, line breaks and
 * marks that turn the writing direction of what follows become blanks; at most max characters,
 * with "…" for the rest. NULL gives "". */
char *tb__words_clean(const char *text, size_t max);

/* text as XML character data; text is clean. */
bool tb__words_add_xml(tb_bytes *bytes, const char *text);

#endif
