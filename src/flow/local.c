/* flow/local.c: see local.h. */
#define _GNU_SOURCE
#include "flow/local.h"

#include "base/num.h"
#include "flow/place.h"

#include <glib/gi18n.h>
#include <langinfo.h>
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

void tb_local_start(void)
{
    g_autofree char *languages = tb_place_find("../../po", "../share/locale");
    bindtextdomain(GETTEXT_PACKAGE, languages ? languages : LOCALEDIR);
    bind_textdomain_codeset(GETTEXT_PACKAGE, "UTF-8");
    textdomain(GETTEXT_PACKAGE);
}

/* The environment's; the plain one where that is not installed. */
static locale_t users_locale(void)
{
    static gsize once;
    static locale_t users;
    if (g_once_init_enter(&once)) {
        users = newlocale(LC_ALL_MASK, "", NULL);
        users = users ? users : newlocale(LC_ALL_MASK, "C", NULL);
        g_once_init_leave(&once, 1);
    }
    return users;
}

static const char *translated(const char *text)
{
    locale_t before = uselocale(users_locale());
    const char *told = gettext(text);
    uselocale(before);
    return told;
}

tb_language tb_local_language(void)
{
    /* The translation of nothing tells about the translations. */
    const char *tag = strstr(translated(""), "Language: ");
    tb_language language = {"en"};
    if (tag)
        g_snprintf(language.tag, sizeof language.tag, "%.*s",
                (int)strcspn(tag + strlen("Language: "), "\n"), tag + strlen("Language: "));
    return language;
}

char *tb_local_number(const char *number)
{
    const char *mark = nl_langinfo_l(RADIXCHAR, users_locale());
    size_t room = strlen(number) * MAX(strlen(mark), 1) + 1;
    char *text = g_malloc(room);
    tb_num_mark(text, room, number, mark);
    return text;
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

static bool is_number(const fillings *found, int hole)
{
    return strspn(found->at[hole], "0123456789./ \u2004") >= found->length[hole];
}

/* "%s mm" is no pattern for "a stroke lies beyond the board by a mm". */
static bool holds(const fillings *found, const char *pattern)
{
    enum { MEASURE_MOST = 6 };
    bool good = true;
    for (int hole = 0; hole < found->n && solid_length(pattern) <= MEASURE_MOST; hole++)
        good = good && is_number(found, hole);
    return good;
}

/* The pattern that tells most of the text; NULL when there is none. */
static const char *pattern_of(fillings *found, const char *text)
{
    const char *best = NULL;
    for (int i = 0; tb__local_pattern(i); i++) {
        const char *pattern = tb__local_pattern(i);
        fillings here = {.n = 0};
        if (matches(&here, pattern, text) && holds(&here, pattern) &&
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
    bool number = is_number(found, hole);
    g_autofree char *local = number ? tb_local_number(raw) : NULL;
    g_string_append(text, number ? local : raw);
}

char *tb_local(const char *text)
{
    fillings found = {.n = 0};
    if (strspn(text, "0123456789.") == strlen(text))
        return tb_local_number(text);
    const char *pattern = *text ? pattern_of(&found, text) : NULL;
    if (!pattern)
        return g_strdup(text);
    GString *local = g_string_new(NULL);
    int next = 0;
    for (const char *c = translated(pattern); *c; c++) {
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
