// corner.h - where an edge turns sharply, and where edges meet.
// A corner is where two straight sides explain the points better than one circle does: staircases and small round eyes are
// none. Antialiasing rounds a corner; it is put back to where its two sides meet.
// Units:   pixels.
#ifndef PM_OUTLINE_CORNER_H
#define PM_OUTLINE_CORNER_H

#include "outline/subpixel.h"

typedef struct SharpCorner {
    int after;      // it lies between points[after] and the next one
    Vec at;
    Vec in, out;    // unit vectors along its sides, in the arc's direction
} SharpCorner;

typedef struct EdgeLine {
    Vec middle, direction;  // a unit vector
    double rms_px;
} EdgeLine;

// Corners of one arc's points in order. A loop wraps around. out has room for count corners; returns how many.
MUST_USE bool corners_find(const EdgePoint *points, int count, bool is_loop, bool hard_edged, Arena *scratch,
                           SharpCorner *out, int *out_count, Error *err);

// The line along which an arc leaves a node at `node`: its points from `first` in steps of `step`, those nearer than least_px left
// out. direction looks away from the node. False when too few points lie near.
bool corner_end_line(const EdgePoint *points, int count, int first, int step, Vec node, double least_px, bool hard_edged, EdgeLine *out);

// The point nearest to all lines, at most 1 px from `corner`.
Vec corner_meet(const EdgeLine *lines, int count, Vec corner, bool hard_edged);

#endif
