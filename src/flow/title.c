/* flow/title.c: see title.h. */
#include "flow/title.h"

#include <stdio.h>
#include <string.h>

void tb_title_of(char to[TB_WORDS_ROOM], const char *title, const char *file)
{
    if (title && *title) {
        snprintf(to, TB_WORDS_ROOM, "%s", title);
        return;
    }
    const char *slash = file ? strrchr(file, '/') : NULL;
    const char *name = slash ? slash + 1 : file ? file : "";
    snprintf(to, TB_WORDS_ROOM, "%s", name);
    char *dot = strrchr(to, '.');
    if (dot && dot > to)
        *dot = '\0';
    for (char *c = to; *c; c++)
        *c = *c == '_' ? ' ' : *c;
}
