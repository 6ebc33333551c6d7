/* cli/verbs.h: the verbs, one file each. */
#ifndef TB_CLI_VERBS_H
#define TB_CLI_VERBS_H

#include "cli/cli.h"

extern const tb_verb TB_VERB_MAKE;   /* make.c */
extern const tb_verb TB_VERB_CHECK;  /* check.c */
extern const tb_verb TB_VERB_TIE;    /* tie.c */
extern const tb_verb TB_VERB_SHEETS; /* sheets.c */
extern const tb_verb TB_VERB_SHARE;  /* share.c */
extern const tb_verb TB_VERB_OPEN;   /* open.c */

/* On a project. */
extern const tb_verb TB_VERB_INFO;     /* info.c */
extern const tb_verb TB_VERB_HISTORY;  /* history.c */
extern const tb_verb TB_VERB_UNDO;     /* undo.c */
extern const tb_verb TB_VERB_REDO;     /* undo.c */
extern const tb_verb TB_VERB_PAINT;    /* paint.c */
extern const tb_verb TB_VERB_NOTE;     /* note.c */
extern const tb_verb TB_VERB_SNAPSHOT; /* snapshot.c */
extern const tb_verb TB_VERB_RESTORE;  /* snapshot.c */

#endif
