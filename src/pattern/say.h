/* pattern/say.h: findings and verdict in people's words and in their unit.
 */
#ifndef TB_PATTERN_SAY_H
#define TB_PATTERN_SAY_H

#include "base/num.h"
#include "pattern/inspect.h"
#include "pattern/mend.h"

typedef struct {
    char text[200];
} tb_said;

/* "thin bridge"; static. */
const char *tb_say_kind(tb_finding_kind kind);

/* "1.21 mm", "must be 1.60 mm" or "better 2.50 mm", and both, "1.21 mm, must be 1.60 mm". An island
 * and a peninsula, which is told in hundredths of its load, want nothing. */
tb_said tb_say_measured(const tb_finding *finding, tb_unit unit);
tb_said tb_say_wanted(const tb_finding *finding, tb_unit unit);
tb_said tb_say_measure(const tb_finding *finding, tb_unit unit);

/* What to do about it. */
tb_said tb_say_advice(const tb_finding *finding, tb_unit unit);

/* tb_verdict_of() in the unit. */
tb_said tb_say_verdict(const tb_inspection *inspection, tb_unit unit);

/* "thicken: 2.58 mm then", or why it is not offered. */
tb_said tb_say_proposal(
        const tb_finding *finding, tb_mend mend, const tb_proposal *proposal, tb_unit unit);

#endif
