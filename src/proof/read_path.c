// read_path.c - numbers and path data; see readback.h.
#include "proof/readback.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

#define NUMBER_TEXT_MAX 64

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}
static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

// Up to 15 digits and a power of ten up to 22 are exact as doubles, so one division or product rounds correctly.
// Source: W. D. Clinger, "How to read floating point numbers accurately", PLDI 1990.
static double scaled(uint64_t digits, int power)
{
    static const double tens[23] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                    1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    return power < 0 ? (double)digits / tens[-power] : (double)digits * tens[power];
}

static bool slow_number(const char *from, const char *to, double *out)
{
    char text[NUMBER_TEXT_MAX];
    size_t n = (size_t)(to - from);
    if (n >= sizeof text) return false;
    memcpy(text, from, n);
    text[n] = '\0';
    return number_parse(text[0] == '+' ? text + 1 : text, out) && isfinite(*out);
}

bool read_number(const char **at, const char *end, double *out)
{
    const char *p = *at, *from = p;
    bool negative = p < end && *p == '-';
    if (p < end && (*p == '-' || *p == '+')) p++;
    uint64_t digits = 0;
    int digit_count = 0, significant = 0, power = 0;
    for (bool point = false; p < end && (is_digit(*p) || (*p == '.' && !point)); p++) {
        if (*p == '.') {
            point = true;
            continue;
        }
        digit_count++;
        if (significant > 0 || *p != '0') significant++;
        if (significant <= 18) digits = digits * 10 + (uint64_t)(*p - '0');
        if (point) power--;
        if (digit_count >= NUMBER_TEXT_MAX) return false;
    }
    if (digit_count == 0) return false;
    if (p + 1 < end && (*p == 'e' || *p == 'E') &&
        (is_digit(p[1]) || (p + 2 < end && (p[1] == '-' || p[1] == '+') && is_digit(p[2])))) {
        p++;
        int sign = *p == '-' ? -1 : 1, exponent = 0;
        if (*p == '-' || *p == '+') p++;
        for (; p < end && is_digit(*p); p++)
            if (exponent < 10000) exponent = exponent * 10 + (*p - '0');
        power += sign * exponent;
    }
    *at = p;
    if (significant > 15 || power < -22 || power > 22) return slow_number(from, p, out);
    *out = scaled(digits, power);
    if (negative && *out != 0.0) *out = -*out;
    return isfinite(*out);
}

typedef struct PathReader {
    const char *at, *end;
    ReadEnds ends;
    Arena *arena;
    ReadPath *path;
    size_t curve_capacity, part_capacity;
    Spot start, pen;
    bool in_part;
} PathReader;

static void skip_blanks(PathReader *r)
{
    while (r->at < r->end && is_blank(*r->at)) r->at++;
}

static void skip_separator(PathReader *r)
{
    skip_blanks(r);
    if (r->at < r->end && *r->at == ',') {
        r->at++;
        skip_blanks(r);
    }
}

static const char *read_spots(PathReader *r, Spot *spots, int count)
{
    for (int i = 0; i < count; i++) {
        double value[2];
        for (int k = 0; k < 2; k++) {
            if (i + k > 0) skip_separator(r);
            if (!read_number(&r->at, r->end, &value[k])) return "a number is missing or wrong";
            if (fabs(value[k]) > READ_MAX_MM) return "a number is beyond 100 m";
        }
        spots[i] = (Spot){value[0], value[1]};
    }
    return NULL;
}

static bool add_curve(PathReader *r, ReadCurve curve, Error *err)
{
    ReadPath *p = r->path;
    p->curves = arena_grow(r->arena, p->curves, (size_t)p->curve_count, &r->curve_capacity, sizeof *p->curves);
    if (!p->curves) return error_memory(err);
    p->curves[p->curve_count++] = curve;
    p->parts[p->part_count - 1].count++;
    r->pen = curve.p[3];
    return true;
}

static bool begin_part(PathReader *r, Spot at, Error *err)
{
    ReadPath *p = r->path;
    p->parts = arena_grow(r->arena, p->parts, (size_t)p->part_count, &r->part_capacity, sizeof *p->parts);
    if (!p->parts) return error_memory(err);
    p->parts[p->part_count++] = (ReadPart){.first = p->curve_count};
    r->start = r->pen = at;
    r->in_part = true;
    return true;
}

static const char *end_part(PathReader *r, bool closed)
{
    ReadPart *part = &r->path->parts[r->path->part_count - 1];
    if (part->count == 0) return "a part has no lines or curves";
    if (closed && r->ends == READ_ENDS_OPEN) return "a stroke is closed";
    if (!closed && r->ends == READ_ENDS_CLOSED) return "an outline is not closed";
    part->closed = closed;
    r->in_part = false;
    return NULL;
}

static bool close_part(PathReader *r, const char **problem, Error *err)
{
    Spot a = r->pen, b = r->start;
    if ((a.x != b.x || a.y != b.y) && !add_curve(r, (ReadCurve){{a, a, b, b}, true}, err)) return false;
    *problem = end_part(r, true);
    return true;
}

// One command letter is done; what follows may be numbers of the same command again (M then goes on as L).
static bool read_command(PathReader *r, char command, const char **problem, Error *err)
{
    if (command == 'Z' || command == 'z') {
        if (!r->in_part) return *problem = "Z comes before M", true;
        return close_part(r, problem, err);
    }
    if (command != 'M' && !r->in_part) return *problem = "path data does not begin with M", true;
    if (command == 'M' && r->in_part && (*problem = end_part(r, false))) return true;
    for (int n = 0;; n++) {
        Spot s[3];
        *problem = read_spots(r, s, command == 'C' ? 3 : 1);
        if (*problem) return true;
        bool done = command == 'M' && n == 0 ? begin_part(r, s[0], err)
                    : command == 'C'         ? add_curve(r, (ReadCurve){{r->pen, s[0], s[1], s[2]}, false}, err)
                                             : add_curve(r, (ReadCurve){{r->pen, r->pen, s[0], s[0]}, true}, err);
        if (!done) return false;
        skip_separator(r);
        if (r->at == r->end || !(is_digit(*r->at) || *r->at == '-' || *r->at == '+' || *r->at == '.')) return true;
    }
}

bool read_path(const char *bytes, size_t size_bytes, ReadEnds ends, Arena *arena, ReadPath *out, const char **problem,
               Error *err)
{
    *out = (ReadPath){0};
    *problem = NULL;
    PathReader r = {.at = bytes, .end = bytes + size_bytes, .ends = ends, .arena = arena, .path = out};
    skip_blanks(&r);
    while (r.at < r.end && !*problem) {
        char command = *r.at++;
        if (!strchr("MLCZz", command) || command == '\0') {
            *problem = "only M, L, C and Z are allowed";
            break;
        }
        skip_blanks(&r);
        if (!read_command(&r, command, problem, err)) return false;
        skip_blanks(&r);
    }
    if (!*problem && r.in_part) *problem = end_part(&r, false);
    if (!*problem && out->part_count == 0) *problem = "the path is empty";
    return true;
}
