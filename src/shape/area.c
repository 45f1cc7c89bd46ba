// area.c - rings of links: their flat points, curves and order, and building them from a bag of links.
#include "shape/area.h"

#include <assert.h>
#include <stdlib.h>

// ---- what a ring of links runs through ----

static int ring_point_count(const Area *area, int ring)
{
    int count = 0; // each link's end is the next one's start
    for (int i = 0; i < area->rings[ring].link_count; i++)
        count += link_point_count(&area->links[area->rings[ring].first_link + i]) - 1;
    return count;
}

static void fill_points(const Chains *chains, const Area *area, int ring, Ring *out)
{
    out->count = 0;
    for (int i = 0; i < area->rings[ring].link_count; i++) {
        const Link *link = &area->links[area->rings[ring].first_link + i];
        for (int j = 0; j + 1 < link_point_count(link); j++) {
            Point p = link_point(chains, link, j);
            if (out->count > 0 && point_equal(p, out->points[out->count - 1])) continue;
            out->points[out->count++] = p;
        }
    }
    while (out->count > 1 && point_equal(out->points[0], out->points[out->count - 1])) out->count--;
}

bool area_rings(const Chains *chains, const Area *area, Arena *keep, Rings *out, Error *err)
{
    *out = (Rings){0};
    Rings rings = {arena_new(keep, Ring, area->ring_count), area->ring_count};
    if (!rings.items) return error_memory(err);
    for (int i = 0; i < area->ring_count; i++) {
        rings.items[i].points = arena_new(keep, Point, ring_point_count(area, i));
        if (!rings.items[i].points) return error_memory(err);
        fill_points(chains, area, i, &rings.items[i]);
    }
    *out = rings;
    return true;
}

// Twice the area of one ring, exact: sums are taken modulo 2^64, which the whole of a simple ring never leaves.
static uint64_t link_ring_area2(const Chains *chains, const Area *area, int ring)
{
    uint64_t sum = 0;
    Point base = link_start(chains, &area->links[area->rings[ring].first_link]);
    for (int i = 0; i < area->rings[ring].link_count; i++) {
        const Link *link = &area->links[area->rings[ring].first_link + i];
        for (int j = 0; j + 1 < link_point_count(link); j++)
            sum += (uint64_t)point_cross(base, link_point(chains, link, j), link_point(chains, link, j + 1));
    }
    return sum;
}

double area_mm2(const Chains *chains, const Area *area)
{
    uint64_t sum = 0;
    for (int i = 0; i < area->ring_count; i++) sum += link_ring_area2(chains, area, i);
    return (double)(int64_t)sum / (2.0 * UM_PER_MM * UM_PER_MM);
}

Box area_box(const Chains *chains, const Area *area)
{
    Box box = box_empty();
    for (int i = 0; i < area->link_count; i++)
        for (int j = 0; j < link_point_count(&area->links[i]); j++)
            box_add(&box, link_point(chains, &area->links[i], j));
    return box;
}

// ---- joining links ----

// True when b goes on where a stops, on the same chain in the same direction.
static bool goes_on(Link a, Link b)
{
    return a.chain == b.chain && a.last == b.first && (a.first < a.last) == (b.first < b.last);
}

// Copies a ring's links, those that continue one another joined, the last with the first too. Returns the count.
static int join_links(const Link *links, int count, Link *out)
{
    int n = 0;
    for (int i = 0; i < count; i++) {
        if (n > 0 && goes_on(out[n - 1], links[i]))
            out[n - 1].last = links[i].last;
        else
            out[n++] = links[i];
    }
    if (n > 1 && goes_on(out[n - 1], out[0])) {
        out[0].first = out[n - 1].first;
        n--;
    }
    return n;
}

bool area_path(const Chains *chains, const Area *area, Arena *keep, Path *out, Error *err)
{
    *out = (Path){0};
    Path path = {.part_count = area->ring_count};
    Link *joined = arena_new(keep, Link, area->link_count);
    int *counts = arena_new(keep, int, area->ring_count);
    path.first = arena_new(keep, int, area->ring_count + 1);
    if (!joined || !counts || !path.first) return error_memory(err);
    for (int i = 0; i < area->ring_count; i++) { // a cubic that was split only to start the ring is whole again
        Link *links = joined + area->rings[i].first_link;
        counts[i] = join_links(area->links + area->rings[i].first_link, area->rings[i].link_count, links);
        for (int j = 0; j < counts[i]; j++) path.curve_count += link_curve_count(chains, &links[j]);
        path.first[i + 1] = path.curve_count;
    }
    path.curves = arena_new(keep, Curve, path.curve_count);
    if (!path.curves) return error_memory(err);
    for (int i = 0, n = 0; i < area->ring_count; i++) {
        for (int j = 0; j < counts[i]; j++) {
            const Link *link = joined + area->rings[i].first_link + j;
            link_curves(chains, link, path.curves + n);
            n += link_curve_count(chains, link);
        }
    }
    *out = path;
    return true;
}

// ---- order ----

typedef struct Turned { // one ring on its way to normal form
    Link *links;        // room for one more than the ring has
    int link_count;
    Point start, second;
    int64_t area2;
    Ring flat;
} Turned;

static bool is_inside_link(const Link *link, int i)
{
    return i > 0 && i < link_point_count(link) - 1;
}

static Link link_section(const Link *link, int from, int to)
{
    int step = link->first < link->last ? 1 : -1;
    return (Link){link->chain, link->first + step * from, link->first + step * to};
}

// Makes the ring start at its least (y, x) point.
static void turn_to_least(const Chains *chains, Turned *ring, Link *spare)
{
    int best_link = 0, best_at = 0;
    Point best = link_start(chains, &ring->links[0]);
    for (int i = 0; i < ring->link_count; i++) {
        for (int j = 0; j + 1 < link_point_count(&ring->links[i]); j++) {
            Point p = link_point(chains, &ring->links[i], j);
            if (point_compare(p, best) < 0) best = p, best_link = i, best_at = j;
        }
    }
    int n = 0;
    Link cut = ring->links[best_link];
    bool split = is_inside_link(&cut, best_at);
    spare[n++] = split ? link_section(&cut, best_at, link_point_count(&cut) - 1) : cut;
    for (int i = 1; i < ring->link_count; i++) spare[n++] = ring->links[(best_link + i) % ring->link_count];
    if (split) spare[n++] = link_section(&cut, 0, best_at);
    for (int i = 0; i < n; i++) ring->links[i] = spare[i];
    ring->link_count = n;
    ring->start = best;
    ring->second = link_point(chains, &ring->links[0], 1);
}

static int by_start(const void *a, const void *b)
{
    const Turned *one = a, *two = b;
    int order = point_compare(one->start, two->start);
    if (order) return order;
    if (one->area2 != two->area2) return one->area2 > two->area2 ? -1 : 1; // outer rings before holes
    return point_compare(one->second, two->second);
}

static bool turn_ring(const Chains *chains, const Area *area, int ring, Arena *keep, Turned *out)
{
    int count = area->rings[ring].link_count;
    out->links = arena_new(keep, Link, count + 1);
    Link *spare = arena_new(keep, Link, count + 1);
    out->flat.points = arena_new(keep, Point, ring_point_count(area, ring));
    if (!out->links || !spare || !out->flat.points) return false;
    out->link_count = join_links(area->links + area->rings[ring].first_link, count, out->links);
    turn_to_least(chains, out, spare);
    out->area2 = (int64_t)link_ring_area2(chains, area, ring);
    fill_points(chains, area, ring, &out->flat);
    return true;
}

static bool write_turned(const Turned *rings, int count, const int *outer, Arena *keep, Area *out, Error *err)
{
    Area area = {.ring_count = count};
    for (int i = 0; i < count; i++) area.link_count += rings[i].link_count;
    area.links = arena_new(keep, Link, area.link_count);
    area.rings = arena_new(keep, LinkRing, count);
    if (!area.links || !area.rings) return error_memory(err);
    for (int i = 0, n = 0; i < count; i++) {
        area.rings[i] = (LinkRing){n, rings[i].link_count, outer[i]};
        for (int j = 0; j < rings[i].link_count; j++) area.links[n++] = rings[i].links[j];
    }
    *out = area;
    return true;
}

bool area_normalise(const Chains *chains, const Area *area, Arena *keep, Area *out, Error *err)
{
    *out = (Area){0};
    Arena scratch = arena_make(keep->budget_bytes);
    int count = area->ring_count;
    Turned *rings = arena_new(&scratch, Turned, count);
    Rings flat = {arena_new(&scratch, Ring, count), count};
    int *outer = arena_new(&scratch, int, count);
    bool ok = rings && flat.items && outer;
    for (int i = 0; ok && i < count; i++) ok = turn_ring(chains, area, i, &scratch, &rings[i]);
    if (ok) qsort(rings, (size_t)count, sizeof *rings, by_start);
    for (int i = 0; ok && i < count; i++) flat.items[i] = rings[i].flat;
    ok = ok && rings_find_outers(&flat, &scratch, outer);
    ok = ok ? write_turned(rings, count, outer, keep, out, err) : error_memory(err);
    arena_free(&scratch);
    return ok;
}

bool area_polygon(const Area *area, int ring, Arena *keep, Area *out, Error *err)
{
    *out = (Area){0};
    assert(area->rings[ring].outer == ring);
    Area polygon = {0};
    for (int i = 0; i < area->ring_count; i++) {
        if (area->rings[i].outer != ring) continue;
        polygon.ring_count++;
        polygon.link_count += area->rings[i].link_count;
    }
    polygon.links = arena_new(keep, Link, polygon.link_count);
    polygon.rings = arena_new(keep, LinkRing, polygon.ring_count);
    if (!polygon.links || !polygon.rings) return error_memory(err);
    int links = 0, rings = 0, outer = 0;
    for (int i = 0; i < area->ring_count; i++) {
        if (area->rings[i].outer != ring) continue;
        if (i == ring) outer = rings;
        polygon.rings[rings++] = (LinkRing){links, area->rings[i].link_count, 0};
        for (int j = 0; j < area->rings[i].link_count; j++)
            polygon.links[links++] = area->links[area->rings[i].first_link + j];
    }
    for (int i = 0; i < rings; i++) polygon.rings[i].outer = outer;
    *out = polygon;
    return true;
}

// ---- rings from a bag of links ----

typedef struct Leaving { // one directed link at the node where it starts
    Point at;
    int link;
    bool used;
} Leaving;

static int by_node(const void *a, const void *b)
{
    const Leaving *one = a, *two = b;
    int order = point_compare(one->at, two->at);
    return order ? order : one->link - two->link;
}

static int first_leaving(const Leaving *leaving, int count, Point at)
{
    int low = 0, high = count;
    while (low < high) {
        int middle = low + (high - low) / 2;
        if (point_compare(leaving[middle].at, at) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

// How far one turns at `node` from the way back, over the inside on the right: 0 = less than half a turn, 1 = half,
// 2 = more, 3 = straight back.
static int turn_class(Point node, Point back, Point to)
{
    int side = point_side(node, back, to);
    if (side != 0) return side < 0 ? 0 : 2;
    double dot =
        ((double)back.x - node.x) * ((double)to.x - node.x) + ((double)back.y - node.y) * ((double)to.y - node.y);
    return dot < 0.0 ? 1 : 3;
}

static bool turns_before(Point node, Point back, Point a, Point b)
{
    int a_class = turn_class(node, back, a), b_class = turn_class(node, back, b);
    if (a_class != b_class) return a_class < b_class;
    return point_side(node, a, b) < 0;
}

typedef struct Bag {
    const Chains *chains;
    const Link *links;
    Leaving *leaving;
    int count;
} Bag;

// The unused link that leaves the end of `link` with the sharpest turn to the right; -1 when there is none.
static int next_leaving(const Bag *bag, const Link *link)
{
    Point node = link_end(bag->chains, link), back = link_point(bag->chains, link, link_point_count(link) - 2);
    int best = -1;
    for (int i = first_leaving(bag->leaving, bag->count, node); i < bag->count && point_equal(bag->leaving[i].at, node);
         i++) {
        if (bag->leaving[i].used) continue;
        if (best < 0 || turns_before(node, back, link_point(bag->chains, &bag->links[bag->leaving[i].link], 1),
                                     link_point(bag->chains, &bag->links[bag->leaving[best].link], 1)))
            best = i;
    }
    return best;
}

// A visit of a walk at a flat point: where on which link.
typedef struct Visit {
    Point at;
    int link, index;
} Visit;

typedef struct Seen {
    Point at;
    int place;
} Seen; // open hash: place on the walk + 1; 0 = free

typedef struct Walk {
    Visit *visits; // the open part of the walk
    int count;
    Seen *seen;
    size_t seen_mask;
} Walk;

static size_t point_hash(Point p)
{
    uint64_t h = ((uint64_t)(uint32_t)p.x << 32 | (uint32_t)p.y) * 0x9e3779b97f4a7c15u; // Fibonacci hashing
    return (size_t)(h ^ h >> 29);
}

static Seen *find_seen(const Walk *walk, Point p)
{
    size_t i = point_hash(p) & walk->seen_mask;
    while (walk->seen[i].place && !point_equal(walk->seen[i].at, p)) i = (i + 1) & walk->seen_mask;
    return &walk->seen[i];
}

typedef struct Building {
    Area area;
    size_t link_capacity, ring_capacity;
    Arena *keep;
} Building;

static bool add_link(Building *building, Link link)
{
    Link *links = arena_grow(building->keep, building->area.links, (size_t)building->area.link_count,
                             &building->link_capacity, sizeof *links);
    if (!links) return false;
    building->area.links = links;
    links[building->area.link_count++] = link;
    return true;
}

// Writes the closed loop of visits[from..count-1], back to visits[from], as a ring. Loops without area are left out.
static bool close_loop(const Bag *bag, const Walk *walk, int from, Building *building)
{
    if (walk->count - from < 3) return true;
    int first = building->area.link_count;
    for (int i = from; i < walk->count;) {
        int stop = i + 1;
        while (stop < walk->count && walk->visits[stop].link == walk->visits[i].link &&
               walk->visits[stop].index == walk->visits[stop - 1].index + 1)
            stop++;
        // Each visit stands for the edge that leaves it.
        Link link =
            link_section(&bag->links[walk->visits[i].link], walk->visits[i].index, walk->visits[stop - 1].index + 1);
        if (!add_link(building, link)) return false;
        i = stop;
    }
    LinkRing *rings = arena_grow(building->keep, building->area.rings, (size_t)building->area.ring_count,
                                 &building->ring_capacity, sizeof *rings);
    if (!rings) return false;
    building->area.rings = rings;
    rings[building->area.ring_count] = (LinkRing){first, building->area.link_count - first, building->area.ring_count};
    building->area.ring_count++;
    return true;
}

// Goes on to the next flat point; a point that was met before on this walk closes a loop, which is taken out.
static bool visit(const Bag *bag, Walk *walk, Visit to, Building *building)
{
    Seen *seen = find_seen(walk, to.at);
    if (seen->place && seen->place <= walk->count && point_equal(walk->visits[seen->place - 1].at, to.at)) {
        int from = seen->place - 1;
        if (!close_loop(bag, walk, from, building)) return false;
        walk->count = from;
    }
    walk->visits[walk->count++] = to;
    *seen = (Seen){to.at, walk->count};
    return true;
}

// Walks one closed way through the bag, from the given leaving link until it is back.
static bool walk_ring(const Bag *bag, int start, Walk *walk, Building *building)
{
    walk->count = 0;
    for (int at = start;;) {
        bag->leaving[at].used = true;
        int link_index = bag->leaving[at].link;
        const Link *link = &bag->links[link_index];
        for (int i = 0; i + 1 < link_point_count(link); i++)
            if (!visit(bag, walk, (Visit){link_point(bag->chains, link, i), link_index, i}, building)) return false;
        if (point_equal(link_end(bag->chains, link), bag->leaving[start].at)) break;
        at = next_leaving(bag, link);
        assert(at >= 0 && "links of an area close to rings");
    }
    return close_loop(bag, walk, 0, building);
}

// Walks all rings; everything lies in the building's arena.
static bool walk_bag(const Chains *chains, const Link *links, int count, Building *building)
{
    size_t points = 1, slots = 4;
    for (int i = 0; i < count; i++) points += (size_t)link_point_count(&links[i]) - 1;
    while (slots < 2 * points) slots *= 2;
    Arena *arena = building->keep;
    Bag bag = {chains, links, arena_new(arena, Leaving, count), count};
    Walk walk = {arena_new(arena, Visit, points), 0, arena_new(arena, Seen, slots), slots - 1};
    if (!bag.leaving || !walk.visits || !walk.seen) return false;
    for (int i = 0; i < count; i++) bag.leaving[i] = (Leaving){link_start(chains, &links[i]), i, false};
    qsort(bag.leaving, (size_t)count, sizeof *bag.leaving, by_node);
    for (int i = 0; i < count; i++)
        if (!bag.leaving[i].used && !walk_ring(&bag, i, &walk, building)) return false;
    return true;
}

bool area_from_links(const Chains *chains, const Link *links, int count, Arena *keep, Area *out, Error *err)
{
    *out = (Area){0};
    Arena scratch = arena_make(keep->budget_bytes);
    Building building = {.keep = &scratch};
    bool ok = walk_bag(chains, links, count, &building);
    ok = ok ? area_normalise(chains, &building.area, keep, out, err) : error_memory(err);
    arena_free(&scratch);
    return ok;
}
