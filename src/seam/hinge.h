// hinge.h - where the finished picture would fold: seams of the base that cross it from edge to edge, and that no higher paper
// holds together over at least half of their length.
// Runs:    at each end of a seam the one that goes straightest on, by at most 30 degrees, continues it: several seams
//          together cross the base like one. At the edge of a hole the run goes on behind the hole, when a seam begins there in
//          the same line. Runs of seams with a jog in them are no hinge: paper folds along straight lines alone.
// Bridged: one piece of a higher layer lies across and reaches HINGE_REACH_MM to both sides, or a lap of the seam does by nearly
//          its whole width. Strips that the guide tells to glue behind are the remedy, and so do not count here; the
//          text tells of them.
#ifndef PM_SEAM_HINGE_H
#define PM_SEAM_HINGE_H

#include "base/work.h"
#include "seam/seam.h"

#define HINGE_REACH_MM 12.0      // as wide as a lap: what is glued on less than that lets go first
#define HINGE_LAP_REACH_MM 11.0  // of a lap of 12 mm
#define HINGE_STRIPS_FROM_MM 609.6 // from this height on the guide has backing strips behind all butt seams of the base

typedef struct Hinge {
    int *seams; // of the base, from one edge to the other
    int seam_count;
    double length_mm, bridged_mm;
    Point at;   // middle of its longest stretch that nothing bridges
} Hinge;

typedef struct Hinges {
    Hinge *items;
    int count;
} Hinges;

// Those with the most length that nothing bridges first. `pieces`: of all layers, base first.
MUST_USE bool hinge_find(const Stack *stack, const LayerPieces *pieces, Arena *keep, Work *work, Hinges *out, Error *err);

// The same as findings "hinge".
MUST_USE bool hinge_tell(const Stack *stack, const LayerPieces *pieces, Arena *keep, Work *work, Findings *out, Error *err);

#endif
