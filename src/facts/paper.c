/* facts/paper.c: see paper.h. */
#include "facts/paper.h"

#include "facts/name.h"

#include <stddef.h>

#define ISO_A(name, title, w, h)                                                                   \
    {                                                                                              \
        name, title, w, h, "ISO 216", TB_STANDING_TRANSCRIBED                                      \
    }
#define ISO_B(name, title, w, h)                                                                   \
    {                                                                                              \
        name, title, w, h, "ISO 216", TB_STANDING_MEMORY                                           \
    }
#define INCH(name, title, w, h)                                                                    \
    {                                                                                              \
        name, title, (w)*25.4, (h)*25.4, "ASME Y14.1", TB_STANDING_MEMORY                          \
    }

static const tb_paper papers[] = {
        ISO_A("a4", "A4", 210, 297),
        INCH("letter", "Letter", 8.5, 11),
        {"legal", "Legal", 8.5 * 25.4, 14 * 25.4, "customary in the US", TB_STANDING_MEMORY},
        INCH("tabloid", "Tabloid", 11, 17),
        ISO_A("a3", "A3", 297, 420),
        ISO_A("a2", "A2", 420, 594),
        ISO_A("a1", "A1", 594, 841),
        ISO_A("a0", "A0", 841, 1189),
        ISO_A("a5", "A5", 148, 210),
        ISO_A("a6", "A6", 105, 148),
        ISO_B("b1", "B1", 707, 1000),
        ISO_B("b2", "B2", 500, 707),
        ISO_B("b3", "B3", 353, 500),
        ISO_B("b4", "B4", 250, 353),
        ISO_B("b5", "B5", 176, 250),
        INCH("ansi-c", "ANSI C", 17, 22),
        INCH("ansi-d", "ANSI D", 22, 34),
        INCH("ansi-e", "ANSI E", 34, 44),
};
enum { N_PAPERS = sizeof papers / sizeof *papers };

const tb_paper *tb_paper_at(int i)
{
    return i >= 0 && i < N_PAPERS ? &papers[i] : NULL;
}

const tb_paper *tb_paper_find(const char *name)
{
    for (int i = 0; i < N_PAPERS; i++)
        if (tb__same_name(papers[i].name, name))
            return &papers[i];
    return NULL;
}
