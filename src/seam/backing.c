// backing.c - see backing.h.
// Method:  along a stretch, everything that a strip must keep from (edges of the base, strips that lie already, seams joined
//          later) blocks an interval; what is left free, at the widest width first, becomes strips.
#include "seam/backing.h"

#include "seam/backing_line.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROUNDED_MM 0.005        // corners are whole micrometres; flat edges lie within this of their curves
#define FROM_MEETING_MM 25.0    // two strips of a line meet no nearer to a place where seams meet
static const double WIDTH_STEPS[] = {1.0, 0.8, 0.6};    // of the width: 32, 25 and 19 mm

typedef struct Interval { double from, to; } Interval;

typedef struct Intervals {
    Interval *items;
    size_t count, capacity;
} Intervals;

typedef struct Beam {           // a stretch as a frame: t along it, w to its right, in mm
    Point a;
    double ux, uy, length_mm;
} Beam;

typedef struct Laying {
    const Rings *outline;
    const LayerPieces *base;
    const BackingOptions *options;
    Point **seams;              // flat, by seam
    int *seam_counts;
    Backing *out;
    size_t capacity;
    Arena *keep;
    Work *work;
} Laying;

BackingOptions backing_defaults(double longest_mm)
{
    return (BackingOptions){.width_mm = 32.0, .least_width_mm = 19.0, .least_long_mm = 40.0, .longest_mm = longest_mm,
                            .edge_mm = 3.0, .apart_mm = 1.0, .stray_mm = 5.0};
}

// ---- along a stretch ----

static Beam beam_of(Stretch stretch)
{
    double length_mm = point_distance_mm(stretch.a, stretch.b), scale = length_mm > 0.0 ? UM_PER_MM * length_mm : 1.0;
    return (Beam){stretch.a, (stretch.b.x - stretch.a.x) / scale, (stretch.b.y - stretch.a.y) / scale, length_mm};
}

static void on_beam(const Beam *beam, Point p, double out[2])
{
    double dx = (p.x - beam->a.x) / UM_PER_MM, dy = (p.y - beam->a.y) / UM_PER_MM;
    out[0] = dx * beam->ux + dy * beam->uy;
    out[1] = dy * beam->ux - dx * beam->uy;
}

static Point off_beam(const Beam *beam, double t, double w)
{
    return point_from_mm(beam->a.x / UM_PER_MM + t * beam->ux - w * beam->uy, beam->a.y / UM_PER_MM + t * beam->uy + w * beam->ux);
}

static bool add_interval(Intervals *list, double from, double to, Arena *scratch, Error *err)
{
    Interval *items = arena_grow(scratch, list->items, list->count, &list->capacity, sizeof *items);
    if (!items) return error_memory(err);
    list->items = items;
    items[list->count++] = (Interval){from, to};
    return true;
}

// An edge blocks where it comes within `reach` of the middle of the beam, and `clear` more at both ends.
static bool block_edge(const Beam *beam, Point p, Point q, double reach, double clear, Intervals *out, Arena *scratch, Error *err)
{
    double a[2], b[2], t0 = 0.0, t1 = 1.0;
    on_beam(beam, p, a);
    on_beam(beam, q, b);
    if (fmin(a[1], b[1]) > reach || fmax(a[1], b[1]) < -reach || fmin(a[0], b[0]) > beam->length_mm + clear || fmax(a[0], b[0]) < -clear)
        return true;
    double rise = b[1] - a[1];
    if (fabs(rise) > 1e-9) {
        double u = (-reach - a[1]) / rise, v = (reach - a[1]) / rise;
        t0 = fmax(0.0, fmin(u, v));
        t1 = fmin(1.0, fmax(u, v));
    }
    double from = a[0] + t0 * (b[0] - a[0]), to = a[0] + t1 * (b[0] - a[0]);
    return add_interval(out, fmin(from, to) - clear, fmax(from, to) + clear, scratch, err);
}

static bool block_run(const Beam *beam, const Point *points, int count, bool closed, double half, double clear, Intervals *out, Arena *scratch,
                      Error *err)
{
    for (int i = 0; i + (closed ? 0 : 1) < count; i++)
        if (!block_edge(beam, points[i], points[i + 1 < count ? i + 1 : 0], half + clear, clear, out, scratch, err)) return false;
    return true;
}

static bool block_all(const Laying *laying, const Beam *beam, double half, Intervals *out, Error *err)
{
    Arena *scratch = &laying->work->scratch;
    double edge = laying->options->edge_mm + ROUNDED_MM, apart = laying->options->apart_mm + ROUNDED_MM;
    for (int r = 0; r < laying->outline->count; r++) {
        const Ring *ring = &laying->outline->items[r];
        if (!work_goes_on(laying->work, err) || !block_run(beam, ring->points, ring->count, true, half, edge, out, scratch, err)) return false;
    }
    for (int i = 0; i < laying->out->count; i++)
        if (!block_run(beam, laying->out->strips[i].corners, 4, true, half, apart, out, scratch, err)) return false;
    for (int s = 0; s < laying->base->seam_count; s++)
        if (laying->base->seams[s].on_section &&
            !block_run(beam, laying->seams[s], laying->seam_counts[s], false, half, edge, out, scratch, err))
            return false;
    return true;
}

static int by_from(const void *a, const void *b)
{
    const Interval *p = a, *q = b;
    if (p->from != q->from) return p->from < q->from ? -1 : 1;
    return (p->to > q->to) - (p->to < q->to);
}

// ---- strips ----

static double length_below(const Point *points, int count, const Beam *beam, Interval at, double half)
{
    double sum = 0.0;
    for (int i = 1; i < count; i++) {
        double a[2], b[2];
        on_beam(beam, points[i - 1], a);
        on_beam(beam, points[i], b);
        double slope = b[0] - a[0], u = 0.0, v = 1.0;
        if (fabs(a[1] + b[1]) > 2.0 * half) continue;
        if (fabs(slope) > 1e-9) {
            u = fmax(0.0, fmin((at.from - a[0]) / slope, (at.to - a[0]) / slope));
            v = fmin(1.0, fmax((at.from - a[0]) / slope, (at.to - a[0]) / slope));
        } else if (a[0] < at.from || a[0] > at.to) {
            continue;
        }
        if (v > u) sum += (v - u) * point_distance_mm(points[i - 1], points[i]);
    }
    return sum;
}

static bool lies_free(const Laying *laying, const Beam *beam, Interval at)
{
    Point middle = off_beam(beam, 0.5 * (at.from + at.to), 0.0);
    if (!rings_contain(laying->outline, middle)) return false;
    for (int i = 0; i < laying->out->count; i++) {
        Ring ring = {laying->out->strips[i].corners, 4};
        const Rings one = {&ring, 1};
        if (rings_contain(&one, middle)) return false;
    }
    return true;
}

static bool add_strip(Laying *laying, const Beam *beam, Interval at, double half, Error *err)
{
    BackingStrip strip = {.seam = -1, .length_mm = at.to - at.from, .width_mm = 2.0 * half,
                          .corners = {off_beam(beam, at.from, -half), off_beam(beam, at.to, -half), off_beam(beam, at.to, half),
                                      off_beam(beam, at.from, half)}};
    double most = 0.0;
    for (int s = 0; s < laying->base->seam_count; s++) {
        double mm = backing_asks(&laying->base->seams[s]) ? length_below(laying->seams[s], laying->seam_counts[s], beam, at, half) : 0.0;
        laying->out->held_mm += mm;
        if (mm <= most) continue;
        most = mm;
        strip.seam = s;
    }
    if (strip.seam < 0) return true;
    BackingStrip *strips = arena_grow(laying->keep, laying->out->strips, (size_t)laying->out->count, &laying->capacity, sizeof *strips);
    if (!strips) return error_memory(err);
    laying->out->strips = strips;
    strips[laying->out->count++] = strip;
    return true;
}

// How near a place on the beam comes to one where seams meet: there two strips must not.
static double to_meeting(const Laying *laying, const Beam *beam, double t)
{
    double nearest = INFINITY;
    for (int s = 0; s < laying->base->seam_count; s++)
        for (int k = 0; k < 2; k++) {
            double at[2];
            on_beam(beam, laying->seams[s][k ? laying->seam_counts[s] - 1 : 0], at);
            if (fabs(at[1]) < laying->options->width_mm / 2) nearest = fmin(nearest, fabs(at[0] - t));
        }
    return nearest;
}

// Where the first of `count` strips ends, as evenly as may be.
static double break_at(const Laying *laying, const Beam *beam, Interval room, int count)
{
    double longest = laying->options->longest_mm, even = (room.to - room.from) / count, best = room.from + even;
    double least = fmax(room.from + laying->options->least_long_mm, room.to - (count - 1) * (longest + laying->options->apart_mm));
    double most = fmin(room.from + longest, room.to - laying->options->least_long_mm);
    for (int step = 0; step <= 12; step++) // outwards from the even share, 5 mm at a time
        for (int way = -1; way <= 1; way += 2) {
            double t = room.from + even + way * step * 5.0;
            if (t >= least && t <= most && to_meeting(laying, beam, t) >= FROM_MEETING_MM) return t;
        }
    return fmax(least, fmin(best, most));
}

static bool fill_room(Laying *laying, const Beam *beam, Interval room, double half, Error *err)
{
    const BackingOptions *options = laying->options;
    while (room.to - room.from >= options->least_long_mm) {
        int count = (int)ceil((room.to - room.from) / (options->longest_mm + options->apart_mm));
        Interval at = {room.from, count > 1 ? break_at(laying, beam, room, count) : room.to};
        if (at.to - at.from > options->longest_mm) at.to = at.from + options->longest_mm;
        if (lies_free(laying, beam, at) && !add_strip(laying, beam, at, half, err)) return false;
        room.from = at.to + options->apart_mm + 2.0 * ROUNDED_MM;
    }
    return true;
}

static bool lay_width(Laying *laying, const Beam *beam, double half, Error *err)
{
    ArenaMark mark = arena_mark(&laying->work->scratch);
    Intervals blocked = {0};
    if (!block_all(laying, beam, half, &blocked, err)) return false;
    if (blocked.count > 1) qsort(blocked.items, blocked.count, sizeof *blocked.items, by_from);
    double free_from = 0.0;
    bool done = true;
    for (size_t i = 0; i <= blocked.count && done; i++) {
        double to = i < blocked.count ? fmin(blocked.items[i].from, beam->length_mm) : beam->length_mm;
        done = fill_room(laying, beam, (Interval){free_from, to}, half, err);
        if (i < blocked.count) free_from = fmax(free_from, blocked.items[i].to);
    }
    arena_rewind(&laying->work->scratch, mark);
    return done;
}

static bool lay_stretch(Laying *laying, Stretch stretch, Error *err)
{
    Beam beam = beam_of(stretch);
    if (beam.length_mm < laying->options->least_long_mm) return true;
    for (size_t k = 0; k < sizeof WIDTH_STEPS / sizeof WIDTH_STEPS[0]; k++) {
        double width_mm = laying->options->width_mm * WIDTH_STEPS[k];
        if (width_mm < laying->options->least_width_mm) break;
        if (!lay_width(laying, &beam, width_mm / 2.0, err)) return false;
    }
    return true;
}

static int by_seam(const void *a, const void *b)
{
    const BackingStrip *p = a, *q = b;
    if (p->seam != q->seam) return p->seam < q->seam ? -1 : 1;
    return point_compare(p->corners[0], q->corners[0]);
}

static bool take_seams(Laying *laying, Error *err)
{
    Arena *scratch = &laying->work->scratch;
    int count = laying->base->seam_count;
    laying->seams = arena_new(scratch, Point *, count);
    laying->seam_counts = arena_new(scratch, int, count);
    if (!laying->seams || !laying->seam_counts) return error_memory(err);
    for (int s = 0; s < count; s++) {
        const Seam *seam = &laying->base->seams[s];
        if (!backing_seam_points(laying->base, seam, scratch, &laying->seams[s], &laying->seam_counts[s], err)) return false;
        if (backing_asks(seam)) laying->out->seam_mm += seam->length_mm;
    }
    return true;
}

static bool lay_all(Laying *laying, Error *err)
{
    Stretches stretches;
    if (!take_seams(laying, err)) return false;
    if (!backing_stretches(laying->base, laying->options->stray_mm, laying->keep, laying->work, &stretches, err)) return false;
    for (int i = 0; i < stretches.count; i++)
        if (!lay_stretch(laying, stretches.items[i], err)) return false;
    if (laying->out->count > 1) qsort(laying->out->strips, (size_t)laying->out->count, sizeof *laying->out->strips, by_seam);
    return true;
}

bool backing_make(const Rings *outline, const LayerPieces *base, const BackingOptions *options, Arena *keep, Work *work,
                  Backing *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    *out = (Backing){0};
    Laying laying = {.outline = outline, .base = base, .options = options, .out = out, .keep = keep, .work = work};
    bool done = lay_all(&laying, err);
    arena_rewind(&work->scratch, mark);
    if (!done) *out = (Backing){0};
    return done;
}

// ---- two for one ----

static Point middle_of(Point a, Point b)
{
    return (Point){a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2};
}

static bool halve(Laying *laying, const BackingStrip *strip, Error *err)
{
    const Point *c = strip->corners;
    Beam beam = beam_of((Stretch){middle_of(c[0], c[3]), middle_of(c[1], c[2])});
    double at = break_at(laying, &beam, (Interval){0.0, beam.length_mm}, 2), half = strip->width_mm / 2.0;
    return add_strip(laying, &beam, (Interval){0.0, at}, half, err) &&
           add_strip(laying, &beam, (Interval){at + laying->options->apart_mm + 2.0 * ROUNDED_MM, beam.length_mm}, half, err);
}

static bool keep_or_halve(Laying *laying, const Backing *from, const bool *marked, Error *err)
{
    const BackingOptions *options = laying->options;
    if (!take_seams(laying, err)) return false;
    for (int i = 0; i < from->count; i++) {
        const BackingStrip *strip = &from->strips[i];
        if (marked[i] && strip->length_mm >= 4.0 * options->least_long_mm) {
            if (!halve(laying, strip, err)) return false;
        } else {
            BackingStrip *strips = arena_grow(laying->keep, laying->out->strips, (size_t)laying->out->count, &laying->capacity, sizeof *strips);
            if (!strips) return error_memory(err);
            laying->out->strips = strips;
            strips[laying->out->count++] = *strip;
        }
    }
    return true;
}

bool backing_halve(const LayerPieces *base, const BackingOptions *options, const Backing *from, const bool *marked, Arena *keep, Work *work,
                   Backing *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    *out = (Backing){0};
    Laying laying = {.base = base, .options = options, .out = out, .keep = keep, .work = work};
    bool done = keep_or_halve(&laying, from, marked, err);
    arena_rewind(&work->scratch, mark);
    if (out->count > 1) qsort(out->strips, (size_t)out->count, sizeof *out->strips, by_seam);
    out->seam_mm = from->seam_mm;
    out->held_mm = from->held_mm;
    if (!done) *out = (Backing){0};
    return done;
}
