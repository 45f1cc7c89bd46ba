// seam_bound.h - a length that no division's seams in sight can stay under.
// Law:     each piece's share of a shape lies in a rectangle of the usable sheet, w x h, so that its outline is at least
//          hR times its area, hR the rectangle's Cheeger constant; over all pieces: seam >= (hR area - outline) / 2.
//          It holds for any part S of what is in sight. We take the best of several: what remains of each connected
//          part when it is shrunk and grown again by 0 to 1 / hR, which takes off the thin ends that only add outline.
// Source:  hR: B. Kawohl, T. Lachand-Robert, "Characterization of Cheeger sets for convex subsets of the plane", Pacific
//          Journal of Mathematics 225 (2006) 103-118 (from memory); the sum over pieces is our own.
#ifndef PM_BENCH_SEAM_BOUND_H
#define PM_BENCH_SEAM_BOUND_H

#include "paper/paper.h"
#include "stack/stack.h"

typedef struct InSight { Rings *layers; int count; } InSight; // what of each layer can be seen, and 3 mm under the cover

MUST_USE bool in_sight_make(const Stack *stack, Arena *keep, Work *work, InSight *out, Error *err);

double cheeger_constant(double width, double height); // of a rectangle, in 1 / unit

MUST_USE bool seam_bound(const InSight *seen, const Paper *paper, Work *work, double *out_mm, Error *err);

#endif
