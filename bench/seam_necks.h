// seam_necks.h - pieces that a seam made too thin, and pieces that hang together by a neck that a seam made (seam_measure.h).
#ifndef PM_BENCH_SEAM_NECKS_H
#define PM_BENCH_SEAM_NECKS_H

#include "seam/seam.h"

// Each adds to *out.
MUST_USE bool count_thin(const LayerPieces *pieces, Arena *scratch, int *out, Error *err);
MUST_USE bool count_necks(const Rings *layer, const LayerPieces *pieces, Work *work, int *out, Error *err);

#endif
