// cover.h - an index over rings that answers, fast and many times: is this point inside? which part of this line is inside?
// Rule:    even-odd; a point or a stretch on an edge counts as inside. Edges are kept in a uniform grid; each cell has a
//          point of which it is known whether it is inside, so that only edges of one cell are looked at. All decisions
//          are exact; only the places of crossings along a line are doubles.
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
    int *held;           // edge indices by cell, rising
    Point *known;        // in each cell, a point that is on no edge
    bool *known_inside;
} Cover;

typedef struct Span { double t0, t1; } Span; // 0 <= t0 < t1 <= 1 along a segment

// An index of loose edges (borrowed), to look up by cover_cell or cover_distance_mm; there is no inside.
MUST_USE bool cover_index(CoverEdge *edges, int count, Arena *keep, Cover *out, Error *err);

MUST_USE bool cover_make(const Rings *rings, Arena *keep, Cover *out, Error *err);
// The cell that p is in (the nearest one when it is outside). It holds, from first[cell] to first[cell + 1] - 1, at
// least all edges within a micrometre of p.
int cover_cell(const Cover *cover, Point p);
bool cover_contains(const Cover *cover, Point p);       // on an edge counts as inside
// The parts of segment a-b that lie inside, in order, touching parts joined; NULL only when memory ran out.
Span *cover_spans(const Cover *cover, Point a, Point b, Arena *keep, int *out_count);
double cover_length_mm(const Cover *cover, Point a, Point b, Arena *scratch); // length inside; < 0 when memory ran out
double cover_distance_mm(const Cover *cover, Point p, double limit_mm);       // to the nearest edge, or limit_mm

#endif
