// paper.c - see paper.h.
#include "paper/paper.h"

#include "base/length.h"
#include "base/text.h"

#include <stdio.h>
#include <string.h>

#define WORD_MAX 64
#define LEAST_SIDE_MM 25.4    // under an inch the allowance and the corner marks leave nothing to cut from
#define MOST_SIDE_MM 20000.0  // longer than any roll on a desk, and far below the range of a Point

typedef struct NamedPaper {
    const char *name;
    double width_mm, height_mm;
} NamedPaper;

#define INCHES(w, h) (w) * MM_PER_INCH, (h) * MM_PER_INCH

static const NamedPaper NAMED[] = {
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

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static const NamedPaper *find_named(const char *word)
{
    for (size_t i = 0; i < sizeof NAMED / sizeof NAMED[0]; i++)
        if (strcmp(NAMED[i].name, word) == 0) return &NAMED[i];
    return NULL;
}

static bool unknown(const char *word, Error *err)
{
    return error_set(err, ERROR_USAGE,
                     "paper \"%.40s\" is not known; letter, legal, tabloid, a4, b5, ansi-c, 12x12 (inches), 11x24in and "
                     "30x40cm work",
                     word);
}

// Lower case, blanks dropped, the multiplication sign as x; false when it is too long to be a paper.
static bool plain_word(const char *word, char out[WORD_MAX])
{
    size_t n = 0;
    for (const char *c = word; *c; c++) {
        if (*c == ' ') continue;
        char next = lower(*c);
        if ((unsigned char)c[0] == 0xC3 && (unsigned char)c[1] == 0x97) { // U+00D7 in UTF-8
            next = 'x';
            c++;
        }
        if (n + 1 >= WORD_MAX) return false;
        out[n++] = next;
    }
    out[n] = 0;
    return n > 0;
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
static bool parse_side(const char *side, const char *unit, double *out_mm, Error *err)
{
    char whole[WORD_MAX + 8];
    const char *own = unit_of(side);
    snprintf(whole, sizeof whole, "%s%s", side, *own ? "" : unit);
    return length_parse(whole, "paper", out_mm, err);
}

static void name_by_size(Paper *paper, Unit unit)
{
    static const double MM_PER[] = {MM_PER_INCH, 10.0, 1.0};
    static const char *const WORD[] = {"in", "cm", "mm"};
    char w[NUMBER_MAX], h[NUMBER_MAX];
    number_format(w, paper->width_mm / MM_PER[unit], 3);
    number_format(h, paper->height_mm / MM_PER[unit], 3);
    snprintf(paper->id, sizeof paper->id, "%.12sx%.12s%s", w, h, WORD[unit]);
}

static bool parse_size(const char *word, Paper *out, Error *err)
{
    const char *cross = strchr(word, 'x');
    if (!cross || cross == word || !cross[1] || strchr(cross + 1, 'x')) return unknown(word, err);
    char first[WORD_MAX];
    snprintf(first, sizeof first, "%.*s", (int)(cross - word), word);
    const char *second = cross + 1;
    if (!is_digit(first[0]) && first[0] != '.' && first[0] != '-' && first[0] != '+') return unknown(word, err);

    const char *unit = *unit_of(second) ? unit_of(second) : *unit_of(first) ? unit_of(first) : "in";
    if (!parse_side(first, unit, &out->width_mm, err) || !parse_side(second, unit, &out->height_mm, err)) return false;
    if (out->width_mm > MOST_SIDE_MM || out->height_mm > MOST_SIDE_MM)
        return error_set(err, ERROR_USAGE, "paper \"%.40s\" is larger than 20 m; give the sheet that lies on the mat",
                         word);
    name_by_size(out, unit_kind(unit));
    return true;
}

bool paper_parse(const char *word, Paper *out, Error *err)
{
    memset(out, 0, sizeof *out);
    char plain[WORD_MAX];
    if (!plain_word(word, plain)) return unknown(word, err);
    Paper paper = {0};
    const NamedPaper *named = find_named(plain);
    if (named) {
        paper.width_mm = named->width_mm;
        paper.height_mm = named->height_mm;
        snprintf(paper.id, sizeof paper.id, "%s", named->name);
    } else if (!parse_size(plain, &paper, err)) {
        return false;
    }
    if (paper.width_mm < LEAST_SIDE_MM || paper.height_mm < LEAST_SIDE_MM)
        return error_set(err, ERROR_JOB,
                         "paper \"%.40s\" is too small: half an inch of it is lost at the edges; from 1x1in on it works",
                         word);
    *out = paper;
    return true;
}

void paper_usable(const Paper *paper, double out_box_mm[4])
{
    out_box_mm[0] = PAPER_ALLOWANCE_MM / 2;
    out_box_mm[1] = PAPER_ALLOWANCE_MM / 2;
    out_box_mm[2] = paper->width_mm - PAPER_ALLOWANCE_MM;
    out_box_mm[3] = paper->height_mm - PAPER_ALLOWANCE_MM;
}

Space paper_nest_space(const Paper *paper)
{
    double box_mm[4];
    paper_usable(paper, box_mm);
    return (Space){box_mm[2], box_mm[3], PAPER_CORNER_MARK_MM};
}

Space paper_fit_space(const Paper *paper)
{
    Space space = paper_nest_space(paper);
    space.width_mm -= PAPER_FIT_SPARE_MM;
    space.height_mm -= PAPER_FIT_SPARE_MM;
    return space;
}
