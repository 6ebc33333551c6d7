/* facts/wood.c: see wood.h. */
#include "facts/wood.h"

#include "facts/name.h"

#include <stddef.h>

#define PSI(psi) ((psi)*6.894757e-3)
/* Specific gravity is oven-dry mass by volume at 12 % moisture; the water comes on top. */
#define DENSITY(gravity) ((gravity)*1120)
#define T TB_STANDING_TRANSCRIBED
#define M TB_STANDING_MEMORY

/* Tension across the grain where the Handbook has a dash: sugar maple is given black maple's 670
 * psi, the mahoganies the lowest of our hardwoods, basswood's 350 psi (judgement). */
static const tb_wood woods[] = {
        {"basswood", "Basswood", DENSITY(.37), PSI(8700), PSI(350), false, PSI(1.46e6), PSI(990),
                .027, .046, .406, T, M},
        {"yellow-poplar", "Yellow-poplar", DENSITY(.42), PSI(10100), PSI(540), false, PSI(1.58e6),
                PSI(1190), .043, .069, .392, T, M},
        {"walnut", "Black walnut", DENSITY(.55), PSI(14600), PSI(690), false, PSI(1.68e6),
                PSI(1370), .056, .062, .632, T, M},
        {"cherry", "Black cherry", DENSITY(.50), PSI(12300), PSI(560), false, PSI(1.49e6),
                PSI(1700), .086, .097, .428, T, M},
        {"maple", "Sugar maple", DENSITY(.63), PSI(15800), PSI(670), true, PSI(1.83e6), PSI(2330),
                .065, .063, .476, T, T},
        {"red-oak", "Northern red oak", DENSITY(.63), PSI(14300), PSI(800), false, PSI(1.82e6),
                PSI(1780), .082, .081, .448, T, M},
        {"ash", "White ash", DENSITY(.60), PSI(15400), PSI(940), false, PSI(1.74e6), PSI(1910),
                .080, .077, .440, T, M},
        {"yellow-birch", "Yellow birch", DENSITY(.62), PSI(16600), PSI(920), false, PSI(2.01e6),
                PSI(1880), .050, .068, .451, T, M},
        {"white-pine", "Eastern white pine", DENSITY(.35), PSI(8600), PSI(310), false, PSI(1.24e6),
                PSI(900), .038, .048, .344, T, M},
        {"redcedar", "Western redcedar", DENSITY(.32), PSI(7500), PSI(220), false, PSI(1.11e6),
                PSI(990), .055, .086, .296, T, M},
        {"mahogany", "True mahogany", DENSITY(.45), PSI(11500), PSI(350), true, PSI(1.50e6),
                PSI(1230), .064, .086, .533, T, M},
        {"african-mahogany", "African mahogany", DENSITY(.42), PSI(10700), PSI(350), true,
                PSI(1.40e6), PSI(1500), .050, .059, .641, T, M},
};
enum { N_WOODS = sizeof woods / sizeof *woods };

const tb_wood *tb_wood_at(int i)
{
    return i >= 0 && i < N_WOODS ? &woods[i] : NULL;
}

const tb_wood *tb_wood_find(const char *name)
{
    for (int i = 0; i < N_WOODS; i++)
        if (tb__same_name(woods[i].name, name))
            return &woods[i];
    return NULL;
}

const char *tb_wood_source(void)
{
    return "Wood Handbook, FPL-GTR-282 (2021), Tables 5-1, 5-2, 5-3b and 5-5b";
}
