// path_read.c - see path_read.h.
#include "job/path_read.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

#define LARGEST_MM 99000.0

typedef struct PathReader {
    const char *at;
    Arena *keep;
    Path *path;
    size_t curve_capacity, part_capacity;
    Point start, pen;
    bool is_open; // a part has begun
    bool is_wrong, is_short_of_memory;
} PathReader;

static void skip_blanks(PathReader *r)
{
    while (*r->at == ' ') r->at++;
}

static double read_mm(PathReader *r)
{
    char word[NUMBER_MAX];
    double mm = 0.0;
    skip_blanks(r);
    size_t size = strspn(r->at, "-.0123456789");
    if (size == 0 || size >= sizeof word) {
        r->is_wrong = true;
        return 0.0;
    }
    memcpy(word, r->at, size);
    word[size] = 0;
    r->at += size;
    if (!number_parse(word, &mm) || !(fabs(mm) <= LARGEST_MM)) r->is_wrong = true;
    return r->is_wrong ? 0.0 : mm;
}

static Point read_point(PathReader *r)
{
    double x = read_mm(r), y = read_mm(r);
    return point_from_mm(x, y);
}

static void add_curve(PathReader *r, Curve curve)
{
    Path *path = r->path;
    Curve *curves = arena_grow(r->keep, path->curves, (size_t)path->curve_count, &r->curve_capacity, sizeof *curves);
    r->is_short_of_memory = r->is_short_of_memory || !curves;
    if (!curves) return;
    path->curves = curves;
    path->curves[path->curve_count++] = curve;
    r->pen = curve.p3;
}

static void end_part(PathReader *r)
{
    Path *path = r->path;
    int *first = arena_grow(r->keep, path->first, (size_t)path->part_count + 1, &r->part_capacity, sizeof *first);
    r->is_short_of_memory = r->is_short_of_memory || !first;
    if (!first) return;
    path->first = first;
    path->first[++path->part_count] = path->curve_count;
    r->is_open = false;
}

static void read_command(PathReader *r)
{
    char command = *r->at++;
    bool is_first = command == 'M';
    if (is_first && r->is_open && r->path->open) end_part(r);
    if (is_first == r->is_open) { // the rest stands inside a part, M before it
        r->is_wrong = true;
    } else if (is_first) {
        r->start = r->pen = read_point(r);
        r->is_open = true;
    } else if (command == 'L') {
        add_curve(r, curve_line(r->pen, read_point(r)));
    } else if (command == 'C') {
        Curve curve = {.p0 = r->pen};
        curve.p1 = read_point(r);
        curve.p2 = read_point(r);
        curve.p3 = read_point(r);
        add_curve(r, curve);
    } else if (command == 'Z') {
        if (r->path->open || !point_equal(r->pen, r->start)) r->is_wrong = true; // every curve is written, the last one too
        end_part(r);
    } else {
        r->is_wrong = true;
    }
}

bool path_read(const char *text, bool open, Arena *keep, Path *out, bool *out_is_path, Error *err)
{
    *out = (Path){.open = open};
    PathReader reader = {.at = text ? text : "", .keep = keep, .path = out};
    out->first = arena_grow(keep, NULL, 0, &reader.part_capacity, sizeof *out->first);
    if (!out->first) return error_memory(err);
    for (skip_blanks(&reader); *reader.at && !reader.is_wrong && !reader.is_short_of_memory; skip_blanks(&reader))
        read_command(&reader);
    if (open && reader.is_open) end_part(&reader);
    *out_is_path = !reader.is_wrong && !reader.is_open && out->curve_count > 0;
    return !reader.is_short_of_memory || error_memory(err);
}
