/* sheet/words.c: see words.h. */
#include "sheet/words.h"

#include <glib.h>
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
