/* facts/drill.h: bits for entry holes.
 *
 * Number drills 80 to 50 (ANSI/ASME B94.11M, inches as published) and metric bits 0.3 to 3.0 mm in
 * steps of 0.1. Each kind stands in order of size, the thinnest first.
 */
#ifndef TB_FACTS_DRILL_H
#define TB_FACTS_DRILL_H

#include "facts/standing.h"

typedef enum { TB_DRILL_NUMBER, TB_DRILL_METRIC } tb_drill_kind;

typedef struct {
    tb_drill_kind kind;
    const char *name; /* "#69", "0.8 mm" */
    double diameter_mm;
    tb_standing standing;
} tb_drill;

/* The i-th bit, from 0; NULL past the last. */
const tb_drill *tb_drill_at(int i);

/* By name, as "#69", "69", "No. 69", "0.8 mm" or "0.8mm"; NULL if there is none. */
const tb_drill *tb_drill_find(const char *name);

/* The thinnest bit of at least diameter_mm; NULL if none is thick enough. */
const tb_drill *tb_drill_at_least(tb_drill_kind kind, double diameter_mm);

const char *tb_drill_source(void);

#endif
