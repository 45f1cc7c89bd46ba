// lap_outline.c - see lap_outline.h.
#include "seam/lap_outline.h"

#include <assert.h>

typedef struct Splice { // a run of a chain's flat points, rising, and the chain that takes its place
    int chain, first, last;
    int edge; // its flat points run from first to last
    bool used;
} Splice;

typedef struct Outlining {
    Splice *splices;
    int splice_count;
    Link *links;
    int link_count;
} Outlining;

static bool add_edges(LayerPieces *pieces, const PieceLap *laps, int lap_count, Outlining *o, Arena *keep, Error *err)
{
    for (int i = 0; i < lap_count; i++) {
        const Link *link = &laps[i].seam->links[0];
        Chain chain;
        int made;
        assert(laps[i].seam->link_count == 1 && link->first < link->last);
        if (!chain_from_points(laps[i].shape->points, laps[i].shape->count, false, keep, &chain, err)) return false;
        if (!chains_add(&pieces->chains, &chain, keep, &made, err)) return false;
        o->splices[o->splice_count++] = (Splice){link->chain, link->first, link->last, made, false};
    }
    return true;
}

static Link edge_link(const LayerPieces *pieces, const Splice *splice, bool backwards)
{
    int last = pieces->chains.items[splice->edge].point_count - 1;
    return backwards ? (Link){splice->edge, last, 0} : (Link){splice->edge, 0, last};
}

// The unused splice that comes first along the link from this flat index on; NULL when there is none.
static Splice *next_splice(Outlining *o, const Link *link, int from)
{
    bool backwards = link->first > link->last;
    Splice *best = NULL;
    for (int i = 0; i < o->splice_count; i++) {
        Splice *splice = &o->splices[i];
        if (splice->used || splice->chain != link->chain) continue;
        bool within = backwards ? splice->last <= from && splice->first >= link->last
                                : splice->first >= from && splice->last <= link->last;
        if (!within) continue;
        if (!best || (backwards ? splice->first > best->first : splice->first < best->first)) best = splice;
    }
    return best;
}

static void take_link(const LayerPieces *pieces, Outlining *o, Link link)
{
    bool backwards = link.first > link.last;
    int at = link.first;
    for (Splice *splice; (splice = next_splice(o, &link, at)) != NULL;) {
        int start = backwards ? splice->last : splice->first;
        if (start != at) o->links[o->link_count++] = (Link){link.chain, at, start};
        o->links[o->link_count++] = edge_link(pieces, splice, backwards);
        at = backwards ? splice->first : splice->last;
        splice->used = true;
    }
    if (at != link.last) o->links[o->link_count++] = (Link){link.chain, at, link.last};
}

static bool goes_on(Link a, Link b)
{
    return a.chain == b.chain && a.last == b.first && (a.first < a.last) == (b.first < b.last);
}

// A ring that starts in the middle of a seam is turned, so that each seam is a part of one link.
static int whole_links(const Link *links, int count, Link *out)
{
    int start = 0, n = 0;
    while (start < count - 1 && goes_on(links[(start + count - 1) % count], links[start])) start++;
    for (int i = 0; i < count; i++) {
        Link link = links[(start + i) % count];
        if (n > 0 && goes_on(out[n - 1], link)) out[n - 1].last = link.last;
        else out[n++] = link;
    }
    return n;
}

static bool take_face(const LayerPieces *pieces, const Area *face, Outlining *o, Area *out, Arena *scratch, Error *err)
{
    Link *whole = arena_new(scratch, Link, face->link_count);
    o->links = arena_new(scratch, Link, face->link_count + 2 * o->splice_count);
    *out = (Area){.rings = arena_new(scratch, LinkRing, face->ring_count), .ring_count = face->ring_count};
    if (!whole || !o->links || !out->rings) return error_memory(err);
    for (int r = 0; r < face->ring_count; r++) {
        int first = o->link_count, count = whole_links(face->links + face->rings[r].first_link, face->rings[r].link_count, whole);
        for (int i = 0; i < count; i++) take_link(pieces, o, whole[i]);
        out->rings[r] = (LinkRing){first, o->link_count - first, face->rings[r].outer};
    }
    out->links = o->links;
    out->link_count = o->link_count;
    return true;
}

bool lap_outline(LayerPieces *pieces, int piece, const PieceLap *laps, int lap_count, Arena *keep, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Piece *to = &pieces->pieces[piece];
    Outlining o = {.splices = arena_new(&work->scratch, Splice, lap_count)};
    Area outline;
    if (!o.splices) return error_memory(err);
    bool fine = add_edges(pieces, laps, lap_count, &o, keep, err) &&
                take_face(pieces, &to->face, &o, &outline, &work->scratch, err) &&
                area_normalise(&pieces->chains, &outline, keep, &to->outline, err) &&
                area_rings(&pieces->chains, &to->outline, keep, &to->cut, err);
    for (int i = 0; i < o.splice_count && fine; i++) assert(o.splices[i].used);
    to->has_laps = fine;
    arena_rewind(&work->scratch, mark);
    return fine;
}

bool lap_outline_as_written(LayerPieces *pieces, int piece, const Path *outline, Arena *keep, Work *work, Error *err)
{
    Piece *to = &pieces->pieces[piece];
    int count = outline->part_count;
    ArenaMark mark = arena_mark(&work->scratch);
    int *outer = arena_new(&work->scratch, int, count);
    Area area = {arena_new(keep, Link, count), count, arena_new(keep, LinkRing, count), count};
    if (!outer || !area.links || !area.rings) return error_memory(err);
    for (int i = 0; i < count; i++) {
        Chain chain;
        int made, first = outline->first[i];
        if (!chain_make(outline->curves + first, outline->first[i + 1] - first, true, keep, &chain, err)) return false;
        if (!chains_add(&pieces->chains, &chain, keep, &made, err)) return false;
        area.links[i] = (Link){made, 0, chain.point_count - 1};
        area.rings[i] = (LinkRing){i, 1, i};
    }
    if (!area_rings(&pieces->chains, &area, keep, &to->cut, err)) return false;
    if (!rings_find_outers(&to->cut, &work->scratch, outer)) return error_memory(err);
    for (int i = 0; i < count; i++) area.rings[i].outer = outer[i];
    to->outline = area;
    to->has_laps = true;
    arena_rewind(&work->scratch, mark);
    return true;
}
