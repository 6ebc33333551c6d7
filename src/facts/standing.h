/* facts/standing.h: how well a value from outside is known.
 *
 * Every row of every table in src/facts carries its source and this mark, and whoever shows the
 * value can show them too. What is remembered, practice or judgement is a default that the user
 * may change, never a standard.
 */
#ifndef TB_FACTS_STANDING_H
#define TB_FACTS_STANDING_H

typedef enum {
    TB_STANDING_READ,        /* read in the source itself */
    TB_STANDING_TRANSCRIBED, /* read in somebody's transcription of the source */
    TB_STANDING_DERIVED,     /* computed from other values */
    TB_STANDING_MEMORY,      /* from memory, unverified */
    TB_STANDING_PRACTICE,    /* common practice in the trade */
    TB_STANDING_JUDGEMENT,   /* an engineer's judgement */
} tb_standing;

/* A few words for people, e.g. "from memory, unverified". */
const char *tb_standing_text(tb_standing standing);

#endif
