// read_plotter.c - a sheet's HP-GL read back; see read_copy.h.
#include "proof/read_copy.h"

#include <math.h>
#include <string.h>

#define UNITS_A_MM 40.0
#define STEPS_AN_OFFSET 16      // of the trailing knife: finer changes nothing that 0.01 mm would show

typedef struct Plot {
    const char *at, *end;
    double height_mm, offset_mm;
    ReadCopy *out;
    Arena *arena;
    int pen;                    // 0 = none
    bool down;
    Spot here, tip;             // of the machine, of the knife
    const char *problem;
} Plot;

static void skip_blanks(Plot *p)
{
    while (p->at < p->end && (*p->at == ' ' || *p->at == '\n' || *p->at == '\r' || *p->at == ';')) p->at++;
}

static bool read_coordinate(Plot *p, double *out)
{
    return read_number(&p->at, p->end, out) && fabs(*out) <= READ_MAX_MM * UNITS_A_MM && *out == floor(*out);
}

static CopyLines *lines_of(Plot *p)
{
    return &p->out->lines[p->pen == 1 ? READ_CUT : p->pen == 2 ? READ_SCORE : READ_PEN];
}

// The knife hangs behind the middle by the offset and is dragged along.
static bool drag(Plot *p, Spot to, Error *err)
{
    double way = measure_gap(p->here, to), offset = p->offset_mm;
    int steps = (int)fmin(1e6, ceil(way / offset * STEPS_AN_OFFSET));
    for (int i = 1; i <= steps; i++) {
        double share = (double)i / steps;
        Spot middle = {p->here.x + share * (to.x - p->here.x), p->here.y + share * (to.y - p->here.y)};
        double gap = measure_gap(middle, p->tip);
        if (gap > 0.0) p->tip = (Spot){middle.x + (p->tip.x - middle.x) * offset / gap, middle.y + (p->tip.y - middle.y) * offset / gap};
        if (!copy_point(lines_of(p), p->tip, p->arena, err)) return false;
    }
    return true;
}

static bool draw(Plot *p, Spot to, Error *err)
{
    bool trails = p->pen == 1 && p->offset_mm > 0.0;
    if (!p->down) {
        if (!copy_begin(lines_of(p), p->arena, err)) return false;
        double way = measure_gap(p->here, to);
        p->tip = p->here;
        if (trails && way > 0.0) // it stands as the first stroke will turn it
            p->tip = (Spot){p->here.x - (to.x - p->here.x) * p->offset_mm / way, p->here.y - (to.y - p->here.y) * p->offset_mm / way};
        if (!copy_point(lines_of(p), p->tip, p->arena, err)) return false;
        p->down = true;
    }
    if (trails ? !drag(p, to, err) : !copy_point(lines_of(p), to, p->arena, err)) return false;
    p->here = to;
    return true;
}

// The coordinates behind PU or PD.
static bool read_moves(Plot *p, bool down, Error *err)
{
    if (!down) p->down = false;
    for (bool more = p->at < p->end && *p->at != ';'; more && !p->problem;) {
        double x, y;
        bool fine = read_coordinate(p, &x) && p->at < p->end && *p->at++ == ',' && read_coordinate(p, &y);
        if (!fine || p->pen == 0) {
            p->problem = fine ? "a move without a pen" : "a place that is none";
            return true;
        }
        Spot to = {x / UNITS_A_MM, p->height_mm - y / UNITS_A_MM};
        if (down && !draw(p, to, err)) return false;
        p->here = to;
        more = p->at < p->end && *p->at == ',';
        if (more) p->at++;
    }
    return true;
}

static bool read_command(Plot *p, bool *begun, bool *ended, Error *err)
{
    char word[3] = {p->at[0], p->end - p->at > 1 ? p->at[1] : ' ', 0};
    p->at += p->end - p->at > 1 ? 2 : 1;
    if (strcmp(word, "PU") == 0) return read_moves(p, false, err);
    if (strcmp(word, "PD") == 0) return read_moves(p, true, err);
    if (strcmp(word, "IN") == 0 || strcmp(word, "PA") == 0) {
        *begun = true;
        return true;
    }
    double pen = -1.0;
    bool selects = strcmp(word, "SP") == 0 && read_number(&p->at, p->end, &pen);
    if (!selects || (pen != 0.0 && pen != 1.0 && pen != 2.0 && pen != 3.0)) {
        p->problem = "a command that a kit's file does not have";
        return true;
    }
    p->pen = (int)pen;
    p->down = false;
    *ended = p->pen == 0;
    return true;
}

static void mark_closed(CopyLines *lines)
{
    for (size_t i = 0; i < lines->run_count; i++) {
        CopyRun *run = &lines->runs[i];
        run->closed = run->count > 2 && measure_gap(lines->points[run->first], lines->points[run->first + run->count - 1]) < 0.5 / UNITS_A_MM;
    }
}

bool read_plotter(const FileBytes *file, double height_mm, double blade_offset_mm, Arena *arena, ReadCopy *out, const char **problem,
                  Error *err)
{
    Plot plot = {.at = file->bytes, .end = file->bytes + file->size_bytes, .height_mm = height_mm, .offset_mm = blade_offset_mm, .out = out, .arena = arena};
    bool begun = false, ended = false;
    *out = (ReadCopy){0};
    skip_blanks(&plot);
    while (plot.at < plot.end && !plot.problem) {
        if (ended) plot.problem = "something behind its end";
        else if (!read_command(&plot, &begun, &ended, err)) return false;
        if (!plot.problem && !begun) plot.problem = "no IN at its beginning";
        skip_blanks(&plot);
    }
    if (!plot.problem && !ended) plot.problem = "no end";
    for (int line = 0; line < READ_LINES; line++) mark_closed(&out->lines[line]);
    *problem = plot.problem;
    return true;
}
