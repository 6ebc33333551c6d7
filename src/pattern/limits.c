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
