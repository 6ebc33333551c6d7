/* pattern/plan.h: the plan of sawing: which opening after which, how long it takes about, how many
 * boards go together, and whether the blade is one for this board.
 *
 * Common practice: all openings before the board's outline, from the centre outward, small ones
 * before large ones. Some saw what lies beside weak wood first, while the board is still whole;
 * others leave it to the last, so that it is handled least. The board is taken ring by ring around
 * its middle, and each ring from its smallest opening to its largest.
 *
 * In     an inspection and the mask it is of; what src/facts knows of blade, board and practice
 * Errors TB_ENOMEM, TB_ECANCELLED; *out is NULL then
 * Cost   sorts the entry holes; where weak wood decides, the openings are labelled once more
 */
#ifndef TB_PATTERN_PLAN_H
#define TB_PATTERN_PLAN_H

#include "pattern/inspect.h"

typedef enum { TB_ORDER_CENTRE, TB_ORDER_WEAK_FIRST, TB_ORDER_WEAK_LAST, TB_N_ORDERS } tb_saw_order;

/* "centre", "weak-first", "weak-last"; NULL behind the last. */
extern const char *const TB_SAW_ORDERS[TB_N_ORDERS + 1];

typedef struct {
    tb_saw_order order;
    double thickness_mm;         /* of one board */
    double opening_min;          /* to thread the blade, saw one usual opening and turn: 2.5 */
    double rate_mm_s;            /* along the line, in one board */
    int stack_thin, stack_thick; /* boards of 1/8 in, and of 1/4 in, that go together: 4 and 3 */
    double teeth_per_in;         /* of the blade; 0: not known */
    double blade_least_mm, blade_most_mm; /* thickness of wood it is usual for */
} tb_plan_options;

/* An entry hole, and what is sawn from there. */
typedef struct {
    int hole;       /* index into the inspection's holes */
    bool weak;      /* beside a thin bridge, a thin frame, or the root of a weak peninsula; false
                       where the order does not ask */
    double cut_mm;  /* of its opening's line; several holes of one opening share it evenly */
    double minutes; /* opening_min, or what the line takes where that is longer */
} tb_saw_step;

typedef enum {
    TB_BLADE_FITS,
    TB_BLADE_FEW_TEETH, /* fewer than two in the wood: it snags and tears */
    TB_BLADE_FINE,      /* the wood is thicker than what it is usual for */
    TB_BLADE_COARSE,    /* and thinner */
} tb_blade_fit;

typedef struct {
    tb_saw_order order;
    tb_saw_step *steps; /* in the order of sawing */
    size_t n_steps;
    double outline_mm; /* what no entry hole leads to, for the end: the board's edge and openings
                          that reach it */
    double minutes;    /* for one board, all steps and the outline: an estimate */
    int stack_most;    /* boards that may be sawn together, 1 when it is none but itself */
    tb_blade_fit fit;
} tb_plan;

/* The blade and the board alone. */
tb_blade_fit tb_plan_fit(const tb_plan_options *options);

TB_NODISCARD tb_status tb_plan_make(tb_plan **out, const tb_inspection *inspection,
        const tb_mask *mask, const tb_plan_options *options, const tb_job *job, tb_error *err);
void tb_plan_free(tb_plan *plan);

/* "about 40 minutes", "about 6.5 hours". */
typedef struct {
    char text[80];
} tb_about;
tb_about tb_plan_about(double minutes);

#endif
