/* facts/caution.c: see caution.h. */
#include "facts/caution.h"

#include <stddef.h>

const char *tb_caution_at(int i)
{
    static const char *const cautions[] = {
            "Follow your saw's manual and your local rules first.",
            "Get competent instruction before your first cut.",
            "Unplug the saw before you change or thread a blade.",
            "Wear marked eye protection.",
            "Take dust away at its source; local limits apply.",
            "Look up allergy warnings for your wood.",
            "Use spray adhesive as its label directs: in fresh air, away from sparks and from the "
            "running saw.",
            "Keep your fingers beside the line of cut, never in front of the blade.",
            "Strength figures are estimates from averages of clear wood. They do not make a "
            "fragile "
            "part safe to force.",
    };
    return i >= 0 && i < (int)(sizeof cautions / sizeof *cautions) ? cautions[i] : NULL;
}

const char *tb_caution_permission(void)
{
    return "The photograph usually belongs to the photographer, and the person shown may have "
           "rights too. Ask both; local law decides.";
}
