/* sheet/speech.c: see speech.h. */
#include "sheet/speech.h"

#include <glib.h>
#include <math.h>
#include <string.h>

void tb__speech_begin(tb_speech *speech, const tb_sheet_content *content)
{
    *speech = (tb_speech){content->local, g_ptr_array_new_with_free_func(g_free)};
}

void tb__speech_end(tb_speech *speech)
{
    g_ptr_array_free(speech->said, TRUE);
}

static const char *keep(tb_speech *speech, char *text)
{
    g_ptr_array_add(speech->said, text);
    return text;
}

const char *tb__say(tb_speech *speech, const char *format, ...)
{
    va_list words;
    va_start(words, format);
    const char *english = keep(speech, g_strdup_vprintf(format, words));
    va_end(words);
    return speech->local ? keep(speech, speech->local(english)) : english;
}

const char *tb__put_together(tb_speech *speech, const char *format, ...)
{
    va_list words;
    va_start(words, format);
    char *text = g_strdup_vprintf(format, words);
    va_end(words);
    return keep(speech, text);
}

/* ---- measures ---------------------------------------------------------------------------------
 */

/* To the nearest sixteenth, as a rule is read: "9 13/16", with a space that keeps them apart. */
static const char *inches(tb_speech *speech, double mm)
{
    long sixteenths = lround(mm / 25.4 * 16);
    long whole = sixteenths / 16, part = sixteenths % 16, of = 16;
    while (part > 0 && part % 2 == 0) {
        part /= 2;
        of /= 2;
    }
    if (part == 0)
        return tb__put_together(speech, "%ld", whole);
    return whole ? tb__put_together(speech, "%ld\u2004%ld/%ld", whole, part, of)
                 : tb__put_together(speech, "%ld/%ld", part, of);
}

/* One behind the other in brackets, which no line break tears apart. */
static const char *both(tb_speech *speech, const char *metric, const char *imperial, tb_unit unit)
{
    GString *behind = g_string_new(unit == TB_UNIT_IN ? metric : imperial);
    g_string_replace(behind, " ", "\u00a0", 0);
    const char *text = tb__put_together(
            speech, "%s (%s)", unit == TB_UNIT_IN ? imperial : metric, behind->str);
    g_string_free(behind, TRUE);
    return text;
}

/* The mark is what a number that is said has between its digits. */
const char *tb__say_in(tb_speech *speech, const char *local, tb_unit unit)
{
    char text[600], marked[700];
    if (unit == TB_UNIT_MM)
        return local;
    tb_num_text(text, sizeof text, local, unit);
    const char *half = tb__say(speech, "%s", "0.5");
    char *mark = g_strndup(half + 1, strlen(half) - 2);
    tb_num_mark(marked, sizeof marked, text, mark);
    g_free(mark);
    return tb__put_together(speech, "%s", marked);
}

const char *tb__say_size(tb_speech *speech, double width_mm, double height_mm, tb_unit unit)
{
    const char *metric = tb__say(
            speech, "%s × %s mm", tb_num_of(width_mm, 1).text, tb_num_of(height_mm, 1).text);
    const char *imperial =
            tb__say(speech, "%s × %s in", inches(speech, width_mm), inches(speech, height_mm));
    return both(speech, metric, imperial, unit);
}

const char *tb__say_long(tb_speech *speech, double mm, tb_unit unit)
{
    long whole = lround(mm / 25.4);
    return both(speech, tb__say(speech, "%s m", tb_num_fixed(mm / 1000, 2).text),
            tb__say(speech, "%ld ft %ld in", whole / 12, whole % 12), unit);
}

const char *tb__say_fine(tb_speech *speech, double mm, tb_unit unit)
{
    return both(speech, tb__say(speech, "%s mm", tb_num_fixed(mm, 2).text),
            tb__say(speech, "%s in", tb_num_fixed(mm / 25.4, 3).text), unit);
}

const char *tb__say_bit(tb_speech *speech, double drill_mm, tb_unit unit)
{
    if (unit == TB_UNIT_IN)
        return tb__say(speech, "%s″", tb_num_fixed(drill_mm / 25.4, 3).text);
    return tb__say(speech, "%s", tb_num_fixed(drill_mm, 1).text);
}

/* ---- the verdict ------------------------------------------------------------------------------
 */

static const char *counts(tb_speech *speech, const tb_inspection *inspection, tb_severity severity)
{
    GString *list = g_string_new(NULL);
    for (int kind = 0; kind < TB_N_FINDING_KINDS; kind++) {
        tb_verdict count = tb_finding_count(inspection, (tb_finding_kind)kind, severity);
        if (*count.text)
            g_string_append_printf(
                    list, "%s%s", list->len ? ", " : "", tb__say(speech, "%s", count.text));
    }
    return keep(speech, g_string_free(list, FALSE));
}

const char *tb__say_verdict(tb_speech *speech, const tb_inspection *inspection, tb_unit unit)
{
    if (inspection->n_pieces == 0)
        return tb__say(speech, "no wood at all");
    if (inspection->n_must > 0)
        return tb__put_together(speech, "%s: %s", tb__say(speech, "can't be sawn yet"),
                counts(speech, inspection, TB_MUST));
    const char *good = tb__say_in(speech,
            tb__say(speech, "one piece, no wood narrower than %s mm",
                    tb_num_of(inspection->narrowest_wood_mm, 1).text),
            unit);
    if (inspection->n_should == 0)
        return tb__put_together(speech, "%s", good);
    return tb__put_together(speech, "%s; %s %s", good, tb__say(speech, "better mend"),
            counts(speech, inspection, TB_SHOULD));
}
