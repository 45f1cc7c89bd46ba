// needle.c - see needle.h.
#include "stack/needle.h"

#include <math.h>

static bool is_needle(const Ring *ring)
{
    return 2.0 * fabs(ring_area_mm2(ring)) < NEEDLE_MM * ring_length_mm(ring);
}

// Marks rings that go: needles, and holes of outer rings that do. False: all would.
static bool mark(const Area *area, const Rings *rings, bool *goes, int *count)
{
    int left = 0;
    for (int r = 0; r < area->ring_count; r++) goes[r] = is_needle(&rings->items[r]);
    *count = 0;
    for (int r = 0; r < area->ring_count; r++) {
        goes[r] = goes[r] || goes[area->rings[r].outer];
        *count += goes[r];
        left += !goes[r];
    }
    return left > 0;
}

static bool without(const Area *area, const bool *goes, Arena *keep, Arena *scratch, Area *out, Error *err)
{
    int *index = arena_new(scratch, int, area->ring_count);
    *out = (Area){.links = arena_new(keep, Link, area->link_count), .rings = arena_new(keep, LinkRing, area->ring_count)};
    if (!index || !out->links || !out->rings) return error_memory(err);
    for (int r = 0, next = 0; r < area->ring_count; r++) index[r] = goes[r] ? -1 : next++;
    for (int r = 0; r < area->ring_count; r++) {
        const LinkRing *ring = &area->rings[r];
        if (goes[r]) continue;
        out->rings[out->ring_count++] = (LinkRing){out->link_count, ring->link_count, index[ring->outer]};
        for (int l = 0; l < ring->link_count; l++) out->links[out->link_count++] = area->links[ring->first_link + l];
    }
    return true;
}

bool needles_drop(const Chains *chains, Area *area, Arena *keep, Work *work, Error *err)
{
    ArenaMark start = arena_mark(&work->scratch);
    Rings rings;
    int count;
    bool *goes = arena_new(&work->scratch, bool, area->ring_count);
    bool done = goes ? area_rings(chains, area, &work->scratch, &rings, err) : error_memory(err);
    if (done && mark(area, &rings, goes, &count) && count > 0) {
        Area rest;
        done = without(area, goes, keep, &work->scratch, &rest, err);
        if (done) *area = rest;
    }
    arena_rewind(&work->scratch, start);
    return done;
}
