// wedge.h - does a sharp corner explain the pixels?
// A corner between colours A and B with straight sides covers a known share of every pixel round it. Its place and the
// directions of its sides are moved until these shares come nearest to those in the picture; what is left over tells a
// sharp corner from a rounded tip or end, which the points along an edge cannot: antialiasing rounds both.
// Method:  least squares over four unknowns by C. F. Gauss and I. Newton's iteration with differences for derivatives,
//          held back by a small diagonal (K. Levenberg, "A method for the solution of certain non-linear problems in
//          least squares", Quarterly of Applied Mathematics 2 (1944) 164-168); shares by clipping each pixel's square.
// Units:   pixels.
#ifndef PM_OUTLINE_WEDGE_H
#define PM_OUTLINE_WEDGE_H

#include "outline/subpixel.h"

typedef struct Wedge {
    Vec at;
    Vec in, out;    // unit vectors: along the edge towards the corner, and away from it; label `left` on their left
} Wedge;

typedef enum WedgeVerdict {
    WEDGE_UNKNOWN,  // too few pixels that are blends of the two: the picture does not tell
    WEDGE_SHARP,    // `wedge` was moved to where it explains the pixels best
    WEDGE_NOT_SHARP // no wedge does
} WedgeVerdict;

WedgeVerdict wedge_fit(const Pixels *pixels, const Painting *painting, int left, int right, Wedge *wedge);

#endif
