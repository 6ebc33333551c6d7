/* cli/verbs.c: every verb there is, in the order in which --help lists them. */
#include "cli/verbs.h"

const tb_verb *const TB_VERBS[] = {
        &TB_VERB_MAKE,
        &TB_VERB_CHECK,
        &TB_VERB_TIE,
        &TB_VERB_SHEETS,
        &TB_VERB_SHARE,
        &TB_VERB_OPEN,
        &TB_VERB_INFO,
        &TB_VERB_HISTORY,
        &TB_VERB_UNDO,
        &TB_VERB_REDO,
        &TB_VERB_PAINT,
        &TB_VERB_NOTE,
        &TB_VERB_SNAPSHOT,
        &TB_VERB_RESTORE,
        NULL,
};
