/* facts/name.c: see name.h. */
#include "facts/name.h"

#include <stddef.h>

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c;
}

static bool filler(char c)
{
    return c == ' ' || c == '-' || c == '_' || c == '\t';
}

static const char *skip_number_sign(const char *name)
{
    while (filler(*name))
        name++;
    if (*name == '#')
        return name + 1;
    if (lower(name[0]) == 'n' && lower(name[1]) == 'o') {
        const char *rest = name + 2;
        while (*rest == '.' || filler(*rest))
            rest++;
        if (*rest >= '0' && *rest <= '9')
            return rest;
    }
    return name;
}

bool tb__same_name(const char *a, const char *b)
{
    if (!a || !b)
        return false;
    a = skip_number_sign(a);
    b = skip_number_sign(b);
    for (;;) {
        while (filler(*a))
            a++;
        while (filler(*b))
            b++;
        if (lower(*a) != lower(*b))
            return false;
        if (!*a)
            return true;
        a++;
        b++;
    }
}
