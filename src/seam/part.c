// part.c - see part.h.
#include "seam/part.h"

#include <math.h>
#include <stdlib.h>

static int area_point_count(const Area *area)
{
    int count = 0;
    for (int i = 0; i < area->link_count; i++) count += link_point_count(&area->links[i]) - 1;
    return count;
}

static bool room_for(Part *part, Arena *keep, Error *err)
{
    part->points = arena_new(keep, Point, part->count);
    part->next = arena_new(keep, int, part->count);
    part->chain = arena_new(keep, int, part->count);
    part->chain_edge = arena_new(keep, int, part->count);
    part->backwards = arena_new(keep, bool, part->count);
    part->first = arena_new(keep, int, part->ring_count + 1);
    if (!part->points || !part->next || !part->chain || !part->chain_edge || !part->backwards || !part->first)
        return error_memory(err);
    return true;
}

// The outer ring comes first, whatever the order in the area.
static int ring_at(const Area *area, int i)
{
    int outer = 0;
    while (area->rings[outer].outer != outer) outer++;
    if (i == 0) return outer;
    return i <= outer ? i - 1 : i;
}

static void collect_points(const Chains *chains, Part *part)
{
    int n = 0;
    for (int r = 0; r < part->ring_count; r++) {
        const LinkRing *ring = &part->area.rings[ring_at(&part->area, r)];
        part->first[r] = n;
        for (int l = ring->first_link; l < ring->first_link + ring->link_count; l++) {
            const Link *link = &part->area.links[l];
            bool backwards = link->first > link->last;
            for (int i = 0; i + 1 < link_point_count(link); i++, n++) {
                part->points[n] = link_point(chains, link, i);
                part->chain[n] = link->chain;
                part->chain_edge[n] = backwards ? link->first - i - 1 : link->first + i;
                part->backwards[n] = backwards;
                part->next[n] = n + 1;
            }
        }
        part->next[n - 1] = part->first[r];
    }
    part->first[part->ring_count] = n;
}

static double cross_mm2(Point a, Point b)
{
    return ((double)a.x * b.y - (double)b.x * a.y) * 0.5e-6;
}

bool part_measure(Part *part, Arena *keep, Error *err)
{
    part->bulges = arena_new(keep, bool, part->count);
    part->swept_mm2 = arena_new(keep, double, part->count + 1);
    if (!part->bulges || !part->swept_mm2) return error_memory(err);
    part->box = box_empty();
    part->length_mm = 0.0;
    for (int i = 0; i < part->count; i++) {
        Point a = part->points[i], b = part->points[part->next[i]], c = part->points[part->next[part->next[i]]];
        part->swept_mm2[i + 1] = part->swept_mm2[i] + cross_mm2(a, b);
        part->length_mm += point_distance_mm(a, b);
        part->bulges[part->next[i]] = point_side(a, b, c) > 0;
        box_add(&part->box, a);
    }
    part->area_mm2 = part->swept_mm2[part->count];
    part->hull = hull_make(part->points, part->first[1], keep, &part->hull_count);
    return part->hull ? true : error_memory(err);
}

int part_ring_of(const Part *part, int edge)
{
    int r = 0;
    while (edge >= part->first[r + 1]) r++;
    return r;
}

Point part_node(const Part *part, const Chains *chains, int edge, double along)
{
    if (part->chain[edge] < 0) {
        Point a = part->points[edge], b = part->points[part->next[edge]];
        return point_from_mm((a.x + along * ((double)b.x - a.x)) / UM_PER_MM,
                             (a.y + along * ((double)b.y - a.y)) / UM_PER_MM);
    }
    if (part->from) along = part->from[edge] + along * (part->to[edge] - part->from[edge]);
    if (part->backwards[edge]) along = 1.0 - along;
    return chain_edge_point(&chains->items[part->chain[edge]], part->chain_edge[edge], along);
}

bool part_make(const Chains *chains, const Area *layer_area, int outer_ring, int index, Arena *keep, Part *out,
               Error *err)
{
    *out = (Part){.index = index};
    if (!area_polygon(layer_area, outer_ring, keep, &out->area, err)) return false;
    out->count = area_point_count(&out->area);
    out->ring_count = out->area.ring_count;
    if (!room_for(out, keep, err)) return false;
    collect_points(chains, out);
    return part_measure(out, keep, err);
}

typedef struct Side { // an edge of the boundary that runs along a cut
    int chain, chain_edge, edge;
} Side;

static int compare_sides(const void *pa, const void *pb)
{
    const Side *a = pa, *b = pb;
    if (a->chain != b->chain) return a->chain - b->chain;
    if (a->chain_edge != b->chain_edge) return a->chain_edge - b->chain_edge;
    return a->edge - b->edge;
}

static const Cut *cut_of(const Cuts *cuts, int chain)
{
    for (size_t c = 0; c < cuts->count; c++)
        if (cuts->items[c].chain == chain) return &cuts->items[c];
    return NULL;
}

bool part_note_cuts(Part *part, const Cuts *cuts, Arena *keep, Error *err)
{
    int count = 0;
    bool slits = false;
    if (cuts->count == 0) return true;
    Side *sides = arena_new(keep, Side, part->count);
    int *twin = arena_new(keep, int, part->count);
    part->locked = arena_new(keep, bool, part->count);
    if (!sides || !twin || !part->locked) return error_memory(err);
    for (int i = 0; i < part->count; i++) {
        const Cut *cut = cut_of(cuts, part->chain[i]);
        twin[i] = -1;
        if (!cut) continue;
        part->locked[i] = cut->line == CUT_OF_FROZEN;
        sides[count++] = (Side){part->chain[i], part->chain_edge[i], i};
    }
    if (count) qsort(sides, (size_t)count, sizeof *sides, compare_sides);
    for (int i = 0; i + 1 < count; i++) {
        if (sides[i].chain != sides[i + 1].chain || sides[i].chain_edge != sides[i + 1].chain_edge) continue;
        twin[sides[i].edge] = sides[i + 1].edge;
        twin[sides[i + 1].edge] = sides[i].edge;
        slits = true;
    }
    if (slits) part->twin = twin;
    return true;
}

bool boundary_of_rings(const Rings *rings, Arena *keep, Point **out_points, int **out_next, int *out_count, Error *err)
{
    int count = 0;
    for (int r = 0; r < rings->count; r++) count += rings->items[r].count;
    *out_points = arena_new(keep, Point, count);
    *out_next = arena_new(keep, int, count);
    *out_count = count;
    if (!*out_points || !*out_next) return error_memory(err);
    int n = 0;
    for (int r = 0; r < rings->count; r++) {
        int first = n;
        for (int i = 0; i < rings->items[r].count; i++, n++) {
            (*out_points)[n] = rings->items[r].points[i];
            (*out_next)[n] = n + 1;
        }
        if (n > first) (*out_next)[n - 1] = first;
    }
    return true;
}

bool part_turn(const Part *part, Frame frame, Arena *keep, Turned *out, Error *err)
{
    if (!boundary_turn(part->points, part->next, part->count, frame, keep, out, err)) return false;
    out->has_slits = part->twin != NULL;
    return true;
}

bool boundary_turn(const Point *points, const int *next, int count, Frame frame, Arena *keep, Turned *out, Error *err)
{
    *out = (Turned){arena_new(keep, double, count), arena_new(keep, double, count), next, count, false};
    if (!out->u || !out->v) return error_memory(err);
    for (int i = 0; i < count; i++) {
        double x = points[i].x / UM_PER_MM, y = points[i].y / UM_PER_MM;
        out->u[i] = x * frame.cos + y * frame.sin;
        out->v[i] = y * frame.cos - x * frame.sin;
    }
    return true;
}

Point frame_to_plane(Frame frame, double u, double v)
{
    return point_from_mm(u * frame.cos - v * frame.sin, u * frame.sin + v * frame.cos);
}
