// fixed.c - see fixed.h.
#include "seam/fixed.h"

#include "seam/hiding.h"
#include "seam/section.h"

#include <math.h>
#include <stdlib.h>

#define STRAIGHT_ON_MM 20.0  // an end is led on straight as far as this before a shorter way is looked for ...
#define NEAREST_EDGE_MM 10.0 // ... which may be as long as this
#define OVERSHOOT_MM 0.1     // lines are led a little across the edge, so that they cross it
#define ALONG_EDGE_MM 0.008  // nearer to an edge a line runs along it: more than nodes on curves move an edge
#define LEAST_RUN_MM 0.3     // shorter stretches inside are touches
#define SAME_NODE_MM 0.004   // a new node is not made as near to a flat point as this
#define FIND_EDGE_MM 1.0     // the edge that ends a stretch lies no farther away
#define LEAST_PLOT_WIDE_MM 3.0
#define LEAST_PLOT_LONG_MM 12.7

typedef struct Line { // a fixed seam with its ends led to the edge
    int index;
    Point *points;
    int count;
    bool done, far[2]; // far: that end was led on over a long way
} Line;

typedef struct Run { // a stretch of a line inside one plot
    int from, to;    // straight stretches of the line
    double from_mm, to_mm;
} Run;

typedef struct Fixing {
    const SeamWishes *wishes;
    const FixedLoss *losses;
    int loss_count;
    Cuts *cuts;
    Work *work;
    bool *touches;
    FixedLoss *loss;
} Fixing;

static Point along_stretch(Point a, Point b, double at_mm)
{
    double t = at_mm / point_distance_mm(a, b);
    return point_from_mm((a.x + t * ((double)b.x - a.x)) / UM_PER_MM, (a.y + t * ((double)b.y - a.y)) / UM_PER_MM);
}

// ---- ends ----

// How far from p, in the direction from q, the first edge is crossed; INFINITY for none.
static double way_to_edge_mm(const PlotEdge *edges, int count, Point q, Point p)
{
    double length = point_distance_mm(q, p), best = INFINITY;
    double dx = (p.x - q.x) / UM_PER_MM / length, dy = (p.y - q.y) / UM_PER_MM / length;
    for (int i = 0; i < count; i++) {
        double ax = (edges[i].a.x - p.x) / UM_PER_MM, ay = (edges[i].a.y - p.y) / UM_PER_MM;
        double bx = (edges[i].b.x - p.x) / UM_PER_MM, by = (edges[i].b.y - p.y) / UM_PER_MM;
        double side_a = dx * ay - dy * ax, side_b = dx * by - dy * bx;
        if ((side_a > 0.0) == (side_b > 0.0)) continue;
        double t = side_a / (side_a - side_b), at = (ax + t * (bx - ax)) * dx + (ay + t * (by - ay)) * dy;
        if (at > 0.0 && at < best) best = at;
    }
    return best;
}

static Point nearest_on_edges(const PlotEdge *edges, int count, Point p, double *out_mm)
{
    Point best = p;
    *out_mm = INFINITY;
    for (int i = 0; i < count; i++) {
        double distance = point_segment_distance_mm(p, edges[i].a, edges[i].b);
        if (distance >= *out_mm) continue;
        *out_mm = distance;
        double dx = (double)edges[i].b.x - edges[i].a.x, dy = (double)edges[i].b.y - edges[i].a.y;
        double t = (((double)p.x - edges[i].a.x) * dx + ((double)p.y - edges[i].a.y) * dy) / (dx * dx + dy * dy);
        t = fmin(1.0, fmax(0.0, t));
        best = point_from_mm((edges[i].a.x + t * dx) / UM_PER_MM, (edges[i].a.y + t * dy) / UM_PER_MM);
    }
    return best;
}

// Leads the end at `side` (0 start, 1 end) to the edge.
static bool lead_end(Fixing *f, Line *line, int side, const PlotEdge *edges, int edge_count, Error *err)
{
    Point end = side ? line->points[line->count - 1] : line->points[0];
    Point before = side ? line->points[line->count - 2] : line->points[1];
    int plot;
    double nearest_mm;
    if (!cuts_plot_at(f->cuts, end, &f->work->scratch, &plot, err)) return false;
    Point nearest = nearest_on_edges(edges, edge_count, end, &nearest_mm);
    if (plot < 0 || nearest_mm <= ALONG_EDGE_MM) return true;
    double straight_mm = way_to_edge_mm(edges, edge_count, before, end), length_mm = point_distance_mm(before, end);
    bool bend = straight_mm > STRAIGHT_ON_MM && nearest_mm <= NEAREST_EDGE_MM;
    if (!bend && !isfinite(straight_mm)) return true;
    Point to = bend ? along_stretch(end, nearest, nearest_mm + OVERSHOOT_MM)
                    : along_stretch(before, end, length_mm + straight_mm + OVERSHOOT_MM);
    line->far[side] = !bend && straight_mm > STRAIGHT_ON_MM;
    if (!bend) {
        line->points[side ? line->count - 1 : 0] = to;
        return true;
    }
    if (!side)
        for (int i = line->count; i > 0; i--) line->points[i] = line->points[i - 1];
    line->points[side ? line->count : 0] = to;
    line->count++;
    return true;
}

static bool lead_ends(Fixing *f, int index, Line *out, Error *err)
{
    const SeamLine *wish = &f->wishes->fixed[index];
    Arena *scratch = &f->work->scratch;
    int edge_count;
    PlotEdge *edges = cuts_edges(f->cuts, -1, scratch, &edge_count);
    *out = (Line){.index = index, .points = arena_new(scratch, Point, wish->count + 2)};
    if (!edges || !out->points) return error_memory(err);
    for (int i = 0; i < wish->count; i++)
        if (out->count == 0 || !point_equal(out->points[out->count - 1], wish->points[i]))
            out->points[out->count++] = wish->points[i];
    if (out->count < 2) return true;
    return lead_end(f, out, 0, edges, edge_count, err) && lead_end(f, out, 1, edges, edge_count, err);
}

// ---- stretches inside plots ----

typedef struct Runs {
    Run *items;
    size_t count, room;
} Runs;

static bool add_run(Runs *runs, Run run, Arena *arena)
{
    Run *items = arena_grow(arena, runs->items, runs->count, &runs->room, sizeof *items);
    if (!items) return false;
    runs->items = items;
    items[runs->count++] = run;
    return true;
}

static double run_length_mm(const Line *line, const Run *run)
{
    double length = run->to_mm - run->from_mm;
    for (int i = run->from; i < run->to; i++) length += point_distance_mm(line->points[i], line->points[i + 1]);
    return length;
}

// The runs of the line inside one plot, away from its edges.
static bool find_runs(Fixing *f, const Line *line, int plot, Runs *runs, Error *err)
{
    Arena *scratch = &f->work->scratch;
    Rings rings;
    Hiding inner;
    size_t before = runs->count;
    if (!area_rings(&f->cuts->chains, &f->cuts->plots[plot].area, scratch, &rings, err)) return false;
    if (!hiding_make(&rings, ALONG_EDGE_MM, scratch, &inner, err)) return false;
    for (int k = 0; k + 1 < line->count; k++) {
        Stretches inside;
        double length = point_distance_mm(line->points[k], line->points[k + 1]);
        if (!hiding_stretches(&inner, line->points[k], line->points[k + 1], scratch, &inside)) return error_memory(err);
        for (size_t i = 0; i < inside.count; i++) {
            Run *last = runs->count > before ? &runs->items[runs->count - 1] : NULL;
            double reach = last ? point_distance_mm(line->points[last->to], line->points[last->to + 1]) : 0.0;
            bool goes_on = last && last->to == k - 1 && last->to_mm >= reach - 1e-6 && inside.items[i].lo <= 1e-6;
            Run run = {k, k, inside.items[i].lo, fmin(length, inside.items[i].hi)};
            if (goes_on) {
                last->to = k;
                last->to_mm = run.to_mm;
            } else if (!add_run(runs, run, scratch)) {
                return error_memory(err);
            }
        }
    }
    return true;
}

// A point of the run: the middle of its longest straight stretch.
static Point run_middle(const Line *line, const Run *run)
{
    Point middle = line->points[run->from];
    double longest = -1.0;
    for (int k = run->from; k <= run->to; k++) {
        double lo = k == run->from ? run->from_mm : 0.0;
        double hi = k == run->to ? run->to_mm : point_distance_mm(line->points[k], line->points[k + 1]);
        if (hi - lo <= longest) continue;
        longest = hi - lo;
        middle = along_stretch(line->points[k], line->points[k + 1], 0.5 * (lo + hi));
    }
    return middle;
}

static bool is_lost(const Fixing *f, const Line *line, const Run *run)
{
    for (int i = 0; i < f->loss_count; i++) {
        if (f->losses[i].line != line->index) continue;
        for (int k = run->from; k <= run->to; k++) {
            Point a =
                k == run->from ? along_stretch(line->points[k], line->points[k + 1], run->from_mm) : line->points[k];
            Point b =
                k == run->to ? along_stretch(line->points[k], line->points[k + 1], run->to_mm) : line->points[k + 1];
            if (point_segment_distance_mm(f->losses[i].at, a, b) < 2.0 * ALONG_EDGE_MM) return true;
        }
    }
    return false;
}

// ---- cutting ----

typedef struct Place {
    int chain, edge; // -1 when there is none
    double along;
} Place;

// Where the stretch p-q crosses the edges nearest to at_mm from p; else the nearest place on any edge. Both sides of a
// seam give the same place.
static Place find_place(const PlotEdge *edges, int count, Point p, Point q, double at_mm)
{
    Place place = {-1, -1, 0.0};
    double length = point_distance_mm(p, q), best = FIND_EDGE_MM;
    for (int i = 0; i < count; i++) {
        double side_a = (double)point_cross(p, q, edges[i].a), side_b = (double)point_cross(p, q, edges[i].b);
        if ((side_a > 0.0) == (side_b > 0.0)) continue;
        double side_p = (double)point_cross(edges[i].a, edges[i].b, p);
        double side_q = (double)point_cross(edges[i].a, edges[i].b, q);
        double away = fabs(side_p / (side_p - side_q) * length - at_mm);
        if (!(away < best)) continue;
        best = away;
        place = (Place){edges[i].chain, edges[i].edge, side_a / (side_a - side_b)};
    }
    if (place.chain >= 0) return place;
    Point at = along_stretch(p, q, at_mm);
    best = FIND_EDGE_MM;
    for (int i = 0; i < count; i++) {
        double distance = point_segment_distance_mm(at, edges[i].a, edges[i].b);
        if (distance >= best) continue;
        double dx = (double)edges[i].b.x - edges[i].a.x, dy = (double)edges[i].b.y - edges[i].a.y;
        double t = (((double)at.x - edges[i].a.x) * dx + ((double)at.y - edges[i].a.y) * dy) / (dx * dx + dy * dy);
        best = distance;
        place = (Place){edges[i].chain, edges[i].edge, fmin(1.0, fmax(0.0, t))};
    }
    return place;
}

// A place next to a flat point is that point: two nodes a micrometre apart serve nobody.
static void snap_place(const Cuts *cuts, Place *place)
{
    const Chain *chain = &cuts->chains.items[place->chain];
    Point at = chain_edge_point(chain, place->edge, place->along);
    if (point_distance_mm(at, chain->points[place->edge]) < SAME_NODE_MM)
        place->along = 0.0;
    else if (point_distance_mm(at, chain->points[place->edge + 1]) < SAME_NODE_MM)
        place->along = 1.0;
}

// Puts the node at one end of the run; *found is false when no edge is near.
static bool end_node(Fixing *f, int plot, Point p, Point q, double at_mm, Point *out, FixedFault *fault, Error *err)
{
    ArenaMark mark = arena_mark(&f->work->scratch);
    int count;
    PlotEdge *edges = cuts_edges(f->cuts, plot, &f->work->scratch, &count);
    if (!edges) return error_memory(err);
    Place place = find_place(edges, count, p, q, at_mm);
    if (place.chain >= 0) snap_place(f->cuts, &place);
    bool fine = true;
    if (place.chain < 0)
        *fault = FIXED_UNSOUND;
    else
        fine = cuts_add_node(f->cuts, place.chain, place.edge, place.along, out, err);
    // On the edge of a frozen piece only its corners can be met.
    if (fine && *fault == FIXED_KEPT && point_segment_distance_mm(*out, p, q) > FIND_EDGE_MM) *fault = FIXED_LOCKED;
    arena_rewind(&f->work->scratch, mark);
    return fine;
}

static bool run_points(Fixing *f, const Line *line, const Run *run, int plot, Point **out, int *out_count,
                       FixedFault *fault, Error *err)
{
    Point *points = arena_new(&f->work->scratch, Point, run->to - run->from + 2);
    const Point *p = line->points;
    int n = 1;
    Point end = {0, 0};
    if (!points) return error_memory(err);
    if (!end_node(f, plot, p[run->from], p[run->from + 1], run->from_mm, &points[0], fault, err)) return false;
    if (*fault == FIXED_KEPT && !end_node(f, plot, p[run->to], p[run->to + 1], run->to_mm, &end, fault, err))
        return false;
    for (int k = run->from + 1; k <= run->to; k++)
        if (point_distance_mm(p[k], points[n - 1]) >= 0.5 * LEAST_RUN_MM &&
            point_distance_mm(p[k], end) > 0.5 * LEAST_RUN_MM)
            points[n++] = p[k];
    points[n++] = end;
    *out = points;
    *out_count = n;
    return true;
}

static double cut_length_mm(const Cuts *cuts, const Plot *plot)
{
    double longest = 0.0;
    for (size_t c = 0; c < cuts->count; c++)
        for (int l = 0; l < plot->area.link_count; l++)
            if (plot->area.links[l].chain == cuts->items[c].chain)
                longest = fmax(longest, link_length_mm(&cuts->chains, &plot->area.links[l]));
    return longest;
}

// Whether a plot can be handled at all, unless the drawing itself is that narrow.
static bool plot_is_sound(Fixing *f, int index, bool *sound, Error *err)
{
    const Plot *plot = &f->cuts->plots[index];
    Rings rings;
    int count;
    ArenaMark mark = arena_mark(&f->work->scratch);
    if (!area_rings(&f->cuts->chains, &plot->area, &f->work->scratch, &rings, err)) return false;
    Point *hull = hull_make(rings.items[0].points, rings.items[0].count, &f->work->scratch, &count);
    if (!hull) return error_memory(err);
    *sound = count >= 3 && hull_diameter_mm(hull, count) >= LEAST_PLOT_LONG_MM;
    double width = *sound ? hull_width_mm(hull, count) : 0.0;
    if (*sound && width < LEAST_PLOT_WIDE_MM) *sound = cut_length_mm(f->cuts, plot) <= 1.5 * width;
    arena_rewind(&f->work->scratch, mark);
    return true;
}

static bool is_section_line(const Fixing *f, const Line *line)
{
    return line->index < f->wishes->section_count;
}

// Whether a plot reaches so far from a section line that it is to be parted there.
static bool reaches_across(Fixing *f, const Line *line, int index, bool *sound, Error *err)
{
    const Plot *plot = &f->cuts->plots[index];
    bool upright = line->points[0].x == line->points[1].x;
    int32_t at = upright ? line->points[0].x : line->points[0].y;
    Rings rings;
    ArenaMark mark = arena_mark(&f->work->scratch);
    if (!area_rings(&f->cuts->chains, &plot->area, &f->work->scratch, &rings, err)) return false;
    Box box = rings_box(&rings);
    int64_t below = (int64_t)at - (upright ? box.min.x : box.min.y), above = (int64_t)(upright ? box.max.x : box.max.y) - at;
    *sound = (double)(below > above ? below : above) > SECTION_OVERHANG_MM * UM_PER_MM;
    arena_rewind(&f->work->scratch, mark);
    return true;
}

static bool can_be_handled(Fixing *f, const Line *line, int index, bool *sound, Error *err)
{
    return is_section_line(f, line) ? reaches_across(f, line, index, sound, err) : plot_is_sound(f, index, sound, err);
}

static bool cut_run(Fixing *f, const Line *line, const Run *run, Error *err)
{
    Point *points = NULL, middle = run_middle(line, run);
    int count = 0, plot;
    bool sound = true;
    FixedFault fault = FIXED_KEPT;
    if (!cuts_plot_at(f->cuts, middle, &f->work->scratch, &plot, err)) return false;
    if (plot < 0 || is_lost(f, line, run)) return true;
    if (!run_points(f, line, run, plot, &points, &count, &fault, err)) return false;
    size_t plots = f->cuts->plot_count;
    if (fault == FIXED_KEPT) {
        if (count == 2 && point_equal(points[0], points[1])) return true;
        CutRun cut = {points, count, line->index, middle};
        if (!cuts_along(f->cuts, plot, &cut, f->work, &sound, err)) return false;
        if (!sound) fault = FIXED_UNSOUND;
    }
    if (fault == FIXED_KEPT && !can_be_handled(f, line, plot, &sound, err)) return false;
    if (fault == FIXED_KEPT && sound && f->cuts->plot_count > plots && !can_be_handled(f, line, (int)plots, &sound, err))
        return false;
    if (fault == FIXED_KEPT && !sound) fault = FIXED_HAIRLINE;
    if (fault != FIXED_KEPT) *f->loss = (FixedLoss){line->index, middle, fault, -1};
    return true;
}

// Whether the line meets the paper, be it along an edge.
static bool meets_paper(Fixing *f, const Line *line, Error *err)
{
    Arena *scratch = &f->work->scratch;
    for (size_t p = 0; p < f->cuts->plot_count; p++) {
        Rings rings;
        Cover cover;
        double inside = 0.0;
        ArenaMark mark = arena_mark(scratch);
        if (!area_rings(&f->cuts->chains, &f->cuts->plots[p].area, scratch, &rings, err)) return false;
        if (!cover_make(&rings, scratch, &cover, err)) return false;
        for (int k = 0; k + 1 < line->count; k++) {
            double length = cover_length_mm(&cover, line->points[k], line->points[k + 1], scratch);
            if (length < 0.0) return error_memory(err);
            inside += length;
        }
        arena_rewind(scratch, mark);
        if (inside >= LEAST_RUN_MM) f->touches[line->index] = true;
    }
    return true;
}

// A section line passes by what goes on when the sections stand side by side.
static bool stays_whole(const Fixing *f, const Line *line, const Plot *plot)
{
    return is_section_line(f, line) && plot->part < f->wishes->whole_count && f->wishes->whole[plot->part];
}

static bool cut_line(Fixing *f, const Line *line, Error *err)
{
    Runs runs = {0};
    size_t plots = f->cuts->plot_count;
    if (!meets_paper(f, line, err)) return false;
    for (size_t p = 0; p < plots; p++) {
        size_t before = runs.count;
        int frozen = f->cuts->plots[p].frozen;
        if (stays_whole(f, line, &f->cuts->plots[p])) continue;
        if (!find_runs(f, line, (int)p, &runs, err)) return false;
        for (size_t i = before; frozen >= 0 && i < runs.count; i++)
            if (run_length_mm(line, &runs.items[i]) >= LEAST_RUN_MM && !is_lost(f, line, &runs.items[i]))
                *f->loss = (FixedLoss){line->index, run_middle(line, &runs.items[i]), FIXED_FROZEN, frozen};
        if (frozen >= 0) runs.count = before;
    }
    for (size_t i = 0; i < runs.count && f->loss->fault == FIXED_KEPT; i++)
        if (run_length_mm(line, &runs.items[i]) >= LEAST_RUN_MM && !cut_run(f, line, &runs.items[i], err)) return false;
    return work_goes_on(f->work, err);
}

// Lines whose ends are near an edge go first: others may end on them. Each pass cuts at least one line.
bool fixed_cut(const SeamWishes *wishes, const FixedLoss *losses, int loss_count, Cuts *cuts, Work *work, bool *touches,
               FixedLoss *out_loss, Error *err)
{
    Fixing f = {wishes, losses, loss_count, cuts, work, touches, out_loss};
    ArenaMark mark = arena_mark(&work->scratch);
    bool *done = arena_new(&work->scratch, bool, wishes->fixed_count);
    *out_loss = (FixedLoss){0};
    if (!done) return error_memory(err);
    for (int left = wishes->fixed_count; left > 0 && out_loss->fault == FIXED_KEPT;) {
        int before = left;
        for (int pass = 0; pass < 2 && left == before; pass++) {
            for (int i = 0; i < wishes->fixed_count && out_loss->fault == FIXED_KEPT; i++) {
                Line line;
                if (done[i] || (pass == 1 && left < before)) continue;
                if (!lead_ends(&f, i, &line, err)) return false;
                if (pass == 0 && (line.far[0] || line.far[1])) continue;
                if (line.count >= 2 && !cut_line(&f, &line, err)) return false;
                done[i] = true;
                left--;
            }
        }
    }
    arena_rewind(&work->scratch, mark);
    return true;
}
