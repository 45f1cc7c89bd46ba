// underlap.c - the hidden part of a layer; see underlap.h.
#include "stack/underlap.h"

#include "stack/coarse.h"

#include <math.h>

#define COARSE_MM 0.05  // input of the offsets: lower only costs time, higher eats into the distances below
#define SIMPLIFY_MM 0.3 // of the hidden edge: higher gives fewer nodes but needs a wider cover
#define CORNER_MM 0.05  // facets of round corners that nobody sees
// So that the simplified edge still keeps its distance.
#define INSIDE_MM (UNDERLAP_INSIDE_MM + SIMPLIFY_MM + COARSE_MM)
#define REACH_COARSE_MM 0.5 // nobody sees whether the reach is 6 or 6.5 mm; rough outlines fold over themselves
#define REACH_CORNER_MM 0.2
#define LEAST_ISLAND_MM2 1.0
#define HOLE_SHARE 8.0 // a hidden hole smaller than this x reach^2 is filled: nobody cuts an unseen hole of 17 mm

// Fills small holes of what reaches under the cover; the next step takes back what must stay open.
static Rings without_small_holes(Rings rings, double least_mm2)
{
    int kept = 0;
    for (int i = 0; i < rings.count; i++) {
        double area = ring_area_mm2(&rings.items[i]);
        if (area >= 0.0 || area < -least_mm2) rings.items[kept++] = rings.items[i];
    }
    return (Rings){rings.items, kept};
}

// Small islands go before they become chains; a hole of a small island is smaller still.
static Rings without_small_rings(Rings rings)
{
    int kept = 0;
    for (int i = 0; i < rings.count; i++)
        if (fabs(ring_area_mm2(&rings.items[i])) >= LEAST_ISLAND_MM2) rings.items[kept++] = rings.items[i];
    return (Rings){rings.items, kept};
}

// Everything within reach that may be paper of this layer, simplified: it also covers most of the layer itself, so that
// its edge crosses the seen outline only where the outline goes below a higher layer.
static bool reachable(const Rings *seen, const Rings *both, double reach_mm, Arena *own, Arena *keep, Work *work,
                      Rings *out, Error *err)
{
    Rings coarse_seen, coarse_both, near, inside, common, simple;
    if (!coarse_rings(seen, REACH_COARSE_MM, own, work, &coarse_seen, err) ||
        !coarse_rings(both, COARSE_MM, own, work, &coarse_both, err) ||
        !overlay_offset(&coarse_seen, reach_mm, REACH_CORNER_MM, own, work, &near, err))
        return false;
    near = without_small_holes(near, HOLE_SHARE * reach_mm * reach_mm);
    if (!overlay_offset(&coarse_both, -INSIDE_MM, CORNER_MM, own, work, &inside, err) ||
        !overlay_rings(&near, &inside, OVERLAY_INTERSECTION, own, work, &common, err) ||
        !overlay_simplify(&common, SIMPLIFY_MM, keep, work, &simple, err))
        return false;
    *out = without_small_rings(simple);
    return true;
}

bool underlap_reach(const Rings *seen, const Rings *both, double reach_mm, Arena *keep, Work *work, Rings *out, Error *err)
{
    *out = (Rings){0};
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    bool done = reachable(seen, both, reach_mm, &own, keep, work, out, err);
    arena_free(&own);
    if (!done) *out = (Rings){0};
    return done;
}

static bool has_seen_edge(const Chains *chains, const Area *area, const LinkRing *ring, int first_new_chain)
{
    for (int i = 0; i < ring->link_count; i++)
        if (chain_root(chains, area->links[ring->first_link + i].chain) < first_new_chain) return true;
    return false;
}

// True when a whole part of the layer lies inside this outer ring.
static bool holds_seen_part(const Ring *outer, const Rings *seen)
{
    Ring ring = *outer;
    Rings only_outer = {&ring, 1};
    Box box = ring_box(outer);
    for (int i = 0; i < seen->count; i++) {
        Point p = seen->items[i].points[0];
        if (p.x < box.min.x || p.x > box.max.x || p.y < box.min.y || p.y > box.max.y) continue;
        if (ring_area2_um2(&seen->items[i]) > 0 && rings_contain(&only_outer, p)) return true;
    }
    return false;
}

// Marks the outer rings whose polygon has an edge of the layer, or holds a whole part of it.
static void mark_hanging(const Chains *chains, const Area *area, const Rings *flat, int first_new_chain,
                         const Rings *seen, bool *hangs)
{
    for (int i = 0; i < area->ring_count; i++)
        if (has_seen_edge(chains, area, &area->rings[i], first_new_chain)) hangs[area->rings[i].outer] = true;
    for (int i = 0; i < area->ring_count; i++)
        if (area->rings[i].outer == i && !hangs[i]) hangs[i] = holds_seen_part(&flat->items[i], seen);
}

static bool drop_islands(const Chains *chains, const Area *area, int first_new_chain, const Rings *seen, Arena *own,
                         Arena *keep, Area *out, Error *err)
{
    Rings flat;
    bool *hangs = arena_new(own, bool, area->ring_count);
    int *moved = arena_new(own, int, area->ring_count);
    if (!hangs || !moved) return error_memory(err);
    if (!area_rings(chains, area, own, &flat, err)) return false;
    mark_hanging(chains, area, &flat, first_new_chain, seen, hangs);
    out->links = arena_new(keep, Link, area->link_count);
    out->rings = arena_new(keep, LinkRing, area->ring_count);
    if (!out->links || !out->rings) return error_memory(err);
    for (int i = 0; i < area->ring_count; i++) {
        LinkRing ring = area->rings[i];
        if (!hangs[ring.outer]) continue;
        moved[i] = out->ring_count;
        out->rings[out->ring_count++] = (LinkRing){out->link_count, ring.link_count, ring.outer};
        for (int k = 0; k < ring.link_count; k++) out->links[out->link_count++] = area->links[ring.first_link + k];
    }
    for (int i = 0; i < out->ring_count; i++) out->rings[i].outer = moved[out->rings[i].outer];
    return true;
}

static bool grow(const Area *seen, const Rings *reach, Chains *chains, Arena *own, Arena *keep, Work *work, Area *out,
                 bool **out_hidden, Error *err)
{
    int first_new_chain = (int)chains->count;
    Rings flat;
    Area hidden, joined;
    if (!area_rings(chains, seen, own, &flat, err) || !area_from_rings(reach, chains, keep, &hidden, err) ||
        !overlay_combine(seen, &hidden, OVERLAY_UNION, chains, keep, work, &joined, err) ||
        !drop_islands(chains, &joined, first_new_chain, &flat, own, keep, out, err))
        return false;
    *out_hidden = arena_new(keep, bool, out->link_count);
    if (!*out_hidden) return error_memory(err);
    for (int i = 0; i < out->link_count; i++)
        (*out_hidden)[i] = chain_root(chains, out->links[i].chain) >= first_new_chain;
    return true;
}

bool underlap_make(const Area *seen, const Rings *reach, Chains *chains, Arena *keep, Work *work, Area *out,
                   bool **out_hidden, Error *err)
{
    *out = (Area){0};
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    bool done = grow(seen, reach, chains, &own, keep, work, out, out_hidden, err);
    arena_free(&own);
    if (!done) *out = (Area){0};
    return done;
}
