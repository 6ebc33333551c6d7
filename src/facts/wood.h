/* facts/wood.h: species of solid wood, clear and dry (12 % moisture).
 *
 * Strength and stiffness are means of clear wood from the Wood Handbook (FPL-GTR-282, 2021, Tables
 * 5-3b and 5-5b), elastic ratios and Poisson's ratio of a flat-sawn board from its Tables 5-1 and
 * 5-2. They are not design values: a safety factor belongs to them.
 */
#ifndef TB_FACTS_WOOD_H
#define TB_FACTS_WOOD_H

#include "facts/standing.h"

#include <stdbool.h>

typedef struct {
    const char *name;  /* as typed: "walnut" */
    const char *title; /* as shown: "Black walnut" */
    double density_kg_m3;
    double bending_mpa;   /* modulus of rupture, along the grain */
    double across_mpa;    /* tension across the grain, taken for bending across it */
    bool across_assumed;  /* the Handbook has none: a kindred species' or the lowest value */
    double modulus_mpa;   /* of elasticity along the grain, for bending, as published */
    double shear_mpa;     /* strength in shear along the grain */
    double across_ratio;  /* E_T / E_L */
    double shear_ratio;   /* G_LT / E_L */
    double poisson;       /* µ_LT */
    tb_standing standing; /* of strengths and modulus */
    tb_standing ratio_standing;
} tb_wood;

/* The i-th species, from 0, lightest use first; NULL past the last. */
const tb_wood *tb_wood_at(int i);

/* By name; NULL if there is none. */
const tb_wood *tb_wood_find(const char *name);

const char *tb_wood_source(void);

#endif
