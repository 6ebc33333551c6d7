/* The exact cost of a prize-collecting Steiner tree, by an integer program solved with GLPK. */
#ifndef TB_TESTS_STEINER_EXACT_H
#define TB_TESTS_STEINER_EXACT_H

#include "graph/steiner.h"

/* -1 if GLPK gave up. */
int64_t steiner_exact_cost(const tb_steiner_problem *problem);

#endif
