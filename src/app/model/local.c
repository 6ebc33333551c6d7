/* app/model/local.c: see local.h. */
#include "app/model/local.h"

#include <glib/gi18n.h>
#include <locale.h>
#include <stdbool.h>
#include <string.h>

enum { HOLES_MOST = 6 };

/* Where the text stands that filled the holes of a pattern. */
typedef struct {
    const char *at[HOLES_MOST];
    size_t length[HOLES_MOST];
    int n;
} fillings;

char *tb_local_number(const char *number)
{
    GString *text = g_string_new(NULL);
    for (const char *c = number; *c; c++)
        if (*c == '.' && c > number && g_ascii_isdigit(c[-1]) && g_ascii_isdigit(c[1]))
            g_string_append(text, localeconv()->decimal_point);
        else
            g_string_append_c(text, *c);
    return g_string_free(text, FALSE);
}

/* Whether the pattern gives the text, each hole as short as may be. */
static bool matches(fillings *found, const char *pattern, const char *text)
{
    while (*pattern && !g_str_has_prefix(pattern, "%s")) {
        if (*pattern++ != *text++)
            return false;
    }
    if (!*pattern)
        return !*text;
    int hole = found->n;
    if (hole == HOLES_MOST)
        return false;
    for (const char *end = text;; end++) {
        found->at[hole] = text;
        found->length[hole] = (size_t)(end - text);
        found->n = hole + 1;
        if (matches(found, pattern + 2, end))
            return true;
        found->n = hole;
        if (!*end)
            return false;
    }
}

static size_t solid_length(const char *pattern)
{
    size_t n = strlen(pattern);
    for (const char *hole = pattern; (hole = strstr(hole, "%s")); hole += 2)
        n -= 2;
    return n;
}

/* The pattern that tells most of the text; NULL when there is none. */
static const char *pattern_of(fillings *found, const char *text)
{
    const char *best = NULL;
    for (int i = 0; tb__local_pattern(i); i++) {
        const char *pattern = tb__local_pattern(i);
        fillings here = {.n = 0};
        if (matches(&here, pattern, text) &&
                (!best || solid_length(pattern) > solid_length(best))) {
            best = pattern;
            *found = here;
        }
    }
    return best;
}

static void append_filling(GString *text, const fillings *found, int hole)
{
    if (hole < 0 || hole >= found->n)
        return;
    g_autofree char *raw = g_strndup(found->at[hole], found->length[hole]);
    bool number = strspn(raw, "0123456789.") == found->length[hole];
    g_autofree char *local = number ? tb_local_number(raw) : NULL;
    g_string_append(text, number ? local : raw);
}

char *tb_local(const char *text)
{
    fillings found = {.n = 0};
    const char *pattern = *text ? pattern_of(&found, text) : NULL;
    if (!pattern)
        return g_strdup(text);
    GString *local = g_string_new(NULL);
    int next = 0;
    for (const char *c = _(pattern); *c; c++) {
        if (g_str_has_prefix(c, "%s")) {
            append_filling(local, &found, next++);
            c++;
        } else if (*c == '%' && g_ascii_isdigit(c[1]) && g_str_has_prefix(c + 2, "$s")) {
            append_filling(local, &found, c[1] - '1');
            c += 3;
        } else {
            g_string_append_c(local, *c);
        }
    }
    return g_string_free(local, FALSE);
}
