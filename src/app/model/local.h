/* app/model/local.h: what the lower rooms say, in the user's language.
 *
 * Advice, errors, names of actions, boards and cautions are made below the app in English, as
 * report.json and the command line give them. Here a sentence is known again by its pattern:
 * "Widen this slot to 1.4 mm, or close it." by N_("Widen this slot to %s mm, or close it."). What
 * stood for %s is put into the translation; a number takes the locale's decimal mark. A sentence
 * that is not known is given as it is.
 */
#ifndef TB_APP_LOCAL_H
#define TB_APP_LOCAL_H

/* To be freed by g_free(). */
char *tb_local(const char *text);

/* A number of base/num.h ("12.5") with the locale's decimal mark. To be freed by g_free(). */
char *tb_local_number(const char *number);

/* The list itself, in English; NULL past the last. For tests. */
const char *tb__local_pattern(int i);

#endif
