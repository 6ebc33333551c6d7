/* facts/practice.h: the limits and rates that the tool starts from, each with its reason.
 *
 * None of them is a standard; the user may change every one. Keys are the field names of
 * pattern/limits.h where there is such a field.
 */
#ifndef TB_FACTS_PRACTICE_H
#define TB_FACTS_PRACTICE_H

#include "facts/standing.h"

typedef struct {
    const char *key;   /* "bridge_must_mm" */
    const char *title; /* "narrowest bridge" */
    double value;
    const char *unit; /* "mm", "mm²", "N", "min", "mm/s", "×" */
    const char *source;
    tb_standing standing;
} tb_practice;

/* The i-th value, from 0; NULL past the last. */
const tb_practice *tb_practice_at(int i);

/* By key; NULL if there is none. */
const tb_practice *tb_practice_find(const char *key);

/* Cutting rate for detail in stock of this thickness, in mm/s: 1.75 in 6.5 mm, half as fast again
 * in 3 mm, slower in thicker stock as thickness grows (judgement). */
double tb_practice_rate_mm_s(double thickness_mm);

#endif
