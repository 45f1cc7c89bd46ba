// bridge.h - which stretches of a seam other paper bridges: one sheet of it lies across the seam and reaches a good way to both
// sides, in one piece, so that it holds the two together and keeps them flat.
// Exact for straight stretches: a place is bridged when the line square to the seam there, as long as the reach on both
// sides, meets no edge of the paper and lies inside it. Of a bent seam each stretch is looked at by itself.
#ifndef PM_SEAM_BRIDGE_H
#define PM_SEAM_BRIDGE_H

#include "base/work.h"
#include "shape/cover.h"

typedef struct BridgePaper {
    const Rings *rings; // one piece
    Box box;
    double reach_mm;    // to each side of the seam
} BridgePaper;

typedef struct Bridged {
    double bridged_mm;
    double gap_mm;      // the longest stretch that nothing bridges ...
    Point gap_middle;   // ... and its middle
} Bridged;

// The seam from its first point to its last, and the papers that may lie across it.
MUST_USE bool bridge_seam(const Point *points, int count, const BridgePaper *papers, int paper_count, Arena *scratch, Work *work,
                          Bridged *out, Error *err);

#endif
