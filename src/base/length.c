// length.c - see length.h.
// Grammar: length = amount unit [amount unit], the second in inches behind feet; blanks may stand between;
//          amount = decimal | whole '-' fraction | whole ' ' fraction | fraction.
#include "base/length.h"

#include "base/text.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#define MM_PER_FOOT (12.0 * MM_PER_INCH)
#define LENGTH_LIMIT_MM 100000.0 // micrometres in 32 bits hold sides of 100 m with cross products in 64 bits
#define SHOWN_MAX_BYTES 60       // of a wrong length, so that the error stays one readable sentence
#define DIGITS_MAX_BYTES 64
#define INCHES_ALONE_UP_TO 36.0 // common practice, no source: people say 32 in, but 4 ft 6 in

typedef struct Unit {
    const char *name;
    double mm;
} Unit;

static const Unit units[] = {
    {"in", MM_PER_INCH},
    {"inch", MM_PER_INCH},
    {"inches", MM_PER_INCH},
    {"\"", MM_PER_INCH},
    {"\u2033", MM_PER_INCH},
    {"\u201d", MM_PER_INCH}, // double prime, and what text editors make of a quote
    {"ft", MM_PER_FOOT},
    {"foot", MM_PER_FOOT},
    {"feet", MM_PER_FOOT},
    {"'", MM_PER_FOOT},
    {"\u2032", MM_PER_FOOT},
    {"\u2019", MM_PER_FOOT},
    {"mm", 1.0},
    {"cm", 10.0},
    {"m", 1000.0},
};
#define UNIT_COUNT (sizeof units / sizeof units[0])

typedef enum Trouble {
    TROUBLE_NONE,
    TROUBLE_NOT_A_LENGTH,
    TROUBLE_NO_UNIT,
    TROUBLE_UNKNOWN_UNIT,
} Trouble;

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static const char *skip_blanks(const char *at)
{
    while (*at == ' ' || *at == '\t') at++;
    return at;
}

// A decimal number without a sign at *at; moves *at behind it.
static bool read_number(const char **at, double *out)
{
    size_t size = strspn(*at, "0123456789.");
    char digits[DIGITS_MAX_BYTES];
    if (size == 0 || size >= sizeof digits) return false;
    memcpy(digits, *at, size);
    digits[size] = 0;
    if (!number_parse(digits, out)) return false;
    *at += size;
    return true;
}

// "/2" behind a numerator: the fraction.
static bool read_denominator(const char **at, double numerator, double *out)
{
    const char *next = *at + 1;
    double denominator;
    if (**at != '/' || !read_number(&next, &denominator) || denominator == 0.0) return false;
    *out = numerator / denominator;
    *at = next;
    return true;
}

// "6", "6.5", "6-1/2", "6 1/2", "1/2".
static bool read_amount(const char **at, double *out)
{
    if (!read_number(at, out)) return false;
    if (**at == '/') return read_denominator(at, *out, out);
    const char *next = skip_blanks(*at);
    if (*next == '-') next++;
    if (!is_digit(*next)) return true;
    double numerator, fraction;
    if (!read_number(&next, &numerator) || !read_denominator(&next, numerator, &fraction)) return false;
    *out += fraction;
    *at = next;
    return true;
}

static size_t unit_size(const char *at)
{
    size_t letters = 0;
    while (is_letter(at[letters])) letters++;
    return letters ? letters : text_character_size(at, strlen(at));
}

// The unit at *at, NULL when it is none that we know; moves *at behind it.
static const Unit *read_unit(const char **at)
{
    size_t size = unit_size(*at);
    for (size_t i = 0; i < UNIT_COUNT; i++) {
        if (strlen(units[i].name) != size || strncasecmp(*at, units[i].name, size) != 0) continue;
        *at += size;
        return &units[i];
    }
    return NULL;
}

// Reads the length at *at; on trouble *at stands where it was found.
static Trouble read_length(const char **at, double *out_mm)
{
    *out_mm = 0.0;
    const Unit *unit = NULL;
    while (!unit || **at) {
        double amount;
        if (unit && unit->mm != MM_PER_FOOT) return TROUBLE_NOT_A_LENGTH; // only feet take a second amount
        const Unit *before = unit;
        if (!read_amount(at, &amount)) return TROUBLE_NOT_A_LENGTH;
        *at = skip_blanks(*at);
        if (!**at) return TROUBLE_NO_UNIT;
        unit = read_unit(at);
        if (!unit) return TROUBLE_UNKNOWN_UNIT;
        if (before && unit->mm != MM_PER_INCH) return TROUBLE_NOT_A_LENGTH;
        *out_mm += amount * unit->mm;
        *at = skip_blanks(*at);
    }
    return TROUBLE_NONE;
}

// What the maker wrote, fit for one line: control characters and broken bytes become '?', a long text is cut.
static const char *shown(const char *string, char buffer[SHOWN_MAX_BYTES + 4])
{
    size_t size = strlen(string), used = 0, at = 0;
    while (at < size && used + 4 < SHOWN_MAX_BYTES) {
        size_t character = text_character_size(string + at, size - at);
        if (character == 0 || (unsigned char)string[at] < 0x20 || string[at] == 0x7F) {
            buffer[used++] = '?';
            at++;
            continue;
        }
        memcpy(buffer + used, string + at, character);
        used += character;
        at += character;
    }
    memcpy(buffer + used, at < size ? "..." : "", at < size ? 4 : 1);
    return buffer;
}

static bool refuse(Trouble trouble, const char *what, const char *string, const char *at, Error *err)
{
    char whole[SHOWN_MAX_BYTES + 4], rest[SHOWN_MAX_BYTES + 4];
    shown(string, whole);
    shown(at, rest);
    switch (trouble) {
    case TROUBLE_NO_UNIT:
        return error_set(err, ERROR_USAGE, "%s is '%s', a number without a unit; add in, ft, mm, cm or m, as in %sin",
                         what, whole, whole);
    case TROUBLE_UNKNOWN_UNIT:
        return error_set(err, ERROR_USAGE, "%s is '%s'; the unit '%s' is not known here, use in, ft, mm, cm or m", what,
                         whole, rest);
    case TROUBLE_NONE:
    case TROUBLE_NOT_A_LENGTH:
        break;
    }
    return error_set(
        err, ERROR_USAGE,
        "%s is '%s', which is not a length; write a number and a unit, as in 32in, 4ft, 4ft6in, 81cm, 810mm "
        "or 1.2m",
        what, whole);
}

bool length_parse(const char *string, const char *what, double *out_mm, Error *err)
{
    *out_mm = 0.0;
    const char *at = skip_blanks(string);
    bool is_negative = *at == '-';
    at += is_negative;
    double mm;
    Trouble trouble = read_length(&at, &mm);
    if (trouble != TROUBLE_NONE) return refuse(trouble, what, string, at, err);
    char whole[SHOWN_MAX_BYTES + 4];
    shown(string, whole);
    if (is_negative || mm <= 0.0)
        return error_set(err, ERROR_USAGE, "%s is '%s'; it should be more than 0, as in 32in", what, whole);
    if (mm > LENGTH_LIMIT_MM)
        return error_set(err, ERROR_USAGE,
                         "%s is '%s'; the longest that can be worked with is 100 m, give a smaller length", what,
                         whole);
    *out_mm = mm;
    return true;
}

void length_format_inches(double mm, char out[32])
{
    assert(isfinite(mm) && fabs(mm) < 1e12);
    char feet[NUMBER_MAX], inches[NUMBER_MAX];
    double total = round(mm / MM_PER_INCH * 100.0) / 100.0;
    if (total <= INCHES_ALONE_UP_TO) {
        snprintf(out, 32, "%.20s in", number_format(inches, total, 2));
        return;
    }
    double tenths = round(mm / MM_PER_INCH * 10.0), whole_feet = floor(tenths / 120.0);
    number_format(feet, whole_feet, 0);
    number_format(inches, (tenths - whole_feet * 120.0) / 10.0, 1);
    if (strcmp(inches, "0") == 0)
        snprintf(out, 32, "%.12s ft", feet);
    else
        snprintf(out, 32, "%.12s ft %.6s in", feet, inches);
}
