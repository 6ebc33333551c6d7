/* cli/verbs.c: every verb there is, in the order in which --help lists them. */
#include "cli/verbs.h"

const tb_verb *const TB_VERBS[] = {
        &TB_VERB_MAKE,
        &TB_VERB_CHECK,
        &TB_VERB_OPEN,
        NULL,
};
