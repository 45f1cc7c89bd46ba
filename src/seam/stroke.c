// stroke.c - see stroke.h.
#include "seam/stroke.h"

#include <math.h>

#define SAMPLE_MM 2.0          // along the boundary; what is smaller is no corner
#define MOST_SAMPLES 60000     // of a part: larger ones are looked at more coarsely
#define ARM 2                  // samples to either side that make a direction ...
#define CORNER_ARM 3           // ... and those that make a corner, when they turn by ...
#define CORNER_COSINE 0.82     // ... 35 degrees: the drawing's corners, and what looks like one
#define TRIED 3                // every third sample may begin a cut
#define SQUARE_COSINE 0.985    // 10 degrees: how far a stroke may widen to either side of a cut
#define LEAST_WIDTH_MM 0.8     // thinner is no paper
#define AT_CORNER_MM 0.02      // nodes nearer to a flat point than this are put there
#define SEEN_THROUGH_MM 0.03   // of a cut that may lie outside: nodes lie on curves, not on their flat edges

typedef struct Way {
    double x, y;
} Way; // a direction, or a place in mm

typedef struct Spot { // a place on the boundary
    Way at;
    int edge;
    double along;
} Spot;

typedef struct Strokes {
    const NetGround *ground;
    const StrokeOptions *options;
    Arena *scratch;
    Cover edges;        // of the part, by their numbers
    double *run_mm;     // by edge: how far its start is from its ring's
    double *ring_mm;    // by ring
    int *first;         // by ring: its samples
    Spot *spots;
    double *clear_mm;   // by sample: from the nearest corner
    double step_mm;
} Strokes;

static Way way_between(Way a, Way b)
{
    double x = b.x - a.x, y = b.y - a.y, length = sqrt(x * x + y * y);
    return length > 0.0 ? (Way){x / length, y / length} : (Way){0.0, 0.0};
}

static double dot(Way a, Way b)
{
    return a.x * b.x + a.y * b.y;
}

static Way to_mm(Point p)
{
    return (Way){p.x / UM_PER_MM, p.y / UM_PER_MM};
}

// ---- samples ----

static bool measure_rings(Strokes *s, Error *err)
{
    const Part *part = s->ground->part;
    s->run_mm = arena_new(s->scratch, double, part->count);
    s->ring_mm = arena_new(s->scratch, double, part->ring_count);
    s->first = arena_new(s->scratch, int, part->ring_count + 1);
    CoverEdge *edges = arena_new(s->scratch, CoverEdge, part->count);
    if (!s->run_mm || !s->ring_mm || !s->first || !edges) return error_memory(err);
    for (int r = 0; r < part->ring_count; r++)
        for (int i = part->first[r]; i < part->first[r + 1]; i++) {
            edges[i] = (CoverEdge){part->points[i], part->points[part->next[i]]};
            s->run_mm[i] = s->ring_mm[r];
            s->ring_mm[r] += point_distance_mm(edges[i].a, edges[i].b);
        }
    s->step_mm = fmax(SAMPLE_MM, part->length_mm / MOST_SAMPLES);
    for (int r = 0; r < part->ring_count; r++) s->first[r + 1] = s->first[r] + (int)(s->ring_mm[r] / s->step_mm);
    return cover_index(edges, part->count, s->scratch, &s->edges, err);
}

static void place_spots(Strokes *s)
{
    const Part *part = s->ground->part;
    for (int r = 0; r < part->ring_count; r++) {
        int edge = part->first[r], count = s->first[r + 1] - s->first[r];
        for (int i = 0; i < count; i++) {
            double at_mm = (i + 0.5) * s->ring_mm[r] / count;
            while (edge + 1 < part->first[r + 1] && s->run_mm[edge + 1] <= at_mm) edge++;
            Way a = to_mm(part->points[edge]), b = to_mm(part->points[part->next[edge]]);
            double length = point_distance_mm(part->points[edge], part->points[part->next[edge]]);
            double along = fmin((at_mm - s->run_mm[edge]) / length, 1.0);
            s->spots[s->first[r] + i] = (Spot){{a.x + along * (b.x - a.x), a.y + along * (b.y - a.y)}, edge, along};
        }
    }
}

// A neighbour on the same ring.
static const Spot *spot_beside(const Strokes *s, int ring, int spot, int by)
{
    int first = s->first[ring], count = s->first[ring + 1] - first;
    return &s->spots[first + ((spot - first + by) % count + count) % count];
}

static bool is_corner(const Strokes *s, int ring, int spot)
{
    Way here = s->spots[spot].at;
    Way in = way_between(spot_beside(s, ring, spot, -CORNER_ARM)->at, here);
    Way on = way_between(here, spot_beside(s, ring, spot, CORNER_ARM)->at);
    return dot(in, on) < CORNER_COSINE;
}

// Twice round in each direction: what lies before the first corner is as far from the last one.
static void measure_clearance(Strokes *s, int ring)
{
    int first = s->first[ring], count = s->first[ring + 1] - first;
    double step_mm = count ? s->ring_mm[ring] / count : 0.0;
    bool too_short = count < 4 * CORNER_ARM;
    for (int i = 0; i < count; i++)
        s->clear_mm[first + i] = too_short || is_corner(s, ring, first + i) ? 0.0 : s->ring_mm[ring];
    for (int way = -1; way <= 1; way += 2)
        for (int i = 1; i < 2 * count; i++) {
            int at = first + (way > 0 ? i : 2 * count - 1 - i) % count, before = first + (at - first - way + count) % count;
            s->clear_mm[at] = fmin(s->clear_mm[at], s->clear_mm[before] + step_mm);
        }
}

static bool prepare(Strokes *s, Error *err)
{
    if (!measure_rings(s, err)) return false;
    int rings = s->ground->part->ring_count;
    s->spots = arena_new(s->scratch, Spot, s->first[rings]);
    s->clear_mm = arena_new(s->scratch, double, s->first[rings]);
    if (!s->spots || !s->clear_mm) return error_memory(err);
    place_spots(s);
    for (int r = 0; r < rings; r++) measure_clearance(s, r);
    return true;
}

static Way direction_at(const Strokes *s, int ring, int spot)
{
    return way_between(spot_beside(s, ring, spot, -ARM)->at, spot_beside(s, ring, spot, ARM)->at);
}

// ---- one cut ----

// Where the ray meets an edge, as a share of `reach_mm`; the edge's own share in *along. False when it does not.
static bool meets(Way from, Way way, double reach_mm, const CoverEdge *edge, double *out_mm, double *along)
{
    Way a = to_mm(edge->a), b = to_mm(edge->b);
    double ex = b.x - a.x, ey = b.y - a.y, ax = a.x - from.x, ay = a.y - from.y;
    double turn = way.x * ey - way.y * ex;
    if (turn == 0.0) return false;
    *out_mm = (ax * ey - ay * ex) / turn;
    *along = (ax * way.y - ay * way.x) / turn;
    return *along >= 0.0 && *along <= 1.0 && *out_mm > LEAST_WIDTH_MM / 2.0 && *out_mm <= reach_mm;
}

// The first edge ahead. Cells are looked at in steps of half a cell, so that one may be missed whose corner alone is met:
// the cut is checked afterwards.
static bool shoot(const Strokes *s, Way from, Way way, Spot *out)
{
    double step_mm = s->edges.cell_um / UM_PER_MM / 2.0, best_mm = s->options->widest_mm, along, mm;
    int last = -1;
    out->edge = -1;
    for (double at_mm = 0.0; at_mm < best_mm + step_mm; at_mm += step_mm) {
        int cell = cover_cell(&s->edges, point_from_mm(from.x + way.x * at_mm, from.y + way.y * at_mm));
        if (cell == last) continue;
        last = cell;
        for (int i = s->edges.first[cell]; i < s->edges.first[cell + 1]; i++) {
            int edge = s->edges.held[i];
            if (!meets(from, way, best_mm, &s->edges.edges[edge], &mm, &along) || mm >= best_mm) continue;
            best_mm = mm;
            *out = (Spot){{from.x + way.x * mm, from.y + way.y * mm}, edge, along};
        }
    }
    return out->edge >= 0;
}

static int spot_near(const Strokes *s, int ring, const Spot *place)
{
    const Part *part = s->ground->part;
    int count = s->first[ring + 1] - s->first[ring], edge = place->edge;
    double length = point_distance_mm(part->points[edge], part->points[part->next[edge]]);
    int at = (int)((s->run_mm[edge] + place->along * length) / s->ring_mm[ring] * count);
    return s->first[ring] + (at < count ? at : count - 1);
}

static NetNode node_at(const Strokes *s, Spot place)
{
    const Part *part = s->ground->part;
    double length = point_distance_mm(part->points[place.edge], part->points[part->next[place.edge]]);
    if ((1.0 - place.along) * length < AT_CORNER_MM) place = (Spot){place.at, part->next[place.edge], 0.0};
    if (place.along * length < AT_CORNER_MM) place.along = 0.0;
    return (NetNode){part_node(part, s->ground->chains, place.edge, place.along), place.edge, place.along,
                     {-1, -1, -1, -1}, -1, 0.0, false};
}

static bool may_end(const Strokes *s, int spot, int edge)
{
    const Part *part = s->ground->part;
    if (part->locked && part->locked[edge]) return false;
    return s->clear_mm[spot] >= s->options->clear_mm;
}

// The cut that begins at a sample. *memory: false when it ran out.
static bool cut_from(const Strokes *s, int ring, int spot, StrokeCut *out, bool *memory)
{
    const Part *part = s->ground->part;
    Spot start = s->spots[spot], end = start;
    if (!may_end(s, spot, start.edge)) return false;
    Way here = direction_at(s, ring, spot), axis = here, there = here;
    for (int pass = 0; pass < 2; pass++) { // the second one square to the axis
        if (!shoot(s, start.at, (Way){-axis.y, axis.x}, &end)) return false;
        int far_ring = part_ring_of(part, end.edge);
        if (s->first[far_ring + 1] == s->first[far_ring]) return false;
        int far = spot_near(s, far_ring, &end);
        if (!may_end(s, far, end.edge)) return false;
        there = direction_at(s, far_ring, far);
        if (pass == 0) axis = way_between(there, here);
    }
    if (dot(axis, here) < SQUARE_COSINE || -dot(axis, there) < SQUARE_COSINE) return false;
    *out = (StrokeCut){{node_at(s, start), node_at(s, end)}, 0.0};
    out->width_mm = point_distance_mm(out->ends[0].at, out->ends[1].at);
    if (out->width_mm < LEAST_WIDTH_MM) return false;
    double inside = cover_length_mm(s->ground->outline, out->ends[0].at, out->ends[1].at, s->scratch);
    *memory = inside >= 0.0;
    return inside >= out->width_mm - SEEN_THROUGH_MM;
}

// Two cuts that do not cross are nearest to one another at one of their ends.
static bool are_apart(const StrokeCut *a, const StrokeCut *b, double apart_mm)
{
    double reach = apart_mm + (a->width_mm + b->width_mm) / 2.0;
    Point p = {a->ends[0].at.x / 2 + a->ends[1].at.x / 2, a->ends[0].at.y / 2 + a->ends[1].at.y / 2};
    Point q = {b->ends[0].at.x / 2 + b->ends[1].at.x / 2, b->ends[0].at.y / 2 + b->ends[1].at.y / 2};
    if (fabs((double)p.x - q.x) > reach * UM_PER_MM || fabs((double)p.y - q.y) > reach * UM_PER_MM) return true;
    if (segments_cross(a->ends[0].at, a->ends[1].at, b->ends[0].at, b->ends[1].at)) return false;
    for (int i = 0; i < 2; i++)
        if (point_segment_distance_mm(a->ends[i].at, b->ends[0].at, b->ends[1].at) < apart_mm ||
            point_segment_distance_mm(b->ends[i].at, a->ends[0].at, a->ends[1].at) < apart_mm)
            return false;
    return true;
}

static bool keeps_apart(const StrokeCuts *cuts, const StrokeCut *cut, double apart_mm)
{
    for (size_t i = cuts->count; i-- > 0;) // the nearest ones were added last
        if (!are_apart(&cuts->items[i], cut, apart_mm)) return false;
    return true;
}

static bool find(const Strokes *s, Arena *keep, Work *work, StrokeCuts *cuts, Error *err)
{
    for (int r = 0; r < s->ground->part->ring_count; r++)
        for (int i = s->first[r]; i < s->first[r + 1]; i += TRIED) {
            StrokeCut cut;
            bool memory = true;
            ArenaMark mark = arena_mark(s->scratch);
            if (!work_goes_on(work, err)) return false;
            bool found = cut_from(s, r, i, &cut, &memory) && keeps_apart(cuts, &cut, s->options->apart_mm);
            arena_rewind(s->scratch, mark);
            if (!memory) return error_memory(err);
            if (!found) continue;
            StrokeCut *items = arena_grow(keep, cuts->items, cuts->count, &cuts->room, sizeof *items);
            if (!items) return error_memory(err);
            cuts->items = items;
            items[cuts->count++] = cut;
        }
    return true;
}

bool strokes_find(const NetGround *ground, const StrokeOptions *options, Arena *keep, Work *work, StrokeCuts *cuts,
                  Error *err)
{
    Strokes s = {.ground = ground, .options = options, .scratch = &work->scratch};
    ArenaMark mark = arena_mark(s.scratch);
    bool fine = prepare(&s, err) && find(&s, keep, work, cuts, err);
    arena_rewind(s.scratch, mark);
    return fine;
}
