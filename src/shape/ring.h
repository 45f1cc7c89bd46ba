// ring.h - closed loops of straight edges, and sets of them.
// Shape:   a Ring has at least 3 points, first point not repeated, no self-crossing. Rings = outer rings and holes of
//          any number of polygons; a point is inside by the even-odd rule.
// Units:   whole micrometres, y down; signed area positive for outer rings (clockwise on screen), negative for holes.
// Memory:  points belong to the arena they were made in; functions here only borrow.
// Errors:  none; a wrong ring is a caller's bug and asserts.
// Source:  area: B. Braden, "The Surveyor's Area Formula", College Mathematics Journal 17 (1986) 326-337.
#ifndef PM_SHAPE_RING_H
#define PM_SHAPE_RING_H

#include "base/arena.h"
#include "shape/point.h"

typedef struct Ring {
    Point *points;
    int count;
} Ring;

typedef struct Rings {
    Ring *items;
    int count;
} Rings;

int rings_point_count(const Rings *rings);
int64_t ring_area2_um2(const Ring *ring);            // twice the signed area, exact
double ring_area_mm2(const Ring *ring);
double rings_area_mm2(const Rings *rings);           // signed sum
double ring_length_mm(const Ring *ring);
Box ring_box(const Ring *ring);
Box rings_box(const Rings *rings);
bool rings_contain(const Rings *rings, Point p);     // even-odd; a point on an edge counts as inside
bool ring_is_simple(const Ring *ring);               // exact; O(n^2): for tests and asserts on small rings

// out_outer[i] = the outer ring that hole i lies in, or i for an outer ring (and for a hole that lies in none). Rings may
// touch one another at points. False when memory ran out.
bool rings_find_outers(const Rings *rings, Arena *scratch, int *out_outer);

#endif
