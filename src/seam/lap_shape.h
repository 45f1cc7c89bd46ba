// lap_shape.h - the outer edge of one lap: how far a piece may reach under its neighbour along a seam.
// Shape:   the edge runs from the seam's start to its end, on the seam where there is no lap. At both of the seam's ends, and
//          at its corners, the seam itself stays a cut edge for a few millimetres: the neighbour is laid against it there. From
//          there the lap widens by one millimetre a millimetre, so that no corner of it is torn.
// Law:     every place of the lap is nearer to its own seam than to any obstacle, and at least LAP_CLEAR_MM (less what a
//          sample's distance is off) from all obstacles.
#ifndef PM_SEAM_LAP_SHAPE_H
#define PM_SEAM_LAP_SHAPE_H

#include "base/work.h"
#include "shape/cover.h"

#define LAP_CLEAR_MM 2.5    // from edges, holes, other seams and laps: bench/simulate needs 1.95 mm for 99 % of the demo's seams
#define LAP_SHOULDER_MM 3.0 // of cut edge at each end of a seam
#define LAP_LEAST_MM 6.0    // a narrower lap holds no glue that is worth the name (common practice, no source)

typedef struct LapShape {
    Point *points; // the first and the last are the seam's
    int count;
    double wide_mm; // how much of the seam has a lap of at least LAP_LEAST_MM
} LapShape;

// The seam's flat points; the neighbour lies to its left (to its right for `right`). Obstacles are an index of edges, the
// seam's own left out.
MUST_USE bool lap_shape(const Point *seam, int count, bool right, const Cover *obstacles, double width_mm, Arena *keep,
                        Work *work, LapShape *out, Error *err);

#endif
