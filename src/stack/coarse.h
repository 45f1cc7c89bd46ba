// coarse.h - flat rings with fewer points, for decisions that need no more.
// Source:  D. H. Douglas, T. K. Peucker, "Algorithms for the reduction of the number of points required to represent a
//          digitized line or its caricature", Cartographica 10 (1973) 112-122.
#ifndef PM_STACK_COARSE_H
#define PM_STACK_COARSE_H

#include "base/work.h"
#include "shape/ring.h"

// Each point that is left out is at most within_mm away from the edge that replaces it. Rings that would keep fewer
// than 3 points stay as they are. Neighbouring edges may touch afterwards by as much: for offsets, never for outlines.
MUST_USE bool coarse_rings(const Rings *rings, double within_mm, Arena *keep, Work *work, Rings *out, Error *err);

#endif
