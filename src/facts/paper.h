/* facts/paper.h: sizes of paper, upright. */
#ifndef TB_FACTS_PAPER_H
#define TB_FACTS_PAPER_H

#include "facts/standing.h"

typedef struct {
    const char *name;  /* as typed: "a4", "letter", "ansi-c" */
    const char *title; /* as shown: "A4", "Letter", "ANSI C" */
    double width_mm, height_mm;
    const char *source;
    tb_standing standing;
} tb_paper;

/* What no sheet may count on: printers leave this blank along the edges (from memory). */
#define TB_PAPER_MARGIN_MM 10.0
#define TB_PAPER_FOOT_MM 13.0

/* The i-th size, from 0; NULL past the last. */
const tb_paper *tb_paper_at(int i);

/* By name, in capitals or not; NULL if there is none. */
const tb_paper *tb_paper_find(const char *name);

#endif
