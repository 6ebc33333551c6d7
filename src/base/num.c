/* base/num.c: see num.h.
 *
 * Writing scales to an integer of at most 24 decimal digits and prints that, so no C library
 * routine that knows about locales is involved. Reading gathers up to 18 significant digits and a
 * power of ten: exact enough for anything a ruler can tell.
 */
#include "base/num.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const double MM_PER_UNIT[] = {[TB_UNIT_MM] = 1, [TB_UNIT_CM] = 10, [TB_UNIT_IN] = 25.4};

tb_num tb_num_fixed(double value, int decimals)
{
    static const uint64_t TEN_TO[] = {
            1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000, 1000000000};
    tb_num out = {"0"};
    if (decimals < 0)
        decimals = 0;
    if (decimals > 9)
        decimals = 9;
    if (!isfinite(value) || fabs(value) >= 1e15)
        value = 0;
    double whole = floor(fabs(value));
    double part = fabs(value) - whole;
    uint64_t scale = TEN_TO[decimals];
    uint64_t above = (uint64_t)whole;
    uint64_t below = (uint64_t)floor(part * (double)scale + 0.5);
    if (below >= scale) {
        above++;
        below -= scale;
    }
    const char *sign = value < 0 && (above || below) ? "-" : "";
    if (decimals > 0)
        snprintf(out.text, sizeof out.text, "%s%" PRIu64 ".%0*" PRIu64, sign, above, decimals,
                below);
    else
        snprintf(out.text, sizeof out.text, "%s%" PRIu64, sign, above);
    return out;
}

tb_num tb_num_of(double value, int decimals)
{
    tb_num out = tb_num_fixed(value, decimals);
    if (!strchr(out.text, '.'))
        return out;
    char *end = out.text + strlen(out.text);
    while (end[-1] == '0')
        *--end = '\0';
    if (end[-1] == '.')
        *--end = '\0';
    if (strcmp(out.text, "-0") == 0)
        strcpy(out.text, "0");
    return out;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Gathers digits into *value; digits behind the decimal mark lower *power. */
static const char *read_digits(const char *at, double *value, int *power, bool behind_mark)
{
    for (; is_digit(*at); at++) {
        *value = *value * 10 + (*at - '0');
        if (behind_mark)
            --*power;
    }
    return at;
}

static const char *read_exponent(const char *at, int *power)
{
    if (*at != 'e' && *at != 'E')
        return at;
    const char *digits = at + 1;
    int sign = 1;
    if (*digits == '+' || *digits == '-')
        sign = *digits++ == '-' ? -1 : 1;
    if (!is_digit(*digits))
        return at;
    int exponent = 0;
    for (; is_digit(*digits); digits++)
        exponent = exponent < 9999 ? exponent * 10 + (*digits - '0') : exponent;
    *power += sign * exponent;
    return digits;
}

bool tb_num_read(const char *text, const char **end, double *value)
{
    const char *at = text;
    double sign = 1, digits = 0;
    int power = 0;
    if (*at == '+' || *at == '-')
        sign = *at++ == '-' ? -1 : 1;
    const char *first = at;
    at = read_digits(at, &digits, &power, false);
    bool any = at > first;
    if ((*at == '.' || *at == ',') && (is_digit(at[1]) || any)) {
        const char *behind = at + 1;
        at = read_digits(behind, &digits, &power, true);
        any = any || at > behind;
    }
    if (!any)
        return false;
    at = read_exponent(at, &power);
    *value = sign * (power < 0 ? digits / pow(10, -power) : digits * pow(10, power));
    *end = at;
    return isfinite(*value);
}

tb_num tb_num_length(double mm, int decimals, tb_unit unit)
{
    bool inches = unit == TB_UNIT_IN;
    tb_num out = tb_num_of(inches ? mm / 25.4 : mm, decimals + inches);
    strncat(out.text, inches ? " in" : " mm", sizeof out.text - strlen(out.text) - 1);
    return out;
}

/* What follows a number, and the number in inches; NULL where that is no millimetres. */
static const char *in_inches(tb_num *inches, const char *at, double value)
{
    size_t n = strcspn(at, "m");
    if (n != strspn(at, " ") || at[n + 1] != 'm' || n == 0)
        return NULL;
    at += n + 2;
    if (strncmp(at, "\u00b2", 2) == 0) {
        *inches = tb_num_of(value / (25.4 * 25.4), 4);
        strcat(inches->text, " in\u00b2");
        return at + 2;
    }
    *inches = tb_num_length(value, 2, TB_UNIT_IN);
    return at;
}

void tb_num_text(char *to, size_t room, const char *text, tb_unit unit)
{
    size_t n = 0;
    for (const char *at = text; *at && n + 1 < room;) {
        const char *end, *behind = NULL;
        tb_num inches;
        double value;
        bool number = unit == TB_UNIT_IN && is_digit(*at) && (at == text || !is_digit(at[-1])) &&
                      tb_num_read(at, &end, &value);
        if (number && (behind = in_inches(&inches, end, value))) {
            n += (size_t)snprintf(to + n, room - n, "%s", inches.text);
            at = behind;
        } else {
            to[n++] = *at++;
        }
    }
    to[n < room ? n : room - 1] = '\0';
}

static const char *skip_blanks(const char *at)
{
    while (*at == ' ' || *at == '\t')
        at++;
    return at;
}

/* Reads "/ 16" behind a numerator; false when what follows the bar is no whole number above 0. */
static bool read_denominator(const char **at, double *denominator)
{
    const char *digits = skip_blanks(skip_blanks(*at) + 1);
    int power = 0;
    *denominator = 0;
    *at = read_digits(digits, denominator, &power, false);
    return *at > digits && *denominator > 0;
}

/* "7 1/2", "7-1/2", "1/2" or a plain number. */
static bool read_mixed(const char **at, double *value)
{
    double denominator;
    if (!tb_num_read(*at, at, value))
        return false;
    if (*skip_blanks(*at) == '/') {
        if (!read_denominator(at, &denominator))
            return false;
        *value /= denominator;
        return true;
    }
    const char *next = skip_blanks(*at);
    if (*next == '-')
        next++;
    double numerator;
    if (!is_digit(*next) || next == *at)
        return true;
    if (!tb_num_read(next, at, &numerator) || *skip_blanks(*at) != '/' ||
            !read_denominator(at, &denominator))
        return false;
    *value += numerator / denominator;
    return true;
}

static bool read_unit(const char **at, tb_unit *unit)
{
    static const struct {
        const char *name;
        tb_unit unit;
    } NAMES[] = {{"mm", TB_UNIT_MM}, {"cm", TB_UNIT_CM}, {"inches", TB_UNIT_IN},
            {"inch", TB_UNIT_IN}, {"in", TB_UNIT_IN}, {"\"", TB_UNIT_IN}, {"\u2033", TB_UNIT_IN}};
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++) {
        size_t length = strlen(NAMES[i].name);
        if (strncmp(*at, NAMES[i].name, length) == 0) {
            *unit = NAMES[i].unit;
            *at += length;
            return true;
        }
    }
    return **at == '\0';
}

tb_status tb_length_parse(double *mm, const char *text, tb_unit bare_unit, tb_error *err)
{
    const char *at = skip_blanks(text);
    double value = 0;
    tb_unit unit = bare_unit;
    *mm = 0;
    bool good = read_mixed(&at, &value);
    if (good) {
        at = skip_blanks(at);
        good = read_unit(&at, &unit) && *skip_blanks(at) == '\0';
    }
    if (!good)
        return tb_fail(
                err, TB_EINVAL, "'%.60s' is no length; write 200mm, 20cm, 8in or 7 1/2in", text);
    value *= MM_PER_UNIT[unit];
    if (!isfinite(value) || value <= 0 || value > 100000)
        return tb_fail(err, TB_EINVAL,
                "'%.60s' is out of range; a length lies above 0 and below 100 m", text);
    *mm = value;
    return TB_OK;
}

void tb_num_mark(char *to, size_t room, const char *text, const char *mark)
{
    size_t n = 0, n_mark = strlen(mark);
    for (const char *c = text; *c; c++) {
        bool point = *c == '.' && c > text && is_digit(c[-1]) && is_digit(c[1]);
        size_t more = point ? n_mark : 1;
        if (n + more >= room)
            break;
        memcpy(to + n, point ? mark : c, more);
        n += more;
    }
    to[n] = '\0';
}
