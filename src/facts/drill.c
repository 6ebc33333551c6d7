/* facts/drill.c: see drill.h. */
#include "facts/drill.h"

#include "facts/name.h"

#include <stddef.h>

#define NUMBER(name, inches)                                                                       \
    {                                                                                              \
        TB_DRILL_NUMBER, name, (inches)*25.4, TB_STANDING_TRANSCRIBED                              \
    }
#define METRIC(name, mm)                                                                           \
    {                                                                                              \
        TB_DRILL_METRIC, name, mm, TB_STANDING_MEMORY                                              \
    }

static const tb_drill drills[] = {
        NUMBER("#80", 0.0135),
        NUMBER("#79", 0.0145),
        NUMBER("#78", 0.016),
        NUMBER("#77", 0.018),
        NUMBER("#76", 0.020),
        NUMBER("#75", 0.021),
        NUMBER("#74", 0.0225),
        NUMBER("#73", 0.024),
        NUMBER("#72", 0.025),
        NUMBER("#71", 0.026),
        NUMBER("#70", 0.028),
        NUMBER("#69", 0.0292),
        NUMBER("#68", 0.031),
        NUMBER("#67", 0.032),
        NUMBER("#66", 0.033),
        NUMBER("#65", 0.035),
        NUMBER("#64", 0.036),
        NUMBER("#63", 0.037),
        NUMBER("#62", 0.038),
        NUMBER("#61", 0.039),
        NUMBER("#60", 0.040),
        NUMBER("#59", 0.041),
        NUMBER("#58", 0.042),
        NUMBER("#57", 0.043),
        NUMBER("#56", 0.0465),
        NUMBER("#55", 0.052),
        NUMBER("#54", 0.055),
        NUMBER("#53", 0.0595),
        NUMBER("#52", 0.0635),
        NUMBER("#51", 0.067),
        NUMBER("#50", 0.070),
        METRIC("0.3 mm", 0.3),
        METRIC("0.4 mm", 0.4),
        METRIC("0.5 mm", 0.5),
        METRIC("0.6 mm", 0.6),
        METRIC("0.7 mm", 0.7),
        METRIC("0.8 mm", 0.8),
        METRIC("0.9 mm", 0.9),
        METRIC("1.0 mm", 1.0),
        METRIC("1.1 mm", 1.1),
        METRIC("1.2 mm", 1.2),
        METRIC("1.3 mm", 1.3),
        METRIC("1.4 mm", 1.4),
        METRIC("1.5 mm", 1.5),
        METRIC("1.6 mm", 1.6),
        METRIC("1.7 mm", 1.7),
        METRIC("1.8 mm", 1.8),
        METRIC("1.9 mm", 1.9),
        METRIC("2.0 mm", 2.0),
        METRIC("2.1 mm", 2.1),
        METRIC("2.2 mm", 2.2),
        METRIC("2.3 mm", 2.3),
        METRIC("2.4 mm", 2.4),
        METRIC("2.5 mm", 2.5),
        METRIC("2.6 mm", 2.6),
        METRIC("2.7 mm", 2.7),
        METRIC("2.8 mm", 2.8),
        METRIC("2.9 mm", 2.9),
        METRIC("3.0 mm", 3.0),
};
enum { N_DRILLS = sizeof drills / sizeof *drills };

const tb_drill *tb_drill_at(int i)
{
    return i >= 0 && i < N_DRILLS ? &drills[i] : NULL;
}

const tb_drill *tb_drill_find(const char *name)
{
    for (int i = 0; i < N_DRILLS; i++)
        if (tb__same_name(drills[i].name, name))
            return &drills[i];
    return NULL;
}

const tb_drill *tb_drill_at_least(tb_drill_kind kind, double diameter_mm)
{
    /* A bit of the very size that is asked for counts, whatever the last binary digit says. */
    for (int i = 0; i < N_DRILLS; i++)
        if (drills[i].kind == kind && drills[i].diameter_mm >= diameter_mm - 1e-9)
            return &drills[i];
    return NULL;
}

const char *tb_drill_source(void)
{
    return "number drills: ANSI/ASME B94.11M; metric bits: the usual set";
}
