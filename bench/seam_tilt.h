// seam_tilt.h - straight stretches of seam that are a little off level or upright, where everybody sees that they are.
// A stretch:  more than an inch of it in sight, 1/2 to 15 degrees off. One that is square to the outline at an end, within
//             2 degrees, and no longer than 3 in is right as it is.
#ifndef PM_BENCH_SEAM_TILT_H
#define PM_BENCH_SEAM_TILT_H

#include "seam/hiding.h"
#include "seam/seam.h"

// `rings` is the layer, `hiding` what lies over it. Adds to the two.
MUST_USE bool count_tilted(const Rings *rings, const Hiding *hiding, const LayerPieces *pieces, Arena *scratch,
                           int *count, double *length_mm, Error *err);

#endif
