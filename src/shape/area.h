// area.h - a part of the plane bounded by links: what a layer, a piece or a region covers.
// Shape:   rings of links that meet at equal points; outer rings positive, holes negative; rings are simple, and touch
//          one another at points only. Each ring starts at its least (y, x) point, and rings are sorted by it
//          (area_normalise).
// Memory:  links belong to the arena; chains are the pool that the owner names.
#ifndef PM_SHAPE_AREA_H
#define PM_SHAPE_AREA_H

#include "shape/chain.h"

typedef struct LinkRing {
    int first_link, link_count;
    int outer; // index of the outer ring that a hole lies in; its own index for an outer ring
} LinkRing;

typedef struct Area {
    Link *links;
    int link_count;
    LinkRing *rings;
    int ring_count;
} Area;

// A path to write: rings (or open strokes) of curves.
typedef struct Path {
    Curve *curves;
    int curve_count;
    int *first; // first[i]..first[i+1]-1 are the curves of part i; part_count + 1 entries
    int part_count;
    bool open; // strokes instead of rings
} Path;

// Flat rings, same order. Consecutive equal points dropped.
MUST_USE bool area_rings(const Chains *chains, const Area *area, Arena *keep, Rings *out, Error *err);
double area_mm2(const Chains *chains, const Area *area);
Box area_box(const Chains *chains, const Area *area);
MUST_USE bool area_path(const Chains *chains, const Area *area, Arena *keep, Path *out, Error *err);

// Joins links that continue one another, turns each ring to start at its least (y, x) point (a link is split there
// when need be), sorts rings, finds each hole's outer ring. The area enclosed is the same.
MUST_USE bool area_normalise(const Chains *chains, const Area *area, Arena *keep, Area *out, Error *err);

// The polygons of an area one by one: outer ring `ring` and its holes, as an area of its own.
MUST_USE bool area_polygon(const Area *area, int ring, Arena *keep, Area *out, Error *err);

// Builds normalised rings from a bag of directed links with the inside on their right (y down): joins end to start;
// where several links leave a node the one that turns most to the right... is taken, and a ring that visits a point
// twice is split there, so that every ring is simple.
MUST_USE bool area_from_links(const Chains *chains, const Link *links, int count, Arena *keep, Area *out, Error *err);

#endif
