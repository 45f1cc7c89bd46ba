// nest_bound.c - see nest_bound.h.
// Method:  two pieces cannot share when both, with half a gap round them, are larger than the sheet with as much round it, or when
//          their largest discs do not lie side by side on it. Pieces are taken by size as long as none can share with another taken.
//          By pairs: each two at all turns and places (nest/pair.h), without their gap, so fine that nothing can lie between. A sheet never
//          holds pieces of two parts of the graph of those that can share, so that the parts' bounds are summed.
// Source:  no clique of a graph is larger than the chromatic number of it; taking them by size is common practice, no source.
#include "nest_bound.h"

#include "nest/pair.h"

#include <math.h>
#include <stdlib.h>

#define COVER_SHARE 0.97    // a cover is at most so much larger than the piece with half a gap round it, and mostly less
#define COVER_MM 0.15       // and its outline so much farther out
#define NO_GAP_COVER_MM 0.25    // the cover of a piece without a gap lies so much nearer to that of another than the pieces, at most
#define TURNS_SLACK 0.7     // of what the gap leaves: for turns between those looked at; the rest for heights between lines
#define PI 3.14159265358979

static int sheets_of(double area_mm2, double width_mm, double height_mm)
{
    return (int)ceil(area_mm2 / (width_mm * height_mm) - 1e-9);
}

typedef struct Size {
    double area_mm2, radius_mm; // of the piece with half a gap round it
} Size;

static int by_area_down(const void *a, const void *b)
{
    const Size *x = a, *y = b;
    return (x->area_mm2 < y->area_mm2) - (x->area_mm2 > y->area_mm2);
}

// Two discs in a box: the farthest that their middles can be apart is the diagonal of what they leave.
static bool cannot_share(const Size *a, const Size *b, double width_mm, double height_mm)
{
    if (a->area_mm2 + b->area_mm2 > width_mm * height_mm) return true;
    double reach = a->radius_mm + b->radius_mm, w = width_mm - reach, h = height_mm - reach;
    return w < 0 || h < 0 || w * w + h * h < reach * reach;
}

static int clique(const Size *sizes, int count, double width_mm, double height_mm, int *taken)
{
    int taken_count = 0;
    for (int i = 0; i < count; i++) {
        bool with_none = true;
        for (int k = 0; k < taken_count && with_none; k++) with_none = cannot_share(&sizes[i], &sizes[taken[k]], width_mm, height_mm);
        if (with_none) taken[taken_count++] = i;
    }
    return taken_count;
}


static bool bound_by_size(const NestItem *items, int count, const NestOptions *options, Work *work, NestBound *out, Error *err)
{
    Size *sizes = arena_new(&work->scratch, Size, count);
    int *taken = arena_new(&work->scratch, int, count);
    if (!sizes || !taken) return error_memory(err);
    const Space *space = &options->space;
    double area = 0;
    for (int i = 0; i < count; i++) {
        Arena own = arena_make(0);
        Solid solid;
        bool made = solid_make(items[i].rings, options->gap_mm, &own, work, &solid, err);
        double piece = rings_area_mm2(items[i].rings);
        area += piece;
        if (made) sizes[i] = (Size){fmax(piece, solid.area_mm2 * COVER_SHARE), (double)solid.discs.r[0] - COVER_MM};
        arena_free(&own);
        if (!made) return false;
    }
    qsort(sizes, (size_t)count, sizeof *sizes, by_area_down);
    double width = space->width_mm + options->gap_mm, height = space->height_mm + options->gap_mm;
    int by_pair = clique(sizes, count, width, height, taken);
    out->by_area = sheets_of(area, space->width_mm, space->height_mm);
    out->by_size = out->by_area > by_pair ? out->by_area : by_pair;
    return true;
}

// --- by pairs ---

// All turns lie within half a step of one that is looked at, all heights within half a line. Pieces without their gap that meet there
// come nearer than the gap at the true turn and height.
typedef struct Fine {
    double slack_mm, step_rad;
    int turns;
    PairAsk ask;
} Fine;

static bool fine_of(const Solid *solids, int count, const NestOptions *options, Fine *out)
{
    double radius = 0;
    for (int i = 0; i < count; i++)
        for (int k = 0; k < solids[i].corner_count; k++) radius = fmax(radius, hypot(solids[i].corners[k].x, solids[i].corners[k].y));
    out->slack_mm = options->gap_mm - NO_GAP_COVER_MM;
    if (out->slack_mm <= 0) return false;
    out->turns = (int)ceil(2 * PI * radius / (out->slack_mm * TURNS_SLACK));
    out->step_rad = 2 * PI / out->turns;
    out->ask = (PairAsk){.width_mm = options->space.width_mm, .height_mm = options->space.height_mm,
                         .line_mm = 2 * out->slack_mm * (1 - TURNS_SLACK), .over_mm = radius * out->step_rad / 2 + NO_GAP_COVER_MM,
                         .halves_alike = true, .enough_mm = -INFINITY, .most_looks = INT64_MAX / 2};
    return true;
}

typedef struct Graph {
    int count;
    bool *can;                  // count * count
    const double *area_mm2, *with_gap_mm2;
    int *part;                  // connected parts
} Graph;

static bool find_pairs(const NestItem *items, int count, const NestOptions *options, Arena *own, Work *work, Graph *out, Error *err)
{
    Solid *solids = arena_new(own, Solid, count);
    Lined *lined = arena_new(own, Lined, count);
    if (!solids || !lined) return error_memory(err);
    for (int i = 0; i < count; i++)
        if (!solid_make(items[i].rings, 0, own, work, &solids[i], err)) return false;
    Fine fine;
    if (!fine_of(solids, count, options, &fine)) return true;
    Fit *turns = arena_new(own, Fit, fine.turns);
    if (!turns) return error_memory(err);
    for (int t = 0; t < fine.turns; t++) turns[t] = (Fit){cos(t * fine.step_rad), sin(t * fine.step_rad)};
    for (int i = 0; i < count; i++)
        if (!pair_lines(&solids[i], turns, fine.turns, &fine.ask, own, work, &lined[i], err)) return false;
    double sheet = options->space.width_mm * options->space.height_mm;
    for (int i = 0; i < count; i++)
        for (int j = 0; j < i; j++) {
            PairSpot spot;
            int found = 0;
            int64_t looks = 0;
            if (out->area_mm2[i] + out->area_mm2[j] <= sheet &&
                !pair_find(&lined[i], &lined[j], &fine.ask, 1, work, &spot, &found, &looks, err))
                return false;
            out->can[i * count + j] = out->can[j * count + i] = found > 0;
        }
    return true;
}

static void find_parts(Graph *graph)
{
    for (int i = 0; i < graph->count; i++) graph->part[i] = i;
    for (bool changed = true; changed;) {
        changed = false;
        for (int i = 0; i < graph->count; i++)
            for (int j = 0; j < graph->count; j++) {
                if (!graph->can[i * graph->count + j] || graph->part[i] <= graph->part[j]) continue;
                graph->part[i] = graph->part[j];
                changed = true;
            }
    }
}

// The most of these pieces of which no two can share: each is taken or not. `left` holds those that may still be taken.
static int most_apart(const Graph *graph, uint64_t left, int have, int best)
{
    if (!left) return have > best ? have : best;
    if (have + __builtin_popcountll(left) <= best) return best;
    int pick = -1, most = -1;
    uint64_t beside = 0;
    for (uint64_t rest = left; rest; rest &= rest - 1) { // the one with the most neighbours decides the most
        int i = __builtin_ctzll(rest);
        uint64_t row = 0;
        for (int j = 0; j < graph->count; j++) row |= (uint64_t)graph->can[i * graph->count + j] << j;
        int degree = __builtin_popcountll(row & left);
        if (degree > most) most = degree, pick = i, beside = row;
    }
    if (most == 0) return most_apart(graph, 0, have + __builtin_popcountll(left), best);
    uint64_t rest = left & ~(UINT64_C(1) << pick);
    best = most_apart(graph, rest & ~beside, have + 1, best);
    return most_apart(graph, rest, have, best);
}

static int bound_of_part(const Graph *graph, int part, const NestOptions *options, NestBound *out)
{
    uint64_t members = 0;
    const Space *space = &options->space;
    double area = 0, with_gap = 0, gap = options->gap_mm;
    for (int i = 0; i < graph->count; i++)
        if (graph->part[i] == part) members |= UINT64_C(1) << i, area += graph->area_mm2[i], with_gap += graph->with_gap_mm2[i];
    if (!members) return 0;
    if (!(members & (members - 1))) {
        out->alone++;
        out->alone_share += area / (space->width_mm * space->height_mm);
    }
    int most = most_apart(graph, members, 0, 0), by_area = sheets_of(area, space->width_mm, space->height_mm);
    int by_gap = sheets_of(with_gap, space->width_mm + gap, space->height_mm + gap);
    if (by_area > most) most = by_area;
    return by_gap > most ? by_gap : most;
}

static bool bound_by_pairs(const NestItem *items, int count, const NestOptions *options, Arena *own, Arena *keep, Work *work, NestBound *out,
                           Error *err)
{
    double *area = arena_new(own, double, count), *with_gap = arena_new(own, double, count);
    Graph graph = {.count = count, .with_gap_mm2 = with_gap, .can = arena_new(keep, bool, (size_t)count * (size_t)count), .area_mm2 = area, .part = arena_new(own, int, count)};
    if (!area || !with_gap || !graph.can || !graph.part) return error_memory(err);
    for (int i = 0; i < count; i++) {
        Solid solid;
        if (!solid_make(items[i].rings, options->gap_mm, own, work, &solid, err)) return false;
        area[i] = rings_area_mm2(items[i].rings);
        with_gap[i] = fmax(area[i], solid.area_mm2 * COVER_SHARE);
    }
    if (!find_pairs(items, count, options, own, work, &graph, err)) return false;
    out->can = graph.can;
    find_parts(&graph);
    int sum = 0;
    for (int p = 0; p < count; p++) sum += bound_of_part(&graph, p, options, out);
    out->by_pairs = sum > out->by_size ? sum : out->by_size;
    if (out->alone > 0) out->alone_share /= out->alone;
    return true;
}

bool nest_bound(const NestItem *items, int count, const NestOptions *options, bool pairs_too, Arena *keep, Work *work,
                NestBound *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    *out = (NestBound){0};
    if (!bound_by_size(items, count, options, work, out, err)) return false;
    out->by_pairs = out->by_size;
    if (pairs_too && options->gap_mm > NO_GAP_COVER_MM && options->turn == NEST_TURN_FREE && count <= 64) {
        Arena own = arena_make(0);
        bool done = bound_by_pairs(items, count, options, &own, keep, work, out, err);
        arena_free(&own);
        if (!done) return false;
    }
    arena_rewind(&work->scratch, mark);
    return true;
}
