// facet.h - a polygon along an edge against the pixels that it passes.
// A corner whose sides are shorter than a few pixels cannot be told from points along the edge: each point is read from a row or
// column of pixels, and most of those reach over a corner. The pixels themselves still tell: the polygon is looked for whose shares
// of all pixels along the edge (shares.h) come nearest to those in the picture, with a price on every vertex, so that one stays only
// where pixels ask for it.
// Method:  a first polygon through the points by dynamic programming; vertices moved by C. F. Gauss and I. Newton's iteration, held back
//          by a small diagonal (K. Levenberg 1944, see wedge.h), a few neighbours at a time; vertices taken out and put in while
//          that pays. The method as a whole is our own.
// Units:   pixels. Memory: in the work's scratch.
#ifndef PM_OUTLINE_FACET_H
#define PM_OUTLINE_FACET_H

#include "outline/shares.h"

// The polygon along these points, which are in order; a closed one goes round from the first point to the first. Its first and last
// vertices stay where the points have them; there is room for one more behind the last. False in `has_shape` when there are too few
// vertices to turn.
MUST_USE bool facet_find(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc,
                         const EdgePoint *points, int count, bool is_closed, Work *work, EdgePath *out, bool *has_shape, Error *err);

// For a vertex strictly inside. How well the pixels round it are explained (root mean square of shares; 1 = they do not tell), how
// much worse (positive) the pixels are explained when it is rounded off (where that is more than `least` it may be told too high), and
// the cosine of the angle by which it turns.
double facet_rms(EdgePath *path, int i);
double facet_sharpness(EdgePath *path, int i, double least);
double facet_turn_cos(const EdgePath *path, int i);

#endif
