/* facts/blade.h: blades by their universal number, and what follows from their size.
 *
 * Plain-end blades of generic size, from memory: expect 10 % either way, 25 % in the teeth. There
 * is no common grading; one maker's No. 2 differs from another's. Order: the finest first, flat
 * blades before spiral ones.
 */
#ifndef TB_FACTS_BLADE_H
#define TB_FACTS_BLADE_H

#include "facts/drill.h"

#include <stdbool.h>

typedef struct {
    const char *name;                     /* "2/0", "5", "spiral-1" */
    bool spiral;                          /* cuts every way; round */
    double width_mm, thickness_mm;        /* of a spiral blade both are its diameter */
    double teeth_least, teeth_most;       /* an inch; 0: not known */
    double stock_least_mm, stock_most_mm; /* thickness of wood it is usual for */
    tb_standing standing;
} tb_blade;

/* The i-th blade, from 0; NULL past the last. */
const tb_blade *tb_blade_at(int i);

/* By name, as "2/0", "#2/0", "No. 5", "spiral 1"; NULL if there is none. */
const tb_blade *tb_blade_find(const char *name);

const char *tb_blade_source(void);

/* Width of the slot it leaves: thickness + 0.07 mm (judgement; 0.05 to 0.10 is usual). */
double tb_blade_kerf_mm(const tb_blade *blade);

/* Tightest curve to plan for: twice its width, a shop rule. A spiral blade needs none: half its
 * kerf. */
double tb_blade_turn_mm(const tb_blade *blade);

/* Tightest curve that geometry allows with 0.1 mm of room in the slot: width² / 0.8 mm. */
double tb_blade_turn_least_mm(const tb_blade *blade);

/* The bit to drill for it: the thinnest of the kind that is 0.1 mm wider than the blade's
 * diagonal, so that it threads easily; a metric one where no number drill is thick enough. */
const tb_drill *tb_blade_drill(const tb_blade *blade, tb_drill_kind kind);

/* Whether at least two teeth stand in wood of this thickness, by its coarsest count. True where
 * the count is not known. */
bool tb_blade_has_teeth_for(const tb_blade *blade, double thickness_mm);

#endif
