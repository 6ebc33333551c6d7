/* facts/standing.c: see standing.h. */
#include "facts/standing.h"

const char *tb_standing_text(tb_standing standing)
{
    switch (standing) {
    case TB_STANDING_READ:
        return "read in the source";
    case TB_STANDING_TRANSCRIBED:
        return "read in a transcription of the source";
    case TB_STANDING_DERIVED:
        return "computed";
    case TB_STANDING_MEMORY:
        return "from memory, unverified";
    case TB_STANDING_PRACTICE:
        return "common practice";
    case TB_STANDING_JUDGEMENT:
        return "judgement";
    }
    return "unknown";
}
