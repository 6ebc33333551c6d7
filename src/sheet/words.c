/* sheet/words.c: see words.h. */
#include "sheet/words.h"

#include <glib.h>
#include <math.h>
#include <string.h>

static bool turns_direction(gunichar c)
{
    return (c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069);
}

static bool is_blank(gunichar c)
{
    return c < 0x20 || (c >= 0x7f && c < 0xa0) || c == 0x2028 || c == 0x2029 ||
           (c & 0xfffe) == 0xfffe || turns_direction(c);
}

char *tb__words_clean(const char *text, size_t max)
{
    char *valid = g_utf8_make_valid(text ? text : "", -1);
    GString *clean = g_string_new(NULL);
    size_t n = 0;
    for (char *at = valid; *at; at = g_utf8_next_char(at)) {
        gunichar c = g_utf8_get_char(at);
        if (++n > max) {
            g_string_append(clean, "…");
            break;
        }
        g_string_append_unichar(clean, is_blank(c) ? ' ' : c);
    }
    g_free(valid);
    return g_strstrip(g_string_free(clean, FALSE));
}

bool tb__words_add_xml(tb_bytes *bytes, const char *text)
{
    bool good = true;
    for (const char *at = text; *at && good; at++) {
        switch (*at) {
        case '&':
            good = tb_bytes_add_text(bytes, "&amp;");
            break;
        case '<':
            good = tb_bytes_add_text(bytes, "&lt;");
            break;
        case '>':
            good = tb_bytes_add_text(bytes, "&gt;");
            break;
        case '"':
            good = tb_bytes_add_text(bytes, "&quot;");
            break;
        case '\'':
            good = tb_bytes_add_text(bytes, "&#39;");
            break;
        default:
            good = tb_bytes_add(bytes, at, 1);
        }
    }
    return good;
}

/* To the nearest sixteenth, as a rule is read: "9 13/16", with a space that keeps them apart. */
static char *inches(double mm)
{
    long sixteenths = lround(mm / 25.4 * 16);
    long whole = sixteenths / 16, part = sixteenths % 16, of = 16;
    while (part > 0 && part % 2 == 0) {
        part /= 2;
        of /= 2;
    }
    if (part == 0)
        return g_strdup_printf("%ld", whole);
    return whole ? g_strdup_printf("%ld\u2004%ld/%ld", whole, part, of)
                 : g_strdup_printf("%ld/%ld", part, of);
}

/* One behind the other in brackets, which no line break tears apart. */
static char *both(char *metric, char *imperial, tb_unit unit)
{
    GString *behind = g_string_new(unit == TB_UNIT_IN ? metric : imperial);
    g_string_replace(behind, " ", "\u00a0", 0);
    char *text = g_strdup_printf("%s (%s)", unit == TB_UNIT_IN ? imperial : metric, behind->str);
    g_string_free(behind, TRUE);
    g_free(metric);
    g_free(imperial);
    return text;
}

char *tb__words_size(double width_mm, double height_mm, tb_unit unit)
{
    char *w = inches(width_mm), *h = inches(height_mm);
    char *text = both(g_strdup_printf("%s × %s mm", tb_num_of(width_mm, 1).text,
                              tb_num_of(height_mm, 1).text),
            g_strdup_printf("%s × %s in", w, h), unit);
    g_free(w);
    g_free(h);
    return text;
}

char *tb__words_long(double mm, tb_unit unit)
{
    long whole = lround(mm / 25.4);
    return both(g_strdup_printf("%s m", tb_num_fixed(mm / 1000, 2).text),
            g_strdup_printf("%ld ft %ld in", whole / 12, whole % 12), unit);
}

char *tb__words_fine(double mm, tb_unit unit)
{
    return both(g_strdup_printf("%s mm", tb_num_fixed(mm, 2).text),
            g_strdup_printf("%s in", tb_num_fixed(mm / 25.4, 3).text), unit);
}

char *tb__words_bit(double drill_mm, tb_unit unit)
{
    if (unit == TB_UNIT_IN)
        return g_strdup_printf("%s″", tb_num_fixed(drill_mm / 25.4, 3).text);
    return g_strdup(tb_num_fixed(drill_mm, 1).text);
}
