/* facts/stock.h: the board that is sawn: a sheet of plywood, or a species at a thickness.
 *
 * Sheets have rows of their own ("birch-ply-6.5"); solid wood is named by species and thickness
 * ("walnut-6", "basswood-1/4in"; bare numbers are millimetres). All strengths are estimates.
 */
#ifndef TB_FACTS_STOCK_H
#define TB_FACTS_STOCK_H

#include "base/status.h"
#include "facts/standing.h"

#include <stdbool.h>

enum { TB_STOCK_ROOM = 64 };

typedef struct {
    char name[TB_STOCK_ROOM];  /* "birch-ply-6.5", "walnut-6" */
    char title[TB_STOCK_ROOM]; /* "Birch plywood, 6.5 mm", "Black walnut, 6 mm" */
    bool plywood;
    double thickness_mm; /* as it is, not as it is called: 6.4 for the 6.5 mm sheet */
    double density_kg_m3;
    double strength_along_mpa;  /* bending, along the grain (of the face) */
    double strength_across_mpa; /* and across it; of solid wood its tension across the grain */
    double modulus_along_mpa, modulus_across_mpa; /* of elasticity, in bending */
    double shear_modulus_mpa;
    double poisson; /* along to across */
    double safety;  /* what to divide the strengths by: 3 solid, 2 plywood */
    const char *source;
    tb_standing strength_standing; /* of the weaker known of the two strengths */
    tb_standing standing;          /* of the weakest of these values */
} tb_stock;

#define TB_STOCK_USUAL "birch-ply-6.5"
#define TB_STOCK_LEAST_MM 1.0
#define TB_STOCK_MOST_MM 60.0

/* Fills *out from its name. TB_EINVAL, with a line that names what there is, for a stock that is
 * not known or a thickness out of limits; *out is not touched then. */
TB_NODISCARD tb_status tb_stock_find(tb_stock *out, const char *name, tb_error *err);

/* The i-th usual stock, from 0, for lists: every sheet, then every species at 6 mm. False past the
 * last. */
bool tb_stock_at(int i, tb_stock *out);

#endif
