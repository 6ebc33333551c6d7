/* facts/practice.c: see practice.h. */
#include "facts/practice.h"

#include "facts/name.h"

#include <math.h>
#include <stddef.h>

#define J TB_STANDING_JUDGEMENT
#define C TB_STANDING_PRACTICE

static const tb_practice values[] = {
        {"bridge_must_mm", "narrowest bridge", 1.6, "mm",
                "1/16 in, about what holds through sanding", J},
        {"bridge_should_mm", "bridge to aim for", 2.5, "mm", "2.5 to 3 mm is advised", J},
        {"bridge_across_share", "bridge across the grain of solid wood, of its thickness", 0.5, "×",
                "at least half the thickness", J},
        {"slot_must_kerfs", "narrowest slot", 1, "× kerf", "the blade leaves no narrower one", J},
        {"slot_should_kerfs", "slot to aim for", 2, "× kerf", "room to saw both sides", J},
        {"drill_room_mm", "room for the drill in an opening", 0.5, "mm", "bit + 0.5 mm", J},
        {"hole_clear_mm", "entry hole to the line", 0.3, "mm", "the bit wanders", J},
        {"frame_mm", "frame", 6, "mm", "holds the piece together in the hand", J},
        {"speck_mm2", "smallest island or opening", 2, "mm²", "smaller is not seen at arm's length",
                J},
        {"load_n", "handling load on the worst point", 5, "N",
                "a light touch; the mean tip pinch is 48 to 69 N (Stegink Jansen et al. 2003)", J},
        {"safety_solid", "safety of solid wood", 3, "×", "scatter and short grain", J},
        {"safety_ply", "safety of plywood", 2, "×", "crossed plies scatter less", J},
        {"opening_min", "time for one opening", 2.5, "min",
                "12 openings in about half an hour, threading and turning included", C},
        {"stack_thin", "boards of 3 mm in a stack, at most", 4, "", "up to four 1/8 in layers", C},
        {"stack_thick", "boards of 6.5 mm in a stack, at most", 3, "", "up to three 1/4 in layers",
                C},
        {"share_quality", "quality of a share copy", 85, "", "small, and no ringing to be seen", C},
};
enum { N_VALUES = sizeof values / sizeof *values };

const tb_practice *tb_practice_at(int i)
{
    return i >= 0 && i < N_VALUES ? &values[i] : NULL;
}

const tb_practice *tb_practice_find(const char *key)
{
    for (int i = 0; i < N_VALUES; i++)
        if (tb__same_name(values[i].key, key))
            return &values[i];
    return NULL;
}

double tb_practice_rate_mm_s(double thickness_mm)
{
    /* Through 1.75 mm/s at 6.4 mm and 1.5 times that at 3.2 mm; 3/4 in comes to 0.9 mm/s, inside
     * the 0.5 to 1.5 mm/s of hardwood. */
    return 1.75 * pow(6.4 / fmax(thickness_mm, 1), 0.585);
}
