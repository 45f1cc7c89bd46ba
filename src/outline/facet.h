// facet.h - a polygon along an edge against the pixels that it passes.
// A corner whose sides are shorter than a few pixels cannot be told from points along the edge: each point is read from a row or
// column of pixels, and most of those reach over a corner. The pixels themselves still tell: the polygon is looked for whose shares
// of all pixels along the edge come nearest to those in the picture, with a price on every vertex, so that one stays only where
// pixels ask for it.
// Method:  a first polygon through the points by dynamic programming; vertices moved by C. F. Gauss and I. Newton's iteration, held back
//          by a small diagonal (K. Levenberg 1944, see wedge.h), a few neighbours at a time; vertices taken out and put in while
//          that pays. A pixel's share is the area to the left of the path within its square; its derivative by a vertex is the length
//          of the side within the square, turned by a quarter, weighed by the lever. The method as a whole is our own.
// Units:   pixels. Memory: in the work's scratch.
#ifndef PM_OUTLINE_FACET_H
#define PM_OUTLINE_FACET_H

#include "outline/subpixel.h"

typedef struct Vertex {
    Vec at;
    int crack;      // of the arc, near it
    bool is_round;  // the path cuts it off along a curve
} Vertex;

typedef struct FacetPixel FacetPixel;

typedef struct Facets {
    const Pixels *pixels;
    const ArcPainting *painting;
    const CrackMap *map;
    const CrackArc *arc;
    int left, right;    // labels
    bool is_closed;     // the first vertex comes again at the end
    Vertex *v;          // the first and last stay where they are
    int count, most;    // there is room for one more
    FacetPixel *cells;  // a hash table
    int mask, cell_count, stamp;
} Facets;

// The polygon along these points, which are in order; a closed one goes round from the first point to the first. False in `has_shape`
// when there are too few vertices to turn.
MUST_USE bool facet_find(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc,
                         const EdgePoint *points, int count, bool is_closed, Work *work, Facets *out, bool *has_shape, Error *err);

// For a vertex strictly inside. How well the pixels round it are explained (root mean square of shares; 1 = they do not tell), and how
// much worse (positive) the pixels are explained when it is rounded off.
double facet_rms(Facets *facets, int i);
double facet_sharpness(Facets *facets, int i);
double facet_turn_cos(const Facets *facets, int i);

#endif
