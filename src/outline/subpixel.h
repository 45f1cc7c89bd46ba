// subpixel.h - where an edge runs between pixel corners, read from the blends along it.
// Method:  at a crack between colours A and B the pixels of the row (or column) across it are walked until they are pure;
//          each one's share of A, in encoded sRGB premultiplied by alpha, is summed: the edge lies where the sum says.
//          This keeps the area and is exact for a straight edge under a box filter, across the steeper axis only; so rows are
//          used where the edge is nearer to vertical, columns else.
//          What a share says about coverage depends on how the edge was painted: see painting.h.
//          A crack is doubtful when a colour is no such blend, or nothing pure comes: it stays on its middle.
// Units:   pixels.
#ifndef PM_OUTLINE_SUBPIXEL_H
#define PM_OUTLINE_SUBPIXEL_H

#include "outline/painting.h"
#include "shape/fit.h"

#define HARD_EDGE_SLACK_PX 0.5  // a hard edge may run anywhere between the pixel centres at its sides

typedef struct EdgePoint {
    Vec at;
    double slack_px;    // 0 = read from blends, else how far it may be off
    int crack;          // of its arc
} EdgePoint;

// Points of one arc in its direction, nodes left out; room (to work in) and out hold arc->count. Returns how many (0 is
// possible).
int subpixel_points(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc, Vec *room,
                    EdgePoint *out);

// How much of a pixel (0..1) the right side covers where only labels `left` and `right` meet; false when it is no blend of them.
bool subpixel_coverage(const Pixels *pixels, const Painting *painting, int left, int right, int x, int y, double *of_right);

#endif
