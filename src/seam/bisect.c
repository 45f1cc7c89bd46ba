// bisect.c - see bisect.h.
// The cut with the least cost for the smaller of the areas that it leaves is taken (the ratio of Cheeger's constant).
#include "seam/bisect.h"
#include "seam/turns.h"

#include <math.h>
#include <stdlib.h>

#define MOST_CORNERS 60 // tried as starts
#define BEST_TRIED 12   // cuts carried out, until one is sound
#define LEAST_LENGTH_MM 3.0
#define FLAT_ANGLE_SIN 0.3 // a cut leaves an edge at no less than 17 degrees
#define END_MM 5.0         // of visible seam that any cut costs on top
#define SLIT_SHARE 0.25    // a cut that only joins two rings counts as one that cuts off this share

typedef struct Chord {
    double cost;
    Point from, to;
    int edge; // that it ends on; -1: on the point `to`
    double along;
} Chord;

typedef struct Bisecting {
    const Part *part;
    const Hiding *hiding;
    const SeamOptions *options;
    int *before; // by point
    Arena *scratch;
    Chord *chords;
    size_t count, room;
} Bisecting;

static bool is_corner(const Bisecting *b, int i)
{
    const Part *part = b->part;
    if (part->locked && (part->locked[i] || part->locked[b->before[i]])) return true;
    return !part->bulges[i];
}

// Whether a way along (dx, dy) sets out from point i into the part, at no flat angle to its edges.
static bool sets_out(const Bisecting *b, int i, double dx, double dy)
{
    const Part *part = b->part;
    Point p = part->points[i], q = part->points[b->before[i]], r = part->points[part->next[i]];
    double ix = (double)p.x - q.x, iy = (double)p.y - q.y, ox = (double)r.x - p.x, oy = (double)r.y - p.y;
    double in = (ix * dy - iy * dx) / sqrt(ix * ix + iy * iy), on = (ox * dy - oy * dx) / sqrt(ox * ox + oy * oy);
    bool convex = point_side(q, p, r) > 0;
    return convex ? in > FLAT_ANGLE_SIN && on > FLAT_ANGLE_SIN : in > FLAT_ANGLE_SIN || on > FLAT_ANGLE_SIN;
}

// The first edge that the way from point i meets; -1 for none. The angle there is no flat one.
static int first_edge(const Bisecting *b, int i, double dx, double dy, double *out_mm, double *out_along)
{
    const Part *part = b->part;
    Point p = part->points[i];
    int best = -1;
    double best_sin = 0.0;
    *out_mm = INFINITY;
    for (int e = 0; e < part->count; e++) {
        double ax = (part->points[e].x - p.x) / UM_PER_MM, ay = (part->points[e].y - p.y) / UM_PER_MM;
        double bx = (part->points[part->next[e]].x - p.x) / UM_PER_MM;
        double by = (part->points[part->next[e]].y - p.y) / UM_PER_MM;
        double side_a = dx * ay - dy * ax, side_b = dx * by - dy * bx;
        if ((side_a > 0.0) == (side_b > 0.0)) continue;
        double t = side_a / (side_a - side_b), at = (ax + t * (bx - ax)) * dx + (ay + t * (by - ay)) * dy;
        if (at <= 1e-3 || at >= *out_mm) continue;
        *out_mm = at;
        *out_along = t;
        best = e;
        best_sin = fabs(side_b - side_a) / sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
    }
    return best_sin >= FLAT_ANGLE_SIN ? best : -1;
}

static double cross_mm2(Point a, Point b)
{
    return ((double)a.x * b.y - (double)b.x * a.y) * 0.5e-6;
}

// Area of the side of the chord that the outer ring runs round from `to` on edge e back to point i.
static double area_beyond(const Part *part, int i, int e, Point to)
{
    int start = part->next[e];
    double area = cross_mm2(part->points[i], to) + cross_mm2(to, part->points[start]);
    area += part->swept_mm2[i] - part->swept_mm2[start];
    if (start > i) {
        int r = part_ring_of(part, i);
        area += part->swept_mm2[part->first[r + 1]] - part->swept_mm2[part->first[r]];
    }
    return area;
}

static bool add_chord(Bisecting *b, int i, double dx, double dy, Error *err)
{
    const Part *part = b->part;
    double length, along = 0.0;
    if (!sets_out(b, i, dx, dy)) return true;
    int e = first_edge(b, i, dx, dy, &length, &along);
    if (e < 0) return true;
    Chord chord = {.from = part->points[i], .edge = e, .along = along};
    Point a = part->points[e], c = part->points[part->next[e]];
    chord.to = (Point){a.x + (int32_t)(along * ((double)c.x - a.x)), a.y + (int32_t)(along * ((double)c.y - a.y))};
    if (part->locked && part->locked[e]) {
        chord.to = along < 0.5 ? a : c;
        chord.edge = -1;
    }
    length = point_distance_mm(chord.from, chord.to);
    if (length < LEAST_LENGTH_MM) return true;
    double hidden = hiding_length_mm(b->hiding, chord.from, chord.to, b->scratch);
    if (hidden < 0.0) return error_memory(err);
    double share = SLIT_SHARE * part->area_mm2;
    if (part_ring_of(part, i) == part_ring_of(part, e)) {
        double one = fabs(area_beyond(part, i, e, chord.to));
        share = fmin(one, fabs(part->area_mm2 - one));
    }
    if (share < b->options->least_long_mm * b->options->least_wide_mm) return true;
    chord.cost = (length - hidden + b->options->hidden_weight * hidden + END_MM) / share;
    Chord *items = arena_grow(b->scratch, b->chords, b->count, &b->room, sizeof *items);
    if (!items) return error_memory(err);
    b->chords = items;
    items[b->count++] = chord;
    return true;
}

// All round, and square to the edges that meet here, and straight on along them.
static bool add_chords_from(Bisecting *b, int i, Error *err)
{
    const Part *part = b->part;
    for (int k = 0; k < 24; k++) {
        double x = seam_turns[k % 6][0], y = seam_turns[k % 6][1];
        for (int quarter = k / 6; quarter > 0; quarter--) {
            double was = x;
            x = -y;
            y = was;
        }
        if (!add_chord(b, i, x, y, err)) return false;
    }
    int other[2] = {b->before[i], part->next[i]};
    for (int k = 0; k < 2; k++) {
        double dx = (double)part->points[i].x - part->points[other[k]].x;
        double dy = (double)part->points[i].y - part->points[other[k]].y;
        double length = sqrt(dx * dx + dy * dy);
        dx /= length, dy /= length;
        if (!add_chord(b, i, dx, dy, err) || !add_chord(b, i, -dy, dx, err) || !add_chord(b, i, dy, -dx, err))
            return false;
    }
    return true;
}

static bool list_chords(Bisecting *b, Work *work, Error *err)
{
    const Part *part = b->part;
    int corners = 0, seen = 0, tried = 0;
    b->before = arena_new(b->scratch, int, part->count);
    if (!b->before) return error_memory(err);
    for (int i = 0; i < part->count; i++) b->before[part->next[i]] = i;
    for (int i = 0; i < part->count; i++) corners += is_corner(b, i);
    for (int i = 0; i < part->count; i++) {
        if (!is_corner(b, i)) continue;
        bool locked = part->locked && (part->locked[i] || part->locked[b->before[i]]);
        bool chosen = locked || seen * (int64_t)MOST_CORNERS / corners >= tried; // evenly spread
        seen++;
        if (!chosen) continue;
        tried += !locked;
        if (!work_goes_on(work, err) || !add_chords_from(b, i, err)) return false;
    }
    return true;
}

static int compare_chords(const void *pa, const void *pb)
{
    const Chord *a = pa, *b = pb;
    if (a->cost != b->cost) return a->cost < b->cost ? -1 : 1;
    int order = point_compare(a->from, b->from);
    return order ? order : point_compare(a->to, b->to);
}

static bool carry_out(const Bisecting *b, Cuts *cuts, int plot, const Chord *chord, Work *work, bool *sound, Error *err)
{
    const Part *part = b->part;
    Point points[2] = {chord->from, chord->to};
    if (chord->edge >= 0) {
        int edge = chord->edge;
        double along = part->backwards[edge] ? 1.0 - chord->along : chord->along;
        if (!cuts_add_node(cuts, part->chain[edge], part->chain_edge[edge], along, &points[1], err)) return false;
    }
    CutRun run = {points, 2, CUT_OF_SEARCH, points[0]};
    return cuts_along(cuts, plot, &run, work, sound, err);
}

bool bisect_plot(Cuts *cuts, int plot, const Part *part, const Hiding *hiding, const SeamOptions *options, Work *work,
                 bool *done, Error *err)
{
    Bisecting b = {.part = part, .hiding = hiding, .options = options, .scratch = &work->scratch};
    ArenaMark mark = arena_mark(&work->scratch);
    bool fine = list_chords(&b, work, err);
    *done = false;
    if (fine && b.count) qsort(b.chords, b.count, sizeof *b.chords, compare_chords);
    for (size_t i = 0; fine && i < b.count && i < BEST_TRIED && !*done; i++) {
        size_t chains = cuts->chains.count;
        fine = carry_out(&b, cuts, plot, &b.chords[i], work, done, err);
        if (*done || cuts->chains.count == chains) continue;
        *done = true; // a node was made, though: chains are no longer what the part knows
    }
    arena_rewind(&work->scratch, mark);
    return fine;
}
