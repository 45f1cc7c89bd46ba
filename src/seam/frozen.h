// frozen.h - pieces that are cut already: their seams are cut into the layer first, and they come out as they were
// written.
// A frozen piece's outline consists of runs of the layer's outline and of seams, which are straight. Its seams become
// cuts on which other seams may end at corners only; its face is made of the very curves that were written.
// Errors:  ERROR_JOB with the names of the pieces that the layer cannot hold any more as they are.
#ifndef PM_SEAM_FROZEN_H
#define PM_SEAM_FROZEN_H

#include "seam/cuts.h"

// `outline` is the layer's, flat. Every frozen piece becomes a plot of its own.
MUST_USE bool frozen_cut(const SeamWishes *wishes, const Rings *outline, Cuts *cuts, Work *work, Error *err);

// ERROR_JOB when a frozen piece would not be written, curve for curve, as before.
MUST_USE bool frozen_check(const SeamWishes *wishes, const LayerPieces *pieces, Work *work, Error *err);

#endif
