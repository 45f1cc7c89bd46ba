// subpixel.h - where an edge runs between pixel corners, read from the blends along it.
// Method:  at a crack between colours A and B the pixels of the row (or column) across it are walked until they are pure;
//          each one's share of A, in encoded sRGB premultiplied by alpha, is summed: the edge lies where the sum says.
//          This keeps the area and is exact for a straight edge under a box filter, across the steeper axis only; so rows are
//          used where the edge is nearer to vertical, columns else.
//          Where a third colour shines through (one shape drawn over another's edge) its share counts half to either side.
//          A crack is doubtful when a colour is no such blend, or nothing pure comes: it stays on its middle.
// Units:   pixels.
#ifndef PM_OUTLINE_SUBPIXEL_H
#define PM_OUTLINE_SUBPIXEL_H

#include "outline/arcs.h"
#include "shape/fit.h"

#define HARD_EDGE_SLACK_PX 0.5  // a hard edge may run anywhere between the pixel centres at its sides

typedef struct EdgePoint {
    Vec at;
    double slack_px;    // 0 = read from blends, else how far it may be off
    int crack;          // of its arc
} EdgePoint;

typedef struct Pixels {     // what the edges are read from
    const Picture *picture;
    const Separation *separation;
    double colour[SEPARATION_MAX_COLOURS + 1][4];   // of each label, premultiplied, 0..255
} Pixels;

Pixels subpixel_prepare(const Picture *picture, const Separation *separation);

// Points of one arc in its direction, nodes left out; room (to work in) and out hold arc->count. Returns how many (0 is
// possible).
int subpixel_points(const Pixels *pixels, const CrackMap *map, const CrackArc *arc, Vec *room, EdgePoint *out);

// Share (0..1) of the colour of label `to` in a pixel of colours `from` and `to`; false when it is no blend of them.
bool subpixel_share(const Pixels *pixels, int from, int to, int x, int y, double *share);

#endif
