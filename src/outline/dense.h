// dense.h - corners that lie so close together that points along the edge do not tell them.
// Where an edge turns and points tell no corner, or turns often, a polygon is fitted to the pixels (facet.h); a known corner with
// nothing near it that turns needs none. A polygon's vertices are corners where they turn clearly, where the pixels round them are
// explained, and where rounding them off explains these no better: a rounded form is left alone. On short sides beside such a corner
// the edge's points are taken from the polygon, since those read from rows and columns reach over the corner.
// Units:   pixels.
#ifndef PM_OUTLINE_DENSE_H
#define PM_OUTLINE_DENSE_H

#include "outline/corner.h"

typedef struct EdgeShape {  // of one arc; both arrays have room for as many as the arc has cracks
    EdgePoint *points;      // cracks ascending
    int point_count;
    SharpCorner *corners;   // in order
    int corner_count;
} EdgeShape;

// Changes points and corners where the edge turns often; leaves all others as they are.
MUST_USE bool dense_corners(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc, Work *work,
                            EdgeShape *shape, Error *err);

#endif
