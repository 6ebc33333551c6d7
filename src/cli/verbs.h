/* cli/verbs.h: the verbs, one file each. */
#ifndef TB_CLI_VERBS_H
#define TB_CLI_VERBS_H

#include "cli/cli.h"

extern const tb_verb TB_VERB_MAKE;  /* make.c */
extern const tb_verb TB_VERB_CHECK; /* check.c */
extern const tb_verb TB_VERB_OPEN;  /* open.c */

#endif
