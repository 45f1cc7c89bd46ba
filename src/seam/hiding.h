// hiding.h - where higher layers hide a seam: inside the cover, at least a margin away from its edge.
// Exact: a straight line is hidden where it lies inside, less what it has in common with the capsules of that radius
// round the edges. No offset curve is made: one round 500 holes takes seconds, and this takes none.
#ifndef PM_SEAM_HIDING_H
#define PM_SEAM_HIDING_H

#include "seam/scan.h"
#include "seam/stretch.h"
#include "shape/cover.h"

typedef struct Hiding {
    double margin_mm;
    Cover index;   // the cover; no edges when nothing hides
    Point *points; // the same as a boundary
    int *next;
    int count;
} Hiding;

MUST_USE bool hiding_make(const Rings *cover, double margin_mm, Arena *keep, Hiding *out, Error *err);

// What of it counts inside a box: rings elsewhere are left out of the boundary. The index is shared.
MUST_USE bool hiding_near(const Hiding *hiding, Box box, Arena *keep, Hiding *out, Error *err);

// The hidden stretches of parallel lines, as pairs of crossings. `turned` is the hiding's boundary in the frame.
MUST_USE bool hiding_scan(const Hiding *hiding, const Turned *turned, LineWay way, const double *positions, int count,
                          Arena *keep, Scan *out, Error *err);

// The hidden stretches of a segment, in order, as distances from a; false when memory ran out.
bool hiding_stretches(const Hiding *hiding, Point a, Point b, Arena *arena, Stretches *out);

// Hidden length of a segment; < 0 when memory ran out.
double hiding_length_mm(const Hiding *hiding, Point a, Point b, Arena *scratch);

#endif
