// read_dxf.c - a sheet's DXF read back; see read_copy.h.
#include "proof/read_copy.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MOST_POINTS 4000000u
#define LONGEST_LINE 200

bool copy_begin(CopyLines *lines, Arena *arena, Error *err)
{
    lines->runs = arena_grow(arena, lines->runs, lines->run_count, &lines->run_capacity, sizeof *lines->runs);
    if (!lines->runs) return error_memory(err);
    lines->runs[lines->run_count++] = (CopyRun){.first = (int)lines->point_count};
    return true;
}

bool copy_point(CopyLines *lines, Spot p, Arena *arena, Error *err)
{
    if (lines->point_count >= MOST_POINTS) return error_set(err, ERROR_INPUT, "a sheet's file has more than %u points", MOST_POINTS);
    lines->points = arena_grow(arena, lines->points, lines->point_count, &lines->point_capacity, sizeof *lines->points);
    if (!lines->points) return error_memory(err);
    lines->points[lines->point_count++] = p;
    lines->runs[lines->run_count - 1].count++;
    return true;
}

typedef struct Tags {           // pairs of lines: a group and its value
    const char *at, *end;
    int group;
    char value[LONGEST_LINE];
    const char *problem;
} Tags;

typedef struct Vertex { double x, y, bulge; } Vertex;

typedef struct Polyline {
    ReadLine line;
    bool closed, has_before;
    Vertex first, before;
} Polyline;

static bool next_line(Tags *tags, char out[LONGEST_LINE])
{
    const char *from = tags->at;
    while (tags->at < tags->end && *tags->at != '\n') tags->at++;
    size_t size = (size_t)(tags->at - from);
    if (tags->at < tags->end) tags->at++;
    while (size > 0 && (from[size - 1] == '\r' || from[size - 1] == ' ')) size--;
    while (size > 0 && *from == ' ') from++, size--;
    if (size >= LONGEST_LINE) return false;
    memcpy(out, from, size);
    out[size] = 0;
    return true;
}

// False at the end and at what is no pair (then `problem` is set).
static bool next_tag(Tags *tags)
{
    char group[LONGEST_LINE], *end;
    if (tags->at == tags->end) return false;
    if (!next_line(tags, group) || !group[0] || tags->at == tags->end || !next_line(tags, tags->value)) {
        tags->problem = "a group without a value";
        return false;
    }
    long value = strtol(group, &end, 10);
    if (*end || value < 0 || value > 1100) {
        tags->problem = "a group that is none";
        return false;
    }
    tags->group = (int)value;
    return true;
}

static bool is_tag(const Tags *tags, int group, const char *value)
{
    return tags->group == group && strcmp(tags->value, value) == 0;
}

static bool number_of(const Tags *tags, double *out)
{
    const char *at = tags->value, *end = tags->value + strlen(tags->value);
    return read_number(&at, end, out) && at == end && fabs(*out) <= READ_MAX_MM;
}

// ---- polylines ----

// The arc from a to b: points along it, b itself left to the next vertex. Chord c, bulge k: radius c (1 + k^2) / 4k, angle 4 atan k.
static bool add_arc(CopyLines *lines, Vertex a, Spot b, Arena *arena, Error *err)
{
    if (!copy_point(lines, (Spot){a.x, a.y}, arena, err)) return false;
    double chord = measure_gap((Spot){a.x, a.y}, b);
    if (a.bulge == 0.0 || chord < 1e-9) return true;
    double radius = chord * (1.0 + a.bulge * a.bulge) / (4.0 * fabs(a.bulge)), angle = 4.0 * atan(a.bulge);
    double step = 2.0 * acos(fmax(-1.0, 1.0 - MEASURE_FLAT_MM / radius));
    int steps = (int)fmin(10000.0, ceil(fabs(angle) / fmax(step, 1e-6)));
    double rise = chord * (1.0 / a.bulge - a.bulge) / 4.0, ux = (b.x - a.x) / chord, uy = (b.y - a.y) / chord;
    Spot centre = {(a.x + b.x) / 2.0 - uy * rise, (a.y + b.y) / 2.0 + ux * rise};
    for (int i = 1; i < steps; i++) {
        double turn = angle * i / steps, c = cos(turn), s = sin(turn), x = a.x - centre.x, y = a.y - centre.y;
        if (!copy_point(lines, (Spot){centre.x + c * x - s * y, centre.y + s * x + c * y}, arena, err)) return false;
    }
    return true;
}

static bool read_vertex(Tags *tags, Polyline *polyline, CopyLines *lines, Arena *arena, bool *more, Error *err)
{
    Vertex v = {NAN, NAN, 0.0};
    bool fine = true;
    while ((*more = next_tag(tags)) && tags->group != 0) {
        if (tags->group == 10) fine = fine && number_of(tags, &v.x);
        else if (tags->group == 20) fine = fine && number_of(tags, &v.y);
        else if (tags->group == 42) fine = fine && number_of(tags, &v.bulge);
        else if (tags->group != 8 && tags->group != 30) fine = false;
    }
    if (!fine || !isfinite(v.x) || !isfinite(v.y)) {
        tags->problem = "a vertex that is none";
        *more = false;
        return true;
    }
    if (!polyline->has_before) polyline->first = v;
    else if (!add_arc(lines, polyline->before, (Spot){v.x, v.y}, arena, err)) return false;
    polyline->before = v;
    polyline->has_before = true;
    return true;
}

static bool line_of(const char *word, ReadLine *out)
{
    static const char *const words[READ_LINES] = {[READ_CUT] = "CUT", [READ_SCORE] = "SCORE", [READ_PEN] = "PEN"};
    for (int line = 0; line < READ_LINES; line++) {
        if (strcmp(word, words[line]) != 0) continue;
        *out = (ReadLine)line;
        return true;
    }
    return false;
}

static bool end_polyline(const Polyline *polyline, CopyLines *lines, Arena *arena, Error *err)
{
    Spot first = {polyline->first.x, polyline->first.y}, last = {polyline->before.x, polyline->before.y};
    if (!polyline->closed) return copy_point(lines, last, arena, err);
    lines->runs[lines->run_count - 1].closed = true;
    return add_arc(lines, polyline->before, first, arena, err) && copy_point(lines, first, arena, err);
}

// From POLYLINE's own groups to behind SEQEND's.
static bool read_polyline(Tags *tags, ReadCopy *out, Arena *arena, bool *more, Error *err)
{
    Polyline polyline = {.line = READ_LINES};
    while ((*more = next_tag(tags)) && tags->group != 0) {
        if (tags->group == 8 && !line_of(tags->value, &polyline.line)) tags->problem = "a layer that is no line kind";
        if (tags->group == 70) polyline.closed = strcmp(tags->value, "1") == 0;
    }
    if (polyline.line == READ_LINES) tags->problem = "a polyline without a layer";
    if (tags->problem) return true;
    CopyLines *lines = &out->lines[polyline.line];
    if (!copy_begin(lines, arena, err)) return false;
    while (*more && is_tag(tags, 0, "VERTEX"))
        if (!read_vertex(tags, &polyline, lines, arena, more, err)) return false;
    if (tags->problem) return true;
    if (!*more || !is_tag(tags, 0, "SEQEND") || !polyline.has_before) {
        tags->problem = "a polyline without an end";
        return true;
    }
    while ((*more = next_tag(tags)) && tags->group != 0) continue;
    return end_polyline(&polyline, lines, arena, err);
}

// ---- the file ----

static bool skip_section(Tags *tags, bool *is_mm)
{
    bool units = false;
    while (next_tag(tags)) {
        if (is_tag(tags, 0, "ENDSEC")) return true;
        if (units && tags->group == 70) *is_mm = strcmp(tags->value, "4") == 0;
        units = is_tag(tags, 9, "$INSUNITS");
    }
    return false;
}

static bool read_entities(Tags *tags, ReadCopy *out, Arena *arena, Error *err)
{
    bool more = next_tag(tags);
    while (more && !tags->problem && is_tag(tags, 0, "POLYLINE"))
        if (!read_polyline(tags, out, arena, &more, err)) return false;
    if (!tags->problem && !(more && is_tag(tags, 0, "ENDSEC"))) tags->problem = "something else than polylines";
    return true;
}

static void turn_over(CopyLines *lines, double height_mm)
{
    for (size_t i = 0; i < lines->point_count; i++) lines->points[i].y = height_mm - lines->points[i].y;
}

bool read_dxf(const FileBytes *file, double height_mm, Arena *arena, ReadCopy *out, const char **problem, Error *err)
{
    Tags tags = {.at = file->bytes, .end = file->bytes + file->size_bytes};
    bool is_mm = false, has_entities = false, has_end = false;
    *out = (ReadCopy){0};
    while (!tags.problem && !has_end && next_tag(&tags)) {
        has_end = is_tag(&tags, 0, "EOF");
        if (has_end) break;
        if (!is_tag(&tags, 0, "SECTION") || !next_tag(&tags) || tags.group != 2) {
            tags.problem = "something outside its sections";
        } else if (strcmp(tags.value, "ENTITIES") != 0) {
            if (!skip_section(&tags, &is_mm)) tags.problem = "a section without an end";
        } else {
            has_entities = true;
            if (!read_entities(&tags, out, arena, err)) return false;
        }
    }
    if (!tags.problem && (!has_end || !has_entities || !is_mm)) tags.problem = is_mm ? "no end" : "no word that its units are millimetres";
    for (int line = 0; line < READ_LINES; line++) turn_over(&out->lines[line], height_mm);
    *problem = tags.problem;
    return true;
}
