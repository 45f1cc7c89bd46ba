// chain.c - a run of lines and cubic curves, fitted once and flattened once, and links to parts of it.
#include "shape/chain.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

// Rounding a flat point moves it by up to half a diagonal of the grid; flattening has the rest of FLATTEN_MM.
#define FLATTEN_UM (FLATTEN_MM * UM_PER_MM - 0.71)

typedef struct Pair {
    double x, y;
} Pair; // exact place of a control point, in micrometres

static Pair pair_of(Point p)
{
    return (Pair){p.x, p.y};
}

static Point round_pair(Pair p)
{
    double x = round(p.x), y = round(p.y);
    assert(fabs(x) <= 2.0 * POINT_MAX_UM && fabs(y) <= 2.0 * POINT_MAX_UM);
    return (Point){(int32_t)x, (int32_t)y};
}

static Pair between(Pair a, Pair b, double t)
{
    return (Pair){a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
}

// ---- curves ----

Curve curve_line(Point a, Point b)
{
    return (Curve){a, a, b, b, true};
}

static double second_difference_um(Point a, Point b, Point c)
{
    double x = (double)a.x - 2.0 * b.x + c.x, y = (double)a.y - 2.0 * b.y + c.y;
    return sqrt(x * x + y * y);
}

int curve_steps(const Curve *curve)
{
    if (curve->is_line) return 1;
    double bend = fmax(second_difference_um(curve->p0, curve->p1, curve->p2),
                       second_difference_um(curve->p1, curve->p2, curve->p3));
    // Wang: n >= sqrt(d (d - 1) / 8 * max second difference / tolerance), with d = 3.
    int steps = (int)ceil(sqrt(0.75 * bend / FLATTEN_UM));
    return steps < 1 ? 1 : steps;
}

Point curve_point(const Curve *curve, double t)
{
    if (t <= 0.0) return curve->p0;
    if (t >= 1.0) return curve->p3;
    Pair p0 = pair_of(curve->p0), p3 = pair_of(curve->p3);
    if (curve->is_line) return round_pair(between(p0, p3, t));
    Pair a = between(p0, pair_of(curve->p1), t), b = between(pair_of(curve->p1), pair_of(curve->p2), t);
    Pair c = between(pair_of(curve->p2), p3, t);
    return round_pair(between(between(a, b, t), between(b, c, t), t));
}

Curve curve_reversed(const Curve *curve)
{
    return (Curve){curve->p3, curve->p2, curve->p1, curve->p0, curve->is_line};
}

// The polar form of the cubic: its arguments t0 and t1, mixed, give the control points of the part between them.
static Pair polar(const Curve *curve, double u, double v, double w)
{
    Pair p0 = pair_of(curve->p0), p1 = pair_of(curve->p1), p2 = pair_of(curve->p2), p3 = pair_of(curve->p3);
    Pair a = between(p0, p1, u), b = between(p1, p2, u), c = between(p2, p3, u);
    return between(between(a, b, v), between(b, c, v), w);
}

Curve curve_part(const Curve *curve, double t0, double t1, Point start, Point end)
{
    assert(t0 < t1);
    if (curve->is_line) return curve_line(start, end);
    return (Curve){start, round_pair(polar(curve, t0, t0, t1)), round_pair(polar(curve, t0, t1, t1)), end, false};
}

// ---- chains ----

// Appends the flat points of curve k after its start; false when all of them fall on the start.
static bool add_flat(const Curve *curve, int k, Chain *chain)
{
    int steps = curve_steps(curve), start = chain->point_count;
    for (int i = 1; i <= steps; i++) {
        Point p = i == steps ? curve->p3 : curve_point(curve, (double)i / steps);
        bool again = point_equal(p, chain->points[chain->point_count - 1]);
        if (again && i == steps && chain->point_count > start)
            chain->point_count--; // the joint stays
        else if (again)
            continue;
        chain->points[chain->point_count] = p;
        chain->at[chain->point_count++] = i == steps ? k + 1.0 : k + (double)i / steps;
    }
    return chain->point_count > start;
}

bool chain_make(const Curve *curves, int count, bool closed, Arena *keep, Chain *out, Error *err)
{
    *out = (Chain){0};
    assert(count > 0);
    size_t most = 1;
    for (int i = 0; i < count; i++) {
        assert(!curves[i].is_line || !point_equal(curves[i].p0, curves[i].p3));
        assert(i == 0 || point_equal(curves[i - 1].p3, curves[i].p0));
        most += (size_t)curve_steps(&curves[i]);
    }
    assert(!closed || point_equal(curves[count - 1].p3, curves[0].p0));
    Chain chain = {.closed = closed, .origin = -1};
    chain.curves = arena_new(keep, Curve, count);
    chain.points = arena_new(keep, Point, most);
    chain.at = arena_new(keep, double, most);
    if (!chain.curves || !chain.points || !chain.at) return error_memory(err);
    chain.points[0] = curves[0].p0;
    chain.point_count = 1;
    for (int i = 0; i < count; i++) // a curve smaller than a micrometre has no flat edge and is left out
        if (add_flat(&curves[i], chain.curve_count, &chain)) chain.curves[chain.curve_count++] = curves[i];
    assert(chain.point_count >= 2);
    *out = chain;
    return true;
}

bool chain_from_points(const Point *points, int count, bool closed, Arena *keep, Chain *out, Error *err)
{
    *out = (Chain){0};
    assert(count >= 2);
    int edges = closed ? count : count - 1;
    Chain chain = {.closed = closed, .origin = -1, .curve_count = edges, .point_count = edges + 1};
    chain.curves = arena_new(keep, Curve, edges);
    chain.points = arena_new(keep, Point, edges + 1);
    chain.at = arena_new(keep, double, edges + 1);
    if (!chain.curves || !chain.points || !chain.at) return error_memory(err);
    for (int i = 0; i <= edges; i++) {
        chain.points[i] = points[i < count ? i : 0];
        chain.at[i] = i;
        if (i == 0) continue;
        assert(!point_equal(chain.points[i - 1], chain.points[i]));
        chain.curves[i - 1] = curve_line(chain.points[i - 1], chain.points[i]);
    }
    *out = chain;
    return true;
}

bool chains_add(Chains *chains, const Chain *chain, Arena *keep, int *out_index, Error *err)
{
    *out_index = -1;
    Chain *items = arena_grow(keep, chains->items, chains->count, &chains->capacity, sizeof *items);
    if (!items) return error_memory(err);
    chains->items = items;
    *out_index = (int)chains->count;
    items[chains->count++] = *chain;
    return true;
}

static bool copy_chain(const Chain *from, Arena *keep, Chain *out)
{
    *out = *from;
    out->curves = arena_copy(keep, from->curves, (size_t)from->curve_count, sizeof *from->curves);
    out->points = arena_copy(keep, from->points, (size_t)from->point_count, sizeof *from->points);
    out->at = arena_copy(keep, from->at, (size_t)from->point_count, sizeof *from->at);
    return out->curves && out->points && out->at;
}

bool chains_copy(const Chains *from, Arena *keep, Chains *out, Error *err)
{
    *out = (Chains){0};
    Chain *items = arena_new(keep, Chain, from->count);
    if (!items) return error_memory(err);
    for (size_t i = 0; i < from->count; i++)
        if (!copy_chain(&from->items[i], keep, &items[i])) return error_memory(err);
    *out = (Chains){items, from->count, from->count};
    return true;
}

// ---- new flat points ----

typedef struct Inserted {
    ChainPoint node;
    int order; // its place in the caller's list
} Inserted;

static int by_way_along(const void *a, const void *b)
{
    const Inserted *one = a, *two = b;
    if (one->node.edge != two->node.edge) return one->node.edge < two->node.edge ? -1 : 1;
    if (one->node.along != two->node.along) return one->node.along < two->node.along ? -1 : 1;
    return one->order - two->order;
}

static double clamp_unit(double v)
{
    return v < 0.0 ? 0.0 : v > 1.0 ? 1.0 : v;
}

// The curve of a flat edge and the parameters at its ends.
static const Curve *edge_curve(const Chain *chain, int edge, double *out_t0, double *out_t1)
{
    int k = (int)floor(chain->at[edge]);
    *out_t0 = chain->at[edge] - k;
    *out_t1 = chain->at[edge + 1] - k;
    return &chain->curves[k];
}

Point chain_edge_point(const Chain *chain, int edge, double along)
{
    assert(edge >= 0 && edge + 1 < chain->point_count);
    double t0, t1, part = clamp_unit(along);
    const Curve *curve = edge_curve(chain, edge, &t0, &t1);
    if (part == 0.0) return chain->points[edge];
    if (part == 1.0) return chain->points[edge + 1];
    return curve_point(curve, t0 + (t1 - t0) * part);
}

static void append_flat(Chain *chain, Point p, double at)
{
    chain->points[chain->point_count] = p;
    chain->at[chain->point_count++] = at;
}

#define AT_EDGE_END (-1) // the node is the end of its edge, whose index is known later

// Appends one new node after the points that are there already and gives its index.
static int append_node(Chain *out, const Chain *chain, const ChainPoint *node)
{
    int last = out->point_count - 1;
    if (point_equal(node->point, out->points[last])) return last;
    if (point_equal(node->point, chain->points[node->edge + 1])) return AT_EDGE_END;
    double t0 = chain->at[node->edge], t1 = chain->at[node->edge + 1];
    double at = t0 + (t1 - t0) * clamp_unit(node->along);
    if (at <= out->at[last] || at >= t1) at = (out->at[last] + t1) / 2.0; // parameters rise, whatever was asked
    append_flat(out, node->point, at);
    return last + 1;
}

bool chain_insert_points(const Chain *chain, int chain_index, const ChainPoint *nodes, int node_count, Arena *keep,
                         Chain *out, int *out_index, Error *err)
{
    *out = (Chain){0};
    Inserted *sorted = arena_new(keep, Inserted, node_count);
    Chain copy = {.curve_count = chain->curve_count, .closed = chain->closed, .origin = chain_index};
    copy.curves = arena_copy(keep, chain->curves, (size_t)chain->curve_count, sizeof *chain->curves);
    copy.points = arena_new(keep, Point, (size_t)chain->point_count + (size_t)node_count);
    copy.at = arena_new(keep, double, (size_t)chain->point_count + (size_t)node_count);
    if (!sorted || !copy.curves || !copy.points || !copy.at) return error_memory(err);
    for (int i = 0; i < node_count; i++) {
        assert(nodes[i].edge >= 0 && nodes[i].edge + 1 < chain->point_count);
        sorted[i] = (Inserted){nodes[i], i};
    }
    qsort(sorted, (size_t)node_count, sizeof *sorted, by_way_along);
    for (int i = 0, n = 0, edge_nodes = 0; i < chain->point_count; i++) {
        append_flat(&copy, chain->points[i], chain->at[i]);
        for (int m = edge_nodes; m < n; m++)
            if (out_index[sorted[m].order] == AT_EDGE_END) out_index[sorted[m].order] = copy.point_count - 1;
        for (edge_nodes = n; n < node_count && sorted[n].node.edge == i; n++)
            out_index[sorted[n].order] = append_node(&copy, chain, &sorted[n].node);
    }
    *out = copy;
    return true;
}

bool chain_insert(const Chain *chain, int chain_index, const ChainNode *nodes, int node_count, Arena *keep, Chain *out,
                  int *out_index, Error *err)
{
    *out = (Chain){0};
    ChainPoint *points = arena_new(keep, ChainPoint, node_count);
    if (!points) return error_memory(err);
    for (int i = 0; i < node_count; i++) {
        Point p = chain_edge_point(chain, nodes[i].edge, nodes[i].along);
        points[i] = (ChainPoint){nodes[i].edge, nodes[i].along, p};
    }
    return chain_insert_points(chain, chain_index, points, node_count, keep, out, out_index, err);
}

int chain_root(const Chains *chains, int index)
{
    while (chains->items[index].origin >= 0) index = chains->items[index].origin;
    return index;
}

// ---- links ----

int link_point_count(const Link *link)
{
    return abs(link->last - link->first) + 1;
}

Point link_point(const Chains *chains, const Link *link, int i)
{
    return chains->items[link->chain].points[link->first <= link->last ? link->first + i : link->first - i];
}

Point link_start(const Chains *chains, const Link *link)
{
    return chains->items[link->chain].points[link->first];
}

Point link_end(const Chains *chains, const Link *link)
{
    return chains->items[link->chain].points[link->last];
}

Link link_reversed(Link link)
{
    return (Link){link.chain, link.last, link.first};
}

double link_length_mm(const Chains *chains, const Link *link)
{
    double length = 0.0;
    for (int i = 0; i + 1 < link_point_count(link); i++)
        length += point_distance_mm(link_point(chains, link, i), link_point(chains, link, i + 1));
    return length;
}

typedef struct CurveSpan {
    int low, high, first, last;
} CurveSpan; // flat points, and the curves that they touch

static CurveSpan link_span(const Chains *chains, const Link *link)
{
    const Chain *chain = &chains->items[link->chain];
    int low = link->first < link->last ? link->first : link->last;
    int high = link->first < link->last ? link->last : link->first;
    assert(low >= 0 && low < high && high < chain->point_count);
    return (CurveSpan){low, high, (int)floor(chain->at[low]), (int)ceil(chain->at[high]) - 1};
}

int link_curve_count(const Chains *chains, const Link *link)
{
    CurveSpan span = link_span(chains, link);
    return span.last - span.first + 1;
}

void link_curves(const Chains *chains, const Link *link, Curve *out)
{
    const Chain *chain = &chains->items[link->chain];
    CurveSpan span = link_span(chains, link);
    for (int k = span.first; k <= span.last; k++) {
        Curve curve = chain->curves[k];
        double t0 = k == span.first ? chain->at[span.low] - k : 0.0;
        double t1 = k == span.last ? chain->at[span.high] - k : 1.0;
        if (t0 > 0.0 || t1 < 1.0)
            curve = curve_part(&curve, t0, t1, k == span.first ? chain->points[span.low] : curve.p0,
                               k == span.last ? chain->points[span.high] : curve.p3);
        if (link->first < link->last)
            out[k - span.first] = curve;
        else
            out[span.last - k] = curve_reversed(&curve);
    }
}
