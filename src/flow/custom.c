/* flow/custom.c: see custom.h. */
#define _GNU_SOURCE
#include "flow/custom.h"

#include <langinfo.h>
#include <locale.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

static bool says_nothing(int category)
{
    const char *name = setlocale(category, NULL);
    return !name || strcmp(name, "POSIX") == 0 || strcmp(name, "C") == 0 ||
           strncmp(name, "C.", 2) == 0;
}

tb_unit tb_custom_unit(void)
{
    enum { US_CUSTOMARY = 2 }; /* glibc: 1 metric, 2 US */
    const char *measurement = nl_langinfo(_NL_MEASUREMENT_MEASUREMENT);
    bool inches = !says_nothing(LC_MEASUREMENT) && measurement && *measurement == US_CUSTOMARY;
    return inches ? TB_UNIT_IN : TB_UNIT_MM;
}

const char *tb_custom_paper(void)
{
    /* glibc keeps whole millimetres in the pointer itself. */
    int width = (int)(intptr_t)nl_langinfo(_NL_PAPER_WIDTH);
    int height = (int)(intptr_t)nl_langinfo(_NL_PAPER_HEIGHT);
    bool letter = !says_nothing(LC_PAPER) && width == 216 && height == 279;
    return letter ? "letter" : "a4";
}
