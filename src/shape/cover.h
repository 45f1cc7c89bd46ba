// cover.h - an index over rings that answers, fast and many times: is this point inside? which part of this line is inside?
// Rule:    even-odd; edges are kept in a uniform grid. Crossings are computed in doubles from exact integer edges.
#ifndef PM_SHAPE_COVER_H
#define PM_SHAPE_COVER_H

#include "base/error.h"
#include "shape/ring.h"

typedef struct CoverEdge { Point a, b; } CoverEdge;

typedef struct Cover {
    CoverEdge *edges;
    int edge_count;
    Box box;
    int columns, rows;
    double cell_um;
    int *first;          // columns * rows + 1 offsets into `held`
    int *held;           // edge indices by cell
} Cover;

typedef struct Span { double t0, t1; } Span; // 0 <= t0 < t1 <= 1 along a segment

MUST_USE bool cover_make(const Rings *rings, Arena *keep, Cover *out, Error *err);
bool cover_contains(const Cover *cover, Point p);       // on an edge counts as inside
// The parts of segment a-b that lie inside, in order, touching parts joined; NULL only when memory ran out.
Span *cover_spans(const Cover *cover, Point a, Point b, Arena *keep, int *out_count);
double cover_length_mm(const Cover *cover, Point a, Point b, Arena *scratch); // length inside; < 0 when memory ran out
double cover_distance_mm(const Cover *cover, Point p, double limit_mm);       // to the nearest edge, or limit_mm

#endif
