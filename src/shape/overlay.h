// overlay.h - union, intersection, difference and offsets of areas; the only module that sees GEOS.
// Points go in as whole micrometres and come out as whole micrometres (grid size 1). Results are walked back: each
// run of vertices that came from one chain is a link into that chain again; a crossing splits two links and becomes a
// flat point of both (a refined copy of the chain, with `origin` set, is added to the pool); what is unknown becomes a
// new free chain of straight lines. Area by links = area by polygon, or an assert.
// Two operations may round the same crossing to places 1 um apart: parts that must abut are built from shared nodes.
// Errors:  ERROR_SYSTEM for memory or a GEOS failure, ERROR_CANCELLED; an empty result is an empty Area, not an error.
// Threads: one Overlay a thread.
#ifndef PM_SHAPE_OVERLAY_H
#define PM_SHAPE_OVERLAY_H

#include "base/work.h"
#include "shape/area.h"

typedef struct Overlay Overlay;

MUST_USE bool overlay_create(const atomic_bool *cancel, Overlay **out, Error *err);
void overlay_destroy(Overlay *overlay); // NULL is fine

typedef enum OverlayOp { OVERLAY_UNION, OVERLAY_INTERSECTION, OVERLAY_DIFFERENCE } OverlayOp;

// Both areas live in `chains`; new and refined chains are appended to it (in keep).
MUST_USE bool overlay_combine(const Area *a, const Area *b, OverlayOp op, Chains *chains, Arena *keep, Work *work,
                              Area *out, Error *err);

// The same on plain rings, for decisions (nothing is walked back).
MUST_USE bool overlay_rings(const Rings *a, const Rings *b, OverlayOp op, Arena *keep, Work *work, Rings *out,
                            Error *err);
MUST_USE bool overlay_rings_union(const Rings *sets, int set_count, Arena *keep, Work *work, Rings *out, Error *err);

// Grows (distance > 0) or shrinks (distance < 0) with round corners; `corner_mm` is the largest distance of the round
// corners' facets from the true arc. Slivers that snapping empties are dropped. Details of the outline below a
// hundredth of the distance are smoothed on the way (GEOS simplifies what it offsets), so that the result may be off by
// that much.
MUST_USE bool overlay_offset(const Rings *rings, double distance_mm, double corner_mm, Arena *keep, Work *work,
                             Rings *out, Error *err);

// Fewer vertices, topology kept, at most within_mm away.
MUST_USE bool overlay_simplify(const Rings *rings, double within_mm, Arena *keep, Work *work, Rings *out, Error *err);

// Plain rings as an area of new free chains (one closed chain of lines a ring) in the pool.
MUST_USE bool area_from_rings(const Rings *rings, Chains *chains, Arena *keep, Area *out, Error *err);

#endif
