// fit.h - the fewest lines and cubic curves that follow a run of points within a tolerance.
// Used for region outlines and for free edges (borders). Corners are the caller's: a run is smooth inside, with a
// corner at most at its ends.
// Units:   doubles in any one unit (millimetres or pixels); results in the same unit.
// Source:  P. J. Schneider, "An algorithm for automatically fitting digitized curves", Graphics Gems (1990).
#ifndef PM_SHAPE_FIT_H
#define PM_SHAPE_FIT_H

#include "base/arena.h"
#include "base/error.h"

#include <math.h>

typedef struct Vec { double x, y; } Vec;

static inline double vec_distance(Vec a, Vec b)
{
    return sqrt((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y));
}

typedef struct FitCurve { Vec p0, p1, p2, p3; bool is_line; } FitCurve;

typedef struct FitOptions {
    double tolerance;       // largest distance of a point from the curve
    double line_tolerance;  // a line is taken when the points lie this near to it
    Vec start_tangent, end_tangent; // unit vectors along the run, or (0, 0) for free ends
    bool closed;            // the run ends where it starts, smoothly (periodic tangent)
    double line_length;     // inside a curved run, a straight part this long stays a line of its own; 0 = never
    int span;               // points each side that a joint and its tangent are taken from (0 = 4)
    bool by_shortest_path;  // the least number of curves over all joints, however long it takes: to measure the other way by
    const double *slack;    // a point's own doubt, added to both tolerances; NULL = none
} FitOptions;

// points[0] and points[count-1] are met exactly; a closed run repeats its first point at the end and starts on the
// smoothed place of it. count >= 2; equal neighbours must have been dropped. Working memory comes from keep as well.
MUST_USE bool fit_curves(const Vec *points, int count, const FitOptions *options, Arena *keep, FitCurve **out,
                         int *out_count, Error *err);

#endif
