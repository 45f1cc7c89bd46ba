// mincut.h - the cheapest way to part a graph so that two of its nodes come apart.
// Shape:   links without direction; several between the same two nodes add up, one from a node to itself counts nothing.
// Units:   capacities are whole numbers, so that the cut is exact and the same everywhere.
// Source:  a cut is as cheap as the largest flow: L. R. Ford, D. R. Fulkerson, "Maximal flow through a network", Canadian
//          Journal of Mathematics 8 (1956) 399-404. The flow is found in layers: E. A. Dinic, "Algorithm for solution of a
//          problem of maximum flow in networks with power estimation", Soviet Math. Doklady 11 (1970) 1277-1280 (both from
//          memory).
#ifndef PM_SEAM_MINCUT_H
#define PM_SEAM_MINCUT_H

#include "base/work.h"

typedef struct CutLink {
    int a, b;
    int32_t capacity; // >= 0
} CutLink;

// out_near[i]: node i comes to the side of `from`; of all cheapest cuts the one with the fewest nodes there. *out_value:
// the sum of the capacities that are cut. When that comes out above `most`, it is at least *out_value, and no more is told.
MUST_USE bool mincut(const CutLink *links, int link_count, int node_count, int from, int to, int64_t most, Work *work,
                     bool *out_near, int64_t *out_value, Error *err);

#endif
