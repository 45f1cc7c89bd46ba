// hull.h - convex hulls, and whether a shape fits a sheet at some angle, decided on hull edges.
// The sheet's space is the usable rectangle without two small triangles at opposite corners (top left and bottom
// right), where the corner marks lie.
// Source:  hull: A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions", IPL 9 (1979) 216-219.
//          A least box has a side along a hull edge: H. Freeman, R. Shapira, CACM 18 (1975) 409-413.
#ifndef PM_SHAPE_HULL_H
#define PM_SHAPE_HULL_H

#include "base/error.h"
#include "shape/ring.h"

typedef struct Space {          // what a sheet offers, spare already taken off
    double width_mm, height_mm; // the box
    double corner_mm;           // legs of the two lost corner triangles (0 = none)
    bool upright;               // shapes lie as they are, or turned by half a turn, which is the same to the space
} Space;

typedef struct Fit {            // how a shape lies when it fits
    double cos, sin;            // the turn: x' = x cos - y sin, y' = x sin + y cos
} Fit;

// Convex hull of n points, clockwise on screen, no three in a line. NULL when memory ran out.
Point *hull_make(const Point *points, int count, Arena *keep, int *out_count);

// True when the hull, turned as `fit` says, can be shifted into the space.
bool hull_fits_at(const Point *hull, int count, Space space, Fit fit);

// Finds a turn at which the hull fits (0 degrees is tried first, then 90, then the directions of hull edges with both
// sides of the space, then the ends of the feasible intervals between them); false when there is none. Of an upright
// space 0 degrees alone.
bool hull_fits(const Point *hull, int count, Space space, Fit *out);

double hull_width_mm(const Point *hull, int count);      // least width over all directions
double hull_diameter_mm(const Point *hull, int count);

#endif
