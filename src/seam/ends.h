// ends.h - how a seam ends on the outline: square to it, in a corner that turns inwards, or neither.
// A blade and a hand find a square end by themselves; a slanting one leaves a thin tip on one side and opens first.
// Source:  common practice; the measures are our own.
#ifndef PM_SEAM_ENDS_H
#define PM_SEAM_ENDS_H

#include "seam/part.h"

#define ENDS_FROM_NODE_MM 25.4 // seams that end on one and the same seam keep so far from its ends
#define ENDS_SQUARE_SIN 0.0871557427 // square within 5 degrees

// Point i of the boundary is a corner of the outline that turns inwards by more than 25 degrees within 2 mm.
bool ends_is_inner_corner(const Part *part, int i);

// The cosine of the angle between the outline and a seam that sets out from `at`, on edge `edge`, towards `to`; 0 when
// it sets out from an inner corner.
double ends_slant(const Part *part, int edge, Point at, Point to);

// A seam may end there: not inside the edge of a piece that is cut already, nor near the ends of a seam that it ends on.
bool ends_may_lie(const Part *part, int edge, double along);

#endif
