/* pattern/limits.c: see limits.h. */
#include "pattern/limits.h"

#include "base/num.h"

#include <math.h>

tb_status tb_limits_check(const tb_limits *limits, tb_error *err)
{
    const struct {
        const char *name;
        double value, least, most;
    } rows[] = {
            {"narrowest bridge", limits->bridge_must_mm, 0, 50},
            {"advised bridge", limits->bridge_should_mm, 0, 50},
            {"bridge across the grain", limits->bridge_across_mm, 0, 50},
            {"kerf", limits->kerf_mm, 0, 5},
            {"slot limit in kerfs", limits->slot_must_kerfs, 0, 20},
            {"slot advice in kerfs", limits->slot_should_kerfs, 0, 20},
            {"drill", limits->drill_mm, 0.1, 20},
            {"room beside the drill", limits->drill_room_mm, 0, 20},
            {"room about an entry hole", limits->hole_clear_mm, 0, 20},
            {"turning radius", limits->turn_radius_mm, 0, 50},
            {"frame", limits->frame_mm, 0, 1000},
            {"speck", limits->speck_mm2, 0, 10000},
            {"thickness", limits->thickness_mm, 0.1, 200},
            {"strength along the grain", limits->strength_along_mpa, 0.01, 1000},
            {"strength across the grain", limits->strength_across_mpa, 0.01, 1000},
            {"direction of the grain", limits->grain_rad, -100, 100},
            {"factor of safety", limits->safety, 0.1, 100},
            {"handling load", limits->load_n, 0, 1000},
            {"split kerf", limits->split_kerf_mm, 0, 5},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (!(rows[i].value >= rows[i].least && rows[i].value <= rows[i].most))
            return tb_fail(err, TB_EINVAL, "%s of %s is out of limits (%s to %s)", rows[i].name,
                    tb_num_of(rows[i].value, 3).text, tb_num_of(rows[i].least, 3).text,
                    tb_num_of(rows[i].most, 3).text);
    return TB_OK;
}

size_t tb_limits_explain(tb_limit_row rows[TB_LIMIT_ROWS_MAX], const tb_limits *limits)
{
    const tb_limit_row all[] = {
            {"thin_bridge", "narrowest bridge, hard limit", limits->bridge_must_mm, "mm", "J",
                    "about twice the width of a fine blade; your own --bridge takes its place"},
            {"thin_bridge", "narrowest bridge, advised", limits->bridge_should_mm, "mm", "J",
                    "2.5 to 3 mm stand handling and sanding"},
            {"thin_bridge", "bridge across the grain in solid wood", limits->bridge_across_mm, "mm",
                    "J", "half the thickness; 0 for plywood, where it does not apply"},
            {"weak_peninsula", "handling load on the worst point", limits->load_n, "N", "J",
                    "mean tip pinch is 48 to 69 N (Stegink Jansen et al. 2003, J. Hand Ther. "
                    "16:326); 5 N is a light touch"},
            {"weak_peninsula", "factor of safety on mean strength", limits->safety, "", "J",
                    "at least 3 for solid wood, at least 2 for plywood"},
            {"weak_peninsula", "bending strength along the grain", limits->strength_along_mpa,
                    "MPa", "R2/M",
                    "solid: Wood Handbook FPL-GTR-282 table 5-3b (R2); birch plywood: Handbook of "
                    "Finnish Plywood (M)"},
            {"weak_peninsula", "bending strength across the grain", limits->strength_across_mpa,
                    "MPa", "R2/M",
                    "solid: tension perpendicular to grain stands in, same table (R2); plywood "
                    "(M)"},
            {"tight_opening", "largest disc that must fit",
                    limits->drill_mm + limits->drill_room_mm, "mm", "J",
                    "entry bit and half a millimetre"},
            {"narrow_slot", "slot, hard limit", limits->kerf_mm * limits->slot_must_kerfs, "mm",
                    "J", "the kerf: blade thickness and 0.05 to 0.10 mm"},
            {"narrow_slot", "slot, advised", limits->kerf_mm * limits->slot_should_kerfs, "mm", "J",
                    "twice the kerf, so that each side has its own cut"},
            {"tight_turn", "turning radius of the blade", limits->turn_radius_mm, "mm", "C/D",
                    "about twice the blade's width"},
            {"crowded_hole", "entry hole's edge to the line", limits->hole_clear_mm, "mm", "J",
                    "a hand drill wanders"},
            {"thin_frame", "opening to the board's edge", limits->frame_mm, "mm", "J",
                    "the frame carries everything"},
            {"speck", "smallest piece or opening", limits->speck_mm2, "mm²", "J",
                    "smaller is neither seen nor sawn"},
    };
    size_t n = sizeof all / sizeof all[0];
    for (size_t i = 0; i < n; i++)
        rows[i] = all[i];
    return n;
}
