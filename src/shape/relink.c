// relink.c - the way back from plain rings to links: which runs of a result's vertices came from which chain.
#include "shape/relink.h"

#include "shape/cover.h"

#include <assert.h>
#include <stdlib.h>

// Rounding to the grid moves a crossing, and an edge that passes a vertex, by up to 0.71 um.
#define SNAP_MM 0.001

// Where edges run within a micrometre of one another a node may be put on one that it does not belong to, and then
// splits an edge of the result. What is unknown after that is looked at again, with copies of its own. Seen: 9 edges in
// 68 000 need a second look, none a third.
#define LOOKS_MOST 4

#define EDGES_PER_LOOK 4096 // edges between two looks at the wish to stop

// ---- known edges ----

typedef struct Known { // one flat edge of one chain
    Point low, high;   // its ends in order
    int chain, edge;   // points[edge] to points[edge + 1]
    bool forward;      // runs from low to high
    int next;          // the next one in the same slot, -1 at the end
} Known;

typedef struct EdgeTable {
    Known *items;
    size_t count, capacity;
    int *slots;        // first of each slot, -1 = none
    size_t slot_count; // a power of two
    Arena *scratch;
    Work *work;
} EdgeTable;

static size_t edge_slot(const EdgeTable *table, Point low, Point high)
{
    uint64_t h = ((uint64_t)(uint32_t)low.x << 32 | (uint32_t)low.y) * 0x9e3779b97f4a7c15u;
    h = (h ^ h >> 31 ^ ((uint64_t)(uint32_t)high.x << 32 | (uint32_t)high.y)) * 0xbf58476d1ce4e5b9u;
    return (size_t)(h ^ h >> 29) & (table->slot_count - 1);
}

static bool rehash(EdgeTable *table)
{
    size_t wanted = table->slot_count ? table->slot_count * 2 : 1024;
    table->slots = arena_new(table->scratch, int, wanted);
    if (!table->slots) return false;
    table->slot_count = wanted;
    for (size_t i = 0; i < wanted; i++) table->slots[i] = -1;
    for (size_t i = 0; i < table->count; i++) {
        size_t slot = edge_slot(table, table->items[i].low, table->items[i].high);
        table->items[i].next = table->slots[slot];
        table->slots[slot] = (int)i;
    }
    return true;
}

// The first known edge between two points, or the next after one; -1 when there is none (left).
static int find_edge(const EdgeTable *table, Point p, Point q, int after)
{
    Point low = point_compare(p, q) < 0 ? p : q, high = point_compare(p, q) < 0 ? q : p;
    int i = after >= 0 ? table->items[after].next : table->slots[edge_slot(table, low, high)];
    while (i >= 0 && !(point_equal(table->items[i].low, low) && point_equal(table->items[i].high, high)))
        i = table->items[i].next;
    return i;
}

static bool add_edge(EdgeTable *table, const Chain *chain, int chain_index, int edge)
{
    Point p = chain->points[edge], q = chain->points[edge + 1];
    if (table->count >= table->slot_count && !rehash(table)) return false;
    for (int i = find_edge(table, p, q, -1); i >= 0; i = find_edge(table, p, q, i))
        if (table->items[i].chain == chain_index && table->items[i].edge == edge) return true; // both areas share it
    Known *items = arena_grow(table->scratch, table->items, table->count, &table->capacity, sizeof *items);
    if (!items) return false;
    table->items = items;
    bool forward = point_compare(p, q) < 0;
    Known known = {forward ? p : q, forward ? q : p, chain_index, edge, forward, -1};
    size_t slot = edge_slot(table, known.low, known.high);
    known.next = table->slots[slot];
    table->slots[slot] = (int)table->count;
    items[table->count++] = known;
    return true;
}

static bool add_area(EdgeTable *table, const Chains *chains, const Area *area, Error *err)
{
    for (int i = 0; i < area->link_count; i++) {
        const Link *link = &area->links[i];
        int low = link->first < link->last ? link->first : link->last, edges = abs(link->last - link->first);
        for (int j = 0; j < edges; j++) {
            if (table->count % EDGES_PER_LOOK == 0 && !work_goes_on(table->work, err)) return false;
            if (!add_edge(table, &chains->items[link->chain], link->chain, low + j)) return error_memory(err);
        }
    }
    return true;
}

// ---- new nodes ----

typedef struct Node { // a point that is new on a flat edge
    int chain;
    ChainPoint place;
} Node;

typedef struct Nodes {
    Node *items;
    size_t count, capacity;
} Nodes;

static int by_chain_and_place(const void *a, const void *b)
{
    const Node *one = a, *two = b;
    if (one->chain != two->chain) return one->chain < two->chain ? -1 : 1;
    if (one->place.edge != two->place.edge) return one->place.edge < two->place.edge ? -1 : 1;
    if (one->place.along != two->place.along) return one->place.along < two->place.along ? -1 : 1;
    return point_compare(one->place.point, two->place.point);
}

static bool add_node(Nodes *nodes, const Known *known, Point p, Arena *scratch)
{
    if (point_equal(p, known->low) || point_equal(p, known->high)) return true;
    Point a = known->forward ? known->low : known->high, b = known->forward ? known->high : known->low;
    double dx = (double)b.x - a.x, dy = (double)b.y - a.y;
    double along = (((double)p.x - a.x) * dx + ((double)p.y - a.y) * dy) / (dx * dx + dy * dy);
    if (along <= 0.0 || along >= 1.0) return true; // beside an end, not on the edge
    Node *items = arena_grow(scratch, nodes->items, nodes->count, &nodes->capacity, sizeof *items);
    if (!items) return false;
    nodes->items = items;
    items[nodes->count++] = (Node){known->chain, {known->edge, along, p}};
    return true;
}

static bool near_edge(Point p, const Known *known)
{
    return point_segment_distance_mm(p, known->low, known->high) <= SNAP_MM;
}

// The known edges along which p-q lies get p and q as nodes.
static bool note_nodes(const EdgeTable *table, const Cover *cover, Point p, Point q, Nodes *nodes)
{
    int cell = cover_cell(cover, p); // holds all edges that pass p
    for (int i = cover->first[cell]; i < cover->first[cell + 1]; i++) {
        const Known *known = &table->items[cover->held[i]]; // the cover was made from the table, in its order
        if (!near_edge(p, known) || !near_edge(q, known)) continue;
        if (!add_node(nodes, known, p, table->scratch) || !add_node(nodes, known, q, table->scratch)) return false;
    }
    return true;
}

static bool cover_table(const EdgeTable *table, Cover *out, Error *err)
{
    CoverEdge *edges = arena_new(table->scratch, CoverEdge, table->count);
    if (!edges) return error_memory(err);
    for (size_t i = 0; i < table->count; i++) edges[i] = (CoverEdge){table->items[i].low, table->items[i].high};
    return cover_index(edges, (int)table->count, table->scratch, out, err);
}

static bool find_nodes(const EdgeTable *table, const Rings *result, Cover *cover, Nodes *nodes, Error *err)
{
    for (int i = 0; i < result->count; i++) {
        const Ring *ring = &result->items[i];
        for (int j = 0; j < ring->count; j++) {
            if (j % EDGES_PER_LOOK == 0 && !work_goes_on(table->work, err)) return false;
            Point p = ring->points[j], q = ring->points[j + 1 < ring->count ? j + 1 : 0];
            if (find_edge(table, p, q, -1) >= 0) continue;
            if (!cover->edges && !cover_table(table, cover, err)) return false; // of the inputs' edges only
            if (!note_nodes(table, cover, p, q, nodes)) return error_memory(err);
        }
    }
    return true;
}

// Appends the copy of one chain with these nodes to the pool, and its edges to the table.
static bool refine_chain(EdgeTable *table, const Node *nodes, int count, Chains *chains, Arena *keep, Error *err)
{
    int index, chain_index = nodes[0].chain;
    ChainPoint *places = arena_new(table->scratch, ChainPoint, count);
    int *at = arena_new(table->scratch, int, count);
    if (!places || !at) return error_memory(err);
    for (int i = 0; i < count; i++) places[i] = nodes[i].place;
    Chain refined;
    if (!chain_insert_points(&chains->items[chain_index], chain_index, places, count, keep, &refined, at, err))
        return false;
    if (!chains_add(chains, &refined, keep, &index, err)) return false;
    for (int i = 0; i + 1 < refined.point_count; i++)
        if (!add_edge(table, &refined, index, i)) return error_memory(err);
    return true;
}

static bool refine_chains(EdgeTable *table, Nodes *nodes, Chains *chains, Arena *keep, Error *err)
{
    qsort(nodes->items, nodes->count, sizeof *nodes->items, by_chain_and_place);
    for (size_t i = 0; i < nodes->count;) {
        size_t stop = i, kept = i;
        if (!work_goes_on(table->work, err)) return false;
        for (; stop < nodes->count && nodes->items[stop].chain == nodes->items[i].chain; stop++) // the same node comes
            if (stop == i || by_chain_and_place(&nodes->items[stop], &nodes->items[kept - 1]))   // from both its edges
                nodes->items[kept++] = nodes->items[stop];
        if (!refine_chain(table, &nodes->items[i], (int)(kept - i), chains, keep, err)) return false;
        i = stop;
    }
    return true;
}

static bool refine_where_unknown(EdgeTable *table, const Rings *result, Chains *chains, Arena *keep, Error *err)
{
    Cover cover = {0};
    for (int look = 0; look < LOOKS_MOST; look++) {
        Nodes nodes = {0};
        if (!find_nodes(table, result, &cover, &nodes, err)) return false;
        if (nodes.count == 0) break;
        if (!refine_chains(table, &nodes, chains, keep, err)) return false;
    }
    return true;
}

// ---- runs ----

typedef struct Linking {
    Link *links;
    size_t link_count, link_capacity;
    LinkRing *rings;
    Arena *scratch;
} Linking;

static bool add_link(Linking *linking, Link link)
{
    Link *links =
        arena_grow(linking->scratch, linking->links, linking->link_count, &linking->link_capacity, sizeof *links);
    if (!links) return false;
    linking->links = links;
    links[linking->link_count++] = link;
    return true;
}

static Point ring_point(const Ring *ring, int i)
{
    return ring->points[i < ring->count ? i : i - ring->count];
}

// How many edges of the ring, from edge `at` on, follow a known edge's chain.
static int run_length(const Chains *chains, const Ring *ring, int at, const Known *known, bool forward)
{
    const Chain *chain = &chains->items[known->chain];
    int point = forward ? known->edge : known->edge + 1, step = forward ? 1 : -1, length = 0;
    while (at + length < ring->count) {
        int next = point + step;
        if (next < 0 || next >= chain->point_count ||
            !point_equal(chain->points[next], ring_point(ring, at + length + 1)))
            break;
        point = next;
        length++;
    }
    return length;
}

// The longest run along one chain from edge `at`; the oldest chain where several are as long. 0 when none is known.
static int longest_run(const EdgeTable *table, const Chains *chains, const Ring *ring, int at, Link *out)
{
    int best = 0;
    Point p = ring_point(ring, at), q = ring_point(ring, at + 1);
    for (int i = find_edge(table, p, q, -1); i >= 0; i = find_edge(table, p, q, i)) {
        const Known *known = &table->items[i];
        bool forward = point_equal(known->low, p) == known->forward;
        int first = forward ? known->edge : known->edge + 1, length = run_length(chains, ring, at, known, forward);
        bool older = known->chain < out->chain || (known->chain == out->chain && first < out->first);
        if (length < best || (length == best && !older)) continue;
        best = length;
        *out = (Link){known->chain, first, forward ? first + length : first - length};
    }
    return best;
}

// A new chain through the points from edge `at` on, `edges` of them.
static bool free_chain(const Ring *ring, int at, int edges, Chains *chains, Linking *linking, Arena *keep, Error *err)
{
    bool closed = edges == ring->count;
    Point *points = arena_new(linking->scratch, Point, edges + 1);
    if (!points) return error_memory(err);
    for (int i = 0; i <= edges; i++) points[i] = ring_point(ring, at + i);
    Chain chain;
    int index;
    if (!chain_from_points(points, closed ? edges : edges + 1, closed, keep, &chain, err)) return false;
    if (!chains_add(chains, &chain, keep, &index, err)) return false;
    return add_link(linking, (Link){index, 0, edges}) || error_memory(err);
}

static bool link_ring(const EdgeTable *table, const Ring *ring, Chains *chains, Linking *linking, Arena *keep,
                      Error *err)
{
    Link link = {0}, after;
    for (int at = 0, looked = -EDGES_PER_LOOK; at < ring->count;) {
        if (at - looked >= EDGES_PER_LOOK) {
            if (!work_goes_on(table->work, err)) return false;
            looked = at;
        }
        int length = longest_run(table, chains, ring, at, &link);
        if (length > 0) {
            if (!add_link(linking, link)) return error_memory(err);
        } else {
            length = 1;
            while (at + length < ring->count && longest_run(table, chains, ring, at + length, &after) == 0) length++;
            if (!free_chain(ring, at, length, chains, linking, keep, err)) return false;
        }
        at += length;
    }
    return true;
}

// Area by links = area by polygon, or an assert: in fact each flat point is compared.
static void check_points(const Chains *chains, const Linking *linking, int ring_index, const Ring *ring)
{
    int n = 0;
    const LinkRing *links = &linking->rings[ring_index];
    for (int i = 0; i < links->link_count; i++) {
        const Link *link = &linking->links[links->first_link + i];
        for (int j = 0; j + 1 < link_point_count(link); j++, n++)
            assert(n < ring->count && point_equal(link_point(chains, link, j), ring->points[n]));
    }
    assert(n == ring->count);
}

static bool link_rings(const EdgeTable *table, const Rings *result, Chains *chains, Linking *linking, Arena *keep,
                       Error *err)
{
    linking->rings = arena_new(linking->scratch, LinkRing, result->count);
    if (!linking->rings) return error_memory(err);
    for (int i = 0; i < result->count; i++) {
        int first = (int)linking->link_count;
        if (!work_goes_on(table->work, err)) return false;
        if (!link_ring(table, &result->items[i], chains, linking, keep, err)) return false;
        linking->rings[i] = (LinkRing){first, (int)linking->link_count - first, i};
        check_points(chains, linking, i, &result->items[i]);
    }
    return true;
}

bool relink(const Rings *result, const Area *a, const Area *b, Chains *chains, Arena *keep, Work *work, Area *out,
            Error *err)
{
    *out = (Area){0};
    EdgeTable table = {.scratch = &work->scratch, .work = work};
    if (!rehash(&table)) return error_memory(err);
    if (!add_area(&table, chains, a, err) || !add_area(&table, chains, b, err)) return false;
    if (!refine_where_unknown(&table, result, chains, keep, err)) return false;
    Linking linking = {.scratch = &work->scratch};
    if (!link_rings(&table, result, chains, &linking, keep, err)) return false;
    Area found = {linking.links, (int)linking.link_count, linking.rings, result->count};
    return area_normalise(chains, &found, keep, out, err);
}
