/* facts/blade.c: see blade.h. */
#include "facts/blade.h"

#include "facts/name.h"

#include <math.h>
#include <stddef.h>

#define IN(inches) ((inches)*25.4)
#define FLAT(name, width_in, thickness_in, teeth_least, teeth_most, stock_least_in, stock_most_in) \
    {                                                                                              \
        name, false, IN(width_in), IN(thickness_in), teeth_least, teeth_most, IN(stock_least_in),  \
                IN(stock_most_in), TB_STANDING_MEMORY                                              \
    }
/* Spiral blades are remembered by their kerf, which is taken to be 0.07 mm wider than they are. */
#define SPIRAL(name, kerf_mm)                                                                      \
    {                                                                                              \
        name, true, (kerf_mm)-KERF_ROOM_MM, (kerf_mm)-KERF_ROOM_MM, 0, 0, 0, IN(0.75),             \
                TB_STANDING_MEMORY                                                                 \
    }

static const double TURN_ROOM_MM = 0.1, EASY_MM = 0.1, TEETH_IN_WOOD = 2;
#define KERF_ROOM_MM 0.07

static const tb_blade blades[] = {
        FLAT("2/0", .022, .010, 20, 28, 0, 1. / 8),
        FLAT("0", .024, .011, 25, 25, 0, 1. / 8),
        FLAT("1", .026, .012, 23, 30, 0, 1. / 4),
        FLAT("2", .029, .012, 20, 23, 0, 1. / 4),
        FLAT("3", .032, .014, 18, 23, 1. / 8, 1. / 2),
        FLAT("5", .038, .016, 12.5, 16, 1. / 4, 3. / 4),
        FLAT("7", .045, .017, 11.5, 13, 1. / 4, 1),
        FLAT("9", .053, .018, 11, 14, 1. / 2, 1.5),
        FLAT("12", .062, .024, 9.5, 10, 3. / 4, 2),
        SPIRAL("spiral-2/0", 0.8),
        SPIRAL("spiral-1", 0.9),
        SPIRAL("spiral-3", 1.1),
};
enum { N_BLADES = sizeof blades / sizeof *blades };

const tb_blade *tb_blade_at(int i)
{
    return i >= 0 && i < N_BLADES ? &blades[i] : NULL;
}

const tb_blade *tb_blade_find(const char *name)
{
    for (int i = 0; i < N_BLADES; i++)
        if (tb__same_name(blades[i].name, name))
            return &blades[i];
    return NULL;
}

const char *tb_blade_source(void)
{
    return "generic sizes, from memory: measure your own";
}

double tb_blade_kerf_mm(const tb_blade *blade)
{
    return blade->thickness_mm + KERF_ROOM_MM;
}

double tb_blade_turn_mm(const tb_blade *blade)
{
    return blade->spiral ? tb_blade_kerf_mm(blade) / 2 : 2 * blade->width_mm;
}

double tb_blade_turn_least_mm(const tb_blade *blade)
{
    if (blade->spiral)
        return tb_blade_kerf_mm(blade) / 2;
    return blade->width_mm * blade->width_mm / (8 * TURN_ROOM_MM);
}

const tb_drill *tb_blade_drill(const tb_blade *blade, tb_drill_kind kind)
{
    double across_mm =
            blade->spiral ? blade->width_mm : hypot(blade->width_mm, blade->thickness_mm);
    const tb_drill *drill = tb_drill_at_least(kind, across_mm + EASY_MM);
    return drill ? drill : tb_drill_at_least(TB_DRILL_METRIC, across_mm + EASY_MM);
}

bool tb_blade_has_teeth_for(const tb_blade *blade, double thickness_mm)
{
    return blade->teeth_least <= 0 || blade->teeth_least * thickness_mm / 25.4 >= TEETH_IN_WOOD;
}
