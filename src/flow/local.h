/* flow/local.h: what the lower rooms say, in the user's language.
 *
 * Advice, errors, names of actions, boards and cautions are made below the flow in English, as
 * report.json and the command line give them; the app and the sheets say them in the language that
 * the environment names (LC_MESSAGES, LANGUAGE), whatever the program itself has set. Here a
 * sentence is known again by its pattern: "Widen this slot to 1.4 mm, or close it." by N_("Widen
 * this slot to %s mm, or close it."). What stood for %s is put into the translation; a number takes
 * the locale's decimal mark. A sentence that is not known is given as it is. A pattern of little
 * more than holes is one of measures: its holes take numbers alone.
 *
 * Thread  any
 */
#ifndef TB_FLOW_LOCAL_H
#define TB_FLOW_LOCAL_H

/* Once, at the start of a program: where the languages lie. */
void tb_local_start(void);

/* The tag of the language, "de"; "en" where there is no other. */
typedef struct {
    char tag[16];
} tb_language;
tb_language tb_local_language(void);

/* To be freed by g_free(). */
char *tb_local(const char *text);

/* A number of base/num.h ("12.5") with the locale's decimal mark. To be freed by g_free(). */
char *tb_local_number(const char *number);

/* The list itself, in English; NULL past the last. For tests. */
const char *tb__local_pattern(int i);

#endif
