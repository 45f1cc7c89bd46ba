// seam_along.h - how much of the seams above the base runs along a seam of the layer right below (seam_measure.h).
#ifndef PM_BENCH_SEAM_ALONG_H
#define PM_BENCH_SEAM_ALONG_H

#include "seam/seam.h"

// Adds to both. `pieces` has one entry a layer.
MUST_USE bool seams_along(const Stack *stack, const LayerPieces *pieces, Arena *scratch, double *above_mm, double *along_mm,
                          Error *err);

#endif
