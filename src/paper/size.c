// size.c - see size.h.
#include "paper/size.h"

#include "base/length.h"
#include "base/text.h"
#include "paper/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MOST_SIDE_MM 20000.0  // longer than any roll on a desk, and far below the range of a Point

typedef struct NamedSize {
    const char *name;
    double width_mm, height_mm;
} NamedSize;

#define INCHES(w, h) (w) * MM_PER_INCH, (h) * MM_PER_INCH

static const NamedSize NAMED[] = {
    {"letter", INCHES(8.5, 11)},     {"legal", INCHES(8.5, 14)},       {"tabloid", INCHES(11, 17)},
    {"ledger", INCHES(17, 11)},      {"executive", INCHES(7.25, 10.5)}, {"half-letter", INCHES(5.5, 8.5)},
    {"ansi-a", INCHES(8.5, 11)},     {"ansi-b", INCHES(11, 17)},       {"ansi-c", INCHES(17, 22)},
    {"ansi-d", INCHES(22, 34)},      {"ansi-e", INCHES(34, 44)},       {"scrapbook", INCHES(12, 12)},
    {"poster-board", INCHES(22, 28)},
    // ISO 216: 1 m2 (A) or a short side of 1 m (B), sides 1 to sqrt(2), each size half of the one before, whole
    // millimetres rounded down.
    {"a0", 841, 1189},               {"a1", 594, 841},                 {"a2", 420, 594},
    {"a3", 297, 420},                {"a4", 210, 297},                 {"a5", 148, 210},
    {"a6", 105, 148},                {"a7", 74, 105},                  {"a8", 52, 74},
    {"a9", 37, 52},                  {"a10", 26, 37},                  {"b0", 1000, 1414},
    {"b1", 707, 1000},               {"b2", 500, 707},                 {"b3", 353, 500},
    {"b4", 250, 353},                {"b5", 176, 250},                 {"b6", 125, 176},
    {"b7", 88, 125},                 {"b8", 62, 88},                   {"b9", 44, 62},
    {"b10", 31, 44},
};

typedef enum Unit { UNIT_INCH, UNIT_CM, UNIT_MM } Unit;

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static const NamedSize *find_named(const char *word)
{
    for (size_t i = 0; i < sizeof NAMED / sizeof NAMED[0]; i++)
        if (strcmp(NAMED[i].name, word) == 0) return &NAMED[i];
    return NULL;
}

bool size_unknown(const char *item, const char *what, Error *err)
{
    char shown[48];
    return error_set(err, ERROR_USAGE,
                     "%s \"%s\" is not known; letter, legal, tabloid, a4, b5, ansi-c, 12x12 (inches), 11x24in and "
                     "30x40cm work",
                     what, words_shown(item, shown));
}

// The unit that ends a side ("in" of "8-1/2in"): from the first letter or quote sign after the last digit.
static const char *unit_of(const char *side)
{
    const char *unit = side;
    for (const char *c = side; *c; c++)
        if (is_digit(*c) || *c == '.') unit = c + 1;
    return unit;
}

static Unit unit_kind(const char *unit)
{
    if (strcmp(unit, "mm") == 0) return UNIT_MM;
    if (strcmp(unit, "cm") == 0 || strcmp(unit, "m") == 0) return UNIT_CM;
    return UNIT_INCH;
}

// "12" with unit "in" -> millimetres; a side with a unit of its own keeps it.
static bool parse_side(const char *side, const char *unit, const char *what, double *out_mm, Error *err)
{
    char whole[WORDS_ITEM_MAX + 8];
    const char *own = unit_of(side);
    snprintf(whole, sizeof whole, "%s%.7s", side, *own ? "" : unit);
    return length_parse(whole, what, out_mm, err);
}

static void name_by_size(SheetSize *size, Unit unit)
{
    static const double MM_PER[] = {MM_PER_INCH, 10.0, 1.0};
    static const char *const WORD[] = {"in", "cm", "mm"};
    char w[NUMBER_MAX], h[NUMBER_MAX];
    number_format(w, size->width_mm / MM_PER[unit], 3);
    number_format(h, size->height_mm / MM_PER[unit], 3);
    snprintf(size->name, sizeof size->name, "%.12sx%.12s%s", w, h, WORD[unit]);
}

static bool parse_sides(const char *item, const char *what, SheetSize *out, Error *err)
{
    const char *cross = strchr(item, 'x');
    if (!cross || cross == item || !cross[1] || strchr(cross + 1, 'x')) return size_unknown(item, what, err);
    char first[WORDS_ITEM_MAX], shown[48];
    snprintf(first, sizeof first, "%.*s", (int)(cross - item), item);
    const char *second = cross + 1;
    if (!is_digit(first[0]) && first[0] != '.' && first[0] != '-' && first[0] != '+') return size_unknown(item, what, err);

    const char *unit = *unit_of(second) ? unit_of(second) : *unit_of(first) ? unit_of(first) : "in";
    if (!parse_side(first, unit, what, &out->width_mm, err) || !parse_side(second, unit, what, &out->height_mm, err))
        return false;
    if (out->width_mm > MOST_SIDE_MM || out->height_mm > MOST_SIDE_MM)
        return error_set(err, ERROR_USAGE, "%s \"%s\" is larger than 20 m; give the sheet that lies on the mat", what,
                         words_shown(item, shown));
    name_by_size(out, unit_kind(unit));
    return true;
}

bool size_parse(const char *item, const char *what, SheetSize *out, Error *err)
{
    *out = (SheetSize){0};
    SheetSize size = {0};
    const NamedSize *named = find_named(item);
    if (named) {
        size.width_mm = named->width_mm;
        size.height_mm = named->height_mm;
        snprintf(size.name, sizeof size.name, "%s", named->name);
    } else if (!parse_sides(item, what, &size, err)) {
        return false;
    }
    *out = size;
    return true;
}

static bool is_eighths(double mm)
{
    double eighths = mm * 8.0 / MM_PER_INCH;
    return fabs(eighths - floor(eighths + 0.5)) < 1e-6;
}

void size_name(double width_mm, double height_mm, char out[SIZE_NAME_MAX])
{
    SheetSize size = {.width_mm = width_mm, .height_mm = height_mm};
    name_by_size(&size, is_eighths(width_mm) && is_eighths(height_mm) ? UNIT_INCH : UNIT_MM);
    snprintf(out, SIZE_NAME_MAX, "%s", size.name);
}
